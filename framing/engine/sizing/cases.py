"""Members of equal case held together: one of them stands for all of one profile, spans, loads, holes (R17)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from framing.engine.floor import FloorPlan
from framing.engine.members import BayLayout, EndKind, Member, MemberKind
from framing.engine.practice import Practice
from framing.engine.sizing.checks import hole_places_in
from framing.engine.sizing.kept import Kept
from framing.engine.sizing.tributary import Carried, carried_on

_DIGITS = 6  # equal cases may differ by rounding alone


@dataclass(frozen=True, slots=True)
class Case:
    """Members that share one check; `first` stands for all of them."""

    members: tuple[str, ...]
    first: Carried
    holes_in: tuple[float, ...]

    @property
    def member(self) -> Member:
        return self.first.member

    @property
    def is_tail(self) -> bool:
        return _is_tail(self.member)


def _is_tail(member: Member) -> bool:
    return EndKind.HEADER in (member.low.kind, member.high.kind)


def is_built_up(plan: FloorPlan, layout: BayLayout, member: Member) -> bool:
    """Whether a member may take more plies than it has: trimmers, headers, beams, joists under bearing partitions."""
    if member.kind is not MemberKind.JOIST or member.plies > layout.bay.plies:
        return True
    across = layout.frame.across_16
    return member.plies > 1 and any(
        wall.bearing and across(wall.start) == across(wall.end) == member.centre_16
        for wall in plan.partitions
    )


def cases_of(
    plan: FloorPlan, layout: BayLayout, practice: Practice, layouts: Sequence[BayLayout] = ()
) -> tuple[Case, ...]:
    """Cases of a bay in the order in which their first members come; the latest floors' are kept.

    `layouts` are those of all bays of the floor, for what hangs on a flush beam from another bay; none = one bay.
    """
    return cases_on(plan, practice, *(layouts or (layout,)))[layout.bay.id]


def _cases_on(plan: FloorPlan, practice: Practice, *layouts: BayLayout) -> Mapping[str, tuple[Case, ...]]:
    """Cases of every bay of a floor, by bay id."""
    carried = loads_on(plan, practice, *layouts)
    return {layout.bay.id: _grouped(some) for layout, some in zip(layouts, carried, strict=True)}


def _loads_on(plan: FloorPlan, practice: Practice, *layouts: BayLayout) -> tuple[tuple[Carried, ...], ...]:
    """Loads and demand of every member, bay by bay."""
    return carried_on(plan, layouts, practice)


cases_on = Kept(_cases_on, 16)
loads_on = Kept(_loads_on, 16)


def same_loads(
    plan: FloorPlan, practice: Practice, known: Sequence[BayLayout], alike: Sequence[BayLayout]
) -> None:
    """Take over what is known of a floor for one whose members differ in profile, holes and marks alone."""
    loads_on.keep(
        tuple(
            tuple(
                replace(carried, member=member) for carried, member in zip(some, layout.members, strict=True)
            )
            for some, layout in zip(loads_on(plan, practice, *known), alike, strict=True)
        ),
        plan,
        practice,
        *alike,
    )


def _grouped(members: Sequence[Carried]) -> tuple[Case, ...]:
    groups: dict[object, list[Carried]] = {}
    alike: dict[object, list[Carried]] = {}  # worked out once already: no need to compare figures
    for carried in members:
        member = carried.member
        quick = (
            id(carried.model), member.kind, _is_tail(member), member.profile, member.plies, member.holes_16,
            member.low_16,
        )  # fmt: skip
        if quick not in alike:
            alike[quick] = groups.setdefault(_key(carried), [])
        alike[quick].append(carried)
    return tuple(
        Case(
            tuple(c.member.id for c in group),
            group[0],
            hole_places_in(group[0].member.holes_16, group[0].member.low_16),
        )
        for group in groups.values()
    )


def _key(carried: Carried) -> object:
    """What makes two cases equal: makings, counts, places from the first support on, loads; but for rounding."""
    member, model = carried.member, carried.model
    holes = hole_places_in(member.holes_16, member.low_16)
    places = [*model.supports_in, *model.ends_in, *model.braces_in, *holes]
    loads = [model.top_free_in]
    for line in model.lines:
        places += line.low_in, line.high_in
        loads += (*line.dead_ends_lb_in, *line.live_ends_lb_in)
    for point in model.points:
        places.append(point.at_in)
        loads += point.dead_lb, point.live_lb
    start = model.supports_in[0]
    return (
        (member.kind, _is_tail(member), member.profile, member.plies, carried.seats),
        (len(model.supports_in), len(model.braces_in), len(holes), len(model.lines)),
        tuple([round(place - start, _DIGITS) for place in places]),
        tuple([round(load, _DIGITS) for load in loads]),
    )
