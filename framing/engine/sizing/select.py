"""Choice of profile and plies (R7, R18): every profile at every spacing, failing ones with the reason."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import ceil

from framing.engine.catalogue import Catalogue, JoistProfile
from framing.engine.errors import Problem
from framing.engine.floor import FloorPlan
from framing.engine.members import BayLayout, MemberKind
from framing.engine.practice import Practice
from framing.engine.result import Check, MemberCheck, Option
from framing.engine.sizing.cases import Case, cases_of
from framing.engine.sizing.checks import Figure, figures
from framing.engine.units import SIXTEENTHS_PER_INCH, feet, format_length

SPACINGS_IN = (Fraction(12), Fraction(16), Fraction(96, 5), Fraction(24))
_ROUNDING = 1e-9  # far over what rounding makes of a ratio


def options(
    plan: FloorPlan, layout: BayLayout, catalogue: Catalogue, practice: Practice
) -> tuple[Option, ...]:
    """All profiles at the four spacings for a laid-out bay: passing by weight, then failing by ratio (R18).

    Joist loads are scaled from the bay's own spacing (partitions never down); built-up members may take as
    many plies as the practice allows. Weight is the steel of joists, trimmers and headers, with the number
    of joists scaled: an estimate until that option is laid out.
    """
    trial = _trial(plan, layout, catalogue.profiles, practice)
    found = [trial.option(profile, spacing) for profile in catalogue.profiles for spacing in SPACINGS_IN]
    return tuple(sorted(found, key=_order))


def choose_profile(plan: FloorPlan, layout: BayLayout, catalogue: Catalogue, practice: Practice) -> str:
    """The bay's fixed profile, else the lightest that passes at its spacing, else the one nearest to passing.

    Raises UnknownProfile for a fixed profile that the catalogue does not hold.
    """
    if layout.bay.profile is not None:
        return catalogue.profile(layout.bay.profile).designator
    trial = _trial(plan, layout, catalogue.profiles, practice)
    spacing = layout.bay.spacing_16 / SIXTEENTHS_PER_INCH
    return min((trial.option(profile, spacing) for profile in catalogue.profiles), key=_order).profile


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


@dataclass(frozen=True, slots=True)
class _Trial:
    """A laid-out bay on which any profile is tried; what no spacing changes is found once.

    Attributes:
        joists_16, others_16: length of all joists, and of what the spacing leaves alone.
        hole_shears: by hole length, the shear at each case's holes.
        units: by profile, each case's largest ratio at the bay's own spacing. All ratios of a case grow in
            step with its loads, so these tell which cases can govern at another spacing.
    """

    layout: BayLayout
    cases: tuple[Case, ...]
    practice: Practice
    joists_16: int
    others_16: int
    hole_shears: Mapping[float, tuple[float | None, ...]]
    units: Mapping[str, tuple[float, ...]]

    def option(self, profile: JoistProfile, spacing: Fraction) -> Option:
        bay = self.layout.bay
        ratio_of_spacing = float(spacing * SIXTEENTHS_PER_INCH / bay.spacing_16)
        worst = max(self._governing(profile, ratio_of_spacing), key=_ratio, default=None)
        passes = worst is None or worst.demand <= worst.capacity
        return Option(
            bay=bay.id,
            profile=profile.designator,
            spacing_in=float(spacing),
            passes=passes,
            ratio=_ratio(worst) if worst else 0.0,
            governing=worst.name if worst else "",
            reason="" if passes or worst is None else _reason(worst),
            weight_lb=(feet(self.joists_16) / ratio_of_spacing + feet(self.others_16)) * profile.weight_plf,
        )

    def _governing(self, profile: JoistProfile, ratio_of_spacing: float) -> Iterator[Figure]:
        """Figures of the cases that can govern, all within rounding of the largest ratio."""
        scales = [_scale(case, ratio_of_spacing) for case in self.cases]
        ratios = [unit * scale for unit, scale in zip(self.units[profile.designator], scales, strict=True)]
        least = max(ratios, default=0.0) * (1 - _ROUNDING)
        for index, ratio in enumerate(ratios):
            if ratio >= least:
                shear_lb = self.hole_shears[profile.hole_length_in][index]
                yield from _figures(self.cases[index], profile, self.practice, scales[index], shear_lb)


@lru_cache(maxsize=16)
def _trial(
    plan: FloorPlan, layout: BayLayout, profiles: tuple[JoistProfile, ...], practice: Practice
) -> _Trial:
    cases = cases_of(plan, layout)
    hole_shears = {
        length: tuple(case.first.demand.shear_at_holes_lb(case.holes_in, length) for case in cases)
        for length in dict.fromkeys(profile.hole_length_in for profile in profiles)
    }
    units = {
        profile.designator: tuple(
            max(map(_ratio, _figures(case, profile, practice, 1.0, shear_lb)))
            for case, shear_lb in zip(cases, hole_shears[profile.hole_length_in], strict=True)
        )
        for profile in profiles
    }
    joists = sum(m.length_16 * m.plies for m in layout.members if m.kind is MemberKind.JOIST)
    others = sum(
        m.length_16 * m.plies
        for m in layout.members
        if m.kind in (MemberKind.TRIMMER, MemberKind.HEADER, MemberKind.BEAM)
    )
    return _Trial(layout, cases, practice, joists, others, hole_shears, units)


def _figures(
    case: Case, profile: JoistProfile, practice: Practice, scale: float, hole_shear_lb: float | None
) -> Iterator[Figure]:
    member = case.member
    single = member.plies == 1 and member.kind is MemberKind.JOIST
    plies = 1 if single else max(member.plies, practice.plies_most)
    return figures(case.first.demand, profile, plies, practice, scale=scale, hole_shear_lb=hole_shear_lb)


def _scale(case: Case, ratio_of_spacing: float) -> float:
    """Factor on a case's loads at another spacing; what carries a partition is never scaled down."""
    scale = ratio_of_spacing if case.member.kind is MemberKind.JOIST else 1.0
    return max(scale, 1.0) if case.first.has_partition else scale


def _ratio(figure: Figure) -> float:
    return figure.demand / figure.capacity


def _order(option: Option) -> tuple[bool, float, str, float]:
    return (
        not option.passes,
        option.weight_lb if option.passes else option.ratio,
        option.profile,
        option.spacing_in,
    )


def _reason(check: Check | Figure) -> str:
    unit = f" {check.unit}" if check.unit else ""
    return f"{check.name}: {check.demand:.3g}{unit} is over {check.capacity:.3g}{unit} ({check.clause})."


def _engineered(member: str, check: MemberCheck, practice: Practice) -> Problem:
    return Problem(
        member,
        f"{check.title}: {practice.plies_most} plies of {check.profile} do not carry it "
        f"({_reason(check.checks[check.governing])}) An engineered beam is needed.",
    )
