"""What holds for every floor that can be built."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from framing.engine.errors import FloorRefused
from framing.engine.floor import FloorPlan
from framing.engine.layout import layout_floor, layout_warnings
from framing.engine.members import BayLayout, EndKind, Member, MemberKind
from tests.engine.layout.builders import JOIST, PRACTICE, STEEL
from tests.engine.layout.floors import Shape, plan_of, shapes

FLANGE = JOIST.flange_16
WIDEST_MOVE = 66
"""R3 moves a station by at most rim 1 1/8 and 3 in, 66 sixteenths."""
COMMON = settings(max_examples=60, deadline=None)


def _laid(plan: FloorPlan | None) -> BayLayout:
    """The floor's bay; floors that can't be laid are no example."""
    assume(plan is not None)
    assert plan is not None
    try:
        (bay,) = layout_floor(plan, STEEL, PRACTICE)
    except FloorRefused:
        assume(False)
        raise
    return bay


def _runners(bay: BayLayout) -> list[Member]:
    return sorted((m for m in bay.members if m.runs == "along"), key=lambda m: m.centre_16)


@COMMON
@given(shape=shapes(steps=False, openings=False))
def test_no_gap_over_the_spacing_in_a_rectangle(shape: Shape) -> None:
    bay = _laid(plan_of(shape))
    for line in {member.line for member in bay.members}:
        # The rims close the row at both sides; a shifted line is measured from its own stations.
        row = [m.centre_16 - (FLANGE if m.shifted else 0) for m in _runners(bay) if m.line == line]
        gaps = [b - a for a, b in pairwise([0, *row, shape.width])]
        assert max(gaps) <= shape.spacing + 1  # stations at 19.2 in are rounded to the sixteenth
        assert min(gaps) > 0


@COMMON
@given(shape=shapes(openings=False))
def test_steps_widen_a_gap_by_no_more_than_a_stations_move(shape: Shape) -> None:
    bay = _laid(plan_of(shape))
    for line in {member.line for member in bay.members}:
        row = [m.centre_16 - (FLANGE if m.shifted else 0) for m in _runners(bay) if m.line == line]
        assert all(b - a <= shape.spacing + WIDEST_MOVE + 1 for a, b in pairwise(row))


@COMMON
@given(shape=shapes())
def test_every_end_meets_what_it_names(shape: Shape) -> None:
    plan = plan_of(shape)
    bay = _laid(plan)
    assert plan is not None
    known = {m.id: m for m in bay.members}
    hosts = {f"edge:{e.index}" for e in plan.edges} | {f"support:{s.id}" for s in plan.supports}
    for member in bay.members:
        for end, cut, sign in ((member.low, member.low_16, 1), (member.high, member.high_16, -1)):
            if end.kind in (EndKind.HEADER, EndKind.TRIMMER):
                host = known[end.host]
                face = host.centre_16 + sign * (host.width_16 // 2)
                assert end.face_16 == face
                assert (cut - face) * sign == PRACTICE.end_clearance_16
            else:
                assert end.host in hosts
        assert member.length_16 > 0


@COMMON
@given(shape=shapes())
def test_clear_spans_are_positive_and_ends_bear(shape: Shape) -> None:
    for member in _laid(plan_of(shape)).members:
        assert member.low.face_16 < member.high.face_16
        if member.low.kind in (EndKind.PLATFORM, EndKind.LAP, EndKind.BUTT):
            assert member.low_16 < member.low.face_16
        if member.high.kind in (EndKind.PLATFORM, EndKind.LAP, EndKind.BUTT):
            assert member.high_16 > member.high.face_16


@COMMON
@given(shape=shapes(steps=False))
def test_members_do_not_stand_in_each_other(shape: Shape) -> None:
    plan = plan_of(shape)
    bay = _laid(plan)
    assert plan is not None
    words = [warning.message for warning in layout_warnings(plan, [bay], PRACTICE)]
    assert not [message for message in words if "each other" in message]


@COMMON
@given(shape=shapes())
def test_an_opening_stays_open(shape: Shape) -> None:
    bay = _laid(plan_of(shape))
    for framed in bay.openings:
        for member in bay.members:
            if member.runs == "along":
                across = (member.centre_16 - member.width_16 // 2, member.centre_16 + member.width_16 // 2)
                along = (member.low_16, member.high_16)
            else:
                across = (member.low_16, member.high_16)
                along = (member.centre_16 - member.width_16 // 2, member.centre_16 + member.width_16 // 2)
            beside = across[1] <= framed.across_low_16 or framed.across_high_16 <= across[0]
            clear = along[1] <= framed.along_low_16 or framed.along_high_16 <= along[0]
            # An opening whose edge lies on a bearing may meet the next span's joists there; that is a warning.
            on_bearing = {EndKind.LAP, EndKind.BUTT} & {member.low.kind, member.high.kind}
            assert beside or clear or on_bearing


def _counts(bay: BayLayout) -> Counter[tuple[MemberKind, int, int]]:
    return Counter((m.kind, m.plies, m.length_16) for m in bay.members)


def _places(bay: BayLayout) -> list[tuple[object, ...]]:
    """Members in the bay's own frame; only the outline's edge numbers may differ."""
    return [
        (m.id, m.plies, m.centre_16, m.low_16, m.high_16, m.low.kind, m.high.kind, m.line, m.why)
        for m in bay.members
    ]


@COMMON
@given(shape=shapes(), start=st.sampled_from(("low", "high")))
def test_turning_the_floor_leaves_every_piece_alone(shape: Shape, start: str) -> None:
    side = "low" if start == "low" else "high"
    plain, turned = (_laid(plan_of(shape, turned=turn, start=side)) for turn in (False, True))
    assert _places(plain) == _places(turned)


@COMMON
@given(shape=shapes())
def test_mirroring_across_with_the_start_side_leaves_every_piece_alone(shape: Shape) -> None:
    plain = _laid(plan_of(shape))
    mirrored = _laid(plan_of(shape, mirror_x=True, start="high"))
    assert _places(plain) == _places(mirrored)


@COMMON
@given(shape=shapes(steps=False))
def test_mirroring_along_leaves_counts_of_unlapped_floors_alone(shape: Shape) -> None:
    # In a lapped floor the shifted line changes sides, and with it which joist meets a trimmer.
    plain, mirrored = (_laid(plan_of(shape, mirror_y=mirror)) for mirror in (False, True))
    assume(not any(m.shifted for m in plain.members))
    assert _counts(plain) == _counts(mirrored)


@COMMON
@given(shape=shapes(steps=False, openings=False))
def test_the_start_side_leaves_counts_of_a_rectangle_alone(shape: Shape) -> None:
    assert _counts(_laid(plan_of(shape))) == _counts(_laid(plan_of(shape, start="high")))


@COMMON
@given(shape=shapes())
def test_spans_cover_what_joists_span(shape: Shape) -> None:
    bay = _laid(plan_of(shape))
    strips = [strip for span in bay.spans for strip in span.reach]
    for span in bay.spans:
        assert span.clear_16 == max(high - low for _, _, low, high in span.reach)
    for member in bay.members:
        if member.kind is MemberKind.TRIMMER:
            station = member.centre_16
            assert any(
                a <= station < b and (low, high) == (member.low.face_16, member.high.face_16)
                for a, b, low, high in strips
            )
