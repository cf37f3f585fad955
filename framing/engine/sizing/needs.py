"""What a floor needs beyond each bay's choice: one depth, plies of what is built up; unusual spans (R7, R18, R51)."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from math import ceil

from framing.engine.catalogue import Catalogue, JoistProfile
from framing.engine.errors import Problem
from framing.engine.floor import FloorPlan
from framing.engine.members import BayLayout
from framing.engine.practice import Practice
from framing.engine.result import Check, MemberCheck
from framing.engine.sizing.figure import SECTION_LIMIT_UNITS
from framing.engine.sizing.select import choose_profile, over_words
from framing.engine.units import SIXTEENTHS_PER_INCH, format_length


def choose_profiles(
    plan: FloorPlan, layouts: Sequence[BayLayout], catalogue: Catalogue, practice: Practice
) -> dict[str, JoistProfile]:
    """The profile of every bay by its id, all of one depth: the deepest that any of them needs; fixed ones stay.

    Raises UnknownProfile.
    """
    chosen = {
        layout.bay.id: catalogue.profile(choose_profile(plan, layout, catalogue, practice, layouts))
        for layout in layouts
    }
    depth_16 = max(profile.depth_16 for profile in chosen.values())
    for layout in layouts:
        if chosen[layout.bay.id].depth_16 != depth_16:
            deeper = choose_profile(plan, layout, catalogue, practice, layouts, depth_16)
            chosen[layout.bay.id] = catalogue.profile(deeper)
    return chosen


def depth_warnings(layouts: Sequence[BayLayout], catalogue: Catalogue) -> tuple[Problem, ...]:
    """A fixed profile of another depth than the deepest of the floor: its bay's floor lies at another level."""
    depths = [catalogue.profile(layout.profile).depth_16 for layout in layouts]
    return tuple(
        Problem(
            f"bays.{index}.profile",
            f"Bay {layout.bay.id} is fixed to {layout.profile}, but the floor's joists are "
            f"{max(depths) / SIXTEENTHS_PER_INCH:g} in deep; choose that depth, or step the bearings.",
        )
        for index, (layout, depth) in enumerate(zip(layouts, depths, strict=True))
        if depth != max(depths)
    )


def plies_needed(
    checks: Sequence[MemberCheck], practice: Practice, built_up: Collection[str] | None = None
) -> tuple[dict[str, int], tuple[Problem, ...]]:
    """Plies that failing built-up members need, by member id; a problem where that is too many (R7).

    Single joists are left alone: they take a deeper profile or a closer spacing instead; so are the double joists
    of a bay. `built_up` are the members that may have more plies; None = all that have two or more.
    """
    plies: dict[str, int] = {}
    problems: list[Problem] = []
    for check in checks:
        mended = [c for c in check.checks if c.required and c.unit not in SECTION_LIMIT_UNITS]
        worst_load = max(mended, key=lambda c: c.ratio)
        if worst_load.passes or check.plies < 2:  # more plies do not mend a limit of the section
            continue
        needed = ceil(worst_load.ratio * check.plies)
        for member in check.members:
            if built_up is not None and member not in built_up:
                continue
            plies[member] = min(needed, practice.plies_most)
            if needed > practice.plies_most:
                problems.append(_engineered(member, check, worst_load, practice))
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


def _engineered(member: str, check: MemberCheck, worst_load: Check, practice: Practice) -> Problem:
    return Problem(
        member,
        f"{check.title}: {practice.plies_most} plies of {check.profile} do not carry it "
        f"({over_words(worst_load)}) An engineered beam is needed.",
    )
