"""Two bays of different directions over an inside wall on paper: 16'-0" x 24'-8", 16 in, 1000S162-97.

In inches: x 0..192; wall W at y 144, faces 142.25 and 145.75. Bay A y 0..144, joists along y; bay B y 144..296,
joists along x, from the border up. All bearing edges platform; the sides are parallel for A and bear for B.

R3 A: 16 ... 176: 11. B: stations from the border: 144 + 16 k = 160 ... 288 (9); 288 is 6.875 off the rim's face.
A ends on the wall: butt, 144 - 3/16 = 143.8125: 142.3125. B: 1.5..190.5 = 189, runs beside the border.
Members 11 x 142.3125 + 9 x 189 = 3266.4375. Marks run on: 1J01 11, 1J02 9.
R20: A 11 at y 0, none at the butt; B 18: 29 bearing clips (145, 145). R21: A 11 + 11, B 18: 40 x 2 = 80; B crosses
no plate. R23: no joist of B meets one of A: no plate, and a warning of the 11 lone ends.
R24: A 5.5..142.25 = 136.75: 1 line, y 73.875. B 5.5..186.5 = 181: 1 line, x 96.
R25: A 24 ... 168: 24, 120, 168: 3. B from the border: 24 ... 136 (y 168 ... 280): 112: 24, 120, 136: 3. 24 steel.
R26: A's part of the sides: 68.375 twice: 3 each; top (y 296), beside 288 with 294.875 - 288.8125 = 6.06 clear: 90.5
twice: 3. 9 clip angles, 90 steel, 36 nails. None at the border.
R27: A 189.75 + 12 = 201.75; B from the border to the rim 150.875 + 6 = 156.875: 358.625. Screws 11 + 2 x (3 + 2) and
9 + 2 x (3 + 1): 38. Nails 4 + 2.
R28: one board line an edge: y 0 bears: 192 through. Sides: parallel at the corner with y 0 (less 1.125), bearing at
the one with the parallel top: 296 - 1.125 = 294.875 = 240 + 54.875. Top 192 - 2.25 = 189.75. 971.5: 240, 240, 192,
189.75 in 192, 54.875 x 2 in 144 = 1008, the next step of 48. 2 of 20, 2 of 16, 1 of 12.
R30 A: rows 96 + 96; 48 + 96 + 48; 96 + 96: 6 panels, 7 cells. B: 4 rows along y, 152 long: 96, 56; 48, to 144 would
leave 8: cut at 112: 64, 40. Row 1: 2 (40 kept). Row 2: 48 new (48 kept), 64 new (32 kept), 40 from the 40. Row 3: 2
(40 kept). Row 4: 48 from the 48, 64 new, 40 from the 40. 2 + 2 + 2 + 1 = 7, 10 cells. Together 13 and 17.
R31: steel 145 + 24 + 90 = 259 -> 271.95: 2; wood 145: 1; nails 80 + 36 + 6 = 122: 1; strap 38: 1.
"""

from __future__ import annotations

import pytest

from framing.engine.members import EndKind
from framing.engine.placement import Item
from framing.engine.result import FloorResult
from tests.engine.hand.floors_on_paper import (
    cut,
    designed,
    inches,
    lengths,
    panels,
    pieces,
    placed,
    spots,
)
from tests.engine.hand.real_floors import bill, boxes, cells, rectangle


@pytest.fixture(scope="module")
def floor() -> FloorResult:
    made = {"spacing": "16", "profile": "1000S162-97"}
    return designed(
        name="Two ways",
        outline=rectangle(192, 296),
        supports=[{"id": "W", "from": ["0", "144"], "to": ["192", "144"]}],
        bays=[
            {"id": "A", "direction": "y", "outline": rectangle(192, 144), **made},
            {"id": "B", "direction": "x", "outline": rectangle(192, 152, along=144), **made},
        ],
    )


def test_joists(floor: FloorResult) -> None:
    a, b = floor.bays
    assert cut(list(a.members)) == [(16.0 * k, 1.5, 143.8125) for k in range(1, 12)]
    assert {(m.high.kind, m.high.host) for m in a.members} == {(EndKind.BUTT, "support:W")}
    ends = [m.plan_ends(b.frame) for m in b.members]
    assert [inches(p.y_16) for p, _ in ends] == [144.0 + 16 * k for k in range(1, 10)]
    assert {(inches(p.x_16), inches(q.x_16)) for p, q in ends} == {(1.5, 190.5)}
    assert pieces(floor) == {("1J01", 142.3125): 11, ("1J02", 189.0): 9}
    assert [m.sequence for m in floor.members] == list(range(1, 21))


def test_lone_ends_are_warned_of(floor: FloorResult) -> None:
    assert placed(floor, Item.LAP_PLATE) == []
    assert any("without a partner" in w.message for w in floor.warnings)


def test_bridging(floor: FloorResult) -> None:
    assert [(entry.bay, inches(entry.along_16)) for entry in floor.lines] == [("A", 73.875), ("B", 96.0)]
    solid = spots(floor, Item.SOLID_BLOCK)
    assert [p for p in solid if p[1] == 73.875] == [(24.0, 73.875), (120.0, 73.875), (168.0, 73.875)]
    assert [p for p in solid if p[1] != 73.875] == [(96.0, 168.0), (96.0, 264.0), (96.0, 280.0)]
    assert lengths(floor, Item.STRAP) == [6.0, 6.0, 6.0, 150.875, 189.75]
    assert sorted(t.host for t in placed(floor, Item.LADDER_BLOCK)) == (
        ["edge:1"] * 3 + ["edge:2"] * 3 + ["edge:3"] * 3
    )


def test_boards_and_sheathing(floor: FloorResult) -> None:
    assert lengths(floor, Item.RIM_BOARD) == [54.875, 54.875, 189.75, 192.0, 240.0, 240.0]
    assert (cells(floor), panels(floor)) == (17, 13)


def test_bill(floor: FloorResult) -> None:
    assert bill(floor) == {
        "1000S162-97": 3266.4375,
        "bearing_clip:1000": 29,
        "clip_angle:1000": 9,
        "solid_block:1000S162-97": 6,
        "ladder_block:1000S162-97": 9,
        "strap": 358.625,
        "rim_stick:12": 1,
        "rim_stick:16": 2,
        "rim_stick:20": 2,
        "sheathing_panel": 13,
        "steel_screw": 145 + 24 + 90,
        "wood_screw": 145,
        "bearing_nail": 80 + 36 + 6,
        "strap_screw": 21 + 17,
    }
    assert boxes(floor) == {"steel_screw": 2, "wood_screw": 1, "bearing_nail": 1, "strap_screw": 1}
