"""Double joists and a bearing partition along them on paper: 16'-0" x 16'-0", joists along y at 24 in, 1000S162-54.

In inches: x 0..192, y 0..192; every joist two plies, 3.25 wide; a bearing partition over x 98.5. All platform.

R8: two plies under the partition, 96.875..100.125. R3: 24 ... 168 (7). Station 96, 94.375..97.625, overlaps it, its
centre lies outside: away until it touches: 96.875 - 1.625 = 95.25. 120 (118.375) stays. 8 members of 189, 16 pieces,
one mark: 3024.
R20: 16 x 2 = 32 bearing clips (160, 160). R21: 64. R22: 189: 8 spaces of 21.375, 9 clips; 8 x 9 = 72, 288 steel.
R24: 1 line, y 96. R25: clear spaces' middles 36, 60, 83.625, none where the two touch, 100.125..118.375: 109.25, 132,
156: 36 to 156 = 120: 36, 132 (exactly 96), 156: 3, 12 steel.
R26: clear 22.375 - 1.125 = 21.25: 3 a side: 6 clip angles, 60 steel, 24 nails.
R27: 201.75; screws 16 plies + 2 x (3 + 2) = 26; 4 nails.
R28: 192, 192, 189.75, 189.75: 4 of 16. R30: 96, 96; 48, 96, 48: 8 panels, 10 cells.
R31: steel 160 + 288 + 12 + 60 = 520 -> 546: 3; wood 160: 1; nails 64 + 24 + 4 = 92: 1; strap 26: 1.

A shaft 30 x 60 at x 30..60, y 60..120 in the same bay, its frame of 2 plies: trimmers 25.625..28.875 and
61.125..64.375. Station 24 (22.375..25.625) touches the low one and stays, 72 (70.375) too. 48 is a tail of two plies;
low: header y 55.625..58.875: 1.5..55.25 = 53.75, ceil(35.75/24) = 2 spaces: 3 ply clips; high: header 121.125..
124.375: 124.75..190.5 = 65.75, 2 spaces: 3. A tail has a clip angle per ply: 2 x 2 at headers.
"""

from __future__ import annotations

from typing import Any

import pytest

from framing.engine.members import MemberKind
from framing.engine.placement import Item
from framing.engine.result import FloorResult
from tests.engine.hand.floors_on_paper import cut, designed, lengths, members, panels, pieces, placed, spots
from tests.engine.hand.real_floors import bill, boxes, cells, rectangle

PARTITION = {"id": "P", "from": ["98.5", "0"], "to": ["98.5", "192"], "bearing": True, "load_plf": 100}


def double(**entries: Any) -> FloorResult:
    return designed(
        name="Double",
        outline=rectangle(192, 192),
        bays=[{"id": "A", "direction": "y", "spacing": "24", "profile": "1000S162-54", "plies": 2}],
        **entries,
    )


@pytest.fixture(scope="module")
def floor() -> FloorResult:
    return double(partitions=[PARTITION], overrides={"plies": [{"of": "P", "part": "joist", "plies": 2}]})


def test_joists(floor: FloorResult) -> None:
    joists = members(floor, MemberKind.JOIST)
    assert cut(joists) == [(x, 1.5, 190.5) for x in (24.0, 48.0, 72.0, 95.25, 98.5, 120.0, 144.0, 168.0)]
    assert {(m.plies, m.width_16) for m in joists} == {(2, 52)}
    assert pieces(floor) == {("1J01", 189.0): 16}


def test_fit_out(floor: FloorResult) -> None:
    assert [x for x, _ in spots(floor, Item.SOLID_BLOCK)] == [36.0, 132.0, 156.0]
    assert len(placed(floor, Item.LADDER_BLOCK)) == 6
    assert lengths(floor, Item.RIM_BOARD) == [189.75, 189.75, 192.0, 192.0]
    assert (cells(floor), panels(floor)) == (10, 8)


def test_bill(floor: FloorResult) -> None:
    assert bill(floor) == {
        "1000S162-54": 3024.0,
        "bearing_clip:1000": 32,
        "clip_angle:1000": 6,
        "ply_clip:1000": 72,
        "solid_block:1000S162-54": 3,
        "ladder_block:1000S162-54": 6,
        "strap": 201.75,
        "rim_stick:16": 4,
        "sheathing_panel": 8,
        "steel_screw": 160 + 288 + 12 + 60,
        "wood_screw": 160,
        "bearing_nail": 64 + 24 + 4,
        "strap_screw": 16 + 10,
    }
    assert boxes(floor) == {"steel_screw": 3, "wood_screw": 1, "bearing_nail": 1, "strap_screw": 1}


def test_double_tails() -> None:
    parts = ("trimmer_low", "trimmer_high", "header_low", "header_high")
    floor = double(
        openings=[{"id": "O", "kind": "shaft", "corner": ["30", "60"], "size": ["30", "60"]}],
        overrides={"plies": [{"of": "O", "part": part, "plies": 2} for part in parts]},
    )
    joists = cut(members(floor, MemberKind.JOIST))
    assert joists == [
        (24.0, 1.5, 190.5),
        (48.0, 1.5, 55.25),
        (48.0, 124.75, 190.5),
        *((24.0 * k, 1.5, 190.5) for k in range(3, 8)),
    ]
    on_tails = [x for x, _ in spots(floor, Item.PLY_CLIP) if x == 48.0]
    assert len(on_tails) == 6
    hosts = {t.host for t in placed(floor, Item.CLIP_ANGLE)}
    tails = {m.id for m in members(floor, MemberKind.JOIST) if m.centre_16 == 48 * 16}
    angles = [t for t in placed(floor, Item.CLIP_ANGLE) if t.host in tails]
    assert tails <= hosts
    assert len(angles) == 4
