"""Parts of a demand: stretches with the bottom flange in compression, and forces on the web."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import inf
from typing import Literal

from framing.engine.loads import PointLoad
from framing.engine.sizing.beam_parts import Segment, Solution
from framing.engine.sizing.beams import BeamModel
from framing.engine.sizing.patterns import Factored, PatternedLoads
from framing.engine.strength.flexure import moment_gradient

_ROUNDING = 1e-9  # far over what rounding makes of equal figures


@dataclass(frozen=True, slots=True)
class NegativeRegion:
    """A stretch between braces with its bottom flange in compression, under one load pattern.

    Attributes:
        moment_lb_in: largest moment there, as a positive size.
        unbraced_in: from the support or brace to the next one, the point of inflection or the free end.
        cb: factor for the moment's shape (AISI S100-16 F2.1.1), 1 on an overhang.
        at_in: where that moment is.
    """

    moment_lb_in: float
    unbraced_in: float
    cb: float
    at_in: float


@dataclass(frozen=True, slots=True)
class LoadPlace:
    """A force on the web: a support's reaction or a point load, with the moment it meets.

    Attributes:
        at_in: place; force_lb, moment_lb_in: factored sizes of one load pattern.
        kind, index: which support or which point load of the model.
        edge_in: from the place to the nearer end of the member.
        opposed_in: from the place to the nearest force from the other side; infinity where there is none.
    """

    at_in: float
    force_lb: float
    moment_lb_in: float
    kind: Literal["support", "load"]
    index: int
    edge_in: float
    opposed_in: float = inf


def worst_pairs(found: Iterable[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """Pairs that no other has both as large as, but for rounding; falling first and rising second size."""
    kept: list[tuple[float, float]] = []
    for pair in sorted(found, reverse=True):
        if not kept or pair[1] > kept[-1][1] * (1 + _ROUNDING):
            kept.append(pair)
    return tuple(kept)


def negative_regions(
    model: BeamModel, solutions: Sequence[Solution], largest: float
) -> tuple[NegativeRegion, ...]:
    """Stretches of all patterns that can rule: larger moment, longer or with a smaller Cb than any other.

    `largest` is the largest moment of all; what is nought beside it is left out.
    """
    found = [
        region
        for solution in solutions
        for region in _regions(model, solution)
        if region.moment_lb_in > _ROUNDING * largest
    ]
    found.sort(key=lambda region: (-region.moment_lb_in, -region.unbraced_in, region.cb, region.at_in))
    return tuple(
        region
        for i, region in enumerate(found)
        if not any(
            _covers(other, region) and (j < i or not _covers(region, other))
            for j, other in enumerate(found)
            if j != i
        )
    )


def _covers(other: NegativeRegion, region: NegativeRegion) -> bool:
    """Whether another region is as large, as long and no better in shape, but for rounding."""
    return (
        other.moment_lb_in >= region.moment_lb_in * (1 - _ROUNDING)
        and other.unbraced_in >= region.unbraced_in * (1 - _ROUNDING)
        and other.cb <= region.cb * (1 + _ROUNDING)
    )


def _regions(model: BeamModel, solution: Solution) -> Iterator[NegativeRegion]:
    last = len(solution.parts) - 1
    for i, part in enumerate(solution.parts):
        cantilever = (i == 0 and solution.low_overhang) or (i == last and solution.high_overhang)
        low, high = part[0].low_in, part[-1].high_in
        inner = sorted({brace for brace in model.braces_in if low < brace < high})
        for stretch in pairwise((low, *inner, high)):
            runs = [stretch] if cantilever else _compressed(part, *stretch)
            for run in runs:
                yield _region(part, run, cantilever=cantilever)


def _compressed(part: Sequence[Segment], low: float, high: float) -> list[tuple[float, float]]:
    """Where between two braces the moment is negative, as (from, to).

    Loads press down, so the moment is concave in a span: what is negative reaches to a brace or a support.
    """
    places = {low, high}
    for segment in part:
        places.update((segment.low_in, *(segment.low_in + t for t in segment.moment_zeros())))
    inside = sorted(place for place in places if low <= place <= high)
    runs: list[tuple[float, float]] = []
    for a, b in pairwise(inside):
        if _moment(part, (a + b) / 2) < 0:
            if runs and runs[-1][1] == a:
                runs[-1] = (runs[-1][0], b)
            else:
                runs.append((a, b))
    return runs


def _moment(part: Sequence[Segment], at_in: float) -> float:
    segment = next(segment for segment in part if at_in <= segment.high_in)
    return segment.moment_at(at_in - segment.low_in)


def _region(part: Sequence[Segment], run: tuple[float, float], *, cantilever: bool) -> NegativeRegion:
    """One stretch with its largest moment; a point of inflection counts as held."""
    low, high = run
    places = [low, high]
    for segment in part:
        inside = (segment.low_in, *(segment.low_in + t for t in segment.shear_zeros()))
        places += [place for place in inside if low < place < high]
    moment, at = max((-_moment(part, place), place) for place in places)
    quarters = (_moment(part, low + (high - low) * k / 4) for k in (1, 2, 3))
    cb = 1.0 if cantilever else moment_gradient(moment, *quarters)
    return NegativeRegion(moment, high - low, cb, at)


def load_places(
    model: BeamModel, cases: Sequence[Factored], solutions: Sequence[Solution], loads: PatternedLoads
) -> tuple[LoadPlace, ...]:
    """Forces on the web at supports, then at point loads, each with the pairs of force and moment that can rule."""
    supports, ends = model.supports_in, model.ends_in
    found: list[LoadPlace] = []
    moments = [solution.support_moments() for solution in solutions]
    for i, at in enumerate(supports):
        pairs = [
            (solution.reactions_lb[i], abs(own[i])) for solution, own in zip(solutions, moments, strict=True)
        ]
        opposed = min((abs(point.at_in - at) for point in model.points), default=inf)
        found += _places(pairs, at, "support", i, ends, opposed)
    for i, point in enumerate(model.points):
        at = point.at_in
        if ends[0] <= at <= ends[1]:
            near = [p for p in _beside(point, model.points) if ends[0] <= p.at_in <= ends[1]]
            pairs = [
                (
                    sum(case.dead * p.dead_lb + loads.live_factor(case, p.at_in) * p.live_lb for p in near),
                    abs(solution.moment_at(at)),
                )
                for case, solution in zip(cases, solutions, strict=True)
            ]
            found += _places(pairs, at, "load", i, ends, min(abs(at - support) for support in supports))
    return tuple(found)


def _beside(point: PointLoad, points: Sequence[PointLoad]) -> list[PointLoad]:
    """The drawn loads that press on the same stretch of flange, itself among them."""
    if not point.plate_in:
        return [point]
    return [p for p in points if p.plate_in and abs(p.at_in - point.at_in) < point.plate_in]


def _places(
    pairs: Sequence[tuple[float, float]],
    at_in: float,
    kind: Literal["support", "load"],
    index: int,
    ends: tuple[float, float],
    opposed_in: float,
) -> list[LoadPlace]:
    edge = min(at_in - ends[0], ends[1] - at_in)
    return [
        LoadPlace(at_in, force, moment, kind, index, edge, opposed_in)
        for force, moment in worst_pairs(pair for pair in pairs if pair[0] > 0)
    ]
