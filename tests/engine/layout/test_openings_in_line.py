"""Openings in line in one span: shared trimmers, trimmers on headers (R7), worked by hand in inches."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from framing.engine.errors import FloorRefused
from framing.engine.layout import ply_keys
from framing.engine.members import BayLayout, EndKind, MemberKind
from tests.engine.layout.builders import lay, rectangle
from tests.engine.layout.real import reach


def _opening(ident: str, x: float, y: float, width: float, length: float) -> dict[str, Any]:
    return {"id": ident, "name": ident, "kind": "shaft", "corner": [x, y], "size": [width, length]}


def _lay(*openings: dict[str, Any], **rest: Any) -> BayLayout:
    return lay(rectangle(240, 288, openings=list(openings), **rest))


def test_openings_of_one_width_share_both_trimmers() -> None:
    # Both x 40 to 80; y 20 to 100 and 180 to 260. Trimmers 35 5/8 to 38 7/8 and 81 1/8 to 84 3/8, once, full length.
    bay = _lay(_opening("S1", 40, 20, 40, 80), _opening("S2", 40, 180, 40, 80))
    trimmers = [m for m in bay.members if m.kind is MemberKind.TRIMMER]
    assert [reach(m) for m in trimmers] == [(37.25, 1.5, 286.5), (82.75, 1.5, 286.5)]
    first, second = bay.openings
    assert (first.trimmer_low, first.trimmer_high) == (second.trimmer_low, second.trimmer_high)
    headers = [m for m in bay.members if m.kind is MemberKind.HEADER]
    assert {(m.low_16 / 16, m.high_16 / 16) for m in headers} == {(39.25, 80.75)}
    # Tails at 48, 64 and 80: below to 20 - 4 3/8 - 3/8, between the headers from 104 3/4 to 175 1/4, above.
    joists = [m for m in bay.members if m.kind is MemberKind.JOIST and m.centre_16 == 48 * 16]
    assert {(m.low_16 / 16, m.high_16 / 16) for m in joists} == {
        (1.5, 15.25),
        (104.75, 175.25),
        (264.75, 286.5),
    }
    between = [m for m in bay.members if (m.low.kind, m.high.kind) == (EndKind.HEADER, EndKind.HEADER)]
    assert {m.centre_16 / 16 for m in between} == {48, 64, 80}


def test_a_narrower_opening_hangs_on_the_wider_ones_header() -> None:
    # S1 x 40 to 100, y 20 to 100; S2 x 60 to 76, y 160 to 200: its trimmers, 55 5/8 to 58 7/8 and 77 1/8 to 80 3/8, run
    # from S1's high header (far face 104 3/8) + 3/8 to the wall. The station at 80 has its centre in the second: gone
    # there, but not below S1; 64 lies between: two tails above S1.
    bay = _lay(_opening("S2", 60, 160, 16, 40), _opening("S1", 40, 20, 60, 80))
    hung = [m for m in bay.members if m.kind is MemberKind.TRIMMER and m.low.kind is EndKind.HEADER]
    assert [reach(m) for m in hung] == [(57.25, 104.75, 286.5), (78.75, 104.75, 286.5)]
    header = next(m.id for m in bay.members if m.kind is MemberKind.HEADER and m.centre_16 / 16 == 102.75)
    assert {m.low.host for m in hung} == {header}

    def tails(x: float) -> list[tuple[float, float]]:
        joists = [m for m in bay.members if m.kind is MemberKind.JOIST and m.centre_16 == x * 16]
        return sorted((m.low_16 / 16, m.high_16 / 16) for m in joists)

    assert tails(80) == [(1.5, 15.25)]
    assert tails(64) == [(1.5, 15.25), (104.75, 155.25), (204.75, 286.5)]
    assert tails(48) == [(1.5, 15.25), (104.75, 286.5)]


def test_a_tail_that_touches_a_hung_trimmer_moves_off_it() -> None:
    # S2 x 62 to 78: its first trimmer takes 57 5/8 to 60 7/8, the second 79 1/8 to 82 3/8. With the first station at
    # 8 3/4, 56 3/4 comes within a flange of the first: its tail above S1 moves to 57 5/8 - 13/16 = 56 13/16.
    bays = {"start": "low"}
    plan = rectangle(
        240, 288, openings=[_opening("S1", 40, 20, 60, 80), _opening("S2", 62, 160, 16, 40)], **bays
    )
    bay = lay(replace(plan, bays=(replace(plan.bays[0], offset_16=Fraction(144)),)))
    moved = [m for m in bay.members if "moved" in m.why and m.low.kind is EndKind.HEADER]
    assert [reach(m) for m in moved] == [(56.8125, 104.75, 286.5)]


def test_a_side_in_line_is_shared_and_the_other_hangs() -> None:
    bay = _lay(_opening("S1", 40, 20, 60, 80), _opening("S2", 40, 160, 20, 40))
    first, second = bay.openings
    assert first.trimmer_low == second.trimmer_low
    assert first.trimmer_high != second.trimmer_high
    # The one that both share answers to the wider opening's key.
    plan = rectangle(240, 288, openings=[_opening("S1", 40, 20, 60, 80), _opening("S2", 40, 160, 20, 40)])
    assert ply_keys(plan, bay)[first.trimmer_low or ""] == "S1:trimmer_low"


def test_an_opening_between_two_wider_ones_hangs_on_both() -> None:
    bay = _lay(
        _opening("S1", 40, 10, 60, 50), _opening("S2", 60, 120, 16, 30), _opening("S3", 40, 210, 60, 50)
    )
    hung = [m for m in bay.members if m.kind is MemberKind.TRIMMER and m.low.kind is EndKind.HEADER]
    assert {(m.low_16 / 16, m.high_16 / 16, m.high.kind) for m in hung} == {(64.75, 205.25, EndKind.HEADER)}


def test_headers_may_touch_and_then_no_tail_fits_between() -> None:
    # Two stand-offs and two headers take 8 3/4: from 100 to 108 3/4 the headers touch; 1/16 less and they clash.
    bay = _lay(_opening("S1", 40, 20, 40, 80), _opening("S2", 40, 108.75, 40, 60))
    assert not [m for m in bay.members if (m.low.kind, m.high.kind) == (EndKind.HEADER, EndKind.HEADER)]
    with pytest.raises(FloorRefused, match="in each other's way"):
        _lay(_opening("S1", 40, 20, 40, 80), _opening("S2", 40, 108.6875, 40, 60))


@pytest.mark.parametrize(
    "second",
    [
        _opening("S2", 41, 180, 30, 60),  # its trimmer would stand in the wider one's
        _opening("S2", 60, 180, 40, 60),  # staggered: each would have to hang on the other
        _opening("S2", 84, 60, 20, 80),  # side by side with 4 in between
    ],
)
def test_openings_that_can_not_be_framed_together_are_refused(second: dict[str, Any]) -> None:
    with pytest.raises(FloorRefused, match="S2 and opening S1 are in each other's way"):
        _lay(_opening("S1", 40, 20, 40, 80), second)


def test_a_bearing_between_them_parts_them() -> None:
    wall = {"id": "W1", "from": [0, 144], "to": [240, 144], "joint": "butt"}
    bay = _lay(_opening("S1", 40, 20, 40, 80), _opening("S2", 60, 180, 40, 80), supports=[wall])
    assert len({o.trimmer_low for o in bay.openings} | {o.trimmer_high for o in bay.openings}) == 4
