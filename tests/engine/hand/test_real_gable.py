"""Three corners, and two skewed lines at once, on paper; joists along y at 16 in, 1000S162-54, all platform.

Gable: (0, 0), (240, 0), (240, 180): the long side rises 3 in 4, 1 / cos a = 5 / 4 (36.9 degrees).
R4 there: 1.125 x 5 / 4 + 0.8125 x 3 / 4 = 2.015625. Length 12 k - 1.5 - 2.015625, down: 12 k - 3.5625. k = 1: 8.4,
under 12, and its clear span 12 - 5.5 - 6.875 is negative: not set, a warning. k = 2 ... 14 (clear 11.6 and more):
13, 20.4375 to 164.4375: 12 x 104 - 13 x 3.5625 = 1201.6875.
R20: 26 bearing clips (130, 130). R21: 52.
R24: largest clear 168 - 5.5 - 6.875 = 155.625 at the last joist (167.6 at the rim): 1 line, y 83.3 to 89.3. The
joist at 112 ends at 81.98, the one at 128 at 93.98: 7 joists. The run begins at x = (y + 1.125 x 5 / 4) / 0.75.
R25: middles 136 ... 216, 80: 136, 216: 2, 8 steel.
R26: rim at 240: 77.8 (83.8) below, the same or 89.8 above: 1 + 1 + 1 = 3: 30 steel, 12 nails. R27: screws 7 + 2 x
(2 + 1) = 13; 4 nails.
R28: (0, 0) joins two bearing edges: 240 and 300 = 240 + 60 run their full length; the side 180 - 2.25 = 177.75.
240, 240, 177.75 + 60 = 237.75: 3 of 20.
R30: row 1, 0..240: 96, 96, 48. Row 2 from 64: 48 (to station 112, 36 deep), 96, 32. Row 3 from 128: 96 would leave
16: cut at 208: 80, 32. Row 4 from 192: 48, one piece. 9 cells. Panels: 3 (48 kept); 48 from it, 96, 32 (64 kept):
2; 80 new, 32 from the 64 (32 kept): 1; 48 new: 1: 7.
R31: steel 130 + 8 + 30 = 168; wood 130; nails 52 + 12 + 4 = 68; strap 13: a box each.

Lean: (0, 70), (168, 0), (168, 238), (0, 238): the low wall falls 5 in 12, 1 / cos a = 13 / 12 (22.6 degrees); wall
W from (0, 150) to (168, 80) beside it, joint through.
R3: 16 ... 160 (6.875 off the rim's face): 10. R4 below: 1.125 x 13 / 12 + 0.8125 x 5 / 12 = 1.557292, over 1 1/2.
Length 238 - 70 + 20 k / 3 - 3.057292 = 164.942708 + 6.666667 k, down: 171.5625 (.609), 178.25, 184.9375, 191.5625,
198.25, 204.9375, 211.5625, 218.25, 224.9375, 231.5625. Sum 2015.8125; one piece over W each.
R20: 20 clips (100, 100). R21: 3 plates x 20 = 60.
R24: first span 80 - 5.5 x 13 / 12 - 1.75 x 13 / 12 = 72.1: none. Second, largest at the last joist: from 150 -
66.667 + 1.896 = 85.23 to 232.5: 147.3: 1 line, y 158.9 (157.2 with the rim's figures).
R25: 24 ... 152: 128: 24, 120, 152: 3, 12 steel.
R26: each side 1 in the first span (72.1); second: left, line, under 15 below it, 73.6 to 75.3 above: 1: 2; right 1
+ line + 1 = 3. 3 + 4 = 7: 70 steel, 28 nails.
R27: 165.75 + 12 = 177.75; screws 10 + 2 x (3 + 2) = 20; 4 nails.
R28: low edge (5, 12, 13) 182 and top 168 whole; sides 168 - 2.25 = 165.75, 238 - 2.25 = 235.75. No two in 240: 192
x 3 and 240.
R30: row 1 (0..48) from x = 22 x 12 / 5 = 52.8: 96 would reach 144 and leave 24: cut at 128: 75.2, 40. Row 2
(48..96), all: 48, to 144 leaves 24: cut at 128: 80, 40. Row 3: 96, 72. Row 4 as 2, row 5 (46 deep) as 3. 12 cells.
Panels: 2 (56 kept); 48 from it, 80, 40 (56 kept): 2; 2; 2; 2: 10.
R31: steel 100 + 12 + 70 = 182; wood 100; nails 60 + 28 + 4 = 92; strap 20: a box each.
"""

from __future__ import annotations

import pytest

from framing.engine.members import MemberKind
from framing.engine.placement import Item
from framing.engine.result import FloorResult
from tests.engine.hand.floors_on_paper import designed, inches, lengths, members, panels, spots
from tests.engine.hand.real_floors import bill, boxes, cells

ONE_BOX = {"steel_screw": 1, "wood_screw": 1, "bearing_nail": 1, "strap_screw": 1}
LEAN = [171.5625, 178.25, 184.9375, 191.5625, 198.25, 204.9375, 211.5625, 218.25, 224.9375, 231.5625]
BAY = {"id": "A", "direction": "y", "spacing": "16", "profile": "1000S162-54"}


