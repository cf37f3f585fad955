"""A floor laid elsewhere: turned, mirrored, in millimetres. What must stay, stays; what may differ is said.

Changing x and y over, or mirroring across the joists together with the start edge, changes no piece at all. A floor
mirrored along the joists has its printed ends (R9), its lap's shifted side (R5), its hole grid and the greedy parts
of long through pieces on other pieces; without laps and pieces near the longest it has the same pieces.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from hypothesis import assume, given

from framing.engine.document import read_document, to_plan
from framing.engine.floor import FloorPlan, Joint, SupportKind
from framing.engine.geometry import Point
from framing.engine.members import BayLayout
from framing.engine.standing import stood_on
from tests.engine.properties.documents import document
from tests.engine.properties.floor_moves import Move
from tests.engine.properties.laying import PRACTICE, laid, times
from tests.engine.properties.sketches import real_floors

SWAP, ACROSS, ALONG = Move(swap=True), Move(flip_x=True), Move(flip_y=True)
AWAY = Move(by=Point(-7001, 3333))


def in_frame(layouts: tuple[BayLayout, ...]) -> list[tuple[object, ...]]:
    """Every member in its bay's own frame, without the numbers of outline edges and with holes and marks."""
    return [
        (
            m.id, m.mark, m.plies, m.centre_16, m.low_16, m.high_16, m.low.kind, m.high.kind, m.low.face_16,
            m.high.face_16, m.line, m.shifted, m.holes_16, m.sequence, m.why,
        )
        for layout in layouts
        for m in layout.members
    ]  # fmt: skip


def stood(plan: FloorPlan, layouts: tuple[BayLayout, ...]) -> list[tuple[object, ...]]:
    """The member under each point load, the place on it and the distance from it."""
    found = stood_on(plan, layouts, PRACTICE)
    return [(s.index, s.member.id, s.place_16, s.off_16) for s in found]


def counts(layouts: tuple[BayLayout, ...]) -> Counter[tuple[object, ...]]:
    return Counter((m.bay, m.kind, m.plies, m.length_16) for layout in layouts for m in layout.members)


def all_along_y(plan: FloorPlan) -> bool:
    return all(bay.axis == "y" for bay in plan.bays)


@times(1000)
@given(drawn=real_floors())
def test_changing_x_and_y_over_changes_no_piece(drawn: FloorPlan) -> None:
    turned = SWAP.floor(drawn)
    plain, there = laid(drawn), laid(turned)
    assert in_frame(plain) == in_frame(there)
    assert stood(drawn, plain) == stood(turned, there)


@times(300)
@given(drawn=real_floors())
def test_a_floor_elsewhere_on_the_sheet_has_the_same_bill(drawn: FloorPlan) -> None:
    assert counts(laid(drawn)) == counts(laid(AWAY.floor(drawn)))


@times(1000)
@given(drawn=real_floors())
def test_mirroring_across_with_the_start_edge_changes_no_piece(drawn: FloorPlan) -> None:
    assume(all_along_y(drawn))  # joists along x are mirrored along by this
    mirrored = ACROSS.floor(drawn)
    plain, there = laid(drawn), laid(mirrored)
    assert in_frame(plain) == in_frame(there)
    assert stood(drawn, plain) == stood(mirrored, there)


@times(1000)
@given(drawn=real_floors())
def test_mirroring_along_leaves_counts_of_unlapped_floors_alone(drawn: FloorPlan) -> None:
    assume(all_along_y(drawn))
    inner = [s for s in drawn.supports if s.kind is not SupportKind.FLUSH_BEAM]
    assume(all(s.joint is not Joint.LAP for s in inner))
    corners = [p.y_16 for p in drawn.outline]
    assume(max(corners) - min(corners) < PRACTICE.longest_piece_16)
    assert counts(laid(drawn)) == counts(laid(ALONG.floor(drawn)))


@times(1000)
@given(drawn=real_floors(parts=False))
def test_mirroring_a_lapped_floor_along_keeps_the_joists_of_every_station(drawn: FloorPlan) -> None:
    """Which line is shifted changes, so ends at skewed walls may; the joists that each station has do not."""
    assume(all_along_y(drawn))
    corners = [p.y_16 for p in drawn.outline]
    assume(max(corners) - min(corners) < PRACTICE.longest_piece_16)
    plain, mirrored = laid(drawn), laid(ALONG.floor(drawn))
    assume(not any(layout.left_out for layout in (*plain, *mirrored)))
    stations = [
        Counter(
            (m.bay, m.kind, m.plies, m.station, frozenset({m.low.kind, m.high.kind}))
            for layout in layouts
            for m in layout.members
        )
        for layouts in (plain, mirrored)
    ]
    assert stations[0] == stations[1]


@times(300)
@given(drawn=real_floors())
def test_the_units_of_the_drawing_change_no_piece(drawn: FloorPlan) -> None:
    """The same floor written in inches and in millimetres (1/16 in is 1.5875 mm) is the same plan."""
    for units in ("imperial", "metric"):
        plan = to_plan(read_document(document(drawn, units)), PRACTICE)
        # An edge's kind and width are written out, so that both are what was drawn.
        assert replace(plan, units=drawn.units, name=drawn.name) == drawn
        assert in_frame(laid(plan)) == in_frame(laid(drawn))
