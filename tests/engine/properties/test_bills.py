"""What a real floor's bill says is what was placed on it; where the floor lies and in which units changes no number."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from hypothesis import assume, given

from framing.engine.catalogue import load_catalogue
from framing.engine.errors import FloorRefused
from framing.engine.floor import FloorPlan
from framing.engine.pipeline import design_floor
from framing.engine.placement import Item
from framing.engine.result import FloorResult
from tests.engine.properties.floor_moves import Move, moves
from tests.engine.properties.laying import PRACTICE, times
from tests.engine.properties.sketches import real_floors

CATALOGUE = load_catalogue()
ON_PLAN_ONLY = (Item.RIM_BOARD, Item.WEB_BACKING, Item.SHEATHING_CELL)
"""Cut from what is bought: the bill carries the sticks, sheets and panels."""
SLACK = PRACTICE.rim_thickness_16
"""A board at a skewed edge is placed by its middle, whose ends lie beside the edge's corners."""


def designed(plan: FloorPlan) -> FloorResult:
    try:
        return design_floor(plan, CATALOGUE, PRACTICE)
    except FloorRefused:
        assume(False)
        raise


def totals(floor: FloorResult) -> dict[str, int]:
    return {line.code: line.exact for line in floor.bill}


@times(400)
@given(drawn=real_floors(), move=moves())
def test_the_bill_is_the_sum_of_what_was_placed(drawn: FloorPlan, move: Move) -> None:
    floor = designed(move.floor(drawn))
    placed = {thing.id: thing for thing in floor.placed}
    assert len(placed) == len(floor.placed)
    pieces = Counter(piece.member for piece in floor.pieces)
    members = {member.id: member for member in floor.members}
    assert pieces == Counter({member.id: member.plies for member in floor.members})
    named: set[str] = set()
    for line in floor.bill:
        assert line.exact == sum(term.quantity for term in line.terms) > 0
        for term in line.terms:
            lengths = [members[p].length_16 * members[p].plies for p in term.places if p in members]
            counts = [placed[p].quantity for p in term.places if p in placed]
            assert len(lengths) + len(counts) == len(term.places)
            assert term.quantity == sum(lengths) + sum(counts), line.code
            named.update(term.places)
    assert named >= set(members)
    assert named >= {thing.id for thing in floor.placed if thing.item not in ON_PLAN_ONLY}


@times(200)
@given(drawn=real_floors())
def test_units_and_turning_the_sheet_leave_the_bill_alone(drawn: FloorPlan) -> None:
    plain = totals(designed(drawn))
    assert totals(designed(replace(drawn, units="metric"))) == plain
    assert totals(designed(Move(swap=True).floor(drawn))) == plain


@times(200)
@given(drawn=real_floors())
def test_mirroring_across_with_the_start_edge_leaves_the_bill_alone(drawn: FloorPlan) -> None:
    assume(all(bay.axis == "y" for bay in drawn.bays))
    assert totals(designed(Move(flip_x=True).floor(drawn))) == totals(designed(drawn))


@times(200)
@given(drawn=real_floors(), move=moves())
def test_everything_placed_lies_on_the_floor_or_its_member_is_said_not_to(
    drawn: FloorPlan, move: Move
) -> None:
    plan = move.floor(drawn)
    x = [p.x_16 for p in plan.outline]
    y = [p.y_16 for p in plan.outline]
    result = designed(plan)
    said = {w.message.split()[0] for w in result.warnings if "stands in the rim board" in w.message}
    for thing in (one for one in result.placed if one.host not in said):
        for at in (thing.at, thing.to or thing.at):
            assert min(x) - SLACK <= at.x_16 <= max(x) + SLACK, thing
            assert min(y) - SLACK <= at.y_16 <= max(y) + SLACK, thing
