"""Members of equal case held together: one answer for all of one profile, spans, loads, holes (R17)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from framing.engine.catalogue import Catalogue, JoistProfile
from framing.engine.errors import Problem
from framing.engine.floor import FloorPlan, Units
from framing.engine.loads import INCHES_PER_FOOT, LineLoad, live_psf
from framing.engine.members import BayLayout, EndKind, Member, MemberKind
from framing.engine.practice import Practice
from framing.engine.regions import regions_of
from framing.engine.result import Check, MemberCheck
from framing.engine.sizing.checks import Inputs, check_profile, governing, hole_places_in
from framing.engine.sizing.figure import ELASTIC_MODULUS_PSI
from framing.engine.sizing.hole_checks import hole_refusal, holes_unchecked
from framing.engine.sizing.kept import Kept
from framing.engine.sizing.seats import seat_notes
from framing.engine.sizing.strengths import strength_of
from framing.engine.sizing.tributary import Carried, carried_on
from framing.engine.units import SIXTEENTHS_PER_INCH, format_length, inches
from framing.engine.vibration import vibration_checks

_KIND_WORDS = {
    MemberKind.JOIST: "Joist",
    MemberKind.TRIMMER: "Trimmer",
    MemberKind.HEADER: "Header",
    MemberKind.BEAM: "Flush beam",
    MemberKind.BLOCK: "Block",
}
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


def check_members(
    plan: FloorPlan, layouts: Sequence[BayLayout], catalogue: Catalogue, practice: Practice
) -> tuple[MemberCheck, ...]:
    """Check every member that spans, one answer for each case (R17, R19). Raises UnknownProfile."""
    return tuple(
        _check(plan, layout, case, catalogue.profile(case.member.profile), practice)
        for layout in layouts
        for case in cases_of(plan, layout, practice, layouts)
    )


def case_warnings(checks: Sequence[MemberCheck]) -> tuple[Problem, ...]:
    """What somebody must see to, each sentence once with the case it was said of first."""
    found: dict[str, MemberCheck] = {}
    for check in checks:
        for warning in check.warnings:
            found.setdefault(warning, check)
    return tuple(Problem(check.members[0], f"{check.title}: {words}") for words, check in found.items())


def holes_matter(plan: FloorPlan, layouts: Sequence[BayLayout], practice: Practice) -> bool:
    """Whether service holes can change the choice of a profile: where force goes into a bare web."""
    return any(
        case.first.seats.bears for layout in layouts for case in cases_of(plan, layout, practice, layouts)
    )


def holes_left_out(
    plan: FloorPlan, layouts: Sequence[BayLayout], catalogue: Catalogue, practice: Practice
) -> dict[str, dict[int, str]]:
    """Holes that fail a check, by member: place from the printed end and reason (R10)."""
    found: dict[str, dict[int, str]] = {}
    for layout in layouts:
        for case in cases_of(plan, layout, practice, layouts):
            failing = _failing_holes(case, catalogue.profile(case.member.profile), practice)
            if failing:
                found |= dict.fromkeys(case.members, failing)
    return found


def _failing_holes(case: Case, profile: JoistProfile, practice: Practice) -> dict[int, str]:
    member, first = case.member, case.first
    strength = strength_of(profile, practice)
    reasons = {
        hole_16: hole_refusal(first.demand, strength, member.plies, first.seats, hole_in, practice)
        for hole_16, hole_in in zip(member.holes_16, case.holes_in, strict=True)
    }
    return {hole_16: reason for hole_16, reason in reasons.items() if reason}


def _check(
    plan: FloorPlan, layout: BayLayout, case: Case, profile: JoistProfile, practice: Practice
) -> MemberCheck:
    member, demand = case.member, case.first.demand
    checks = check_profile(
        demand,
        profile,
        member.plies,
        practice,
        seats=case.first.seats,
        holes_in=case.holes_in,
        inputs=_inputs(plan, layout, case),
    )
    checks += vibration_of(plan, layout, case, profile, practice)
    return MemberCheck(
        members=case.members,
        title=_title(case, plan.units),
        profile=member.profile,
        plies=member.plies,
        span_in=max(demand.spans_in),
        checks=checks,
        governing=governing(checks),
        notes=(*_seat_notes(plan, case), *_hole_notes(case, profile, practice)),
        warnings=_uplift(case),
    )


def vibration_of(
    plan: FloorPlan,
    layout: BayLayout,
    case: Case,
    profile: JoistProfile,
    practice: Practice,
    spacing_in: float | None = None,
) -> tuple[Check, ...]:
    """Vibration of a joist's longest span; what carries others, partitions' joists and tails are not walked on alone.

    `spacing_in` tries another spacing than the bay's own.
    """
    member = case.member
    plies = layout.bay.plies
    if member.kind is not MemberKind.JOIST or member.plies > plies or case.is_tail:
        return ()
    strength = strength_of(profile, practice)
    spacing = spacing_in or float(layout.bay.spacing_16) / SIXTEENTHS_PER_INCH
    steel_psf = profile.weight_plf * plies * INCHES_PER_FOOT / spacing
    region = next(region for region in regions_of(plan) if region.bay == layout.bay.id)
    across = [layout.frame.across_16(point) for point in region.ring]
    return vibration_checks(
        max(case.first.demand.spans_in),
        spacing,
        ELASTIC_MODULUS_PSI * strength.effective_inertia_in4 * plies,
        max(plan.load_on(layout.bay).dead_psf, steel_psf),  # no floor weighs less than its steel
        inches(max(across) - min(across)),
        practice,
    )


def _seat_notes(plan: FloorPlan, case: Case) -> tuple[str, ...]:
    walls = frozenset(partition.id for partition in plan.partitions)
    return seat_notes(case.member, case.first.model, case.first.seats, walls)


def _hole_notes(case: Case, profile: JoistProfile, practice: Practice) -> tuple[str, ...]:
    strength = strength_of(profile, practice)
    if not (case.holes_in and holes_unchecked(strength, practice)):
        return ()
    words = (
        "Holes stand by the limits of IRC R505.2.6.1 alone: AISI S100 G3 has no number for webs over h/t 200, "
        f"and this one has {strength.web_slenderness:.0f}. Have the engineer confirm them."
    )
    return (words,)


def _uplift(case: Case) -> tuple[str, ...]:
    """Bearings that load on other spans lifts off, to be tied down; headers and beams that it pulls up, to check."""
    member, pulls = case.member, case.first.demand.uplift_lb
    hung = {1: member.low, len(pulls): member.high}
    ends = {number: end for number, end in hung.items() if end.kind in (EndKind.HEADER, EndKind.FLUSH)}
    return tuple(
        f"Load on other spans pulls {ends[number].host} up by {force:.0f} lb: the engine does not check it and its "
        "clips for that; have the engineer confirm them."
        if number in ends
        else f"Live load on other spans lifts this member off its bearing {number} by {force:.0f} lb: tie it down."
        for number, force in enumerate(pulls, start=1)
        if force > 0
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


def _title(case: Case, units: Units) -> str:
    words = "Tail joist" if case.is_tail else _KIND_WORDS[case.member.kind]
    plies = f", {case.member.plies}-ply" if case.member.plies > 1 else ""
    return f"{words}{plies}, {_spans(case, units)}"


def _spans(case: Case, units: Units) -> str:
    demand = case.first.demand
    spans, tips = (
        [format_length(round(length * SIXTEENTHS_PER_INCH), units) for length in lengths]
        for lengths in (demand.spans_in, demand.overhangs_in)
    )
    over = [f"{'overhangs' if len(tips) > 1 else 'overhang'} {' + '.join(tips)}"] if tips else []
    return ", ".join([f"{'spans' if len(spans) > 1 else 'span'} {' + '.join(spans)}", *over])


def _inputs(plan: FloorPlan, layout: BayLayout, case: Case) -> Inputs:
    spacing = float(layout.bay.spacing_16) / SIXTEENTHS_PER_INCH
    load = plan.load_on(layout.bay)
    rows = [
        ("Spans", _spans(case, plan.units).split(" ", 1)[1]),
        ("Spacing", f"{spacing:g} in"),
        ("Live load", f"{live_psf(load):g} psf"),
        ("Dead load", f"{load.dead_psf:g} psf"),
    ]
    if case.first.demand.overhangs_in:
        rows.append(("Length that limits divide at a tip", "twice the overhang (IBC Table 1604.3)"))
    widest = max((max(_loads_at_ends(line)) for line in case.first.model.lines), default=0.0)
    rows.append(("Largest line load", f"{widest * INCHES_PER_FOOT:.1f} lb per ft"))
    rows += [
        (
            f"Point load of {p.source}",
            f"{p.dead_lb + p.live_lb:.0f} lb at {p.at_in - case.first.model.supports_in[0]:.1f} in",
        )
        for p in case.first.model.points
    ]
    return tuple(rows)


def _loads_at_ends(line: LineLoad) -> tuple[float, float]:
    (dead, dead_end), (live, live_end) = line.dead_ends_lb_in, line.live_ends_lb_in
    return dead + live, dead_end + live_end
