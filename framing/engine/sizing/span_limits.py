"""Longest spans of joists under uniform load by each rule alone (R15, R16), solved from the checks' formulas.

Closed forms where there are any, else bisection; NumPy arrays of profiles by spacings. Bearings are taken as
stiffened, so web crippling is not held; nor is a service hole.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from math import isfinite
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from framing.engine.errors import LoadRefused
from framing.engine.loads import INCHES_PER_FOOT, combinations
from framing.engine.method import Method
from framing.engine.section.shape import ELASTIC_MODULUS_KSI
from framing.engine.strength.flexure import moment_gradient
from framing.engine.strength.profile import LB_PER_KIP, ProfileStrength
from framing.engine.vibration.point_load import (
    M_PER_IN,
    NM2_PER_LB_IN2,
    point_load_deflection_mm,
    point_load_limit_mm,
)

Spans = Literal["single", "two"]
Numbers = NDArray[np.float64]

SPACINGS_IN: Final = (12.0, 16.0, 19.2, 24.0)
LIMIT_LEAST, LIMIT_MOST = 120, 2400
# From the support to the point of inflection of two equal spans under equal load, and the moments on the way
# at the support and the quarter points, all as shares of w L^2.
INFLECTION_SHARE = 0.25
_TOWARDS_INFLECTION = tuple(1 / 8 - 5 / 8 * s + s * s / 2 for s in (0.0, 1 / 16, 1 / 8, 3 / 16))
_PAST_LARGEST_SAG = 0.75  # of the span; the slope has turned there, and is 0 again only at the inner support
_STEPS = 60


@dataclass(frozen=True, slots=True)
class SpanCase:
    """What a span table is for.

    Attributes:
        dead_psf, live_psf, partition_psf: loads; the partition allowance counts as live load.
        live_limit, total_limit: span over deflection, 480 for L/480; 0 is switched off.
        spans: one span, or two equal ones in one piece; a two-span row gives the length of one.
        spacings_in: joist spacings.
        vibration_point_load: also hold the 1 kN limit, with the practice's share of the load.
        braced_support: the bottom flange is held at the inner support; else F2 is held up to the inflection.
        live_on_both: live deflection with both of two spans loaded, as some old tables have it; the engine's
            own rule is one.

    Raises LoadRefused for what no floor has.
    """

    dead_psf: float
    live_psf: float
    live_limit: int = 480
    total_limit: int = 240
    spans: Spans = "single"
    spacings_in: tuple[float, ...] = SPACINGS_IN
    method: Method = Method.ASD
    partition_psf: float = 0.0
    vibration_point_load: bool = False
    braced_support: bool = True
    live_on_both: bool = False

    def __post_init__(self) -> None:
        for thing, value in (("dead load", self.dead_psf), ("live load", self.live_psf)):
            _refuse_unless(isfinite(value) and value > 0, f"The {thing} is {value:g} psf", "over 0")
        allowance = self.partition_psf
        _refuse_unless(
            isfinite(allowance) and allowance >= 0,
            f"The partition allowance is {allowance:g} psf",
            "0 or over",
        )
        for thing, limit in (("live", self.live_limit), ("total", self.total_limit)):
            _refuse_unless(
                limit == 0 or LIMIT_LEAST <= limit <= LIMIT_MOST,
                f"The {thing} deflection limit is L/{limit:g}",
                f"0 (off) or L/{LIMIT_LEAST} to L/{LIMIT_MOST}",
            )
        _refuse_unless(self.spans in ("single", "two"), f"Spans “{self.spans}”", "single or two")
        _refuse_unless(bool(self.spacings_in), "A span table without a spacing", "given one")
        for spacing in self.spacings_in:
            _refuse_unless(isfinite(spacing) and spacing > 0, f"The spacing is {spacing:g} in", "over 0")

    @property
    def variable_psf(self) -> float:
        """Live load with the partition allowance."""
        return self.live_psf + self.partition_psf

    @property
    def strength_psf(self) -> float:
        """Largest factored load of the method's combinations."""
        return max(c.dead * self.dead_psf + c.live * self.variable_psf for c in combinations(self.method))


