"""Choice of profile and plies (R7, R18): every profile at every spacing, failing ones with the reason."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import ceil

from framing.engine.catalogue import Catalogue, JoistProfile
from framing.engine.errors import Problem
from framing.engine.floor import FloorPlan
from framing.engine.members import BayLayout, MemberKind
from framing.engine.practice import Practice
from framing.engine.result import Check, MemberCheck, Option
from framing.engine.sizing.cases import Case, cases_of
from framing.engine.sizing.checks import check_profile
from framing.engine.units import SIXTEENTHS_PER_INCH, feet, format_length

SPACINGS_IN = (Fraction(12), Fraction(16), Fraction(96, 5), Fraction(24))


def options(
    plan: FloorPlan, layout: BayLayout, catalogue: Catalogue, practice: Practice
) -> tuple[Option, ...]:
    """All profiles at the four spacings for a laid-out bay: passing by weight, then failing by ratio (R18).

    Joist loads are scaled from the bay's own spacing (partitions never down); built-up members may take as
    many plies as the practice allows. Weight is the steel of joists, trimmers and headers, with the number
    of joists scaled: an estimate until that option is laid out.
    """
    cases = cases_of(plan, layout)
    found = [
        _option(layout, cases, profile, spacing, practice)
        for profile in catalogue.profiles
        for spacing in SPACINGS_IN
    ]
    return tuple(sorted(found, key=_order))


def choose_profile(plan: FloorPlan, layout: BayLayout, catalogue: Catalogue, practice: Practice) -> str:
    """The bay's fixed profile, else the lightest that passes at its spacing, else the one nearest to passing.

    Raises UnknownProfile for a fixed profile that the catalogue does not hold.
    """
    if layout.bay.profile is not None:
        return catalogue.profile(layout.bay.profile).designator
    cases = cases_of(plan, layout)
    spacing = layout.bay.spacing_16 / SIXTEENTHS_PER_INCH
    found = [_option(layout, cases, profile, spacing, practice) for profile in catalogue.profiles]
    return min(found, key=_order).profile


def plies_needed(
    checks: Sequence[MemberCheck], practice: Practice
) -> tuple[dict[str, int], tuple[Problem, ...]]:
    """Plies that failing built-up members need, by member id; a problem where that is too many (R7).

    Single joists are left alone: they take a deeper profile or a closer spacing instead.
    """
    plies: dict[str, int] = {}
    problems: list[Problem] = []
    for check in checks:
        if check.passes or check.plies < 2:
            continue
        needed = ceil(check.checks[check.governing].ratio * check.plies)
        for member in check.members:
            plies[member] = min(needed, practice.plies_most)
            if needed > practice.plies_most:
                problems.append(_engineered(member, check, practice))
    return plies, tuple(problems)


def span_warnings(
    plan: FloorPlan, layouts: Sequence[BayLayout], catalogue: Catalogue, practice: Practice
) -> tuple[Problem, ...]:
    """R51: one warning for each bay whose largest clear span is unusual for its depth."""
    problems = []
    for index, layout in enumerate(layouts):
        span_16 = max((span.clear_16 for span in layout.spans), default=0)
        depth_16 = catalogue.profile(layout.profile).depth_16
        if span_16 > practice.unusual_span_over_depth * depth_16:
            problems.append(
                Problem(
                    f"bays.{index}",
                    f"Span {format_length(span_16, plan.units)} is {span_16 / depth_16:.1f} times the depth "
                    f"of {layout.profile}; over {practice.unusual_span_over_depth:g} is unusual: expect a "
                    "lively floor, or take a deeper joist.",
                )
            )
    return tuple(problems)


def _option(
    layout: BayLayout, cases: Sequence[Case], profile: JoistProfile, spacing: Fraction, practice: Practice
) -> Option:
    ratio_of_spacing = float(spacing * SIXTEENTHS_PER_INCH / layout.bay.spacing_16)
    worst = max(
        (check for case in cases for check in _case_checks(case, profile, ratio_of_spacing, practice)),
        key=lambda check: check.ratio,
        default=None,
    )
    passes = worst is None or worst.passes
    return Option(
        bay=layout.bay.id,
        profile=profile.designator,
        spacing_in=float(spacing),
        passes=passes,
        ratio=worst.ratio if worst else 0.0,
        governing=worst.name if worst else "",
        reason="" if passes or worst is None else _reason(worst),
        weight_lb=_weight_lb(layout, profile, ratio_of_spacing),
    )


def _case_checks(
    case: Case, profile: JoistProfile, ratio_of_spacing: float, practice: Practice
) -> tuple[Check, ...]:
    member = case.member
    joist = member.kind is MemberKind.JOIST
    scale = ratio_of_spacing if joist else 1.0
    if case.first.has_partition:
        scale = max(scale, 1.0)
    plies = max(member.plies, practice.plies_most) if member.plies > 1 or not joist else 1
    return check_profile(case.first.demand, profile, plies, practice, scale=scale, holes_in=case.holes_in)


def _weight_lb(layout: BayLayout, profile: JoistProfile, ratio_of_spacing: float) -> float:
    joists = sum(m.length_16 * m.plies for m in layout.members if m.kind is MemberKind.JOIST)
    others = sum(
        m.length_16 * m.plies
        for m in layout.members
        if m.kind in (MemberKind.TRIMMER, MemberKind.HEADER, MemberKind.BEAM)
    )
    return (feet(joists) / ratio_of_spacing + feet(others)) * profile.weight_plf


def _order(option: Option) -> tuple[bool, float, str, float]:
    return (
        not option.passes,
        option.weight_lb if option.passes else option.ratio,
        option.profile,
        option.spacing_in,
    )


def _reason(check: Check) -> str:
    unit = f" {check.unit}" if check.unit else ""
    return f"{check.name}: {check.demand:.3g}{unit} is over {check.capacity:.3g}{unit} ({check.clause})."


def _engineered(member: str, check: MemberCheck, practice: Practice) -> Problem:
    return Problem(
        member,
        f"{check.title}: {practice.plies_most} plies of {check.profile} do not carry it "
        f"({_reason(check.checks[check.governing])}) An engineered beam is needed.",
    )
