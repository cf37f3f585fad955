"""The answers for all members of a floor: their checks by case, and holes that fail one (R10, R16, R17)."""

from __future__ import annotations

from collections.abc import Sequence

from framing.engine.catalogue import Catalogue, JoistProfile
from framing.engine.errors import Problem
from framing.engine.floor import FloorPlan
from framing.engine.loads import INCHES_PER_FOOT
from framing.engine.members import BayLayout
from framing.engine.practice import Practice
from framing.engine.regions import regions_of
from framing.engine.result import Check, MemberCheck
from framing.engine.sizing.case_words import inputs, notes, title, uplift
from framing.engine.sizing.cases import Case, cases_of, is_built_up
from framing.engine.sizing.checks import check_profile, governing
from framing.engine.sizing.figure import ELASTIC_MODULUS_PSI
from framing.engine.sizing.hole_checks import hole_refusal
from framing.engine.sizing.strengths import strength_of
from framing.engine.units import SIXTEENTHS_PER_INCH, inches
from framing.engine.vibration import vibration_checks


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
        inputs=inputs(plan, layout, case),
    )
    checks += vibration_of(plan, layout, case, profile, practice)
    return MemberCheck(
        members=case.members,
        title=title(case, plan.units),
        profile=member.profile,
        plies=member.plies,
        span_in=max(demand.spans_in),
        checks=checks,
        governing=governing(checks),
        notes=notes(plan, case, profile, practice),
        warnings=uplift(case),
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
    if is_built_up(plan, layout, member) or case.is_tail:
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