def span_limits(
    strengths: Sequence[ProfileStrength], case: SpanCase, point_load_share: float = 0.5
) -> dict[str, Numbers]:
    """Longest span in inches by each rule: for each name an array of strengths by spacings.

    Not rounded and not cut to any length; the smallest governs. Strengths must be those of the case's method.
    Raises LoadRefused for a share of the 1 kN load that is not over 0 and at most 1.
    """
    strip_in = np.array(case.spacings_in) / INCHES_PER_FOOT**2
    factored = case.strength_psf * strip_in
    local = _column(s.local_moment_kipin for s in strengths) * LB_PER_KIP
    distortional = _column(s.distortional_moment_kipin for s in strengths) * LB_PER_KIP
    shear = _column(s.shear_lb for s in strengths)
    limits = {
        "local": np.sqrt(8 * local / factored),
        "distortional": np.sqrt(8 * distortional / factored),
        "shear": shear / (factored * (0.5 if case.spans == "single" else 5 / 8)),
    }
    if case.spans == "two":
        limits["bending with shear"] = _bending_with_shear(factored, local, shear)
        if not case.braced_support:
            limits["lateral"] = _lateral(strengths, factored, limits["local"])
    stiffness = _column(s.effective_inertia_in4 for s in strengths) * ELASTIC_MODULUS_KSI * LB_PER_KIP
    limits |= _deflections(case, strip_in, stiffness)
    if case.vibration_point_load:
        limits["1 kN"] = _point_load(stiffness, point_load_share) + np.zeros_like(strip_in)
    return limits


def _refuse_unless(holds: bool, thing: str, must: str) -> None:
    if not holds:
        raise LoadRefused(f"{thing}; it must be {must}.")


def _column(values: Iterable[float]) -> Numbers:
    return np.array(list(values), dtype=np.float64)[:, np.newaxis]


def _bending_with_shear(load: Numbers, moment: Numbers, shear: Numbers) -> Numbers:
    """H2 at the inner support: (w L^2 / 8 Ma)^2 + (5 w L / 8 Va)^2 = 1, quadratic in L^2."""
    a, b = (load / (8 * moment)) ** 2, (5 * load / (8 * shear)) ** 2
    squared: Numbers = 2 / (b + np.sqrt(b**2 + 4 * a))
    return np.sqrt(squared)


def _lateral(strengths: Sequence[ProfileStrength], loads: Numbers, most: Numbers) -> Numbers:
    """F2 over the quarter span in which the bottom flange of two spans is in compression."""
    top, *quarters = _TOWARDS_INFLECTION
    cb = moment_gradient(top, *quarters)

    def one(strength: ProfileStrength, load: float, most_in: float) -> float:
        def held(span_in: float) -> bool:
            capacity = strength.lateral_moment_kipin(INFLECTION_SHARE * span_in, cb) * LB_PER_KIP
            return load * span_in**2 / 8 <= capacity

        return _longest(held, most_in)

    return np.array(
        [
            [one(strength, float(load), float(m)) for load, m in zip(loads, row, strict=True)]
            for strength, row in zip(strengths, most, strict=True)
        ]
    )


def _deflections(case: SpanCase, strip_in: Numbers, stiffness: Numbers) -> dict[str, Numbers]:
    """k w L^4 / E I <= L / limit, solved for L."""
    dead, live = case.dead_psf, case.variable_psf
    sags = {
        "live deflection": (case.live_limit, live, _sag(case, 0.0, live)),
        "total deflection": (case.total_limit, dead + live, _sag(case, dead, live)),
    }
    return {
        name: np.cbrt(stiffness / (limit * share * strip_in))
        for name, (limit, _, share) in sags.items()
        if limit > 0
    }


def _sag(case: SpanCase, dead: float, live: float) -> float:
    """Largest deflection x E I / L^4 under loads per length: one span, or one loaded fully of two."""
    if case.spans == "single":
        return 5 / 384 * (dead + live)
    both, one = (dead + live, 0.0) if case.live_on_both else (dead, live)

    def slope(x: float) -> float:
        return both * (1 - 9 * x**2 + 8 * x**3) / 48 + one * (3 - 21 * x**2 + 16 * x**3) / 96

    x = _longest(lambda x: slope(x) >= 0, _PAST_LARGEST_SAG)
    return both * (x - 3 * x**3 + 2 * x**4) / 48 + one * (3 * x - 7 * x**3 + 4 * x**4) / 96


def _point_load(stiffness: Numbers, share: float) -> Numbers:
    _refuse_unless(0 < share <= 1, f"The share of a point load is {share:g}", "over 0 and at most 1")
    return np.array([[_point_load_in(float(one), share)] for one in stiffness[:, 0]])


def _point_load_in(stiffness_lb_in2: float, share: float) -> float:
    """Longest span under the 1 kN limit; the limit only falls with the span, so there is one."""
    stiffness_nm2 = stiffness_lb_in2 * NM2_PER_LB_IN2

    def held(span_m: float) -> bool:
        return point_load_deflection_mm(span_m, stiffness_nm2, share) <= point_load_limit_mm(span_m)

    most_m = 1.0
    while held(most_m):
        most_m *= 2
    return _longest(held, most_m) / M_PER_IN


def _longest(held: Callable[[float], bool], most: float) -> float:
    """Largest value up to `most` that holds, by bisection from 0; `held` must end once."""
    if held(most):
        return most
    low, high = 0.0, most
    for _ in range(_STEPS):
        middle = (low + high) / 2
        low, high = (middle, high) if held(middle) else (low, middle)
    return low
