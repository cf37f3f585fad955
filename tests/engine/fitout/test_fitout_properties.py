"""What must hold on any floor: made-up rectangles and Ls with stairs, walls and ledgers, really laid out."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from framing.engine.catalogue import load_catalogue
from framing.engine.fitout import fit_out
from framing.engine.floor import (
    Bay,
    DeadLayer,
    Edge,
    EdgeKind,
    FloorPlan,
    Joint,
    LoadCase,
    Opening,
    OpeningKind,
    Support,
    SupportKind,
)
from framing.engine.geometry import Point, Rect, signed_area_2
from framing.engine.placement import Item, Placed
from framing.engine.practice import Practice
from tests.engine.fitout.builders import PROFILE, bill_of, laid

PRACTICE = Practice()
SPACINGS = [Fraction(n) * 16 for n in (12, 16, Fraction("19.2"), 24)]


@dataclass(frozen=True)
class Sketch:
    """A floor in a corner's own terms, in inches: joists along the second axis, stations from 0."""

    width: int
    depth: int
    notch: tuple[int, int] | None
    wall: int | None
    joint: Joint
    stair: tuple[int, int, int, int] | None
    ledger: bool
    spacing_16: Fraction


@st.composite
def sketches(draw: st.DrawFn) -> Sketch:
    width, depth = draw(st.integers(120, 640)), draw(st.integers(100, 420))
    notch = None
    if draw(st.booleans()):
        notch = draw(st.integers(60, width - 48)), draw(st.integers(48, depth - 48))
    wall = depth // 2 if depth > 200 and notch is None and draw(st.booleans()) else None
    stair = None
    reach = wall or depth
    if width > 200 and reach > 140 and notch is None and draw(st.booleans()):
        across, along = draw(st.integers(36, 60)), draw(st.integers(40, reach - 90))
        x = draw(st.integers(40, width - across - 40))
        stair = x, draw(st.integers(30, reach - along - 30)), across, along
    joint = draw(st.sampled_from(list(Joint)))
    return Sketch(
        width, depth, notch, wall, joint, stair, draw(st.booleans()), draw(st.sampled_from(SPACINGS))
    )


def build(sketch: Sketch, *, mirror: bool = False, turn: bool = False) -> FloorPlan:
    """The sketch as a floor; mirrored across the joists, or with x and y changed over."""

    def at(x: int, y: int) -> Point:
        x = sketch.width - x if mirror else x
        return Point(y * 16, x * 16) if turn else Point(x * 16, y * 16)

    corners = [(0, 0), (sketch.width, 0), (sketch.width, sketch.depth), (0, sketch.depth)]
    if sketch.notch:
        a, b = sketch.notch
        corners[2:3] = [(sketch.width, b), (a, b), (a, sketch.depth)]
    first = EdgeKind.BALLOON if sketch.ledger else EdgeKind.PLATFORM
    kinds = [
        EdgeKind.PARALLEL if p[0] == q[0] else first if p[1] == q[1] == 0 else EdgeKind.PLATFORM
        for p, q in zip(corners, corners[1:] + corners[:1], strict=True)
    ]
    ring = [at(*corner) for corner in corners]
    if signed_area_2(tuple(ring)) < 0:
        ring = ring[:1] + ring[:0:-1]
        kinds.reverse()
    supports, openings = (), ()
    if sketch.wall:
        ends = at(0, sketch.wall), at(sketch.width, sketch.wall)
        supports = (Support("W1", SupportKind.WALL, *ends, 56, sketch.joint),)
    if sketch.stair:
        x, y, across, along = sketch.stair
        p, q = at(x, y), at(x + across, y + along)
        rect = Rect(
            Point(min(p.x_16, q.x_16), min(p.y_16, q.y_16)), Point(max(p.x_16, q.x_16), max(p.y_16, q.y_16))
        )
        openings = (Opening("S", "Stair", OpeningKind.STAIR, rect),)
    return FloorPlan(
        name="Made up",
        level="1",
        units="imperial",
        outline=tuple(ring),
        edges=tuple(Edge(i, kind, 88) for i, kind in enumerate(kinds)),
        bays=(
            Bay(
                "A",
                (),
                "x" if turn else "y",
                "high" if mirror else "low",
                sketch.spacing_16,
                sketch.spacing_16,
                PROFILE,
            ),
        ),
        load_case=LoadCase("Living area", 40.0, (DeadLayer("Floor", 10.0),)),
        supports=supports,
        openings=openings,
    )


