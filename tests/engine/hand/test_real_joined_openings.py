"""Openings that share a border are one opening (R7): two halves are framed and fitted out as the whole.

20'-0" x 16'-0", joists along y at 16 in, 1000S162-54. Whole: 36 x 80 at x 90..126, y 56..136. Trimmers 85.625..88.875
and 127.125..130.375 (centres 87.25, 128.75), headers 51.625..54.875 and 137.125..140.375 (53.25, 138.75) from 89.25 to
126.75; tails 96 and 112. 128 lies within the high trimmer and goes.
"""

from __future__ import annotations

import pytest

from framing.engine.errors import FloorRefused
from framing.engine.members import MemberKind
from framing.engine.placement import Item
from framing.engine.result import FloorResult
from tests.engine.hand.floors_on_paper import count, cut, designed, members
from tests.engine.hand.real_floors import bill, rectangle


def with_openings(*openings: tuple[str, str, str, str, str]) -> FloorResult:
    return designed(
        name="Joined",
        outline=rectangle(240, 192),
        openings=[
            {"id": f"O{i}", "kind": kind, "corner": [x, y], "size": [w, d]}
            for i, (kind, x, y, w, d) in enumerate(openings)
        ],
        bays=[{"id": "A", "direction": "y", "spacing": "16", "profile": "1000S162-54"}],
    )


WHOLE = ("stair", "90", "56", "36", "80")
HALVES = {
    "along": (("stair", "90", "56", "36", "40"), ("stair", "90", "96", "36", "40")),
    "across": (("stair", "90", "56", "20", "80"), ("stair", "110", "56", "16", "80")),
    "overlapping": (("stair", "90", "56", "36", "60"), ("stair", "90", "80", "36", "56")),
    "one of them a stair": (("shaft", "90", "56", "36", "40"), ("stair", "90", "96", "36", "40")),
}


@pytest.mark.parametrize("halves", HALVES.values(), ids=HALVES)
def test_two_halves_are_the_whole(halves: tuple[tuple[str, str, str, str, str], ...]) -> None:
    floor = with_openings(*halves)
    assert cut(members(floor, MemberKind.TRIMMER)) == [(87.25, 1.5, 190.5), (128.75, 1.5, 190.5)]
    assert cut(members(floor, MemberKind.HEADER)) == [(53.25, 89.25, 126.75), (138.75, 89.25, 126.75)]
    tails = [m for m in members(floor, MemberKind.JOIST) if m.length_16 < 189 * 16]
    assert [x for x, _, _ in cut(tails)] == [96.0, 96.0, 112.0, 112.0]
    assert 128 * 16 not in {m.centre_16 for m in members(floor, MemberKind.JOIST)}
    assert bill(floor) == bill(with_openings(WHOLE))
    assert count(floor, Item.BACKING_SHEET) == {"": 1}


def test_two_shafts_have_no_stair_boards() -> None:
    floor = with_openings(("shaft", "90", "56", "36", "40"), ("shaft", "90", "96", "36", "40"))
    assert count(floor, Item.BACKING_SHEET) == {}
    assert cut(members(floor, MemberKind.HEADER)) == [(53.25, 89.25, 126.75), (138.75, 89.25, 126.75)]


def test_what_fills_no_rectangle_is_refused() -> None:
    with pytest.raises(FloorRefused):
        with_openings(WHOLE, ("stair", "126", "56", "20", "40"))
