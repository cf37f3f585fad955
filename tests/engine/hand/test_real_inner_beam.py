"""A flush beam inside one bay, over a wall between, on paper: 20'-0" x 20'-0", joists along y at 16 in, 1000S162-54.

In inches: x 0..240, y 0..240; beam B1 drawn at y 120, two plies (fixed), faces 118.375 and 121.625; wall V stands
along the joists at x 120, y 80..160, and crosses under it. All platform.

Beam 1.5..238.5 = 237, one piece over V. Joists 16 ... 224 (14): 1.5..118 and 122..238.5, 116.5 each, not shifted;
the beam starts a new line. V carries none of them. Members 28 x 116.5 + 2 x 237 = 3736. R12: beam, first line,
second line.
R20: bearing clips 14 + 14 + beam 2 x 2 = 32 (160, 160). Clip angles at the beam 28, ladder blocks 12: 40, 400
steel.
R21: 28 x 2; the beam's ends 2 x 2 x 2 and V 2 x 2: 68. R23: none.
R22: 237: ceil(219/24) = 10 spaces of 21.9: 10.5, 32.4, 54.3, 76.2, 98.1, 120, 141.9, 163.8, 185.7, 207.6, 229.5.
Carried every 16: 32.4 to 35, 98.1 to 99, 141.9 to 141, 207.6 to 205; then 10.5 to 35 and 205 to 229.5 are 24.5: one
more in each, 22.75 and 217.25, over 6 from what stands beside. 13 clips, 52 steel.
R24: 112.875 clear twice: 1 line each, y 61.9375 and 178.0625. R25: 24, 120, 216: 3 each: 24 steel.
R26: gaps 56.4: 3 a span and side: 12; 48 nails. R27: 2 x (237.75 + 12) = 499.5; screws 2 x (14 + 2 x (3 + 2)) = 48;
8 nails.
R28: 240, 240, 237.75, 237.75: 4 of 20. R30: 5 rows of 240: 3, 2, 3, 2, 3 = 13, 15 cells.
R31: steel 160 + 400 + 52 + 24 = 636 -> 667.8: 3; wood 160: 1; nails 68 + 48 + 8 = 124: 1; strap 48: 1.
"""

from __future__ import annotations

import pytest

from framing.engine.members import MemberKind
from framing.engine.placement import Item
from framing.engine.result import FloorResult
from tests.engine.hand.floors_on_paper import cut, designed, inches, lengths, members, panels, spots
from tests.engine.hand.real_floors import bill, boxes, cells, rectangle


@pytest.fixture(scope="module")
def floor() -> FloorResult:
    return designed(
        name="Inner beam",
        outline=rectangle(240, 240),
        supports=[
            {"id": "B1", "kind": "flush_beam", "from": ["0", "120"], "to": ["240", "120"]},
            {"id": "V", "from": ["120", "80"], "to": ["120", "160"]},
        ],
        bays=[{"id": "A", "direction": "y", "spacing": "16", "profile": "1000S162-54"}],
        overrides={"plies": [{"of": "B1", "part": "beam", "plies": 2}]},
    )


def test_members(floor: FloorResult) -> None:
    (beam,) = members(floor, MemberKind.BEAM)
    assert (cut([beam]), beam.plies) == ([(120.0, 1.5, 238.5)], 2)
    assert [c.support for c in beam.crossings] == ["V"]
    joists = members(floor, MemberKind.JOIST)
    centres = [16.0 * k for k in range(1, 15)]
    assert cut([m for m in joists if m.line == 0]) == [(x, 1.5, 118.0) for x in centres]
    assert cut([m for m in joists if m.line == 1]) == [(x, 122.0, 238.5) for x in centres]
    order = sorted(floor.members, key=lambda m: m.sequence)
    assert [(m.kind, m.line) for m in order[1:]] == [(MemberKind.JOIST, 0)] * 14 + [
        (MemberKind.JOIST, 1)
    ] * 14
    assert order[0].kind is MemberKind.BEAM


def test_ply_clips(floor: FloorResult) -> None:
    expected = [10.5, 22.75, 35, 54.3, 76.2, 99, 120, 141, 163.8, 185.7, 205, 217.25, 229.5]
    assert [x for x, _ in spots(floor, Item.PLY_CLIP)] == pytest.approx(expected, abs=1 / 16)


def test_bridging(floor: FloorResult) -> None:
    assert [inches(entry.along_16) for entry in floor.lines] == [61.9375, 178.0625]
    assert [x for x, _ in spots(floor, Item.SOLID_BLOCK)] == [24.0] * 2 + [120.0] * 2 + [216.0] * 2


def test_boards_and_sheathing(floor: FloorResult) -> None:
    assert lengths(floor, Item.RIM_BOARD) == [237.75, 237.75, 240.0, 240.0]
    assert (cells(floor), panels(floor)) == (15, 13)


def test_bill(floor: FloorResult) -> None:
    assert bill(floor) == {
        "1000S162-54": 3736.0,
        "bearing_clip:1000": 32,
        "clip_angle:1000": 40,
        "ply_clip:1000": 13,
        "solid_block:1000S162-54": 6,
        "ladder_block:1000S162-54": 12,
        "strap": 499.5,
        "rim_stick:20": 4,
        "sheathing_panel": 13,
        "steel_screw": 160 + 400 + 52 + 24,
        "wood_screw": 160,
        "bearing_nail": 68 + 48 + 8,
        "strap_screw": 48,
    }
    assert boxes(floor) == {"steel_screw": 3, "wood_screw": 1, "bearing_nail": 1, "strap_screw": 1}
