"""Through joists over two inner walls on paper: 16'-0" x 28'-0", joists along y at 16 in, 1000S162-54.

In inches: x 0..192, y 0..336; walls at y 112 and 224, 3 1/2 wide, joint through. All platform.

R3: stations 16 ... 176: 11. R5: one piece over three spans, 1.5 to 334.5 = 333 (longest piece 480). 11 x 333 =
3663, one mark, no lap or butt.
R10: hole centres 12 off faces: 17.5..98.25, 125.75..210.25, 237.75..318.5. Four in the first need a first one in
17.5..26.25, in the second 125.75..138.25, in the third 237.75..246.5; counted from the last pitch: 17.5..26.25,
5.75..18.25, 21.75..30.5 (or 24 less): two of them at best, 4 + 4 + 3 = 11 holes. Of the phases with 11 the least
whole inch is 0 (first and third): 24, 48, 72, 96, 144, 168, 192, 240, 264, 288, 312.
R20: 11 x 2 = 22 bearing clips (110, 110). R21: four plates: 11 x 4 x 2 = 88. R23: none.
R24: clear spans 5.5..110.25 = 104.75, 113.75..222.25 = 108.5, 225.75..330.5 = 104.75: 1 line each, at 57.875,
168, 278.125.
R25: middles 24 ... 168: 144, two steps: 24, 120, 168 a line: 9, 36 steel.
R26: gaps 52.375, 54.25, 52.375, all over 48: 1 + 1 + 1 a span and side: 18 clip angles, 180 steel, 72 nails.
R27: 3 x (189.75 + 12) = 605.25; screws 3 x (11 + 2 x (3 + 2)) = 63; 3 x 4 = 12 nails.
R28: 192, 192 through; sides 336 - 2.25 = 333.75 = 240 + 93.75. 240, 240; 192, 192; 93.75 x 2 = 187.5 in a 192:
1056 for 1051.5. 2 of 20, 3 of 16.
R30: 7 rows of 192: odd 96 + 96; even 48, 96, 48, the halves of one panel. 14 panels, 4 x 2 + 3 x 3 = 17 cells.
R31: steel 110 + 36 + 180 = 326 -> 342.3: 2; wood 110: 1; nails 88 + 72 + 12 = 172: 1; strap 63: 1.
"""

from __future__ import annotations

import pytest

from framing.engine.members import MemberKind
from framing.engine.placement import Item
from framing.engine.result import FloorResult
from tests.engine.hand.floors_on_paper import (
    cut,
    designed,
    holes,
    inches,
    lengths,
    members,
    panels,
    pieces,
    spots,
)
from tests.engine.hand.real_floors import bill, boxes, cells, rectangle


@pytest.fixture(scope="module")
def floor() -> FloorResult:
    walls = [("W1", "112"), ("W2", "224")]
    return designed(
        name="Through",
        outline=rectangle(192, 336),
        supports=[{"id": i, "from": ["0", y], "to": ["192", y], "joint": "through"} for i, y in walls],
        bays=[{"id": "A", "direction": "y", "spacing": "16", "profile": "1000S162-54"}],
    )


def test_joists(floor: FloorResult) -> None:
    joists = members(floor, MemberKind.JOIST)
    assert cut(joists) == [(16.0 * k, 1.5, 334.5) for k in range(1, 12)]
    assert len(floor.members) == 11
    assert {tuple(c.support for c in m.crossings) for m in joists} == {("W1", "W2")}
    assert pieces(floor) == {("1J01", 333.0): 11}


def test_holes(floor: FloorResult) -> None:
    expected = (24, 48, 72, 96, 144, 168, 192, 240, 264, 288, 312)
    assert {tuple(holes(m)) for m in floor.members} == {expected}


def test_bridging(floor: FloorResult) -> None:
    assert [inches(entry.along_16) for entry in floor.lines] == [57.875, 168.0, 278.125]
    assert [x for x, _ in spots(floor, Item.SOLID_BLOCK)] == [24.0] * 3 + [120.0] * 3 + [168.0] * 3
    assert len(spots(floor, Item.LADDER_BLOCK)) == 18


def test_boards_and_sheathing(floor: FloorResult) -> None:
    assert lengths(floor, Item.RIM_BOARD) == [93.75, 93.75, 192.0, 192.0, 240.0, 240.0]
    assert (cells(floor), panels(floor)) == (17, 14)


def test_bill(floor: FloorResult) -> None:
    assert bill(floor) == {
        "1000S162-54": 3663.0,
        "bearing_clip:1000": 22,
        "clip_angle:1000": 18,
        "solid_block:1000S162-54": 9,
        "ladder_block:1000S162-54": 18,
        "strap": 605.25,
        "rim_stick:16": 3,
        "rim_stick:20": 2,
        "sheathing_panel": 14,
        "steel_screw": 110 + 36 + 180,
        "wood_screw": 110,
        "bearing_nail": 88 + 72 + 12,
        "strap_screw": 3 * (11 + 10),
    }
    assert boxes(floor) == {"steel_screw": 2, "wood_screw": 1, "bearing_nail": 1, "strap_screw": 1}
