"""Choice of a profile (R18): every profile at every spacing, failing ones with the reason."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from framing.engine.catalogue import Catalogue, JoistProfile
from framing.engine.floor import FloorPlan
from framing.engine.members import BayLayout, MemberKind
from framing.engine.practice import Practice
from framing.engine.result import Check, Option
from framing.engine.sizing.answers import vibration_of
from framing.engine.sizing.cases import Case, cases_of, is_built_up
from framing.engine.sizing.figure import Figure
from framing.engine.sizing.figures import figures
from framing.engine.sizing.kept import Kept
from framing.engine.sizing.matrix import CHECKS, Ratios, Row, Worst, loads_of, ratios, worst
from framing.engine.sizing.strengths import strength_of
from framing.engine.units import SIXTEENTHS_PER_INCH, feet

SPACINGS_IN = (Fraction(12), Fraction(16), Fraction(96, 5), Fraction(24))


def options(
    plan: FloorPlan,
    layout: BayLayout,
    catalogue: Catalogue,
    practice: Practice,
    layouts: Sequence[BayLayout] = (),
) -> tuple[Option, ...]:
    """All profiles at the four spacings for a laid-out bay: passing by weight, then failing by ratio (R18).

    Joist loads are scaled from the bay's own spacing (never down under a partition along a joist or over a part
    of its strip); built-up members may take as many plies as the practice allows. Weight is the steel of joists,
    trimmers and headers, with the number of joists scaled: an estimate until that option is laid out. `layouts` are
    those of all bays of the floor; none = one bay.
    """
    trial = _trial_of(plan, layout, catalogue, practice, layouts)
    return tuple(sorted(trial.options(SPACINGS_IN), key=_order))


def choose_profile(
    plan: FloorPlan,
    layout: BayLayout,
    catalogue: Catalogue,
    practice: Practice,
    layouts: Sequence[BayLayout] = (),
    depth_16: int | None = None,
) -> str:
    """The bay's fixed profile, else the lightest that passes at its spacing, else the one nearest to passing.

    `layouts` are those of all bays of the floor; none = one bay. `depth_16` leaves profiles of that depth only.
    Raises UnknownProfile for a fixed profile that the catalogue does not hold.
    """
    if layout.bay.profile is not None:
        return catalogue.profile(layout.bay.profile).designator
    trial = _trial_of(plan, layout, catalogue, practice, layouts)
    spacing = layout.bay.spacing_16 / SIXTEENTHS_PER_INCH
    found = [
        option
        for option in trial.options((spacing,))
        if depth_16 in (None, catalogue.profile(option.profile).depth_16)
    ]
    return min(found, key=_order).profile


@dataclass(frozen=True, slots=True)
class _Trial:
    """A laid-out bay on which every profile is tried; what no spacing changes is found once.

    Attributes:
        joists_16, others_16: length of all joists, and of what the spacing leaves alone.
        found: ratios of every case on every profile at the bay's own spacing.
    """

    plan: FloorPlan
    layout: BayLayout
    profiles: tuple[JoistProfile, ...]
    practice: Practice
    cases: tuple[Case, ...]
    found: Ratios
    joists_16: int
    others_16: int

    def options(self, spacings_in: Sequence[Fraction]) -> tuple[Option, ...]:
        """One option for each profile and spacing, unordered."""
        own = self.layout.bay.spacing_16
        factors = [float(spacing * SIXTEENTHS_PER_INCH / own) for spacing in spacings_in]
        scales = np.array([[_scale(case, factor) for factor in factors] for case in self.cases])
        top = worst(self.found, scales.reshape(len(self.cases), len(factors)))
        return tuple(
            self._option(profile, float(spacing), factors[j], top, (i, j))
            for i, profile in enumerate(self.profiles)
            for j, spacing in enumerate(spacings_in)
        )

    def _option(
        self, profile: JoistProfile, spacing_in: float, factor: float, top: Worst, at: tuple[int, int]
    ) -> Option:
        ratio, name, reason = float(top.ratio[at]), CHECKS[top.check[at]], ""
        if ratio > 1 or top.check[at] < 0:
            figure = self._figure(profile, self.cases[top.member[at]], factor)
            name, reason = figure.name, over_words(figure) if ratio > 1 else ""
        for check in self._vibration(profile, spacing_in):
            if check.ratio > ratio:
                ratio, name, reason = check.ratio, check.name, "" if check.passes else over_words(check)
        return Option(
            bay=self.layout.bay.id,
            profile=profile.designator,
            spacing_in=spacing_in,
            passes=ratio <= 1,
            ratio=ratio,
            governing=name,
            reason=reason,
            weight_lb=(feet(self.joists_16) / factor + feet(self.others_16)) * profile.weight_plf,
        )

    def _figure(self, profile: JoistProfile, case: Case, factor: float) -> Figure:
        """The governing check of a case, in full."""
        row = _row(self.plan, self.layout, case, self.practice)
        held = figures(
            row.demand,
            strength_of(profile, self.practice),
            row.plies,
            self.practice,
            row.seats,
            scale=_scale(case, factor),
            holes_in=row.holes_in,
        )
        return max(held, key=lambda figure: figure.ratio)

    def _vibration(self, profile: JoistProfile, spacing_in: float) -> Iterator[Check]:
        """What the practice set asks of vibration, for every case that is walked on."""
        practice = self.practice
        if practice.vibration_point_load or practice.vibration_walking or practice.vibration_unit_impulse:
            for case in self.cases:
                for check in vibration_of(self.plan, self.layout, case, profile, practice, spacing_in):
                    if check.required:
                        yield check


def _trial_of(
    plan: FloorPlan,
    layout: BayLayout,
    catalogue: Catalogue,
    practice: Practice,
    layouts: Sequence[BayLayout],
) -> _Trial:
    return _trial(plan, layout, catalogue.profiles, practice, *(layouts or (layout,)))


def _tried(
    plan: FloorPlan,
    layout: BayLayout,
    profiles: tuple[JoistProfile, ...],
    practice: Practice,
    *layouts: BayLayout,
) -> _Trial:
    cases = cases_of(plan, layout, practice, layouts)
    loads = loads_of([_row(plan, layout, case, practice) for case in cases])
    strengths = [strength_of(profile, practice) for profile in profiles]
    joists = sum(m.length_16 * m.plies for m in layout.members if m.kind is MemberKind.JOIST)
    others = sum(
        m.length_16 * m.plies
        for m in layout.members
        if m.kind in (MemberKind.TRIMMER, MemberKind.HEADER, MemberKind.BEAM)
    )
    found = ratios(loads, strengths, practice)
    return _Trial(plan, layout, profiles, practice, cases, found, joists, others)


_trial = Kept(_tried, 16)


def _row(plan: FloorPlan, layout: BayLayout, case: Case, practice: Practice) -> Row:
    """A case with as many plies as it may take; the bay's joists have theirs."""
    member = case.member
    built_up = is_built_up(plan, layout, member)
    plies = max(member.plies, practice.plies_most) if built_up else member.plies
    return Row(case.first.demand, plies, case.first.seats, case.holes_in)


def _scale(case: Case, ratio_of_spacing: float) -> float:
    """Factor on a case's loads at another spacing; not under 1 where a partition would weigh as much on it."""
    scale = ratio_of_spacing if case.member.kind is MemberKind.JOIST else 1.0
    return max(scale, 1.0) if case.first.drawn_stays else scale


def _order(option: Option) -> tuple[bool, float, str, float]:
    return (
        not option.passes,
        option.weight_lb if option.passes else option.ratio,
        option.profile,
        option.spacing_in,
    )


def over_words(check: Check | Figure) -> str:
    """What is over what, and by which clause."""
    unit = f" {check.unit}" if check.unit else ""
    return f"{check.name}: {check.demand:.3g}{unit} is over {check.capacity:.3g}{unit} ({check.clause})."
