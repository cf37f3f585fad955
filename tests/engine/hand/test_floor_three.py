"""Floor three on paper: an L, 16'-8" x 40' with 6' x 16' cut away, joists along x from the high side at 24
in.

In inches: x 0..200 (along), y 0..480; the corner x 128..200, y 288..480 is cut away. Across = 480 - y.
1000S200-97, flange 2. All bearing edges platform, no interior wall: spans 128 and 200. Bearing partitions
at y 165.5 (across 314.5) and y 73 (across 407); one that bears nothing at y 30.

R3: 24 k for k = 1 ... 19, the last 456; 480 is the outline, 24 left. Upper arm (across under 192): 24 ...
168, 7 joists.
Station 192 stands on the step: it belongs to the part away from the start, and is under 3 in from the
inside face 193.125 of the step's rim that its joist would run beside; the floor goes on: it moves to
196.125.
R4: upper 1.5 to 126.5 = 125; lower 1.5 to 198.5 = 197.
R8: two plies 312.5..316.5: station 312 (flange 311..313) overlaps, its centre is not within: it moves to
311.5. Two plies 405..409: station 408 lies within: it goes. The third partition adds nothing.
Lower joists 196.125, 216, 240, 264, 288, 311.5, 336, 360, 384, 432, 456: 11, and two built-up ones.
R11: a ply under a partition is a J of the same length, holes and ends as a joist: two marks, 7 x 125 and
15 x 197.
R10: centres 17.5 to 110.5 (93 long: 4 holes) and 17.5 to 182.5 (165: 7 holes), first one at 17.5 to 38.5
for both.
R20: 7 x 2 + 11 x 2 + 2 x 2 x 2 = 44 bearing clips, n = 5: 220 steel, 220 wood. R21: 44 x 2 = 88.
R22: 197: ceil(179/24) = 8 spaces of 22.375, 9 clips from x 10.5; twice, 18; 72 steel.
R24: largest clear span 5.5..194.5 = 189: 1 line at x 100, straight from rim to rim, through the upper arm
too.
R25: one run; 36, 60, ... are middles of 22 in spaces; 168|196.125: 182.0625, then 206.0625, 228, 252,
276, 299.75; 311.5 touches the built-up one: no space; 316.5|335: 325.75; 348, 372, 385|405: 395, 420,
444. First 36, last 444: 408 apart needs 5 steps: 6 blocks if 4 between are enough: 132, 228, 299.75
(325.75 is too far), 395: yes. 24 steel.
R26 top rim (y 480, x 0..128): clear 21.875; line at 100; 94.5 to the face at 5.5 takes one between, 22.5
to 122.5 none: 2 blocks, x 52.75 and 100. Bottom rim: 94.5 on both sides: 3, x 52.75, 100, 147.25. Step (x
128..200): 195.125 - 193.125 = 2 in: packers; no line there, 194.5 - 128 = 66.5 needs one between: 1
packer. 5 x (5 + 5) = 50 steel, 5 x 4 + 4 = 24 nails.
R27: 480 - 2.25 + 12 = 489.75. Plies 7 + 11 + 4 = 22, blocks 2 x (6 + 2) = 16: 38 screws. 4 nails.
R28: x 0: 480 = 240 + 240; x 200: 288 = 240 + 48, through; x 128: 192 + 1.125 behind the step's board =
193.125; y 0: 197.75; y 480: 125.75; step: 72 - 1.125 = 70.875. Beside three whole sticks: 193.125 and
197.75 need a 240 each and leave 46.875 and 42.25, too short for 48. 48 + 70.875 + 125.75 = 244.625:
125.75 | 48 + 70.875 in two 144. 5 of 20, 2 of 12.
R30: rows of 48 in x, panels along y from across 0. Row 1: 5 x 96, 5 panels. Row 2: 48, 4 x 96, 48: 5
panels. Row 3 (x 96..144): upper arm 32 in deep, over 24: whole panels: 5. Row 4 (x 144..192), across
192..480: 48, 96, 96, 48: 3. Row 5 (x 192..200): 8 in deep, 96 x 3 strips, two from a panel: 2. 20 opened,
5 + 6 + 5 + 4 + 3 = 23 cells.
Adhesive: 7 x 125 + 11 x 197 + 2 x 197 = 3436. Seconds: row 1: 96, 288, 384 (192 has no joist) x 46.5; row
2: 48, 144, 240, 336, 432 x 48; row 3: 96 x 30.5, 288, 384 x 48; row 4: 240, 336, 432 x 48; row 5: 288,
384 x 6.5: 663. 4099 / 480 = 8.5: 9 tubes.
Nails, ends: 5 x 18, 6 x 18, row 3 2 x 14 (32 in deep) + 3 x 18, 4 x 18, row 5 3 x 6: 370; rims: x 0 5 x
15, x 128 2 x 15, x 200 3 x 15: 150; 520. Between ends: 17 x 5, 15 x 5, row 3 6 x 4 + 11 x 5, 10 x 5, row
5 11 x 2: 311.
R31: steel 220 + 72 + 24 + 50 = 366 -> 384.3: 2 boxes; wood 220 -> 231: 1; nails 88 + 24 + 4 = 116: 1;
strap screws 38: 1.
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
    holes,
    inches,
    lengths,
    line,
    members,
    panels,
    pieces,
    placed,
    spots,
)

UPPER = [24.0 * k for k in range(1, 8)]
LOWER = [196.125, 216.0, 240.0, 264.0, 288.0, 311.5, 336.0, 360.0, 384.0, 432.0, 456.0]


@pytest.fixture(scope="module")
def floor() -> FloorResult:
    return designed(
        name="Floor three",
        outline=[["0", "0"], ["200", "0"], ["200", "288"], ["128", "288"], ["128", "480"], ["0", "480"]],
        partitions=[
            {"id": "P1", "from": ["0", "165.5"], "to": ["200", "165.5"], "bearing": True, "load_plf": 100},
            {"id": "P2", "from": ["0", "73"], "to": ["200", "73"], "bearing": True, "load_plf": 100},
            {"id": "P3", "from": ["0", "30"], "to": ["200", "30"], "bearing": False, "load_plf": 40},
        ],
        bays=[
            {"id": "A", "direction": "x", "start": "high", "spacing": "24", "profile": "1000S200-97"},
        ],
    )


def test_joists(floor: FloorResult) -> None:
    joists = members(floor, MemberKind.JOIST)
    assert len(joists) == len(floor.members)
    single = [m for m in joists if m.plies == 1]
    assert cut(single) == [(s, 1.5, 126.5) for s in UPPER] + [(s, 1.5, 198.5) for s in LOWER]
    double = [m for m in joists if m.plies == 2]
    assert cut(double) == [(314.5, 1.5, 198.5), (407.0, 1.5, 198.5)]
    assert len(joists) == 20
    assert [m.sequence for m in joists] == list(range(1, 21))


def test_marks(floor: FloorResult) -> None:
    assert pieces(floor) == {("1J01", 125.0): 7, ("1J02", 197.0): 15}


def test_holes(floor: FloorResult) -> None:
    (phase,) = {h % 24 for m in floor.members for h in holes(m)}
    grid = [phase + 24 * k for k in range(9)]
    for member in floor.members:
        high = 110.5 if inches(member.length_16) == 125.0 else 182.5
        assert holes(member) == [g for g in grid if 17.5 <= g <= high]
        assert len(member.holes_16) == (4 if high == 110.5 else 7)


def test_clips(floor: FloorResult) -> None:
    assert count(floor, Item.BEARING_CLIP) == {"1000": 44}
    assert count(floor, Item.CLIP_ANGLE) == {"1000": 5}
    assert count(floor, Item.PLY_CLIP) == {"1000": 18}
    assert spots(floor, Item.LAP_PLATE) == []
    along = sorted({x for x, _ in spots(floor, Item.PLY_CLIP)})
    assert along == pytest.approx([10.5 + 22.375 * k for k in range(9)], abs=0.07)


def test_bridging(floor: FloorResult) -> None:
    (bridging,) = floor.lines
    assert inches(bridging.along_16) == 100.0
    assert len(bridging.runs) == 1
    assert lengths(floor, Item.STRAP) == [6.0, 6.0, 477.75]  # turned up at both rims
    assert len(placed(floor, Item.SOLID_BLOCK)) == 6
    across = sorted(480 - y for _, y in spots(floor, Item.SOLID_BLOCK))
    assert (across[0], across[-1]) == (36.0, 444.0)
    assert across[1:3] == [132.0, 228.0]
    spaces = [182.0625, 206.0625, 228.0, 252.0, 276.0, 299.75, 325.75, 348.0, 372.0, 395.0, 420.0]
    assert all(min(abs(a - s) for s in spaces) < 0.07 for a in across[2:5])
    assert all(b - a <= 96 for a, b in pairwise(across))


def test_ladder_blocks_and_packer(floor: FloorResult) -> None:
    blocks = spots(floor, Item.LADDER_BLOCK)
    assert [x for x, y in blocks if y > 240] == [52.75, 100.0]
    assert [x for x, y in blocks if y < 240] == [52.75, 100.0, 147.25]
    ((x, y),) = spots(floor, Item.WOOD_PACKER)
    assert 284.875 <= y <= 288
    assert x - 128 <= 48
    assert 194.5 - x <= 48


def test_rim(floor: FloorResult) -> None:
    cut_lengths = [48.0, 70.875, 125.75, 193.125, 197.75, 240.0, 240.0, 240.0]
    assert lengths(floor, Item.RIM_BOARD) == cut_lengths
    assert count(floor, Item.RIM_STICK) == {"20": 5, "12": 2}


def test_sheathing(floor: FloorResult) -> None:
    assert sum(count(floor, Item.SHEATHING_CELL).values()) == 23
    assert panels(floor) == 20
    assert spots(floor, Item.SHEATHING_CLEAT) == []
    assert line(floor, "adhesive_tube") == (4099 * 16, 9)
    assert line(floor, "sheathing_nail") == (520 + 311, 1)


def test_fasteners(floor: FloorResult) -> None:
    assert line(floor, "steel_screw") == (366, 2)
    assert line(floor, "wood_screw") == (220, 1)
    assert line(floor, "bearing_nail") == (116, 1)
    assert line(floor, "strap_screw") == (38, 1)
