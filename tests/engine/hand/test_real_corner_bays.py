"""An L of two bays that both bear at its inner corner on paper; 28'-0" x 12'-0", 16 in, 1000S162-97, all platform.

In inches: bay A x 0..192, y 0..144, joists along x; bay B x 192..336, y 0..96, joists along y. Wall V below the
border x 192, y 0..96, faces 190.25 and 193.75; above it, y 96..144, the outline.

A: stations y 16 ... 80 (5) end on V: butt, 1.5..191.8125 = 190.3125. 96 stands on the corner and belongs to what
lies away from the start: with 112 and 128 (3) it ends at the outline: 189. B from the border: x 208 ... 320 (8),
1.5..94.5 = 93. Members 5 x 190.3125 + 3 x 189 + 8 x 93 = 2262.5625.
R20: A 8 + 3, B 16: 27 bearing clips (135, 135). R21: A 8 + 5 + 3, B 16: 32 x 2 = 64. R23: the 5 butts stand alone.
R24: A 5.5..190.25 = 184.75: 1 line at x 97.875; B 5.5..90.5 = 85: none.
R25: y 24 ... 120, exactly 96: 2, 8 steel.
R26: A: y 0 (its part, to V's face) 92.375 twice: 3; y 144: 92.375 and 88.625: 3. B: x 336: 85: 1. 7 clip angles, 70
steel, 28 nails.
R27: 141.75 + 12 = 153.75; screws 8 + 2 x (2 + 2) = 16; 4 nails.
R28: y 0 is one edge of 336: parallel at x 0 (less 1.125), bearing at x 336 (through): 334.875 = 240 + 94.875. x
336: 93.75. y 96: 144 through, at the inner corner no more, for there two bearing edges meet; x 192 likewise 48. y
144: 189.75. x 0: 144. 954.375: 240 | 144 + 94.875 | 144 + 93.75 | 189.75 + 48: 4 of 20.
R30: A: 4 rows in x of 144: 96, 48 (48 kept); 48 from it, 96: 2 + 1 + 2 + 1 = 6, 8 cells. B: 2 rows of 144: 2 + 1,
4. 9, 12.
R31: steel 135 + 8 + 70 = 213 -> 223.65: 1; wood 135: 1; nails 64 + 28 + 4 = 96: 1; strap 16: 1.
"""

from __future__ import annotations

import pytest

from framing.engine.placement import Item
from framing.engine.result import FloorResult
from tests.engine.hand.floors_on_paper import designed, inches, lengths, panels, pieces, placed, spots
from tests.engine.hand.real_floors import bill, boxes, cells, rectangle


@pytest.fixture(scope="module")
def floor() -> FloorResult:
    corners = [(0, 0), (336, 0), (336, 96), (192, 96), (192, 144), (0, 144)]
    made = {"spacing": "16", "profile": "1000S162-97"}
    return designed(
        name="Corner bays",
        outline=[[str(x), str(y)] for x, y in corners],
        supports=[{"id": "V", "from": ["192", "0"], "to": ["192", "96"]}],
        bays=[
            {"id": "A", "direction": "x", "outline": rectangle(192, 144), **made},
            {"id": "B", "direction": "y", "outline": rectangle(144, 96, across=192), **made},
        ],
    )


def test_joists(floor: FloorResult) -> None:
    a, b = floor.bays
    ends = [
        [inches(v) for v in (p.y_16, p.x_16, q.x_16)] for p, q in (m.plan_ends(a.frame) for m in a.members)
    ]
    butts = [[16.0 * k, 1.5, 191.8125] for k in range(1, 6)]
    assert ends == butts + [[y, 1.5, 190.5] for y in (96.0, 112.0, 128.0)]
    ends = [
        [inches(v) for v in (p.x_16, p.y_16, q.y_16)] for p, q in (m.plan_ends(b.frame) for m in b.members)
    ]
    assert ends == [[192.0 + 16 * k, 1.5, 94.5] for k in range(1, 9)]
    assert pieces(floor) == {("1J01", 190.3125): 5, ("1J02", 189.0): 3, ("1J03", 93.0): 8}


def test_bridging(floor: FloorResult) -> None:
    assert [(entry.bay, inches(entry.along_16)) for entry in floor.lines] == [("A", 97.875)]
    assert spots(floor, Item.SOLID_BLOCK) == [(97.875, 24.0), (97.875, 120.0)]
    hosts = [t.host for t in placed(floor, Item.LADDER_BLOCK)]
    assert [hosts.count(f"edge:{i}") for i in (0, 4, 1)] == [3, 3, 1]


def test_boards_and_sheathing(floor: FloorResult) -> None:
    assert lengths(floor, Item.RIM_BOARD) == [48.0, 93.75, 94.875, 144.0, 144.0, 189.75, 240.0]
    assert (cells(floor), panels(floor)) == (12, 9)


def test_bill(floor: FloorResult) -> None:
    assert bill(floor) == {
        "1000S162-97": 2262.5625,
        "bearing_clip:1000": 27,
        "clip_angle:1000": 7,
        "solid_block:1000S162-97": 2,
        "ladder_block:1000S162-97": 7,
        "strap": 153.75,
        "rim_stick:20": 4,
        "sheathing_panel": 9,
        "steel_screw": 135 + 8 + 70,
        "wood_screw": 135,
        "bearing_nail": 64 + 28 + 4,
        "strap_screw": 8 + 8,
    }
    assert boxes(floor) == {"steel_screw": 1, "wood_screw": 1, "bearing_nail": 1, "strap_screw": 1}
