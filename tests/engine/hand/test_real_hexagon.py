"""Six bearing edges and no parallel one on paper: a hexagon 24'-0" x 12'-0", joists along y at 16 in, 1000S162-54.

In inches: (0, 72), (96, 0), (192, 0), (288, 72), (192, 144), (96, 144): four edges of 3 in 4, 1 / cos a = 5 / 4.

R3 from x 0, the outermost corner. R4: 2.015625 at a skewed edge: 24 k - 4.03125, down 24 k - 4.0625, for k = 1 ... 5
(19.9375, clear 24 - 13.75, to 115.9375); 96 belongs to what lies away from the start: 96 ... 176 are 144 - 3 = 141 (6);
192 likewise to the skewed part: 139.9375; 208 ... 272: 115.9375 to 19.9375. 17 joists, 339.6875 + 846 + 479.625 =
1665.3125.
R20: 34 bearing clips (170, 170). R21: 68.
R24: 133 clear at most: 1 line, y 72, from point to point: the rims' inside faces meet the line at x 1.125 x 5 / 3 =
1.875 and 286.125.
R25: all 17 cross it: middles 24 ... 264: 240, three steps: 24, 120, 216, 264: 4, 16 steel. R26: no parallel rim: none.
R27: 284.25 + 12 = 296.25; screws 17 + 2 x 4 = 25; 4 nails.
R28: every corner joins bearing edges: 120 x 4 and 96 x 2 run full: 120 + 120 twice in 240, 96 + 96 in 192.
R30: row 1 (0..48) from x 32 to 256: 96, 96, 32; under the last piece the floor is 48 - 24 = 24 deep: a strip. Row 2
(48..96), 0..288: 48, 96, 96, 48. Row 3 as row 1, its strip is the other half of that panel. 10 cells. 2 + 1, 48 new
(48 kept) + 2 + the kept 48, 2: 8 panels.
R31: steel 170 + 16 = 186 -> 195.3: 1; wood 170 -> 178.5: 1; nails 68 + 4 = 72: 1; strap 25: 1.
"""

from __future__ import annotations

import pytest

from framing.engine.members import MemberKind
from framing.engine.placement import Item
from framing.engine.result import FloorResult
from tests.engine.hand.floors_on_paper import designed, inches, lengths, members, panels, spots
from tests.engine.hand.real_floors import bill, boxes, cells

RISING = [24 * k - 4.0625 for k in range(1, 6)]


@pytest.fixture(scope="module")
def floor() -> FloorResult:
    corners = [(0, 72), (96, 0), (192, 0), (288, 72), (192, 144), (96, 144)]
    return designed(
        name="Hexagon",
        outline=[[str(x), str(y)] for x, y in corners],
        bays=[{"id": "A", "direction": "y", "spacing": "16", "profile": "1000S162-54"}],
    )


def test_joists(floor: FloorResult) -> None:
    joists = members(floor, MemberKind.JOIST)
    assert [inches(m.centre_16) for m in joists] == [16.0 * k for k in range(1, 18)]
    assert [inches(m.length_16) for m in joists] == [*RISING, *[141.0] * 6, 139.9375, *RISING[::-1]]


def test_bridging(floor: FloorResult) -> None:
    (line,) = floor.lines
    assert inches(line.along_16) == 72.0
    assert [x for x, _ in spots(floor, Item.SOLID_BLOCK)] == [24.0, 120.0, 216.0, 264.0]
    assert spots(floor, Item.LADDER_BLOCK) == []
    assert lengths(floor, Item.STRAP) == [6.0, 6.0, 284.25]


def test_boards_and_sheathing(floor: FloorResult) -> None:
    assert lengths(floor, Item.RIM_BOARD) == [96.0, 96.0, 120.0, 120.0, 120.0, 120.0]
    assert (cells(floor), panels(floor)) == (10, 8)


def test_bill(floor: FloorResult) -> None:
    assert bill(floor) == {
        "1000S162-54": 1665.3125,
        "bearing_clip:1000": 34,
        "solid_block:1000S162-54": 4,
        "strap": 296.25,
        "rim_stick:16": 1,
        "rim_stick:20": 2,
        "sheathing_panel": 8,
        "steel_screw": 170 + 16,
        "wood_screw": 170,
        "bearing_nail": 68 + 4,
        "strap_screw": 17 + 8,
    }
    assert boxes(floor) == {"steel_screw": 1, "wood_screw": 1, "bearing_nail": 1, "strap_screw": 1}
