"""Two floors with one skewed wall on paper, joists along y at 16 in, 1000S162-54, flange 1.625, all platform.

Nine degrees: x 0..240, top wall from (0, 106) to (240, 144): tan a = 38 / 240 = 0.158333, a = 9.0 degrees.
1 / cos a = 1.012457. Stations 16 ... 224: 14.
R4: 1.125 x 1.012457 + 0.8125 x 0.158333 = 1.2677 is under 1 1/2: 1 1/2 rules. Lengths 106 + 38 x / 240 - 3 =
103 + 2.53333 k, down to 1/16: 105.5, 108.0625, 110.5625, 113.125, 115.625, 118.1875, 120.6875, 123.25, 125.75,
128.3125, 130.8125, 133.375, 135.875, 138.4375: 14 marks. Sum 1707.5625.
R20: 28 bearing clips (140 steel, 140 wood). R21: 56 nails.
R24: faces 5.5 and 5.5 x 1.012457 = 5.5685 under the outline. Largest clear span 130.4 at the last joist (132.9
at the rim): 1 line, between y 70.7 and 72.
R25: middles 24 ... 216, 192 = 2 x 96: 24, 120, 216: 3, 12 steel.
R26: left rim: 5.5 to the line 65.2 or more: 1 between; line to the face (100.4 at the rim) under 32: none. Right
rim: 65 and 66.5 or a little more: 1 and 1. 2 + 3 = 5 clip angles: 50 steel, 20 nails.
R27: 237.75 + 12 = 249.75; screws 14 + 2 x (3 + 2) = 24; 4 nails.
R28: y 0: 240 through. Sides 144 - 2.25 = 141.75, 106 - 2.25 = 103.75. Skewed: sqrt(240^2 + 38^2) = 242.990, up
to 243: the rest would be 3, so 211 + 32. 240 and 211 take a 20 ft stick each (29 left). 141.75 + 103.75 + 32 =
277.5: 288 at least: 141.75 | 103.75 + 32 in two 144. 2 of 20, 2 of 12.
R30: 3 rows of 240. Row 1: 96, 96, 48: 3 panels (48 kept). Row 2: 48 from it, 96, 96: 2. Row 3 (y 96..144) has
floor on all of 0..240; under its first panel at most 106 + 15.2 - 96 = 25.2 deep, over 24: 3 whole ones. 8, 9
cells.
R31: steel 140 + 12 + 50 = 202 -> 212.1: 1; wood 140: 1; nails 56 + 20 + 4 = 80: 1; strap 24: 1.

Thirty degrees: x 0..224, top wall from (0, 48) to (224, 180): tan a = 132 / 224 = 33 / 56, a = 30.5 degrees,
1 / cos a = 65 / 56 (33, 56, 65). Stations 16 ... 208: 13.
R4 at the top: 1.125 x 65 / 56 + 0.8125 x 33 / 56 = 99.9375 / 56 = 1.7846, over 1 1/2. Lengths 48 + 33 x / 56 -
1.5 - 1.7846 = 44.7154 + 9.42857 k, down to 1/16: 54.125, 63.5625, 73 (73.0011), 82.375, 91.8125, 101.25,
110.6875, 120.125, 129.5625, 139 (139.0011), 148.375, 157.8125, 167.25. Sum 1438.9375.
R20: 26 clips (130, 130). R21: 52.
R24: face 5.5 x 65 / 56 = 6.384 under the outline. Largest clear span 158.7 at the last joist (168.1 at the rim):
1 line, between y 84.8 and 89.6. There the joist at 64 has ended (83.9), the one at 80 has not (93.3): 9 joists,
80 ... 208. The run begins at the skewed rim's inside face on the line: x = (y - 48 + 1.125 x 65 / 56) / (33 / 56).
R25: middles 88, 104, ... 200: 112, two steps: 88, 184, 200: 3, 12 steel.
R26: left rim: 5.5 to 41.6 (51.0 at the first joist): under 48, no line: none. Right rim: 79 to 84 below the line,
84 to 89 above: 1 + 1 + 1 = 3: 3 clip angles, 30 steel, 12 nails.
R27: from that face to 222.875, + 12; screws 9 + 2 x (3 + 1) = 17; 4 nails.
R28: y 0: 224 through; sides 180 - 2.25 = 177.75, 48 - 2.25 = 45.75; skewed 260 = 240 + 20, the rest under 32: 228
+ 32. 224 (16 left) and 228 (12) take a 240 each; 177.75 + 45.75 + 32 = 255.5: 288 would be 144 + 144, too short
for 177.75; 336 = 177.75 in 192, 45.75 + 32 in 144. 2 of 20, 1 of 16, 1 of 12.
R30: row 1, 0..224: 96, 96, 32 (two spaces). Row 2 (48..96) from x 0: 48 (28.3 deep at its end), 96, 80. Row 3
(96..144) from x = 48 x 56 / 33 = 81.45: within 96 the last station is 176: 94.55, then 48. Row 4 (144..180) from
162.9: 61.1, one piece, 36 deep. 9 cells. Panels: 3 (64 kept); 48 from it, 2 new; 94.55 and 48 new (48 kept); 61.1
new: 3 + 2 + 2 + 1 = 8.
R31: steel 130 + 12 + 30 = 172 -> 180.6: 1; wood 1; nails 52 + 12 + 4 = 68: 1; strap 17: 1.
"""

from __future__ import annotations

import pytest

from framing.engine.members import MemberKind
from framing.engine.placement import Item
from framing.engine.result import FloorResult
from tests.engine.hand.floors_on_paper import (
    count,
    designed,
    inches,
    lengths,
    members,
    panels,
    pieces,
    spots,
)
from tests.engine.hand.real_floors import bill, boxes, cells

