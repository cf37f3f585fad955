"""A stair beside a wall on paper: 20'-0" x 16'-0", joists along y at 16 in, 1000S162-54, all platform.

In inches: x 0..240, y 0..192; stair 36 x 96 at x 200..236, y 44..140, 4 in from the right outline.

R7: a trimmer on the right would need 1.125 + 3.25 + 1.125 = 5.5: only 4, it is left out. Low trimmer's near face
198.875, 195.625..198.875, centre 197.25. Headers from 198.875 + 0.375 = 199.25 to 240 - 1.5 = 238.5: 39.25; at y
39.625..42.875 (centre 41.25) and 141.125..144.375 (142.75). Stations 16 ... 192 whole (12): 192's flange ends at
192.8125. 208 and 224 are tails: 1.5..39.25 = 37.75 and 144.75..190.5 = 45.75. Nothing between stair and wall.
Members 12 x 189 + 2 x 189 + 4 x 39.25 + 2 x 37.75 + 2 x 45.75 = 2970.
R12: 12 joists, trimmer, low header, its tails, high header, its tails.
R20: bearing clips 16 plies at y 0 (12 + 2 + 2), 16 at y 192, headers at the wall 2 x 2 = 4: 36 (180, 180). Clip
angles: headers at the trimmer 4, tails at headers 4, ladder blocks 3: 11; 110 steel.
R21: 36 x 2 = 72.
R22: trimmer 189: ceil(171/24) = 8 spaces of 21.375 from y 10.5: nearest to headers 31.875 (9.4) and 138.75 (4):
9 clips. Headers 39.25: ceil(21.25/24) = 1 space: x 208.25 and 229.5; the tail at 208 moves the first to 211.
9 + 2 + 2 = 13, 52 steel.
R24: 181 clear: 1 line, y 96, between the headers' far faces: it stops at the trimmer; no floor on the other side.
R25: 24 ... 184 (192|trimmer is 2.8125 clear, no block): 160: 24, 120, 184: 3, 12 steel.
R26: left 90.5 and 90.5: 3. Right: beside the stair no joist; from 5.5 to the low header's face 39.625 and from
144.375 to 186.5 = 42.125: under 48: none. 12 nails.
R27: 198.875 - 1.125 + 6 = 203.75; screws 12 + 2 plies + 2 x (3 + 1) = 22; 2 nails.
R28: 240, 240, 189.75, 189.75; inner 96 + 2.25 = 98.25 along the trimmer, 36 and 36 across, none at the wall.
1029.75: 1056: 240 | 240 | 189.75 + 36 | 189.75 in 192 | 98.25 + 36 in 144. 3 of 20, 1 of 16, 1 of 12.
R29: 96 on the trimmer, 36 and 36 on the headers, 10 - 2 x 0.0566 - 0.125 = 9.76 high: two rips: 1 sheet.
R30: 4 rows of 240: 3, 2, 3, 2 panels (halves from rests of 48): 10; no cell lies in the stair: 12 cells.
R31: steel 180 + 110 + 52 + 12 = 354 -> 371.7: 2; wood 180: 1; nails 72 + 12 + 2 = 86: 1; strap 22: 1.

With exactly 5 1/2 in (x 198.5..234.5) a trimmer stands at 235.625..238.875, against the rim.
"""

from __future__ import annotations

import pytest

from framing.engine.members import EndKind, MemberKind
from framing.engine.placement import Item
from framing.engine.result import FloorResult
from tests.engine.hand.floors_on_paper import (
    cut,
    designed,
    inches,
    lengths,
    members,
    panels,
    spots,
)
from tests.engine.hand.real_floors import bill, boxes, cells, rectangle


def beside_wall(across: str) -> FloorResult:
    return designed(
        name="Wall stair",
        outline=rectangle(240, 192),
        openings=[{"id": "S", "kind": "stair", "corner": [across, "44"], "size": ["36", "96"]}],
        bays=[{"id": "A", "direction": "y", "spacing": "16", "profile": "1000S162-54"}],
        overrides={"plies": [{"of": "S", "part": p, "plies": 2} for p in ("trimmer_low", "header_high")]},
    )


@pytest.fixture(scope="module")
def floor() -> FloorResult:
    return beside_wall("200")


