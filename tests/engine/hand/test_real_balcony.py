"""A balcony 5'-4" wide juts 2 ft out over the wall line on paper: 16'-0" x 15'-0", joists along y, 16 in, 1000S162-54.

In inches: x 0..192, y 0..180; balcony x 64..128, y 180..204, its front (y 204) free; wall W goes on under it, y 177.25,
5 1/2 wide, faces 174.5 and 180. The rest platform.

R3: 64 stands on the balcony's side and belongs to the part away from the start; the side's rim face is 65.125 and the
floor goes on: moved to 68.125. 80, 96, 112 (14.9 off the face at 126.875). 128 stands on the other side and belongs to
the part without balcony. 16, 32, 48 and 128 ... 176: 7 of 1.5..178.5 = 177; 68.125 ... 112: 4 of 1.5..202.5 = 201, in
one piece over W. 7 x 177 + 4 x 201 = 2043.
R20: 11 + 7 = 18 bearing clips (90, 90); 4 clip angles at the front (20 steel, 20 wood), 6 at ladder blocks. R21: 11 + 7
+ 4 = 22 x 2 = 44.
R24: 169 clear: 1 line, y 90; overhang 180..202.875: none.
R25: 24, 40, 58.0625, 74.0625, 88 ... 168: 24, 120, 168: 3, 12 steel.
R26: sides of the floor: gaps 84.5: 3 each; of the balcony: 22.9 from the corner to the front's rim: none. 60 steel, 24
nails. R27: 201.75; screws 11 + 2 x (3 + 2) = 21; 4 nails.
R28: y 0 192; sides 177.75 twice; y 180: 64 + 1.125 at the inner corner = 65.125 twice; balcony's sides 24 - 1.125 =
22.875 twice; front 64. 65.125 x 2 + 22.875 x 2 + 64 = 240 exactly; 192; 177.75 in 192 twice: 1 of 20, 3 of 16.
R30: 4 rows to y 192: 2 each (halves of one panel); row 5, x 64..128, 12 deep: one strip: 1. 9, 11 cells.
R31: steel 90 + 20 + 12 + 60 = 182 -> 191.1: 1; wood 110: 1; nails 44 + 24 + 4 = 72: 1; strap 21: 1.
"""

from __future__ import annotations

import pytest

from framing.engine.members import EndKind, MemberKind
from framing.engine.placement import Item
from framing.engine.result import FloorResult
from tests.engine.hand.floors_on_paper import cut, designed, inches, lengths, members, panels, spots
from tests.engine.hand.real_floors import bill, boxes, cells


@pytest.fixture(scope="module")
def floor() -> FloorResult:
    corners = [(0, 0), (192, 0), (192, 180), (128, 180), (128, 204), (64, 204), (64, 180), (0, 180)]
    return designed(
        name="Balcony",
        outline=[[str(x), str(y)] for x, y in corners],
        edges=[{"edge": 4, "kind": "free"}],
        supports=[{"id": "W", "from": ["64", "177.25"], "to": ["128", "177.25"], "width": "5.5"}],
        bays=[{"id": "A", "direction": "y", "spacing": "16", "profile": "1000S162-54"}],
    )


def test_joists(floor: FloorResult) -> None:
    joists = members(floor, MemberKind.JOIST)
    out = [m for m in joists if m.high.kind is EndKind.FREE]
    assert cut(out) == [(x, 1.5, 202.5) for x in (68.125, 80.0, 96.0, 112.0)]
    assert {tuple(c.support for c in m.crossings) for m in out} == {("W",)}
    others = [m for m in joists if m not in out]
    assert cut(others) == [(x, 1.5, 178.5) for x in (16.0, 32.0, 48.0, 128.0, 144.0, 160.0, 176.0)]
    assert {m.crossings for m in others} == {()}


def test_bridging(floor: FloorResult) -> None:
    assert [inches(entry.along_16) for entry in floor.lines] == [90.0]
    assert [x for x, _ in spots(floor, Item.SOLID_BLOCK)] == [24.0, 120.0, 168.0]
    assert {x < 16 or x > 176 for x, _ in spots(floor, Item.LADDER_BLOCK)} == {True}


def test_boards_and_sheathing(floor: FloorResult) -> None:
    boards = [22.875, 22.875, 64.0, 65.125, 65.125, 177.75, 177.75, 192.0]
    assert lengths(floor, Item.RIM_BOARD) == boards
    assert (cells(floor), panels(floor)) == (11, 9)


def test_bill(floor: FloorResult) -> None:
    assert bill(floor) == {
        "1000S162-54": 2043.0,
        "bearing_clip:1000": 18,
        "clip_angle:1000": 4 + 6,
        "solid_block:1000S162-54": 3,
        "ladder_block:1000S162-54": 6,
        "strap": 201.75,
        "rim_stick:16": 3,
        "rim_stick:20": 1,
        "sheathing_panel": 9,
        "steel_screw": 90 + 20 + 12 + 60,
        "wood_screw": 90 + 20,
        "bearing_nail": 44 + 24 + 4,
        "strap_screw": 11 + 10,
    }
    assert boxes(floor) == {"steel_screw": 1, "wood_screw": 1, "bearing_nail": 1, "strap_screw": 1}
