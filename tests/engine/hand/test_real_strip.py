"""A corridor strip on paper: 120'-0" x 20'-0", lapped over a wall at 10'-4", joists along y at 19.2 in, 1000S162-54.

In inches: x 0..1440, y 0..240; wall at y 124, faces 122.25 and 125.75. All platform.

R3: 19.2 k for k = 1 ... 74, the last 1420.8; 1440 is the outline. To the sixteenth in turn 19.1875, 38.375,
57.625, 76.8125, 96, then the same 96 on.
R5: first line 1.5 to 124 + 6 = 130: 128.5; second, 1.625 higher, 118 to 238.5: 120.5. 74 each: 1J01, 1J02; one
line whole before the next. 74 x 249 = 18426.
R20: 74 x 2 = 148 bearing clips, n = 5: 740 steel, 740 wood. R21: y 0 74, wall 74 + 74, y 240 74: 296 x 2 = 592.
R23: 74 lap plates, 740 steel.
R24: 5.5..122.25 = 116.75: 1 line at 63.875; 125.75..234.5 = 108.75: 1 line at 180.125.
R25: 73 spaces, five of them 96 exactly: first, every fifth (6th ... 71st), last (73rd): 1 + 14 + 1 = 16 a line:
32, 128 steel.
R26: clear 17.25 at the left (more in the second line), 1438.875 - 1421.625 = 17.25 and 1438.875 - 1423.25 =
15.625 at the right. Gaps 58.375 and 54.375: 3 a span and side: 12 clip angles, 120 steel, 48 nails.
R27: 2 x (1437.75 + 12) = 2899.5; screws 2 x (74 + 2 x (16 + 2)) = 220; 2 x 4 = 8 nails.
R28: y 0 and 240: 6 x 240 each; sides 237.75, a 20 ft stick each: 14 of 20.
R30: 5 rows. Odd: 15 x 96, 14 joints. Even: 38.375 (two spaces), 14 x 96, 57.625, the first and the last from one
panel: 16 pieces, 15 joints. 75 panels, 3 x 15 + 2 x 16 = 77 cells.
R23 cleats: row 3 (96..144) stands in part, rows 4 and 5 whole on the shifted line, where no joint has a flange: 14 +
15 + 14 = 43.
R31: steel 740 + 740 + 128 + 120 = 1728 -> 1814.4: 8 boxes; wood 740 -> 777: 4; nails 592 + 48 + 8 = 648 ->
680.4: 2; strap 220: 1.
"""

from __future__ import annotations

from itertools import pairwise

import pytest

from framing.engine.members import MemberKind
from framing.engine.placement import Item
from framing.engine.result import FloorResult
from tests.engine.hand.floors_on_paper import (
    count,
    cut,
    designed,
    inches,
    lengths,
    members,
    panels,
    pieces,
    spots,
)
from tests.engine.hand.real_floors import bill, boxes, cells, rectangle

IN_96 = (0.0, 19.1875, 38.375, 57.625, 76.8125)
STATIONS = [96.0 * k + s for k in range(15) for s in IN_96][1:]


@pytest.fixture(scope="module")
def floor() -> FloorResult:
    return designed(
        name="Strip",
        outline=rectangle(1440, 240),
        supports=[{"id": "W", "from": ["0", "124"], "to": ["1440", "124"], "joint": "lap"}],
        bays=[{"id": "A", "direction": "y", "spacing": "19.2", "profile": "1000S162-54"}],
    )


def test_joists(floor: FloorResult) -> None:
    assert cut(members(floor, MemberKind.JOIST, 0)) == [(s, 1.5, 130.0) for s in STATIONS]
    assert cut(members(floor, MemberKind.JOIST, 1)) == [(s + 1.625, 118.0, 238.5) for s in STATIONS]
    assert len(floor.members) == 148
    order = sorted(floor.members, key=lambda m: m.sequence)
    assert [m.line for m in order] == [0] * 74 + [1] * 74
    assert pieces(floor) == {("1J01", 128.5): 74, ("1J02", 120.5): 74}


def test_blocks(floor: FloorResult) -> None:
    assert [inches(entry.along_16) for entry in floor.lines] == [63.875, 180.125]
    blocks = [x for x, y in spots(floor, Item.SOLID_BLOCK) if y == 63.875]
    middles = [(a + b) / 2 for a, b in pairwise(STATIONS)]
    assert blocks == pytest.approx([*middles[0:72:5], middles[72]], abs=1 / 16)
    assert len(blocks) == 16


def test_boards_and_sheathing(floor: FloorResult) -> None:
    assert lengths(floor, Item.RIM_BOARD) == [237.75] * 2 + [240.0] * 12
    assert (cells(floor), panels(floor)) == (77, 75)
    assert count(floor, Item.SHEATHING_CLEAT) == {"": 43}


def test_bill(floor: FloorResult) -> None:
    assert bill(floor) == {
        "1000S162-54": 18426.0,
        "bearing_clip:1000": 148,
        "clip_angle:1000": 12,
        "lap_plate:1000": 74,
        "solid_block:1000S162-54": 32,
        "ladder_block:1000S162-54": 12,
        "strap": 2899.5,
        "rim_stick:20": 14,
        "sheathing_panel": 75,
        "sheathing_cleat": 43,
        "steel_screw": 740 + 740 + 128 + 120,
        "wood_screw": 740,
        "bearing_nail": 592 + 48 + 8,
        "strap_screw": 220,
    }
    assert boxes(floor) == {"steel_screw": 8, "wood_screw": 4, "bearing_nail": 2, "strap_screw": 1}
