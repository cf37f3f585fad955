"""Figures along a member for its calculation sheet: moment, shear and deflection as envelopes of all patterns."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import chain
from typing import Any

import numpy as np
from numpy.typing import NDArray

from framing.engine.method import Method
from framing.engine.result import Curve
from framing.engine.sizing.beam_parts import Segment, Solution
from framing.engine.sizing.beams import BeamModel
from framing.engine.sizing.demand import analyse

_STEPS_PER_PART = 40
_LB_IN_PER_KIP_IN = 1000.0

Places = NDArray[np.float64]


def curves(model: BeamModel, method: Method = Method.ASD) -> tuple[Curve, Curve, Curve]:
    """Moment (kip-in) and shear (lb) of the factored cases, deflection of the unfactored ones, in this order.

    Deflection is E x I x in (lb-in3, down positive), over every pattern of live load with the dead load:
    `deflection_curve` makes inches of it. Each part of the member has 41 places, and every load step and
    support comes twice, as the shear just below and just above it. Raises LoadRefused.
    """
    demand = analyse(model, method)
    segments, places, at = _places(demand.total[0])
    moments = _envelope(demand.strength, segments, at, Segment.moment_at)
    shears = _envelope(demand.strength, segments, at, Segment.shear_at)
    sags = _envelope(demand.total, segments, at, Segment.sag_at)
    return (
        _curve("Moment", "kip-in", places, moments, 1 / _LB_IN_PER_KIP_IN),
        _curve("Shear", "lb", places, shears, 1.0),
        _curve("Deflection", "lb-in3", places, sags, 1.0),
    )


def deflection_curve(sag_curve: Curve, stiffness_lb_in2: float) -> Curve:
    """The third of `curves` in inches for a member of stiffness E x I."""
    points = tuple(
        (at, high / stiffness_lb_in2, low / stiffness_lb_in2) for at, high, low in sag_curve.points
    )
    return Curve(sag_curve.name, "in", points)


def _places(solution: Solution) -> tuple[NDArray[np.intp], Places, Places]:
    """Segment of each place to draw, the place, and the place from the segment's low end."""
    index: list[int] = []
    places: list[float] = []
    k = 0
    for part in solution.parts:
        low, high = part[0].low_in, part[-1].high_in
        even = [low + (high - low) * step / _STEPS_PER_PART for step in range(1, _STEPS_PER_PART)]
        for segment in part:
            inside = [place for place in even if segment.low_in < place < segment.high_in]
            places += [segment.low_in, *inside, segment.high_in]
            index += [k] * (len(inside) + 2)
            k += 1
    starts = np.array([segment.low_in for segment in chain.from_iterable(solution.parts)])
    segments = np.array(index)
    return segments, np.array(places), np.array(places) - starts[segments]


def _envelope(
    solutions: Sequence[Solution],
    segments: NDArray[np.intp],
    t: Places,
    figure: Callable[[Segment, Any], Any],
) -> tuple[Places, Places]:
    """Largest and smallest of a figure over all solutions at each place."""
    rows = np.array([figure(_columns(solution, segments), t) for solution in solutions])
    return rows.max(axis=0), rows.min(axis=0)


def _columns(solution: Solution, segments: NDArray[np.intp]) -> Segment:
    """One segment whose fields are arrays, the segment under each place; its formulas take them as they are."""
    return Segment._make(np.array(list(chain.from_iterable(solution.parts)))[segments].T)


def _curve(name: str, unit: str, places: Places, envelope: tuple[Places, Places], factor: float) -> Curve:
    high, low = envelope
    rows = zip(places.tolist(), (high * factor).tolist(), (low * factor).tolist(), strict=True)
    return Curve(name, unit, tuple(rows))