NINE = [
    *(105.5, 108.0625, 110.5625, 113.125, 115.625, 118.1875, 120.6875),
    *(123.25, 125.75, 128.3125, 130.8125, 133.375, 135.875, 138.4375),
]
THIRTY = [
    *(54.125, 63.5625, 73.0, 82.375, 91.8125, 101.25, 110.6875),
    *(120.125, 129.5625, 139.0, 148.375, 157.8125, 167.25),
]


def trapezoid(width: int, low: int, high: int) -> FloorResult:
    return designed(
        name="Trapezoid",
        outline=[["0", "0"], [str(width), "0"], [str(width), str(high)], ["0", str(low)]],
        bays=[{"id": "A", "direction": "y", "spacing": "16", "profile": "1000S162-54"}],
    )


@pytest.fixture(scope="module")
def nine() -> FloorResult:
    return trapezoid(240, 106, 144)


@pytest.fixture(scope="module")
def thirty() -> FloorResult:
    return trapezoid(224, 48, 180)


def test_nine_degrees_joists(nine: FloorResult) -> None:
    joists = members(nine, MemberKind.JOIST)
    assert [inches(m.centre_16) for m in joists] == [16.0 * k for k in range(1, 15)]
    assert [inches(m.length_16) for m in joists] == NINE
    assert {inches(m.low_16) for m in joists} == {1.5}
    assert pieces(nine) == {(f"1J{k + 1:02}", length): 1 for k, length in enumerate(NINE)}
    assert len(nine.members) == 14


def test_nine_degrees_bridging(nine: FloorResult) -> None:
    (line,) = nine.lines
    assert 70.6 <= inches(line.along_16) <= 72
    assert [x for x, _ in spots(nine, Item.SOLID_BLOCK)] == [24.0, 120.0, 216.0]
    at_rims = [x < 120 for x, _ in spots(nine, Item.LADDER_BLOCK)]
    assert (at_rims.count(True), at_rims.count(False)) == (2, 3)


def test_nine_degrees_boards(nine: FloorResult) -> None:
    assert lengths(nine, Item.RIM_BOARD) == [32.0, 103.75, 141.75, 211.0, 240.0]
    assert (cells(nine), panels(nine)) == (9, 8)


def test_nine_degrees_bill(nine: FloorResult) -> None:
    assert sum(NINE) == 1707.5625
    assert bill(nine) == {
        "1000S162-54": 1707.5625,
        "bearing_clip:1000": 28,
        "clip_angle:1000": 5,
        "solid_block:1000S162-54": 3,
        "ladder_block:1000S162-54": 5,
        "strap": 249.75,
        "rim_stick:12": 2,
        "rim_stick:20": 2,
        "sheathing_panel": 8,
        "steel_screw": 140 + 12 + 50,
        "wood_screw": 140,
        "bearing_nail": 56 + 20 + 4,
        "strap_screw": 14 + 10,
    }
    assert boxes(nine) == {"steel_screw": 1, "wood_screw": 1, "bearing_nail": 1, "strap_screw": 1}


def test_thirty_degrees_joists(thirty: FloorResult) -> None:
    joists = members(thirty, MemberKind.JOIST)
    assert [inches(m.centre_16) for m in joists] == [16.0 * k for k in range(1, 14)]
    assert [inches(m.length_16) for m in joists] == THIRTY
    assert pieces(thirty) == {(f"1J{k + 1:02}", length): 1 for k, length in enumerate(THIRTY)}
    # the flange's far corner keeps off the skewed rim's inside face
    for m in joists:
        corner = 48 + 33 / 56 * (inches(m.centre_16) - 0.8125) - 1.125 * 65 / 56
        assert corner - 1 / 16 < inches(m.high_16) <= corner


def test_thirty_degrees_bridging(thirty: FloorResult) -> None:
    (line,) = thirty.lines
    y = inches(line.along_16)
    assert 84.8 <= y <= 89.6
    (run,) = line.runs
    face = (y - 48 + 1.125 * 65 / 56) / (33 / 56)
    assert inches(run.across_low_16) == pytest.approx(face, abs=1 / 16)
    assert [x for x, _ in spots(thirty, Item.SOLID_BLOCK)] == [88.0, 184.0, 200.0]
    strap = lengths(thirty, Item.STRAP)
    assert strap[:2] == [6.0, 6.0]
    assert strap[2:] == pytest.approx([222.875 - face], abs=1 / 16)
    assert {x > 200 for x, _ in spots(thirty, Item.LADDER_BLOCK)} == {True}


def test_thirty_degrees_boards(thirty: FloorResult) -> None:
    assert lengths(thirty, Item.RIM_BOARD) == [32.0, 45.75, 177.75, 224.0, 228.0]
    assert count(thirty, Item.RIM_STICK) == {"12": 1, "16": 1, "20": 2}
    assert (cells(thirty), panels(thirty)) == (9, 8)


def test_thirty_degrees_bill(thirty: FloorResult) -> None:
    found = bill(thirty)
    del found["strap"]  # judged above: its length follows the line's place
    assert sum(THIRTY) == 1438.9375
    assert found == {
        "1000S162-54": 1438.9375,
        "bearing_clip:1000": 26,
        "clip_angle:1000": 3,
        "solid_block:1000S162-54": 3,
        "ladder_block:1000S162-54": 3,
        "rim_stick:12": 1,
        "rim_stick:16": 1,
        "rim_stick:20": 2,
        "sheathing_panel": 8,
        "steel_screw": 130 + 12 + 30,
        "wood_screw": 130,
        "bearing_nail": 52 + 12 + 4,
        "strap_screw": 9 + 8,
    }
    assert boxes(thirty) == {"steel_screw": 1, "wood_screw": 1, "bearing_nail": 1, "strap_screw": 1}
