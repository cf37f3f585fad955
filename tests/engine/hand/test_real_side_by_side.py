"""Two bays side by side on paper: 26'-0" x 15'-0", joists along y, 16 in to x 120, 24 in from there, 1000S162-54.

In inches: bay A x 0..120, bay B x 120..312, y 0..180. All platform; the border has no bearing under it.

R3 A: 16 ... 112 (7). B from its own border: 144 ... 288 (7). The space 112..144 = 32 is over 24, the larger of the
spacings: a closing joist in its middle, 128, which lies in B. All 1.5..178.5 = 177: 15 of one mark, 2655.
R20: 30 bearing clips (150, 150). R21: 60.
R24: 169 clear: 1 line a bay, y 90. R25: A to the border: middles 24 ... 104: 24, 104: 2. B from it: 128|144 136, 156,
180, 204, 228, 252, 276: 140: 136, 228, 276: 3. 20 steel.
R26: sides only: gaps 84.5 twice: 3 each: 6 clip angles, 60 steel, 24 nails.
R27: A 118.875 + 6, B 190.875 + 6: 321.75, ends at the border straight and without nails; screws 7 + 2 x (2 + 1) and 8
+ 2 x (3 + 1): 29; 4 nails.
R28: 312 = 240 + 72 twice, sides 177.75. 240 x 2; 72 + 72 in 144; 177.75 in 192 twice: 1008 for 979.5. 2 of 20, 2 of
16, 1 of 12.
R30 A, 120 long: 96 would leave 24, under two spaces: cut at 80: 80, 40; half rows 48, 72. Row 1: 2 (56 kept). Row 2:
48 from the 56, 72 new: 1. Row 3: 2. Row 4 (36 deep): 1. 6 panels, 8 cells. B, 192 long: 96, 96; 48, 96, 48 (half
rows from one panel): 2 a row: 8, 10 cells. 14 and 18.
R31: steel 150 + 20 + 60 = 230 -> 241.5: 1; wood 150: 1; nails 60 + 24 + 4 = 88: 1; strap 29: 1.
"""

from __future__ import annotations

import pytest

from framing.engine.placement import Item
from framing.engine.result import FloorResult
from tests.engine.hand.floors_on_paper import designed, inches, lengths, panels, pieces, spots
from tests.engine.hand.real_floors import bill, boxes, cells, rectangle


@pytest.fixture(scope="module")
def floor() -> FloorResult:
    made = {"direction": "y", "profile": "1000S162-54"}
    return designed(
        name="Side by side",
        outline=rectangle(312, 180),
        bays=[
            {"id": "A", "spacing": "16", "outline": rectangle(120, 180), **made},
            {"id": "B", "spacing": "24", "outline": rectangle(192, 180, across=120), **made},
        ],
    )


def test_joists(floor: FloorResult) -> None:
    ends = [[m.plan_ends(bay.frame) for m in bay.members] for bay in floor.bays]
    places = [[(inches(p.x_16), inches(p.y_16), inches(q.y_16)) for p, q in found] for found in ends]
    assert places == [
        [(16.0 * k, 1.5, 178.5) for k in range(1, 8)],
        [(x, 1.5, 178.5) for x in (128.0, *(120.0 + 24 * k for k in range(1, 8)))],
    ]
    assert pieces(floor) == {("1J01", 177.0): 15}
    assert [m.sequence for m in floor.members] == list(range(1, 16))


def test_bridging(floor: FloorResult) -> None:
    assert [(entry.bay, inches(entry.along_16)) for entry in floor.lines] == [("A", 90.0), ("B", 90.0)]
    assert [x for x, _ in spots(floor, Item.SOLID_BLOCK)] == [24.0, 104.0, 136.0, 228.0, 276.0]
    assert lengths(floor, Item.STRAP) == [6.0, 6.0, 118.875, 190.875]


def test_boards_and_sheathing(floor: FloorResult) -> None:
    assert lengths(floor, Item.RIM_BOARD) == [72.0, 72.0, 177.75, 177.75, 240.0, 240.0]
    assert (cells(floor), panels(floor)) == (18, 14)


def test_bill(floor: FloorResult) -> None:
    assert bill(floor) == {
        "1000S162-54": 2655.0,
        "bearing_clip:1000": 30,
        "clip_angle:1000": 6,
        "solid_block:1000S162-54": 5,
        "ladder_block:1000S162-54": 6,
        "strap": 321.75,
        "rim_stick:12": 1,
        "rim_stick:16": 2,
        "rim_stick:20": 2,
        "sheathing_panel": 14,
        "steel_screw": 150 + 20 + 60,
        "wood_screw": 150,
        "bearing_nail": 60 + 24 + 4,
        "strap_screw": 13 + 16,
    }
    assert boxes(floor) == {"steel_screw": 1, "wood_screw": 1, "bearing_nail": 1, "strap_screw": 1}
