"""Lapped over a skewed inside wall on paper: 16'-0" x 20'-0", joists along y at 16 in, 1000S162-54, all platform.

In inches: x 0..192, y 0..240; wall W from (0, 100) to (192, 148): 1 in 4, 1 / cos a = 1.030776; faces 1.804 off its
centre.

R5: first line on 16 k, to 6 past the centre: 1.5..106 + 4 k = 104.5 + 4 k. Second line at 16 k + 1.625, where the
centre is 100.40625 + 4 k: from 94.40625 + 4 k to 238.5: 144.09375 - 4 k, down 144.0625 - 4 k. k = 1 ... 11: 1413.5
+ 1320.6875 = 2734.1875.
R20: 22 bearing clips (110, 110). R21: 4 x 11 x 2 = 88. R23: 11 plates, 110 steel.
R24: first span, largest at the last joist: 5.5..142.2: 1 line, y 73.8 (75.8 with the rim's figures); second,
largest at the first: 106.2..234.5: 1 line, y 170.3 (168.2).
R25: 24, 120, 168 and 1.625 higher: 6, 24 steel.
R26: first span: left 66 to 70 below the line: 1, line, under 31 above: 2; right 1 + 1 + 1. Second: left 1 + 1 + 1;
right under 25 below, line, 64 to 66 above: 2. 10: 100 steel, 40 nails.
R27: 2 x 201.75 = 403.5; screws 2 x (11 + 2 x (3 + 2)) = 42; 8 nails.
R28: 192 x 2, 237.75 x 2: 2 of 16, 2 of 20.
R30: 5 rows of 192, 2 panels each: 10, 12 cells.
R23 cleats: row 3 (96..144), joint 96: the first line's joist ends at 130: 1; row 4, joints 48 (118) and 144 (142):
2; row 5: 1. Row 2's joints lie on the first line. 4.
R31: steel 110 + 110 + 24 + 100 = 344 -> 361.2: 2; wood 110: 1; nails 88 + 40 + 8 = 136: 1; strap 42: 1.
"""

from __future__ import annotations

import pytest

from framing.engine.members import MemberKind
from framing.engine.placement import Item
from framing.engine.result import FloorResult
from tests.engine.hand.floors_on_paper import designed, inches, lengths, members, panels, spots
from tests.engine.hand.real_floors import bill, boxes, cells, rectangle


@pytest.fixture(scope="module")
def floor() -> FloorResult:
    return designed(
        name="Skew lap",
        outline=rectangle(192, 240),
        supports=[{"id": "W", "from": ["0", "100"], "to": ["192", "148"], "joint": "lap"}],
        bays=[{"id": "A", "direction": "y", "spacing": "16", "profile": "1000S162-54"}],
    )


def test_joists(floor: FloorResult) -> None:
    lines = [members(floor, MemberKind.JOIST, line) for line in (0, 1)]
    first, second = ([(inches(m.centre_16), inches(m.length_16)) for m in line] for line in lines)
    assert first == [(16.0 * k, 104.5 + 4 * k) for k in range(1, 12)]
    assert second == [(16 * k + 1.625, 144.0625 - 4 * k) for k in range(1, 12)]


def test_bridging(floor: FloorResult) -> None:
    low, high = (inches(line.along_16) for line in floor.lines)
    assert 73.75 <= low <= 75.9
    assert 168.1 <= high <= 170.4
    hosts = [(x < 96, y < 120) for x, y in spots(floor, Item.LADDER_BLOCK)]
    assert [hosts.count(where) for where in ((True, True), (False, True), (True, False), (False, False))] == [
        *(2, 3),
        *(3, 2),
    ]


def test_boards_and_sheathing(floor: FloorResult) -> None:
    assert lengths(floor, Item.RIM_BOARD) == [192.0, 192.0, 237.75, 237.75]
    assert (cells(floor), panels(floor)) == (12, 10)


def test_bill(floor: FloorResult) -> None:
    assert bill(floor) == {
        "1000S162-54": 2734.1875,
        "bearing_clip:1000": 22,
        "clip_angle:1000": 10,
        "lap_plate:1000": 11,
        "solid_block:1000S162-54": 6,
        "ladder_block:1000S162-54": 10,
        "strap": 403.5,
        "rim_stick:16": 2,
        "rim_stick:20": 2,
        "sheathing_panel": 10,
        "sheathing_cleat": 4,
        "steel_screw": 110 + 110 + 24 + 100,
        "wood_screw": 110,
        "bearing_nail": 88 + 40 + 8,
        "strap_screw": 42,
    }
    assert boxes(floor) == {"steel_screw": 2, "wood_screw": 1, "bearing_nail": 1, "strap_screw": 1}
