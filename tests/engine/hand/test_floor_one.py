"""Floor one on paper: plain rectangle 24'-0" x 16'-0", joists along y at 16 in, 1000S162-54, all platform.

In inches: x 0..288 (across), y 0..192 (along).

R3: stations 16, 32, ... 272: 17. The next, 288, is the outline; the space left is 16, not over the
spacing.
R4: 192 - 2 x (1.125 + 0.375) = 189, from 1.5 to 190.5. R11: all alike, one mark 1J01, 17 pieces.
R10: faces of the bearings 5.5 and 186.5; hole 4 long, so centres 10 + 2 = 12 off them: 17.5 to 174.5, 157
long. Six pitches are 144, so 7 holes in each joist, first one at 17.5 to 30.5; no phase gives 8 (168).
R20: 17 x 2 platform ends = 34 bearing clips, no clip angle at ends; n = 5: 170 steel and 170 wood screws.
R21: 17 x 2 plates x 2 = 68 nails. R22, R23: nothing built up, nothing lapped.
R24: clear 192 - 11 = 181; ceil(181/96) - 1 = 1 line in the middle, y = 5.5 + 90.5 = 96.
R25: one run; 16 spaces with middles 24, 40, ... 264. First 24, last 264, 240 apart: 3 steps of at most
96, so two between: 4 blocks, 16 screws.
R26: rim face 1.125, joist face 16 - 0.8125 = 15.1875: 14.06 clear, blocks. One on the line; 90.5 from
line to support face needs one between on each side: y 50.75, 96, 141.25. 2 rims x 3 = 6, each a clip
angle with 5 + 5 steel screws (60), 4 nails (24).
R27: 1.125 to 286.875 = 285.75, + 2 x 6 = 297.75. Screws 17 joists + 2 x (4 solid + 2 ladder blocks on the
line) = 29. Nails 2 x 2 = 4.
R28: bottom and top run through: 288 = 240 + 48 each. Left and right fit between: 192 - 2.25 = 189.75, one
piece. Bought: 240, 240, and 189.75 + 48 = 237.75 in a 240, twice: 4 of 20 ft, 960; pieces are 955.5 and
all stock is a multiple of 48, so no less.
R30: rows y 0, 48, 96, 144. Odd rows 96 x 3, three panels. Even rows 48 + 96 + 96 + 48: the first half
opens a panel, its other half ends the row: three panels. 12 opened, 14 cells.
Adhesive: 17 x 189 = 3213; second beads where panel ends meet: x 96 and 192 in rows 1 and 3, x 48, 144 and
240 in rows 2 and 4; joists start 1.5 in from the outline, so 46.5 in rows 1 and 4: 2 x 46.5 + 3 x 48 + 2
x 48 + 3 x 46.5 = 472.5. 3685.5 / 480 = 7.7: 8 tubes.
Nails (a line of length a has ceil(a/pitch) + 1): panel ends 14 x 2 x 9 = 252; long edges on the rims,
between the ends: row 1 3 x 15, row 4 15 + 15 + 7 + 7: 89; 341 at edges. Joists between panel ends 15, 14,
15, 14 x 5 = 290.
R31: steel 170 + 16 + 60 = 246, + 5 % = 258.3: 2 boxes of 250; wood 170 -> 178.5: 1; nails 68 + 24 + 4 =
96: 1 of 500; strap screws 29: 1.
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


@pytest.fixture(scope="module")
def floor() -> FloorResult:
    return designed(
        name="Floor one",
        outline=[["0", "0"], ["24'", "0"], ["24'", "16'"], ["0", "16'"]],
        bays=[{"id": "A", "direction": "y", "spacing": "16", "profile": "1000S162-54"}],
    )


def test_joists(floor: FloorResult) -> None:
    joists = members(floor, MemberKind.JOIST)
    assert cut(joists) == [(16.0 * k, 1.5, 190.5) for k in range(1, 18)]
    assert len(floor.members) == 17
    assert [m.sequence for m in joists] == list(range(1, 18))
    assert pieces(floor) == {("1J01", 189.0): 17}


def test_holes(floor: FloorResult) -> None:
    rows = {tuple(holes(m)) for m in floor.members}
    assert len(rows) == 1
    (row,) = rows
    assert len(row) == 7
    assert [b - a for a, b in pairwise(row)] == [24.0] * 6
    assert row[0] >= 17.5
    assert row[-1] <= 174.5
    assert not any(m.omitted for m in floor.members)


def test_clips_and_nails(floor: FloorResult) -> None:
    assert count(floor, Item.BEARING_CLIP) == {"1000": 34}
    assert count(floor, Item.CLIP_ANGLE) == {"1000": 6}
    assert spots(floor, Item.PLY_CLIP) == spots(floor, Item.LAP_PLATE) == []
    assert line(floor, "steel_screw") == (246, 2)
    assert line(floor, "wood_screw") == (170, 1)
    assert line(floor, "bearing_nail") == (96, 1)
    assert line(floor, "strap_screw") == (29, 1)


def test_bridging(floor: FloorResult) -> None:
    (bridging,) = floor.lines
    assert inches(bridging.along_16) == 96.0
    assert len(bridging.runs) == 1
    assert lengths(floor, Item.STRAP) == [6.0, 6.0, 285.75]  # turned up at both rims
    blocks = [x for x, y in spots(floor, Item.SOLID_BLOCK) if y == 96.0]
    assert len(blocks) == 4 == len(placed(floor, Item.SOLID_BLOCK))
    assert (blocks[0], blocks[-1]) == (24.0, 264.0)
    assert all((x - 24) % 16 == 0 for x in blocks)
    assert all(b - a <= 96 for a, b in pairwise(blocks))


def test_ladder_blocks(floor: FloorResult) -> None:
    heights = sorted(y for _, y in spots(floor, Item.LADDER_BLOCK))
    assert heights == [50.75, 50.75, 96.0, 96.0, 141.25, 141.25]
    assert spots(floor, Item.WOOD_PACKER) == []


def test_rim(floor: FloorResult) -> None:
    assert lengths(floor, Item.RIM_BOARD) == [48.0, 48.0, 189.75, 189.75, 240.0, 240.0]
    assert count(floor, Item.RIM_STICK) == {"20": 4}


def test_sheathing(floor: FloorResult) -> None:
    assert sum(count(floor, Item.SHEATHING_CELL).values()) == 14
    assert panels(floor) == 12
    assert spots(floor, Item.SHEATHING_CLEAT) == []
    assert line(floor, "adhesive_tube") == (3685.5 * 16, 8)
    assert line(floor, "sheathing_nail") == (341 + 290, 1)
    assert spots(floor, Item.WEB_BACKING) == []