@pytest.fixture(scope="module")
def gable() -> FloorResult:
    return designed(name="Gable", outline=[["0", "0"], ["240", "0"], ["240", "180"]], bays=[BAY])


@pytest.fixture(scope="module")
def lean() -> FloorResult:
    return designed(
        name="Lean",
        outline=[["0", "70"], ["168", "0"], ["168", "238"], ["0", "238"]],
        supports=[{"id": "W", "from": ["0", "150"], "to": ["168", "80"], "joint": "through"}],
        bays=[BAY],
    )


def test_gable_joists(gable: FloorResult) -> None:
    joists = members(gable, MemberKind.JOIST)
    assert [(inches(m.centre_16), inches(m.length_16)) for m in joists] == [
        (16.0 * k, 12 * k - 3.5625) for k in range(2, 15)
    ]


def test_gable_tells_of_the_piece_it_leaves_out(gable: FloorResult) -> None:
    (told,) = [w for w in gable.warnings if "8 7/16" in w.message]
    assert (told.x_16, told.y_16 is not None) == (16 * 16, True)


def test_gable_bridging(gable: FloorResult) -> None:
    (line,) = gable.lines
    y = inches(line.along_16)
    assert 83.25 <= y <= 89.35
    assert [x for x, _ in spots(gable, Item.SOLID_BLOCK)] == [136.0, 216.0]
    strap = lengths(gable, Item.STRAP)
    assert strap[:2] == [6.0, 6.0]
    assert strap[2:] == pytest.approx([238.875 - (y + 1.125 * 5 / 4) / 0.75], abs=1 / 16)


def test_gable_boards(gable: FloorResult) -> None:
    assert lengths(gable, Item.RIM_BOARD) == [60.0, 177.75, 240.0, 240.0]
    assert (cells(gable), panels(gable)) == (9, 7)


def test_gable_bill(gable: FloorResult) -> None:
    found = bill(gable)
    del found["strap"]  # judged above: its length follows the line's place
    assert found == {
        "1000S162-54": 1201.6875,
        "bearing_clip:1000": 26,
        "clip_angle:1000": 3,
        "solid_block:1000S162-54": 2,
        "ladder_block:1000S162-54": 3,
        "rim_stick:20": 3,
        "sheathing_panel": 7,
        "steel_screw": 130 + 8 + 30,
        "wood_screw": 130,
        "bearing_nail": 52 + 12 + 4,
        "strap_screw": 7 + 6,
    }
    assert boxes(gable) == ONE_BOX


def test_lean_joists(lean: FloorResult) -> None:
    joists = members(lean, MemberKind.JOIST)
    assert [inches(m.centre_16) for m in joists] == [16.0 * k for k in range(1, 11)]
    assert [inches(m.length_16) for m in joists] == LEAN
    assert {tuple(c.support for c in m.crossings) for m in joists} == {("W",)}
    for m in joists:
        (wall,) = m.crossings
        centre = 150 - 5 / 12 * inches(m.centre_16)
        assert inches(wall.centre_16) == pytest.approx(centre, abs=1 / 16)
        faces = [inches(wall.low_face_16), inches(wall.high_face_16)]
        assert faces == pytest.approx([centre - 1.75 * 13 / 12, centre + 1.75 * 13 / 12], abs=1 / 16)
        # both ends keep off the rims: the skewed one with the flange's near corner
        corner = 70 - 5 / 12 * (inches(m.centre_16) - 0.8125) + 1.125 * 13 / 12
        assert corner <= inches(m.low_16) + 1 / 32
        assert inches(m.high_16) <= 236.5 + 1 / 32


def test_lean_bridging(lean: FloorResult) -> None:
    (line,) = lean.lines
    assert 157.1 <= inches(line.along_16) <= 158.95
    assert [x for x, _ in spots(lean, Item.SOLID_BLOCK)] == [24.0, 120.0, 152.0]
    left = [x < 84 for x, _ in spots(lean, Item.LADDER_BLOCK)]
    assert (left.count(True), left.count(False)) == (3, 4)


def test_lean_boards(lean: FloorResult) -> None:
    assert lengths(lean, Item.RIM_BOARD) == [165.75, 168.0, 182.0, 235.75]
    assert (cells(lean), panels(lean)) == (12, 10)


def test_lean_bill(lean: FloorResult) -> None:
    assert sum(LEAN) == 2015.8125
    assert bill(lean) == {
        "1000S162-54": 2015.8125,
        "bearing_clip:1000": 20,
        "clip_angle:1000": 7,
        "solid_block:1000S162-54": 3,
        "ladder_block:1000S162-54": 7,
        "strap": 177.75,
        "rim_stick:16": 3,
        "rim_stick:20": 1,
        "sheathing_panel": 10,
        "steel_screw": 100 + 12 + 70,
        "wood_screw": 100,
        "bearing_nail": 60 + 28 + 4,
        "strap_screw": 10 + 10,
    }
    assert boxes(lean) == ONE_BOX
