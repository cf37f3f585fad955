"""Two bays of one direction that meet over a wall on paper: 16'-0" x 22'-0", 16 and 24 in, 1000S162-54, all platform.

In inches: x 0..192; wall W at y 132, faces 130.25 and 133.75, is the border: bay A below at 16 in, bay B above at
24.

A: 16 ... 176 (11), 1.5..131.8125 (butt, 3/16 short); B: 24 ... 168 (7), 132.1875..262.5: 130.3125 each. 18 x
130.3125 = 2345.625.
R10: A's window 17.5..118.25 from 1.5: holes first at 18; B's 145.75..246.5: 13.6 to 18.3 from its printed end at
132.1875. A's 16.5 from the end is no whole inch of B's grid (148.69): two marks, 1J01 11 and 1J02 7.
R20: 18 bearing clips (90, 90), none at the butts. R21: (11 + 7) x 2 plates x 2 = 72.
R23: 48, 96, 144 stand opposite one another: 3 plates, 30 steel; 8 + 4 ends alone, warned of.
R24: 124.75 clear each: 1 line, y 67.875 and 196.125. R25: A 24, 120, 168; B 36 ... 156 = 120: 36, 132, 156: 6, 24
steel.
R26: gaps 62.4: 3 a bay and side: 12 clip angles, 120 steel, 48 nails. R27: 2 x 201.75 = 403.5; screws 11 + 10 and 7
+ 10: 38; 8 nails.
R28: 192, 192; sides 264 - 2.25 = 261.75 = 240 + 21.75, the rest under 32: 229.75 + 32. 907.5: 912 would be 240,
240, 240, 192 with no room for both 32s beside 192 and 192; 229.75 twice, 192 + 32 twice: 4 of 20.
R30: a bay's rows of 192: 96, 96; 48, 96, 48; 96, 96: 2 each: 12, 14 cells.
R31: steel 90 + 30 + 24 + 120 = 264 -> 277.2: 2; wood 90: 1; nails 72 + 48 + 8 = 128: 1; strap 38: 1.
"""

from __future__ import annotations

import pytest

from framing.engine.members import EndKind
from framing.engine.placement import Item
from framing.engine.result import FloorResult
from tests.engine.hand.floors_on_paper import cut, designed, inches, lengths, panels, pieces, spots
from tests.engine.hand.real_floors import bill, boxes, cells, rectangle


def over_wall(low: list[list[str]], high: list[list[str]]) -> FloorResult:
    made = {"direction": "y", "profile": "1000S162-54"}
    return designed(
        name="Border wall",
        outline=rectangle(192, 264),
        supports=[{"id": "W", "from": ["0", "132"], "to": ["192", "132"], "joint": "lap"}],
        bays=[
            {"id": "A", "spacing": "16", "outline": low, **made},
            {"id": "B", "spacing": "24", "outline": high, **made},
        ],
    )


@pytest.fixture(scope="module")
def floor() -> FloorResult:
    return over_wall(rectangle(192, 132), rectangle(192, 132, along=132))


def test_joists(floor: FloorResult) -> None:
    a, b = floor.bays
    assert cut(list(a.members)) == [(16.0 * k, 1.5, 131.8125) for k in range(1, 12)]
    assert cut(list(b.members)) == [(24.0 * k, 132.1875, 262.5) for k in range(1, 8)]
    assert {m.high.kind for m in a.members} == {m.low.kind for m in b.members} == {EndKind.BUTT}
    assert pieces(floor) == {("1J01", 130.3125): 11, ("1J02", 130.3125): 7}


def test_pairs(floor: FloorResult) -> None:
    assert [x for x, _ in spots(floor, Item.LAP_PLATE)] == [48.0, 96.0, 144.0]
    assert any("without a partner" in w.message for w in floor.warnings)


def test_bridging(floor: FloorResult) -> None:
    assert [inches(entry.along_16) for entry in floor.lines] == [67.875, 196.125]
    assert [x for x, _ in spots(floor, Item.SOLID_BLOCK)] == [24.0, 36.0, 120.0, 132.0, 156.0, 168.0]


def test_boards_and_sheathing(floor: FloorResult) -> None:
    assert lengths(floor, Item.RIM_BOARD) == [32.0, 32.0, 192.0, 192.0, 229.75, 229.75]
    assert (cells(floor), panels(floor)) == (14, 12)


def test_bill(floor: FloorResult) -> None:
    assert bill(floor) == {
        "1000S162-54": 2345.625,
        "bearing_clip:1000": 18,
        "clip_angle:1000": 12,
        "lap_plate:1000": 3,
        "solid_block:1000S162-54": 6,
        "ladder_block:1000S162-54": 12,
        "strap": 403.5,
        "rim_stick:20": 4,
        "sheathing_panel": 12,
        "steel_screw": 90 + 30 + 24 + 120,
        "wood_screw": 90,
        "bearing_nail": 72 + 48 + 8,
        "strap_screw": 21 + 17,
    }
    assert boxes(floor) == {"steel_screw": 2, "wood_screw": 1, "bearing_nail": 1, "strap_screw": 1}


def test_what_lies_in_the_floor_counts(floor: FloorResult) -> None:
    wider = over_wall(rectangle(400, 232, -100, -100), rectangle(300, 200, -50, 132))
    assert (wider.placed, wider.pieces, wider.lines) == (floor.placed, floor.pieces, floor.lines)
