"""A stair with a three-ply header on paper: 20'-0" x 16'-0", joists along y at 16 in, 1000S162-54, all platform.

In inches: x 0..240, y 0..192; stair 60 x 72 at x 90..150, y 72..144; plies fixed: low header 3, the others 2.

R7: trimmers 85.625..88.875 (centre 87.25) and 151.125..154.375 (152.75), 189 long. Low header, 3 x 1.625 = 4.875
wide: near face 70.875, y 66..70.875 (68.4375); high 145.125..148.375 (146.75). Both 60 + 2.25 - 0.75 = 61.5 from
89.25. Stations 16 ... 80 and 160 ... 224 whole (10); 96 ... 144 tails (4): low 1.5..65.625 = 64.125, high
148.75..190.5 = 41.75. Members 10 x 189 + 4 x 189 + 5 x 61.5 + 4 x 64.125 + 4 x 41.75 = 3377. R12: J x 5, both
trimmers, low header, 4 tails, high header, 4 tails, J x 5.
R20: bearing clips (10 + 4 + 4) x 2 = 36 (180, 180). Clip angles: low header 3 x 2, high 2 x 2, tails 8, ladder blocks
6: 24; 240 steel. R21: 72.
R22: trimmers: 9 clips each from y 10.5 every 21.375; 74.625 is 6.2 off 68.4375, 138.75 is 8 off: 18. Headers: 61.5:
ceil(43.5/24) = 2 spaces: x 98.25, 120, 141.75; the tails at 96 and 144 move the outer ones to 99 and 141. Low: 3 x 2
interfaces, high 3. 18 + 9 = 27, 108 steel.
R24: 1 line, y 96, between the far faces 66 and 148.375: two runs.
R25: low run: 24 ... 72, then 80|trimmer, 80.8125..85.625 = 4.8125 clear, over 4: middle 83.21875: 2. High run the
mirror: 156.78125, 216: 2. 4, 16 steel.
R26: 3 a side: 6; 24 nails. R27: 2 x (88.875 - 1.125 + 6) = 187.5; screws 2 x (5 + 2) + 2 x (4 + 2) = 26; 4 nails.
R28: 240, 240, 189.75 x 2; inner 74.25 x 2, 60 x 2. 189.75 takes 192 each; 74.25 + 60 = 134.25 in 144 twice: 1152 for
1128. 2 of 20, 2 of 16, 2 of 12. R29: 72, 72, 60, 60, no two in 96: four rips, 4 x 9.75 in 48: 1 sheet.
R30: 3 + 2 + 3 + 2 panels, 12 cells, none inside the stair.
R31: steel 180 + 240 + 108 + 16 = 544 -> 571.2: 3; wood 180: 1; nails 72 + 24 + 4 = 100: 1; strap 26: 1.
"""

from __future__ import annotations

import pytest

from framing.engine.members import MemberKind
from framing.engine.placement import Item
from framing.engine.result import FloorResult
from tests.engine.hand.floors_on_paper import cut, designed, lengths, members, panels, spots
from tests.engine.hand.real_floors import bill, boxes, cells, rectangle


@pytest.fixture(scope="module")
def floor() -> FloorResult:
    plies = {"trimmer_low": 2, "trimmer_high": 2, "header_low": 3, "header_high": 2}
    return designed(
        name="Three plies",
        outline=rectangle(240, 192),
        openings=[{"id": "S", "kind": "stair", "corner": ["90", "72"], "size": ["60", "72"]}],
        bays=[{"id": "A", "direction": "y", "spacing": "16", "profile": "1000S162-54"}],
        overrides={"plies": [{"of": "S", "part": part, "plies": n} for part, n in plies.items()]},
    )


def test_members(floor: FloorResult) -> None:
    full = [(16.0 * k, 1.5, 190.5) for k in (1, 2, 3, 4, 5, 10, 11, 12, 13, 14)]
    tails = [(x, *ends) for x in (96.0, 112.0, 128.0, 144.0) for ends in ((1.5, 65.625), (148.75, 190.5))]
    assert sorted(cut(members(floor, MemberKind.JOIST))) == sorted(full + tails)
    trimmers = members(floor, MemberKind.TRIMMER)
    assert cut(trimmers) == [(87.25, 1.5, 190.5), (152.75, 1.5, 190.5)]
    headers = members(floor, MemberKind.HEADER)
    assert cut(headers) == [(68.4375, 89.25, 150.75), (146.75, 89.25, 150.75)]
    assert [m.plies for m in trimmers + headers] == [2, 2, 3, 2]


def test_install_order(floor: FloorResult) -> None:
    order = sorted(floor.members, key=lambda m: m.sequence)
    assert "".join(m.kind for m in order) == "J" * 5 + "TT" + "HJJJJ" * 2 + "J" * 5


def test_ply_clips(floor: FloorResult) -> None:
    on_headers = [x for x, _ in spots(floor, Item.PLY_CLIP) if 95 < x < 145]
    assert on_headers == [99.0] * 3 + [120.0] * 3 + [141.0] * 3


def test_blocks(floor: FloorResult) -> None:
    blocks = [x for x, _ in spots(floor, Item.SOLID_BLOCK)]
    assert blocks == pytest.approx([24.0, 83.21875, 156.78125, 216.0], abs=1 / 32)
    assert len(floor.lines[0].runs) == 2


def test_boards_and_sheathing(floor: FloorResult) -> None:
    assert lengths(floor, Item.RIM_BOARD) == [60.0, 60.0, 74.25, 74.25, 189.75, 189.75, 240.0, 240.0]
    assert lengths(floor, Item.WEB_BACKING) == [60.0, 60.0, 72.0, 72.0]
    assert (cells(floor), panels(floor)) == (12, 10)


def test_bill(floor: FloorResult) -> None:
    assert bill(floor) == {
        "1000S162-54": 3377.0,
        "bearing_clip:1000": 36,
        "clip_angle:1000": 24,
        "ply_clip:1000": 27,
        "solid_block:1000S162-54": 4,
        "ladder_block:1000S162-54": 6,
        "strap": 187.5,
        "rim_stick:12": 2,
        "rim_stick:16": 2,
        "rim_stick:20": 2,
        "backing_sheet": 1,
        "sheathing_panel": 10,
        "steel_screw": 180 + 240 + 108 + 16,
        "wood_screw": 180,
        "bearing_nail": 72 + 24 + 4,
        "strap_screw": 14 + 12,
    }
    assert boxes(floor) == {"steel_screw": 3, "wood_screw": 1, "bearing_nail": 1, "strap_screw": 1}
