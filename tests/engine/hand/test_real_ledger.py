"""A ledger opposite a platform edge on paper: 20'-0" x 15'-0", joists along y at 16 in, 1000S162-54.

In inches: x 0..240, y 0..180; the far edge (y 180) is a ledger (balloon).

R3: stations 16 ... 224: 14. R4: 1.5 to 178.5 = 177, also at the ledger. One mark; 14 x 177 = 2478.
R10: hole centres 12 off faces 5.5 and 178.875: 17.5 to 166.875, 149.375 long: 7 holes, first one at 17.5 to
22.875; the first whole inch from the outline in it is 18: 18, 42, ... 162.
R20: 14 bearing clips at y 0 (70 steel, 70 wood), 14 clip angles at the ledger (70, 70). R21: 14 x 2 = 28; none at
the ledger.
R24: faces 5.5 and, the ledger's inside, 180 - 1.125 = 178.875: 173.375 clear: 1 line at 5.5 + 86.6875 = 92.1875.
R25: middles 24 ... 216: 24, 120, 216: 3, 12 steel.
R26: gaps 86.6875 both: 1 + 1 + 1 a side: 6 clip angles, 60 steel, 24 nails. Clip angles 14 + 6 = 20.
R27: 237.75 + 12 = 249.75; screws 14 + 2 x (3 + 2) = 24; 4 nails.
R28: the ledger counts as rim board: 240 and 240 through, sides 177.75. 177.75 takes a 192 each (both in 288 or
336 have no room): 2 of 20, 2 of 16.
R30: rows of 240, the last 36 deep. Rows 1, 3: 96, 96, 48: 3 panels (48 kept); rows 2, 4: 48 from it, 96, 96: 2.
10, 12 cells.
Adhesive: 2478; second beads: row 1: 96, 192: 2 x 46.5; row 2: 48, 144: 2 x 48; row 3: 2 x 48; row 4: 2 x 34.5:
354. 2832 / 480 = 5.9: 6 tubes.
Nails, ends: 9 cells x 2 x 9, 3 x 2 x 7 (36 deep: 6 spaces) = 204; rims y 0: 15 + 15 + 7, y 180: 7 + 15 + 15: 74.
Between ends: 3 rows x 12 x 5, 12 x 4 = 228. 506.
R31: steel 70 + 70 + 12 + 60 = 212 -> 222.6: 1; wood 140: 1; nails 28 + 24 + 4 = 56: 1; strap 24: 1.
"""

from __future__ import annotations

import pytest

from framing.engine.members import EndKind, MemberKind
from framing.engine.placement import Item
from framing.engine.result import FloorResult
from tests.engine.hand.floors_on_paper import (
    cut,
    designed,
    holes,
    inches,
    lengths,
    line,
    members,
    panels,
    pieces,
    spots,
)
from tests.engine.hand.real_floors import bill, boxes, cells, rectangle


@pytest.fixture(scope="module")
def floor() -> FloorResult:
    return designed(
        name="Ledger",
        outline=rectangle(240, 180),
        edges=[{"edge": 2, "kind": "balloon"}],
        bays=[{"id": "A", "direction": "y", "spacing": "16", "profile": "1000S162-54"}],
    )


def test_joists(floor: FloorResult) -> None:
    joists = members(floor, MemberKind.JOIST)
    assert cut(joists) == [(16.0 * k, 1.5, 178.5) for k in range(1, 15)]
    assert {(m.low.kind, m.high.kind) for m in joists} == {(EndKind.PLATFORM, EndKind.BALLOON)}
    assert {(inches(m.low.face_16), inches(m.high.face_16)) for m in joists} == {(5.5, 178.875)}
    assert pieces(floor) == {("1J01", 177.0): 14}
    assert {tuple(holes(m)) for m in joists} == {tuple(18.0 + 24 * k for k in range(7))}


def test_bridging(floor: FloorResult) -> None:
    assert [inches(entry.along_16) for entry in floor.lines] == [92.1875]
    assert [x for x, _ in spots(floor, Item.SOLID_BLOCK)] == [24.0, 120.0, 216.0]
    heights = [y for _, y in spots(floor, Item.LADDER_BLOCK)]
    # half of 86.6875 is no whole sixteenth
    assert sorted(heights) == pytest.approx([48.84375] * 2 + [92.1875] * 2 + [135.53125] * 2, abs=1 / 32)


def test_boards_and_sheathing(floor: FloorResult) -> None:
    assert lengths(floor, Item.RIM_BOARD) == [177.75, 177.75, 240.0, 240.0]
    assert (cells(floor), panels(floor)) == (12, 10)
    assert line(floor, "adhesive_tube") == (2832 * 16, 6)
    assert line(floor, "sheathing_nail") == (506, 1)


def test_bill(floor: FloorResult) -> None:
    assert bill(floor) == {
        "1000S162-54": 2478.0,
        "bearing_clip:1000": 14,
        "clip_angle:1000": 14 + 6,
        "solid_block:1000S162-54": 3,
        "ladder_block:1000S162-54": 6,
        "strap": 249.75,
        "rim_stick:16": 2,
        "rim_stick:20": 2,
        "sheathing_panel": 10,
        "steel_screw": 70 + 70 + 12 + 60,
        "wood_screw": 140,
        "bearing_nail": 28 + 24 + 4,
        "strap_screw": 14 + 10,
    }
    assert boxes(floor) == {"steel_screw": 1, "wood_screw": 1, "bearing_nail": 1, "strap_screw": 1}
