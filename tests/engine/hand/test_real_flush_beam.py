"""Two bays over a flush beam on paper: 12'-0" x 23'-0", joists along y, 16 in below, 24 in above, 1000S162-54.

In inches: x 0..144, beam B1 drawn at y 132, two plies (fixed): 130.375..133.625. Bay A y 0..132, bay B y 132..276. All
platform.

Beam from outline to outline: 1.5..142.5 = 141. A: 16 ... 128 (8), 1.5 to 130.375 - 0.375 = 130: 128.5. B: 24 ... 120
(5), 134 to 274.5: 140.5. Members 8 x 128.5 + 5 x 140.5 + 2 x 141 = 2012.5. Beams first: 1B01, 1J01, 1J02.
R20: bearing clips A 8, B 5, beam 2 ends x 2 plies = 4: 17 (85, 85). Clip angles at the beam 8 + 5, ladder blocks 12:
25, 250 steel. R21: 17 x 2 = 34; none on the beam. R23: none.
R22: 141: ceil(123/24) = 6 spaces of 20.5: 10.5, 31, 51.5, 72, 92.5, 113, 133.5. Carried at 16, 32, ... 128 from
below, 24, 48, 72, 96, 120 from above: 31 to 29; 51.5 is 3.5 off 48 and stays; 72 stands on 72: low side, 69; 92.5
stays; 113 to 115; gaps at most 23.5: 7 clips, 28 steel.
R24: A 5.5..130.375 = 124.875: 1 line, y 67.9375. B 133.625..270.5 = 136.875: 1 line, y 202.0625.
R25: A 24 to 120, exactly 96: 2. B 36 to 108: 2. 4, 16 steel.
R26: gaps 62.4 and 68.4: 3 a bay and side: 12; 48 nails.
R27: 2 x (141.75 + 12) = 307.5; screws 8 + 2 x (2 + 2), 5 + 2 x (2 + 2): 29; 8 nails.
R28: 144 and 144 through; sides 276 - 2.25 = 273.75 = 240 + 33.75. 240, 240; 144 + 33.75 + 33.75 = 211.5 in 240, 144:
864 (835.5; 144 + 33.75 twice in 192 is 864 too, with fewer of 20). 3 of 20, 1 of 12.
R30 A: 3 rows (the last 36 deep): 96, 48; 48 (from the rest), 96; 96, 48: 2 + 1 + 2; B the same with its own panels: 10,
12 cells.
R31: steel 85 + 250 + 28 + 16 = 379 -> 397.95: 2; wood 85: 1; nails 34 + 48 + 8 = 90: 1; strap 29: 1.
"""

from __future__ import annotations

import pytest

from framing.engine.members import EndKind, MemberKind
from framing.engine.placement import Item
from framing.engine.result import FloorResult
from tests.engine.hand.floors_on_paper import designed, inches, lengths, members, panels, pieces, spots
from tests.engine.hand.real_floors import bill, boxes, cells, rectangle


@pytest.fixture(scope="module")
def floor() -> FloorResult:
    made = {"direction": "y", "profile": "1000S162-54"}
    return designed(
        name="Flush beam",
        outline=rectangle(144, 276),
        supports=[{"id": "B1", "kind": "flush_beam", "from": ["0", "132"], "to": ["144", "132"]}],
        bays=[
            {"id": "A", "spacing": "16", "outline": rectangle(144, 132), **made},
            {"id": "B", "spacing": "24", "outline": rectangle(144, 144, along=132), **made},
        ],
        overrides={"plies": [{"of": "B1", "part": "beam", "plies": 2}]},
    )


def test_beam(floor: FloorResult) -> None:
    ((bay, beam),) = [(b, m) for b in floor.bays for m in b.members if m.kind is MemberKind.BEAM]
    low, high = beam.plan_ends(bay.frame)
    assert [inches(v) for v in (low.x_16, high.x_16, low.y_16, beam.width_16)] == [1.5, 142.5, 132.0, 3.25]
    assert (beam.plies, beam.low.kind, beam.high.kind) == (2, EndKind.PLATFORM, EndKind.PLATFORM)
    assert beam.sequence == 1


def test_joists(floor: FloorResult) -> None:
    for bay, centres, ends in zip(
        floor.bays,
        ([16.0 * k for k in range(1, 9)], [24.0 * k for k in range(1, 6)]),
        ((1.5, 130.0), (134.0, 274.5)),
        strict=True,
    ):
        found = [m.plan_ends(bay.frame) for m in bay.members if m.kind is MemberKind.JOIST]
        assert [inches(p.x_16) for p, _ in found] == centres
        assert {(inches(p.y_16), inches(q.y_16)) for p, q in found} == {ends}
    assert pieces(floor) == {("1B01", 141.0): 2, ("1J01", 128.5): 8, ("1J02", 140.5): 5}
    assert {m.low.kind for m in members(floor, MemberKind.JOIST)} == {EndKind.PLATFORM, EndKind.FLUSH}


def test_ply_clips(floor: FloorResult) -> None:
    assert [x for x, _ in spots(floor, Item.PLY_CLIP)] == [10.5, 29.0, 51.5, 69.0, 92.5, 115.0, 133.5]


def test_bridging(floor: FloorResult) -> None:
    assert [inches(entry.along_16) for entry in floor.lines] == [67.9375, 202.0625]
    assert [x for x, _ in spots(floor, Item.SOLID_BLOCK)] == [24.0, 36.0, 108.0, 120.0]


def test_boards_and_sheathing(floor: FloorResult) -> None:
    assert lengths(floor, Item.RIM_BOARD) == [33.75, 33.75, 144.0, 144.0, 240.0, 240.0]
    assert (cells(floor), panels(floor)) == (12, 10)


def test_bill(floor: FloorResult) -> None:
    assert bill(floor) == {
        "1000S162-54": 2012.5,
        "bearing_clip:1000": 17,
        "clip_angle:1000": 25,
        "ply_clip:1000": 7,
        "solid_block:1000S162-54": 4,
        "ladder_block:1000S162-54": 12,
        "strap": 307.5,
        "rim_stick:12": 1,
        "rim_stick:20": 3,
        "sheathing_panel": 10,
        "steel_screw": 85 + 250 + 28 + 16,
        "wood_screw": 85,
        "bearing_nail": 34 + 48 + 8,
        "strap_screw": 16 + 13,
    }
    assert boxes(floor) == {"steel_screw": 2, "wood_screw": 1, "bearing_nail": 1, "strap_screw": 1}
