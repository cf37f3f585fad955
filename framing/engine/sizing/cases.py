"""Members of equal case held together: one answer for all of one profile, spans, loads, holes (R17)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from framing.engine.catalogue import Catalogue
from framing.engine.floor import FloorPlan, Units
from framing.engine.loads import INCHES_PER_FOOT, live_psf
from framing.engine.members import BayLayout, EndKind, Member, MemberKind
from framing.engine.practice import Practice
from framing.engine.result import MemberCheck
from framing.engine.sizing.checks import Inputs, check_profile, governing, hole_places_in
from framing.engine.sizing.tributary import Carried, carried_by
from framing.engine.units import SIXTEENTHS_PER_INCH, format_length

_KIND_WORDS = {
    MemberKind.JOIST: "Joist",
    MemberKind.TRIMMER: "Trimmer",
    MemberKind.HEADER: "Header",
    MemberKind.BEAM: "Beam",
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
        return EndKind.HEADER in (self.member.low.kind, self.member.high.kind)


@lru_cache(maxsize=16)
def cases_of(plan: FloorPlan, layout: BayLayout) -> tuple[Case, ...]:
    """Cases of a bay in the order in which their first members come; the latest layouts' are kept."""
    groups: dict[object, list[Carried]] = {}
    for carried in carried_by(plan, layout):
        groups.setdefault(_key(carried), []).append(carried)
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
        _check(plan, layout, case, catalogue, practice)
        for layout in layouts
        for case in cases_of(plan, layout)
    )


def _check(
    plan: FloorPlan, layout: BayLayout, case: Case, catalogue: Catalogue, practice: Practice
) -> MemberCheck:
    member, demand = case.member, case.first.demand
    checks = check_profile(
        demand,
        catalogue.profile(member.profile),
        member.plies,
        practice,
        holes_in=case.holes_in,
        inputs=_inputs(plan, layout, case),
    )
    return MemberCheck(
        members=case.members,
        title=_title(case, plan.units),
        profile=member.profile,
        plies=member.plies,
        span_in=max(demand.spans_in),
        checks=checks,
        governing=governing(checks),
    )


def _key(carried: Carried) -> object:
    """What makes two cases equal, with positions counted from the first support."""
    member, model = carried.member, carried.model
    start = model.supports_in[0]
    holes = hole_places_in(member.holes_16, member.low_16)
    tail = EndKind.HEADER in (member.low.kind, member.high.kind)
    return (
        (member.kind, tail, member.profile, member.plies),
        tuple(round(s - start, _DIGITS) for s in model.supports_in),
        tuple(
            tuple(
                round(v, _DIGITS) for v in (n.low_in - start, n.high_in - start, n.dead_lb_in, n.live_lb_in)
            )
            for n in model.lines
        ),
        tuple(
            tuple(round(v, _DIGITS) for v in (p.at_in - start, p.dead_lb, p.live_lb)) for p in model.points
        ),
        tuple(round(hole - start, _DIGITS) for hole in holes),
    )


def _title(case: Case, units: Units) -> str:
    words = "Tail joist" if case.is_tail else _KIND_WORDS[case.member.kind]
    plies = f", {case.member.plies}-ply" if case.member.plies > 1 else ""
    return f"{words}{plies}, {_spans(case, units)}"


def _spans(case: Case, units: Units) -> str:
    spans = [format_length(round(s * SIXTEENTHS_PER_INCH), units) for s in case.first.demand.spans_in]
    return f"{'spans' if len(spans) > 1 else 'span'} {' + '.join(spans)}"


def _inputs(plan: FloorPlan, layout: BayLayout, case: Case) -> Inputs:
    spacing = float(layout.bay.spacing_16) / SIXTEENTHS_PER_INCH
    load = plan.load_case
    rows = [
        ("Spans", _spans(case, plan.units).split(" ", 1)[1]),
        ("Spacing", f"{spacing:g} in"),
        ("Live load", f"{live_psf(load):g} psf"),
        ("Dead load", f"{load.dead_psf:g} psf"),
    ]
    if case.first.model.lines:
        widest = max(line.dead_lb_in + line.live_lb_in for line in case.first.model.lines)
        rows.append(("Largest line load", f"{widest * INCHES_PER_FOOT:.1f} lb per ft"))
    rows += [
        (
            f"Point load of {p.source}",
            f"{p.dead_lb + p.live_lb:.0f} lb at {p.at_in - case.first.model.supports_in[0]:.1f} in",
        )
        for p in case.first.model.points
    ]
    return tuple(rows)
