"""Every joist of a thousand real floors stands and ends where R3 to R5 put it, by an oracle that shares no code.

A thousand floors with SPANYARD_TEST_SCALE=1, a tenth of that without it. Floors without openings and partitions.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from math import floor

from hypothesis import given

from framing.engine.errors import FloorRefused
from framing.engine.floor import EdgeKind, FloorPlan, Joint, Support, SupportKind
from framing.engine.floor_checks import join_openings
from framing.engine.members import BayLayout, Member, MemberKind
from tests.engine.properties import oracle
from tests.engine.properties.floor_moves import Move, moves
from tests.engine.properties.laying import JOIST, lay, times
from tests.engine.properties.oracle import Piece
from tests.engine.properties.oracle_beams import beam_ends
from tests.engine.properties.oracle_openings import expected_with_openings
from tests.engine.properties.sketches import real_floors


def is_it(member: Member, piece: Piece, names: dict[str, str]) -> bool:
    """Whether a member is the piece that the oracle asks for: length to the sixteenth, ends within one."""
    ends = member.low.kind.value, member.high.kind.value
    hosts = tuple(names.get(end.host, end.host) for end in (member.low, member.high))
    return (
        (member.kind, member.bay, member.centre_16, ends, hosts)
        == (piece.kind, piece.bay, piece.centre, piece.ends, piece.hosts)
        and tuple(f"support:{c.support}" for c in member.crossings) == piece.crosses
        and member.length_16 == floor(piece.high - piece.low)
        and abs(member.low_16 - piece.low) < 1
        and abs(member.high_16 - piece.high) < 1
    )


def differences(layouts: tuple[BayLayout, ...], pieces: list[Piece]) -> list[object]:
    """Joists that are not asked for, and pieces asked for that stand nowhere."""
    names = {member: f"support:{support}" for layout in layouts for support, member in layout.beams}
    for framed in (framed for layout in layouts for framed in layout.openings):
        around = framed.trimmer_low, framed.trimmer_high, framed.header_low, framed.header_high
        names |= {member: f"opening:{framed.opening}" for member in around if member is not None}
    found = [m for layout in layouts for m in layout.members if m.kind is not MemberKind.BEAM]
    missing: list[object] = []
    for piece in pieces:
        match = next((member for member in found if is_it(member, piece, names)), None)
        if match is not None:
            found.remove(match)
        elif not (piece.short or piece.doubtful):
            missing.append(piece)
    said = sum(len(layout.left_out) for layout in layouts)
    short = sum(piece.short for piece in pieces)
    if said != short and not any(piece.doubtful for piece in pieces):
        missing.append(f"{said} left out, {short} too short")
    return [*found, *missing]


def test_no_joist_differs_and_two_floors_in_three_are_laid() -> None:
    tally: Counter[str] = Counter()

    @times(1000, least=60)
    @given(drawn=real_floors(parts=False), move=moves())
    def compare(drawn: FloorPlan, move: Move) -> None:
        plan = move.floor(drawn)
        tally["drawn"] += 1
        try:
            layouts = lay(plan)
            pieces = oracle.expected(plan)
        except FloorRefused:
            return
        except oracle.NoAnswer as left_open:
            tally[str(left_open)] += 1
            return
        assert differences(layouts, pieces) == []
        tally["laid"] += 1

    compare()
    assert JOIST.flange_16 == oracle.FLANGE
    assert 3 * tally["laid"] >= 2 * tally["drawn"], tally


def butted(plan: FloorPlan) -> FloorPlan:
    """The floor without partitions and free edges, its joists butted over every bearing."""
    edges = tuple(replace(e, kind=EdgeKind.PLATFORM) if e.kind is EdgeKind.FREE else e for e in plan.edges)
    supports = tuple(replace(s, joint=Joint.BUTT) for s in plan.supports)
    return replace(plan, edges=edges, supports=supports, partitions=())


def test_no_joist_differs_round_openings() -> None:
    """Joists, tails, trimmers and headers (R7) of floors whose spans have pieces of their own."""
    tally: Counter[str] = Counter()

    @times(1000, least=60)
    @given(drawn=real_floors(openings=1), move=moves())
    def compare(drawn: FloorPlan, move: Move) -> None:
        plan = join_openings(butted(move.floor(drawn)))
        try:
            layouts = lay(plan)
            pieces = expected_with_openings(plan)
        except FloorRefused:
            return
        except oracle.NoAnswer as left_open:
            tally[str(left_open)] += 1
            return
        assert differences(layouts, pieces) == []
        tally["with openings" if plan.openings else "without"] += 1

    compare()
    assert tally["with openings"] >= 10


def test_flush_beams_reach_from_bearing_to_bearing() -> None:
    """R4 at an outside wall, 3/16 in short of the centre at an inside one; centred on the drawn line."""
    tally: Counter[str] = Counter()

    @times(500)
    @given(drawn=real_floors(parts=False), move=moves())
    def compare(drawn: FloorPlan, move: Move) -> None:
        plan = move.floor(drawn)
        try:
            layouts = lay(plan)
        except FloorRefused:
            return
        made = {m.id: (layout, m) for layout in layouts for m in layout.members if m.kind is MemberKind.BEAM}
        named = {support: member for layout in layouts for support, member in layout.beams}
        assert sorted(made) == sorted(named.values())
        for support in plan.supports:
            if support.kind is SupportKind.FLUSH_BEAM:
                layout, beam = made[named[support.id]]
                _agree(plan, support, layout, beam)
                tally["beams"] += 1

    compare()
    assert tally["beams"] > 0


def _agree(plan: FloorPlan, support: Support, layout: BayLayout, beam: Member) -> None:
    """A beam against its line and its ends on the plan."""
    ends = [(p.x_16, p.y_16) for p in beam.plan_ends(layout.frame)]
    along, across = (1, 0) if layout.frame.axis == "x" else (0, 1)
    assert {p[across] for p in ends} == {(support.start.x_16, support.start.y_16)[across]}
    low, high = beam_ends(plan, support, beam.width_16)
    got = sorted(p[along] for p in ends)
    assert got[1] - got[0] == floor(high - low)
    assert abs(got[0] - low) < 1
    assert abs(got[1] - high) < 1
