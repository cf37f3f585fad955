"""A stair under a skewed wall on paper: 20 ft wide, joists along y at 16 in, 1000S162-54, all platform.

In inches: (0, 0), (240, 0), (240, 170), (0, 100): the top wall rises 7 in 24, 1 / cos a = 25 / 24 (16.3 degrees).
Stair 30 x 48 at x 130..160, y 40..88, its frame of two plies (fixed).

R4 at the top: one ply 1.171875 + 0.8125 x 7 / 24 = 1.4089: R4's 1 1/2 rules; two plies 1.171875 + 1.625 x 7 / 24 =
1.645833 rule. Joists 97 + 4.66667 k, down: 101.625, 106.3125, 111, 115.625, 120.3125, 125, 129.625 (16 ... 112),
148.3125, 153, 157.625, 162.3125 (176 ... 224).
R7: trimmers 125.625..128.875 (127.25) and 161.125..164.375 (162.75): 128 stands within and goes; 144 and 160 are
tails. Trimmers: 100 + 7 x 127.25 / 24 - 3.145833 = 133.96875, down 133.9375; 144.3229, down 144.3125. Headers 31.5
from 129.25, y 35.625..38.875 (37.25) and 89.125..92.375 (90.75). Tails: 1.5..35.25 = 33.75 twice; from 92.75: 142 -
94.25 = 47.75, 146.6667 - 94.25, down 52.375. Members 1430.75 + 167.625 + 2 x 278.25 + 4 x 31.5 = 2280.875.
R20: (11 + 2 + 4) x 2 = 34 bearing clips (170, 170). Clip angles: headers 8, tails 4, ladder blocks 5: 17, 170
steel.
R21: 68.
R22: trimmers: 115.94: 5 spaces, 6 clips (33.6875 is 3.56 off 37.25); 126.3: 6 spaces, 7 clips (94.7 is 3.96 off
90.75). Headers 2 each. 17, 68 steel.
R24: 154.1 clear at the last joist (158.8 at the rim): 1 line, y 82.5 to 84.9, between the headers: two runs.
R25: low run: 24, 119.21875 (112|trimmer): 95.2: 2. High run: trimmer|176, 164.375..175.1875: 169.78; 216: 2. 4, 16
steel.
R26: left: 77 to 79.4 below: 1, line, under 17 above: 2. Right: 3. 5; 20 nails.
R27: 127.75 + 6, 77.75 + 6: 217.5; screws 7 + 2, 2 + 4, 2 x (4 + 2): 27; 4 nails.
R28: y 0 240; sides 167.75 and 97.75; skewed sqrt(240^2 + 70^2) = 250 = 218 + 32; inner 50.25 x 2, 30 x 2. 916: 960:
240 | 218 | 167.75 + 50.25 | 97.75 + 50.25 + 32 + 30 + 30 = 240 exactly: 4 of 20.
R29: 48 + 48 | 30 + 30: 1 sheet.
R30: row 3 (96..144), all of 0..240, 32 deep at the end of its first panel. Row 4 from x = 44 x 24 / 7 = 150.9:
89.1: one piece, 26 deep. Rows 3, 2, 3 panels and 1: 9, 10 cells.
R31: steel 170 + 170 + 68 + 16 = 424 -> 445.2: 2; wood 170: 1; nails 68 + 20 + 4 = 92: 1; strap 27: 1.
"""

from __future__ import annotations

import pytest

from framing.engine.members import MemberKind
from framing.engine.placement import Item
from framing.engine.result import FloorResult
from tests.engine.hand.floors_on_paper import designed, inches, lengths, members, panels, spots
from tests.engine.hand.real_floors import bill, boxes, cells

LOW = [101.625, 106.3125, 111.0, 115.625, 120.3125, 125.0, 129.625]
HIGH = [148.3125, 153.0, 157.625, 162.3125]


@pytest.fixture(scope="module")
def floor() -> FloorResult:
    parts = ("trimmer_low", "trimmer_high", "header_low", "header_high")
    return designed(
        name="Skew stair",
        outline=[["0", "0"], ["240", "0"], ["240", "170"], ["0", "100"]],
        openings=[{"id": "S", "kind": "stair", "corner": ["130", "40"], "size": ["30", "48"]}],
        bays=[{"id": "A", "direction": "y", "spacing": "16", "profile": "1000S162-54"}],
        overrides={"plies": [{"of": "S", "part": part, "plies": 2} for part in parts]},
    )


def test_members(floor: FloorResult) -> None:
    found = [(inches(m.centre_16), inches(m.length_16)) for m in members(floor, MemberKind.JOIST)]
    tails = [(144.0, 33.75), (144.0, 47.75), (160.0, 33.75), (160.0, 52.375)]
    low = [(16.0 * k, length) for k, length in enumerate(LOW, 1)]
    assert found == low + tails + [(16.0 * k, length) for k, length in enumerate(HIGH, 11)]
    trimmers = [(inches(m.centre_16), inches(m.length_16)) for m in members(floor, MemberKind.TRIMMER)]
    assert trimmers == [(127.25, 133.9375), (162.75, 144.3125)]
    headers = [(inches(m.centre_16), inches(m.length_16)) for m in members(floor, MemberKind.HEADER)]
    assert headers == [(37.25, 31.5), (90.75, 31.5)]


def test_bridging(floor: FloorResult) -> None:
    (line,) = floor.lines
    assert 82.5 <= inches(line.along_16) <= 84.95
    assert len(line.runs) == 2
    blocks = [x for x, _ in spots(floor, Item.SOLID_BLOCK)]
    assert blocks == pytest.approx([24.0, 119.21875, 169.78125, 216.0], abs=1 / 32)


def test_boards_and_sheathing(floor: FloorResult) -> None:
    boards = [30.0, 30.0, 32.0, 50.25, 50.25, 97.75, 167.75, 218.0, 240.0]
    assert lengths(floor, Item.RIM_BOARD) == boards
    assert lengths(floor, Item.WEB_BACKING) == [30.0, 30.0, 48.0, 48.0]
    assert (cells(floor), panels(floor)) == (10, 9)


def test_bill(floor: FloorResult) -> None:
    assert sum(LOW + HIGH) == 1430.75
    assert bill(floor) == {
        "1000S162-54": 2280.875,
        "bearing_clip:1000": 34,
        "clip_angle:1000": 17,
        "ply_clip:1000": 17,
        "solid_block:1000S162-54": 4,
        "ladder_block:1000S162-54": 5,
        "strap": 217.5,
        "rim_stick:20": 4,
        "backing_sheet": 1,
        "sheathing_panel": 9,
        "steel_screw": 170 + 170 + 68 + 16,
        "wood_screw": 170,
        "bearing_nail": 68 + 20 + 4,
        "strap_screw": 15 + 12,
    }
    assert boxes(floor) == {"steel_screw": 2, "wood_screw": 1, "bearing_nail": 1, "strap_screw": 1}
