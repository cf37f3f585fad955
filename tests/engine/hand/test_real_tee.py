"""A T on paper: bar 28'-0" x 11'-0", stem 12'-0" wide and 5'-0" deep, joists along y at 16 in, 1000S162-54.

In inches: bar x 0..336, y 60..192; stem x 100..244, y 0..60. All bearing edges platform.

R3: stations 16 ... 320 (336 is the outline, 16 left). 16 ... 96 lie in the left wing (6), 112 ... 240 in the
stem's reach (9), 256 ... 320 in the right wing (5): 20. Left step: rim face 101.125; 112 is 10.875 from it.
Right step: face 244 - 1.125 = 242.875; 240 is 2.875 away, under 3, and the floor goes on: to 239.875.
R4: stem's reach 192 - 3 = 189, from 1.5; wings 132 - 3 = 129, from 61.5. 9 and 11 pieces.
Members 9 x 189 + 11 x 129 = 3120. R11: wings first: 1J01 129 (11), 1J02 189 (9).
R20: 20 x 2 = 40 bearing clips; n = 5: 200 steel, 200 wood. R21: 40 x 2 = 80 nails.
R24: clear 192 - 11 = 181: 1 line, y = 5.5 + 90.5 = 96, straight through both wings: one run.
R25: middles 24, 40, ... 216; 224|239.875: 231.94; 239.875|256: 247.94; 264 ... 312. 24 to 312 = 288 = 3 x 96
exactly: 24, 120, 216, 312: 4 blocks, 16 screws.
R26: wings' sides: faces 65.5 and 186.5, line 96: gaps 30.5 (none), 90.5 (1): 2 each. Stem's sides, from face
5.5 to the re-entrant corner at 60: 54.5: 1 each, y 32.75. Left step's clear space 101.125..111.1875 =
10.06: block; right step's 240.6875..242.875 = 2.19: packer. 2 + 2 + 1 = 5 blocks: 5 clip angles, 50 steel,
20 nails; 1 packer, 4 nails.
R27: 333.75 + 12 = 345.75; screws 20 plies + 2 x (4 solid + 2 ladder) = 32; 4 nails.
R28: y 0: 144 through. Stem's sides 60 - 1.125 = 58.875 each. y 60: 92 + 1.125 = 93.125 and 100 + 1.125 =
101.125. Bar's sides 132 - 2.25 = 129.75 each. y 192: 336 = 240 + 96. Sum 1051.5; in 1056 only 4.5 would be
waste, but a stick with a 129.75 wastes 3.375 at least (with 58.875 in a 192), two of them 6.75. So 1104: 240 |
144 + 93.125 | 101.125 + 58.875 + 58.875 | 96 + 129.75 in 240 each, 129.75 in 144: 4 of 20, 1 of 12.
R30: row 1 (y 0..48), x 100..244: within 96 of 100 the last station is 192: 92 + 52. Row 2 (48..96), all of x
0..336 (wings 36 in deep under it): 48 + 96 + 96 + 96. Row 3: 96 x 3 + 48. Row 4: 48 + 96 x 3. 14 cells.
Panels: row 1: 2 (44 kept); row 2: half from a new one (48 kept), 3: 4; row 3: 3, the 48 from the kept 48;
row 4: 4. 13.
R31: steel 200 + 16 + 50 = 266 -> 279.3: 2 boxes; wood 200 -> 210: 1; nails 80 + 24 + 4 = 108: 1; strap 32: 1.
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
    spots,
)
from tests.engine.hand.real_floors import bill, boxes, cells

STEM = [*(16.0 * k for k in range(7, 15)), 239.875]


@pytest.fixture(scope="module")
def floor() -> FloorResult:
    corners = [(100, 0), (244, 0), (244, 60), (336, 60), (336, 192), (0, 192), (0, 60), (100, 60)]
    return designed(
        name="T",
        outline=[[str(x), str(y)] for x, y in corners],
        bays=[{"id": "A", "direction": "y", "spacing": "16", "profile": "1000S162-54"}],
    )


def test_joists(floor: FloorResult) -> None:
    joists = members(floor, MemberKind.JOIST)
    left = [(16.0 * k, 61.5, 190.5) for k in range(1, 7)]
    right = [(16.0 * k, 61.5, 190.5) for k in range(16, 21)]
    assert cut(joists) == left + [(x, 1.5, 190.5) for x in STEM] + right
    assert len(floor.members) == 20
    assert [m.sequence for m in joists] == list(range(1, 21))
    assert pieces(floor) == {("1J01", 129.0): 11, ("1J02", 189.0): 9}


def test_bridging_and_ladder_blocks(floor: FloorResult) -> None:
    (bridging,) = floor.lines
    assert inches(bridging.along_16) == 96.0
    assert spots(floor, Item.SOLID_BLOCK) == [(24.0, 96.0), (120.0, 96.0), (216.0, 96.0), (312.0, 96.0)]
    assert sorted(y for _, y in spots(floor, Item.LADDER_BLOCK)) == [32.75, 96.0, 96.0, 141.25, 141.25]
    ((x, y),) = spots(floor, Item.WOOD_PACKER)
    assert y == 32.75
    assert 240.6875 <= x <= 244.0
    assert lengths(floor, Item.STRAP) == [6.0, 6.0, 333.75]


def test_rim_and_sheathing(floor: FloorResult) -> None:
    boards = [58.875, 58.875, 93.125, 96.0, 101.125, 129.75, 129.75, 144.0, 240.0]
    assert lengths(floor, Item.RIM_BOARD) == boards
    assert (cells(floor), panels(floor)) == (14, 13)


def test_bill(floor: FloorResult) -> None:
    assert bill(floor) == {
        "1000S162-54": 3120.0,
        "bearing_clip:1000": 40,
        "clip_angle:1000": 5,
        "solid_block:1000S162-54": 4,
        "ladder_block:1000S162-54": 5,
        "wood_packer": 1,
        "strap": 345.75,
        "rim_stick:12": 1,
        "rim_stick:20": 4,
        "sheathing_panel": 13,
        "steel_screw": 200 + 16 + 50,
        "wood_screw": 200,
        "bearing_nail": 80 + 24 + 4,
        "strap_screw": 20 + 12,
    }
    assert boxes(floor) == {"steel_screw": 2, "wood_screw": 1, "bearing_nail": 1, "strap_screw": 1}