def place(floor: FloorPlan) -> tuple[Placed, ...]:
    return fit_out(floor, [laid(floor)], load_catalogue(), PRACTICE)[0]


@settings(max_examples=25, deadline=None)
@given(sketches())
def test_every_line_is_the_sum_of_its_terms_and_of_what_was_placed(sketch: Sketch) -> None:
    floor = build(sketch)
    placed = {thing.id: thing for thing in place(floor)}
    assert len(placed) == len(place(floor))
    members = {m.id: m for m in laid(floor).members}
    for code, line in bill_of(floor, laid(floor)).items():
        assert line.exact == sum(term.quantity for term in line.terms) > 0
        for term in line.terms:
            if code == PROFILE:
                counted = sum(members[p].length_16 * members[p].plies for p in term.places)
            else:
                counted = sum(placed[p].quantity for p in term.places)
            assert term.quantity == counted
    assert {p for line in bill_of(floor, laid(floor)).values() for t in line.terms for p in t.places} >= {
        thing.id for thing in placed.values() if thing.item is not Item.RIM_BOARD and _is_bought(thing)
    }


def _is_bought(thing: Placed) -> bool:
    return thing.item not in (Item.RIM_BOARD, Item.WEB_BACKING, Item.SHEATHING_CELL)


@settings(max_examples=25, deadline=None)
@given(sketches())
def test_mirrored_and_turned_floors_have_the_same_bill(sketch: Sketch) -> None:
    plain = {code: line.exact for code, line in bill_of(build(sketch), laid(build(sketch))).items()}
    for mirror, turn in ((True, False), (False, True), (True, True)):
        floor = build(sketch, mirror=mirror, turn=turn)
        assert {code: line.exact for code, line in bill_of(floor, laid(floor)).items()} == plain


@settings(max_examples=25, deadline=None)
@given(sketches())
def test_everything_lies_within_the_outline_and_no_strap_crosses_a_stair(sketch: Sketch) -> None:
    floor = build(sketch)
    for thing in place(floor):
        for point in (thing.at, thing.to or thing.at):
            assert 0 <= point.x_16 <= sketch.width * 16
            assert 0 <= point.y_16 <= sketch.depth * 16
        if thing.item is Item.STRAP and thing.to and sketch.stair:
            x, y, across, along = (n * 16 for n in sketch.stair)
            beside = thing.to.x_16 <= x or thing.at.x_16 >= x + across
            assert beside or not y < thing.at.y_16 < y + along


@settings(max_examples=25, deadline=None)
@given(sketches())
def test_boards_and_sheets_hold_what_is_cut_from_them(sketch: Sketch) -> None:
    floor = build(sketch)
    placed = place(floor)
    total = Counter[Item]()
    for thing in placed:
        total[thing.item] += thing.quantity
    bought = sum(int(p.size) * 192 for p in placed if p.item is Item.RIM_STICK)
    assert bought >= total[Item.RIM_BOARD]
    area_2 = signed_area_2(floor.outline)
    if sketch.stair:
        area_2 -= 2 * sketch.stair[2] * sketch.stair[3] * 256
    assert total[Item.SHEATHING_PANEL] * 2 * 768 * 1536 >= area_2
    assert total[Item.SHEATHING_PANEL] <= total[Item.SHEATHING_CELL]
    assert total[Item.BACKING_SHEET] == (1 if sketch.stair else 0) or total[Item.WEB_BACKING] > 4 * 1536


@settings(max_examples=25, deadline=None)
@given(sketches())
def test_clips_follow_member_ends(sketch: Sketch) -> None:
    floor = build(sketch)
    bay = laid(floor)
    ends = Counter(end.kind.value for m in bay.members for end in (m.low, m.high) for _ in range(m.plies))
    count = Counter(thing.item for thing in place(floor) if thing.rule == "R20")
    assert count[Item.BEARING_CLIP] == ends["platform"]
    assert count[Item.CLIP_ANGLE] == ends["balloon"] + ends["header"] + ends["trimmer"]


@settings(max_examples=20, deadline=None)
@given(sketches())
def test_same_floor_same_answer(sketch: Sketch) -> None:
    floor = build(sketch)
    assert place(floor) == place(replace(floor))
