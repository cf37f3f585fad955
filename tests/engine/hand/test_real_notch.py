"""An L with a notch on paper: 21'-4" x 19'-0" less 9'-2" x 8'-0", joists along y from the high side, 1000S162-54.

In inches: x 0..256, y 0..228; the corner x 146..256, y 132..228 is cut away. Stations count from x 256: across =
256 - x, the step at across 110. At 16 in, all platform.

R3: 16 ... 96 in the shallow part (6). From across 110 on the floor is deep; the step's rim face is 111.125; 112 is
0.875 from it: moved to 3 in, 114.125. 128 ... 240 (8); 256 is the outline. 15.
R4: shallow 132 - 3 = 129, deep 228 - 3 = 225. 6 x 129 + 9 x 225 = 2799. From the start edge: 1J01 129, 1J02 225.
R20: 30 bearing clips (150, 150). R21: 60.
R24: 228 - 11 = 217 clear: ceil(2.26) - 1 = 2 lines, 72.33 apart, y 77.83 (all across) and 150.17 (deep part).
R25 in across: line 1: middles 24 ... 88, 96|114.125 105.0625, 121.0625, 136 ... 232; 24 to 232 = 208, three steps:
24, 105.0625 (121 is too far), 200, 232: 4. Line 2: 121.0625 to 232 = 110.9: 121.0625, 216, 232: 3. 7, 28 steel.
R26: x 256: faces 5.5 and 126.5: 72.33: 1, line, 48.67: 1: 3. x 0: three gaps of 72.33: 2 + 3 = 5. Step, from the
corner y 132: 18.17, line, 72.33: 2; its clear space is 114.125 - 0.8125 - 111.125 = 2.19: packers. 8 clip angles, 80
steel; 8 x 4 + 2 x 4 = 40 nails.
R27: 253.75 + 12, 256 - 112.25 + 12 = 143.75 + 12: 421.5; screws 15 + 2 x (4 + 2) and 9 + 2 x (3 + 1): 44; 8 nails.
R28: y 0: 256 = 240 + 16, the rest under 32: 224 + 32. x 256: 132 - 2.25 = 129.75. Step's wall (y 132): 110 + 1.125
behind the parallel board = 111.125. x 146: 96 - 1.125 = 94.875. y 228: 146. x 0: 225.75. 224 and 225.75 take a 240
each. Of 129.75, 111.125, 94.875, 146, 32 (513.75) no two of the first three fit 192, so 528 (192 + 192 + 144, or
240 + 144 + 144 with 146 in the 240) has no room; 576: 129.75 + 94.875 in 240, 146 + 32 in 192, 111.125 in 144. 3 of
20, 1 of 16, 1 of 12.
R30 from across 0: row 1: 96, 96, 64. Row 2: 48, 96, to 240 would leave 16: cut at 224: 80, 32. Row 3 (36 deep in the
shallow part): as row 1. Row 4 (144..192) from across 110, half first: within 48 the last station is 144: 34; then to
240 would leave 16: to 224, 80; 32. Row 5 (36 deep): within 96 of 110: 192: 82; 64. 15 cells.
Panels: row 1: 3 (32 kept). Row 2: 48 new (48 kept), 96, 80, 32 from the 32: 3. Row 3: 3 (32 kept). Row 4: 34 from
the 48, 80 new, 32 from the 32: 1. Row 5: 2. 12.
R31: steel 150 + 28 + 80 = 258 -> 270.9: 2; wood 150: 1; nails 60 + 40 + 8 = 108: 1; strap 44: 1.
"""

from __future__ import annotations

import pytest

from framing.engine.members import MemberKind
from framing.engine.placement import Item
from framing.engine.result import FloorResult
from tests.engine.hand.floors_on_paper import (
    cut,
    designed,
    inches,
    lengths,
    members,
    panels,
    pieces,
    placed,
    spots,
)
from tests.engine.hand.real_floors import bill, boxes, cells


@pytest.fixture(scope="module")
def floor() -> FloorResult:
    corners = [(0, 0), (256, 0), (256, 132), (146, 132), (146, 228), (0, 228)]
    return designed(
        name="Notch",
        outline=[[str(x), str(y)] for x, y in corners],
        bays=[{"id": "A", "direction": "y", "start": "high", "spacing": "16", "profile": "1000S162-54"}],
    )


def test_joists(floor: FloorResult) -> None:
    joists = members(floor, MemberKind.JOIST)
    shallow = [(16.0 * k, 1.5, 130.5) for k in range(1, 7)]
    deep = [(x, 1.5, 226.5) for x in (114.125, *(16.0 * k for k in range(8, 16)))]
    assert cut(joists) == shallow + deep
    assert [m.sequence for m in joists] == list(range(1, 16))
    assert pieces(floor) == {("1J01", 129.0): 6, ("1J02", 225.0): 9}


def test_blocks(floor: FloorResult) -> None:
    low, high = floor.lines
    assert inches(low.along_16) == pytest.approx(77.833, abs=1 / 16)
    assert inches(high.along_16) == pytest.approx(150.167, abs=1 / 16)
    blocks = [(y > 100, 256 - x) for x, y in spots(floor, Item.SOLID_BLOCK)]
    assert sorted(across for above, across in blocks if not above) == pytest.approx(
        [24, 105.0625, 200, 232], abs=1 / 16
    )
    assert sorted(across for above, across in blocks if above) == pytest.approx(
        [121.0625, 216, 232], abs=1 / 16
    )


def test_ladder_blocks_by_edge(floor: FloorResult) -> None:
    hosts = [t.host for t in placed(floor, Item.LADDER_BLOCK)]
    assert [hosts.count(f"edge:{i}") for i in (1, 5)] == [3, 5]
    assert [t.host for t in placed(floor, Item.WOOD_PACKER)] == ["edge:3", "edge:3"]


def test_boards_and_sheathing(floor: FloorResult) -> None:
    assert lengths(floor, Item.RIM_BOARD) == [32.0, 94.875, 111.125, 129.75, 146.0, 224.0, 225.75]
    assert (cells(floor), panels(floor)) == (15, 12)


def test_bill(floor: FloorResult) -> None:
    assert bill(floor) == {
        "1000S162-54": 2799.0,
        "bearing_clip:1000": 30,
        "clip_angle:1000": 8,
        "solid_block:1000S162-54": 7,
        "ladder_block:1000S162-54": 8,
        "wood_packer": 2,
        "strap": 421.5,
        "rim_stick:12": 1,
        "rim_stick:16": 1,
        "rim_stick:20": 3,
        "sheathing_panel": 12,
        "steel_screw": 150 + 28 + 80,
        "wood_screw": 150,
        "bearing_nail": 60 + 40 + 8,
        "strap_screw": 44,
    }
    assert boxes(floor) == {"steel_screw": 2, "wood_screw": 1, "bearing_nail": 1, "strap_screw": 1}
