"""No space between neighbours across is wider than the spacing, anywhere on any real floor.

Apart from what the rules say: a station moved at a step (R3) widens one by up to 4 1/8 in; where a trimmer or a
partition's joist took a station's place (R7, R8) by up to that member's width; between trimmers the opening is; and
pieces left out at skewed walls, which the floor reports. A shifted joist (R5) counts where its station is.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import shapely
from hypothesis import given

from framing.engine.floor import FloorPlan
from framing.engine.floor_checks import join_openings
from framing.engine.geometry import Axis, Frame, Point
from framing.engine.members import BayLayout, Member, MemberEnd, MemberKind
from tests.engine.properties.floor_moves import Move, moves
from tests.engine.properties.laying import laid, times
from tests.engine.properties.sketches import real_floors

WIDEST_MOVE = 66
PROBES = 14
BESIDE_OPENING = 18 + 3 * 26 + 6 + 128
"""Stand-off, a header of three plies, clearance, or the wall that the opening ends on: its frame reaches that far."""


@dataclass(frozen=True)
class Row:
    """A joist where it counts: its station's place on the plan, and the stretch that it carries, bearing to bearing.

    `stands` is where it stands itself; beside a skewed wall a shifted one may be the nearer one or the farther one.
    """

    place: float
    stands: float
    low: float
    high: float
    spacing: float
    slack: float


@dataclass(frozen=True)
class Laid:
    """A floor's joists of one direction."""

    plan: FloorPlan
    layouts: tuple[BayLayout, ...]
    axis: Axis
    rows: list[Row]

    @property
    def widest(self) -> float:
        return max(float(la.bay.spacing_16) for la in self.layouts if la.frame.axis == self.axis)


def _across(point: Point, axis: str) -> int:
    return point.x_16 if axis == "y" else point.y_16


def _along(point: Point, axis: str) -> int:
    return point.y_16 if axis == "y" else point.x_16


def _line_at(a: Point, b: Point, axis: str, across: float) -> float:
    run = _across(b, axis) - _across(a, axis)
    return _along(a, axis) + (_along(b, axis) - _along(a, axis)) * (across - _across(a, axis)) / run


def _bears_at(
    plan: FloorPlan, frame: Frame, member: Member, end: MemberEnd, known: dict[str, Any]
) -> list[float]:
    """Where along the joist what bears its end stands: on its own line, and where it counts."""
    places = {member.centre_16, member.centre_16 - (member.width_16 if member.shifted else 0)}
    lines = [_across(frame.point(place, 0), frame.axis) for place in places]
    return [_stands_at(plan, frame, end, across, known) for across in lines]


def _stands_at(plan: FloorPlan, frame: Frame, end: MemberEnd, across: float, known: dict[str, Any]) -> float:
    what, _, name = end.host.partition(":")
    if what == "edge":
        index = int(name)
        return _line_at(
            plan.outline[index], plan.outline[(index + 1) % len(plan.outline)], frame.axis, across
        )
    if what == "support":
        support = next(s for s in plan.supports if s.id == name)
        return _line_at(support.start, support.end, frame.axis, across)
    host, its = known[end.host]
    return float(_along(host.plan_ends(its)[0], frame.axis))


def _rows(plan: FloorPlan, layouts: tuple[BayLayout, ...], axis: str) -> list[Row]:
    known = {m.id: (m, layout.frame) for layout in layouts for m in layout.members}
    rows = []
    for layout in layouts:
        for member in layout.members if layout.frame.axis == axis else ():
            if member.runs == "across":
                continue
            unshifted = member.centre_16 - (member.width_16 if member.shifted else 0)
            place = _across(layout.frame.point(unshifted, 0), axis)
            low, high = (_bears_at(plan, layout.frame, member, e, known) for e in (member.low, member.high))
            ends = min(*low, member.low_16), max(*high, member.high_16)
            stands = _across(layout.frame.point(member.centre_16, 0), axis)
            rows.append(Row(place, stands, *ends, float(layout.bay.spacing_16), _slack(layout, member)))
    return rows


def _slack(layout: BayLayout, member: Member) -> float:
    """How much a member widens the spaces beside it: by its own move, or by the place that it takes from others."""
    if member.station is None:
        return (
            3 * 26 + 26 * layout.bay.plies if member.kind is MemberKind.TRIMMER or "R8" in member.why else 0
        )
    shift = member.width_16 if member.shifted else 0
    station = layout.bay.offset_16 + member.station * layout.bay.spacing_16
    return float(abs(member.centre_16 - shift - station))