def test_members(floor: FloorResult) -> None:
    low, high = [(208.0, 1.5, 39.25), (224.0, 1.5, 39.25)], [(208.0, 144.75, 190.5), (224.0, 144.75, 190.5)]
    full = [(16.0 * k, 1.5, 190.5) for k in range(1, 13)]
    assert sorted(cut(members(floor, MemberKind.JOIST))) == sorted(full + low + high)
    (trimmer,) = members(floor, MemberKind.TRIMMER)
    assert cut([trimmer]) == [(197.25, 1.5, 190.5)]
    headers = members(floor, MemberKind.HEADER)
    assert cut(headers) == [(41.25, 199.25, 238.5), (142.75, 199.25, 238.5)]
    assert {(m.low.kind, m.high.kind, m.high.host) for m in headers} == {
        (EndKind.TRIMMER, EndKind.PLATFORM, "edge:1")
    }
    assert {m.plies for m in [trimmer, *headers]} == {2}


def test_install_order(floor: FloorResult) -> None:
    order = sorted(floor.members, key=lambda m: m.sequence)
    assert "".join(m.kind for m in order) == "J" * 12 + "T" + "HJJ" * 2


def test_bridging(floor: FloorResult) -> None:
    (bridging,) = floor.lines
    (run,) = bridging.runs
    assert (inches(run.across_low_16), inches(run.across_high_16)) == (1.125, 198.875)
    assert [x for x, _ in spots(floor, Item.SOLID_BLOCK)] == [24.0, 120.0, 184.0]
    assert [(x < 20, y) for x, y in spots(floor, Item.LADDER_BLOCK)] == [
        (True, 50.75),
        (True, 96.0),
        (True, 141.25),
    ]


def test_ply_clips(floor: FloorResult) -> None:
    on_headers = [x for x, _ in spots(floor, Item.PLY_CLIP) if x > 200]
    assert on_headers == [211.0, 211.0, 229.5, 229.5]


def test_boards_and_sheathing(floor: FloorResult) -> None:
    assert lengths(floor, Item.RIM_BOARD) == [36.0, 36.0, 98.25, 189.75, 189.75, 240.0, 240.0]
    assert lengths(floor, Item.WEB_BACKING) == [36.0, 36.0, 96.0]
    assert (cells(floor), panels(floor)) == (12, 10)


def test_bill(floor: FloorResult) -> None:
    assert bill(floor) == {
        "1000S162-54": 2970.0,
        "bearing_clip:1000": 36,
        "clip_angle:1000": 11,
        "ply_clip:1000": 13,
        "solid_block:1000S162-54": 3,
        "ladder_block:1000S162-54": 3,
        "strap": 203.75,
        "rim_stick:12": 1,
        "rim_stick:16": 1,
        "rim_stick:20": 3,
        "backing_sheet": 1,
        "sheathing_panel": 10,
        "steel_screw": 180 + 110 + 52 + 12,
        "wood_screw": 180,
        "bearing_nail": 72 + 12 + 2,
        "strap_screw": 14 + 8,
    }
    assert boxes(floor) == {"steel_screw": 2, "wood_screw": 1, "bearing_nail": 1, "strap_screw": 1}


def test_exactly_room_enough() -> None:
    low, high = members(beside_wall("198.5"), MemberKind.TRIMMER)
    assert (inches(low.centre_16), inches(high.centre_16)) == (195.75, 237.25)


def test_a_sixteenth_too_little() -> None:
    assert len(members(beside_wall("198 9/16"), MemberKind.TRIMMER)) == 1


def test_mirrored(floor: FloorResult) -> None:
    # the stair at the left wall, counted from the right: the same floor in a mirror
    mirror = designed(
        name="Mirror",
        outline=rectangle(240, 192),
        openings=[{"id": "S", "kind": "stair", "corner": ["4", "44"], "size": ["36", "96"]}],
        bays=[{"id": "A", "direction": "y", "start": "high", "spacing": "16", "profile": "1000S162-54"}],
        overrides={"plies": [{"of": "S", "part": p, "plies": 2} for p in ("trimmer_low", "header_high")]},
    )
    assert bill(mirror) == bill(floor)
    (trimmer,) = members(mirror, MemberKind.TRIMMER)
    bay = mirror.bays[0]
    assert inches(trimmer.plan_ends(bay.frame)[0].x_16) == 240 - 197.25
