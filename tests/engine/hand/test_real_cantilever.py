"""Joists run out 2 ft over a wall on paper: 16'-0" x 15'-0", joists along y at 16 in, 1000S162-54.

In inches: x 0..192, y 0..180; the far edge (y 180) is free; wall W below, 5 1/2 wide, faces 150.5 and 156, drawn with a
lap, but the bearing next to a free edge is passed in one piece.

R3: 16 ... 176: 11. R4: 1.5..178.5 = 177, one mark, 1947.
R10: hole centres 17.5..138.5; on the overhang 156 + 12 = 168 to 178.875 - 12 = 166.875: none. Six holes need the first
one at 17.5 to 18.5: the whole inch is 18: 18 ... 138.
R20: 11 bearing clips at y 0 (55, 55); 11 clip angles at the free rim (55 steel, 55 wood). R21: y 0 11, W crossed 11:
44; none at the free rim. R23: none.
R24: 5.5..150.5 = 145: 1 line, y 78; overhang 156..178.875 = 22.9: none.
R25: 24, 120, 168: 3, 12 steel. R26: gaps 72.5: 1 + 1 + 1 a side; overhang 22.9: none: 6 clip angles, 60 steel, 24
nails.
R27: 189.75 + 12 = 201.75; screws 11 + 2 x (3 + 2) = 21; 4 nails.
R28: y 0 and the free edge, which joists end on, run through: 192 each; sides 177.75: four in 192 each: 4 of 16.
R30: 192: 96, 96; 48, 96, 48: 2 a row, 4 rows: 8, 10 cells.
R31: steel 55 + 55 + 12 + 60 = 182 -> 191.1: 1; wood 110: 1; nails 44 + 24 + 4 = 72: 1; strap 21: 1.
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
    members,
    panels,
    pieces,
    spots,
)
from tests.engine.hand.real_floors import bill, boxes, cells, rectangle


@pytest.fixture(scope="module", params=["lap", "butt", "through"])
def floor(request: pytest.FixtureRequest) -> FloorResult:
    wall = {"id": "W", "from": ["0", "153.25"], "to": ["192", "153.25"], "width": "5.5"}
    return designed(
        name="Cantilever",
        outline=rectangle(192, 180),
        edges=[{"edge": 2, "kind": "free"}],
        supports=[{"joint": request.param, **wall}],
        bays=[{"id": "A", "direction": "y", "spacing": "16", "profile": "1000S162-54"}],
    )


def test_joists(floor: FloorResult) -> None:
    joists = members(floor, MemberKind.JOIST)
    assert cut(joists) == [(16.0 * k, 1.5, 178.5) for k in range(1, 12)]
    assert {(m.high.kind, inches(m.high.face_16)) for m in joists} == {(EndKind.FREE, 178.875)}
    crossed = {
        (c.support, inches(c.low_face_16), inches(c.high_face_16)) for m in joists for c in m.crossings
    }
    assert crossed == {("W", 150.5, 156.0)}
    assert pieces(floor) == {("1J01", 177.0): 11}
    assert {tuple(holes(m)) for m in joists} == {(18.0, 42.0, 66.0, 90.0, 114.0, 138.0)}


def test_bridging(floor: FloorResult) -> None:
    assert [inches(entry.along_16) for entry in floor.lines] == [78.0]
    assert sorted(y for _, y in spots(floor, Item.LADDER_BLOCK)) == [41.75, 41.75, 78.0, 78.0, 114.25, 114.25]


def test_boards_and_sheathing(floor: FloorResult) -> None:
    assert lengths(floor, Item.RIM_BOARD) == [177.75, 177.75, 192.0, 192.0]
    assert (cells(floor), panels(floor)) == (10, 8)


def test_bill(floor: FloorResult) -> None:
    assert bill(floor) == {
        "1000S162-54": 1947.0,
        "bearing_clip:1000": 11,
        "clip_angle:1000": 11 + 6,
        "solid_block:1000S162-54": 3,
        "ladder_block:1000S162-54": 6,
        "strap": 201.75,
        "rim_stick:16": 4,
        "sheathing_panel": 8,
        "steel_screw": 55 + 55 + 12 + 60,
        "wood_screw": 55 + 55,
        "bearing_nail": 44 + 24 + 4,
        "strap_screw": 11 + 10,
    }
    assert boxes(floor) == {"steel_screw": 1, "wood_screw": 1, "bearing_nail": 1, "strap_screw": 1}
