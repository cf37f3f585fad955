"""A stair against a flush beam on paper: 12'-0" x 20'-0", joists along y at 16 in, 1000S162-54, all platform.

In inches: x 0..144, y 0..240; beam B1 drawn at y 120, two plies (fixed), faces 118.375 and 121.625; stair 40 x 59
at x 50..90, y 60..119: its high edge lies within the beam's width and needs no header. Its frame has two plies
(fixed).

R7: trimmers 45.625..48.875 (centre 47.25) and 91.125..94.375 (92.75), 1.5..118 = 116.5; low header y 55.625..58.875
(57.25), 41.5 from x 49.25. 48 stands within the low trimmer and goes, in this line only; 64 and 80 are low tails,
1.5.. 55.25 = 53.75. Below: 16, 32, 96, 112, 128 of 116.5; above: 16 ... 128 (8), 122..238.5. Beam 141. Members 5 x
116.5 + 2 x 53.75 + 4 x 116.5 + 2 x 41.5 + 8 x 116.5 + 2 x 141 = 2453.
R20: bearing clips 5 + 2 + 4 below, 8 above, beam 4: 23 (115, 115). Clip angles at the beam 5 + 4 + 8, header 4,
tails 2, ladder blocks 12: 35, 350 steel. R21: 23 x 2 = 46.
R22: trimmers 116.5: 5 spaces of 19.7 from y 10.5: 49.9 and 69.6 keep off 57.25: 6 each. Header: x 58.25 and 81.75,
which the tail at 80 moves to 83: 24.75 apart, one more at 70.625: 3. Beam: 10.5, 31, 51.5, 72, 92.5, 113, 133.5;
carried from below 16, 32, 47.25, 92.75, 96, 112, 128, from above every 16: 31 to 29; 51.5 is 3.5 off 48; 92.5 to
89.75; 113 to 115; 89.75 to 115 is 25.25: one more at 102.375: 8. 23 clips, 92 steel.
R24: 1 line each, y 61.9375 and 178.0625. The first lies between header and beam: it stops at the trimmers.
R25: run 1: 24 and 32|trimmer, 32.8125..45.625: 39.21875: 2. Run 2: trimmer|96 is 0.8 clear, none: 104, 120: 2.
Above: 24 and 120, exactly 96: 2. 6, 24 steel.
R26: gaps 56.4: 3 a span and side: 12; 48 nails.
R27: 47.75 + 6, 51.75 + 6, 141.75 + 12: 265.25; screws 2 + 2, 2 + 3, 8; 2 x (6 + 4): 37; 8 nails.
R28: 144, 144, 237.75, 237.75; inner 61.25 x 2, 40 x 2 (also on the beam). 966: 1008: 237.75 in 240 twice, 144 + 40
+ 40 in 240, 144, 61.25 + 61.25 in 144: 3 of 20, 2 of 12.
R29: 59 and 59 on the trimmers, 40 on the header, none on the beam: 3 rips: 1 sheet.
R30: 5 rows of 144: 96, 48; 48 (the rest), 96: 2, 1, 2, 1, 2 = 8, 10 cells.
R31: steel 115 + 350 + 92 + 24 = 581 -> 610.05: 3; wood 115: 1; nails 46 + 48 + 8 = 102: 1; strap 37: 1.
"""

from __future__ import annotations

import pytest

from framing.engine.members import EndKind, MemberKind
from framing.engine.placement import Item
from framing.engine.result import FloorResult
from tests.engine.hand.floors_on_paper import cut, designed, inches, lengths, members, panels, spots
from tests.engine.hand.real_floors import bill, boxes, cells, rectangle


@pytest.fixture(scope="module")
def floor() -> FloorResult:
    fixed = [("B1", "beam"), ("S", "trimmer_low"), ("S", "trimmer_high"), ("S", "header_low")]
    return designed(
        name="Beam stair",
        outline=rectangle(144, 240),
        supports=[{"id": "B1", "kind": "flush_beam", "from": ["0", "120"], "to": ["144", "120"]}],
        openings=[{"id": "S", "kind": "stair", "corner": ["50", "60"], "size": ["40", "59"]}],
        bays=[{"id": "A", "direction": "y", "spacing": "16", "profile": "1000S162-54"}],
        overrides={"plies": [{"of": of, "part": part, "plies": 2} for of, part in fixed]},
    )


def test_members(floor: FloorResult) -> None:
    below = [
        (x, 1.5, 55.25 if x in (64.0, 80.0) else 118.0) for x in (16.0, 32.0, 64.0, 80.0, 96.0, 112.0, 128.0)
    ]
    assert cut(members(floor, MemberKind.JOIST, 0)) == below
    assert cut(members(floor, MemberKind.JOIST, 1)) == [(16.0 * k, 122.0, 238.5) for k in range(1, 9)]
    trimmers = members(floor, MemberKind.TRIMMER)
    assert cut(trimmers) == [(47.25, 1.5, 118.0), (92.75, 1.5, 118.0)]
    assert {m.high.kind for m in trimmers} == {EndKind.FLUSH}
    assert cut(members(floor, MemberKind.HEADER)) == [(57.25, 49.25, 90.75)]
    assert cut(members(floor, MemberKind.BEAM)) == [(120.0, 1.5, 142.5)]


def test_ply_clips(floor: FloorResult) -> None:
    on_beam = [x for x, y in spots(floor, Item.PLY_CLIP) if y == 120.0]
    assert on_beam == [10.5, 29.0, 51.5, 72.0, 89.75, 102.375, 115.0, 133.5]
    assert [x for x, y in spots(floor, Item.PLY_CLIP) if y == 57.25] == [58.25, 70.625, 83.0]


def test_bridging(floor: FloorResult) -> None:
    low, high = floor.lines
    assert (inches(low.along_16), inches(high.along_16)) == (61.9375, 178.0625)
    runs = [(inches(run.across_low_16), inches(run.across_high_16)) for run in low.runs]
    assert runs == [(1.125, 48.875), (91.125, 142.875)]
    blocks = [x for x, y in spots(floor, Item.SOLID_BLOCK) if y < 120]
    assert blocks == pytest.approx([24.0, 39.21875, 104.0, 120.0], abs=1 / 32)


def test_boards_and_sheathing(floor: FloorResult) -> None:
    assert lengths(floor, Item.RIM_BOARD) == [40.0, 40.0, 61.25, 61.25, 144.0, 144.0, 237.75, 237.75]
    assert lengths(floor, Item.WEB_BACKING) == [40.0, 59.0, 59.0]
    assert (cells(floor), panels(floor)) == (10, 8)


def test_bill(floor: FloorResult) -> None:
    assert bill(floor) == {
        "1000S162-54": 2453.0,
        "bearing_clip:1000": 23,
        "clip_angle:1000": 35,
        "ply_clip:1000": 23,
        "solid_block:1000S162-54": 6,
        "ladder_block:1000S162-54": 12,
        "strap": 265.25,
        "rim_stick:12": 2,
        "rim_stick:20": 3,
        "backing_sheet": 1,
        "sheathing_panel": 8,
        "steel_screw": 115 + 350 + 92 + 24,
        "wood_screw": 115,
        "bearing_nail": 46 + 48 + 8,
        "strap_screw": 17 + 20,
    }
    assert boxes(floor) == {"steel_screw": 3, "wood_screw": 1, "bearing_nail": 1, "strap_screw": 1}