def _grounds(plan: FloorPlan, axis: str) -> Any:
    """All floor whose joists run along an axis."""
    floor = shapely.Polygon([(p.x_16, p.y_16) for p in plan.outline])
    rings = [
        floor.intersection(shapely.Polygon([(p.x_16, p.y_16) for p in bay.ring])) if bay.ring else floor
        for bay in plan.bays
        if bay.axis == axis
    ]
    return shapely.union_all(rings).buffer(0.01, join_style="mitre").buffer(-0.01, join_style="mitre")


def _strips(ground: Any, axis: str, along: float) -> list[tuple[float, float]]:
    """Floor across the joists at one place along them."""
    ends = [(-99_000, along), (99_000, along)] if axis == "y" else [(along, -99_000), (along, 99_000)]
    cut = shapely.intersection(ground, shapely.LineString(ends))
    index = 0 if axis == "y" else 1
    lines = [part for part in shapely.get_parts(cut) if isinstance(part, shapely.LineString) and part.length]
    return sorted((min(c[index] for c in p.coords), max(c[index] for c in p.coords)) for p in lines)


def _probes(ground: Any, axis: str, rows: list[Row]) -> Iterator[float]:
    """Places along the joists between all ends, spread over the floor."""
    index = 1 if axis == "y" else 0
    stops = {end for row in rows for end in (row.low, row.high)}
    for part in shapely.get_parts(ground):
        stops |= {corner[index] for corner in part.exterior.coords}
    middles = [(a + b) / 2 for a, b in pairwise(sorted(stops)) if b - a > 1]
    step = max(1, len(middles) // PROBES)
    yield from middles[::step]


def _excused(floor: Laid, along: float, gap: tuple[float, float]) -> bool:
    """Whether an opening lies in a space, or a piece that was left out and reported."""
    for opening in floor.plan.openings:
        axis = floor.axis
        low, high = _along(opening.rect.low, axis), _along(opening.rect.high, axis)
        if low - BESIDE_OPENING <= along <= high + BESIDE_OPENING:
            sides = _across(opening.rect.low, axis), _across(opening.rect.high, axis)
            if gap[0] <= sides[1] and sides[0] <= gap[1]:
                return True
    for problem in (p for layout in floor.layouts for p in layout.left_out):
        assert problem.x_16 is not None
        assert problem.y_16 is not None
        at = _across(Point(problem.x_16, problem.y_16), floor.axis)
        if gap[0] - 78 <= at <= gap[1] + 78:
            return True
    return False


@times(1000)
@given(drawn=real_floors(), move=moves())
def test_no_space_is_wider_than_the_spacing(drawn: FloorPlan, move: Move) -> None:
    plan = join_openings(move.floor(drawn))
    layouts = laid(plan)
    for axis in dict.fromkeys(bay.axis for bay in plan.bays):
        ground, rows = _grounds(plan, axis), _rows(plan, layouts, axis)
        floor = Laid(plan, layouts, axis, rows)
        for along in _probes(ground, axis, rows):
            for low, high in _strips(ground, axis, along):
                _narrow(floor, along, (low, high))


def _near(row: Row, along: float) -> bool:
    return row.low - 10 * WIDEST_MOVE <= along <= row.high + 10 * WIDEST_MOVE


def _narrow(floor: Laid, along: float, strip: tuple[float, float]) -> None:
    """Every space of one strip of floor across the joists, from side to side."""
    here = sorted((r for r in floor.rows if r.low <= along <= r.high), key=lambda r: r.place)
    inside = [row for row in here if strip[0] - 80 <= row.place <= strip[1] + 80]
    sides = [Row(end, end, 0, 0, floor.widest, _slack_beside(floor, along, end)) for end in strip]
    for one, other in pairwise([sides[0], *inside, sides[1]]):
        most = max(one.spacing, other.spacing) + one.slack + other.slack + 1
        gap = one.place, other.place
        at_wall = one is sides[0] or other is sides[1]
        space = min(gap[1] - gap[0], other.stands - one.stands) if at_wall else gap[1] - gap[0]
        assert space <= most or _excused(floor, along, gap), (along, gap, most, floor.axis)


def _slack_beside(floor: Laid, along: float, end: float) -> float:
    """A moved or shifted joist may end on a skewed wall just before the place where its neighbours are looked at."""
    near = [r for r in floor.rows if abs(r.place - end) <= WIDEST_MOVE and _near(r, along)]
    return max((r.slack + abs(r.stands - r.place) for r in near), default=0.0)
