"""Elastic beams over any number of simple supports, under partial uniform and point loads, solved exactly.

Support moments come from the three-moment equation for a straight member of one stiffness; inside a span the
moment is a parabola between load steps, so shears, moments and deflections are exact up to rounding.

Positions are inches on the member's axis, moments lb-in (sagging positive), deflections are given as E x I x
inches (lb-in3, down positive), so that one analysis serves every profile.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import sqrt

from framing.engine.loads import LineLoad, PointLoad

_SAME_PLACE_IN = 1e-9
_BISECTIONS = 60


@dataclass(frozen=True, slots=True)
class BeamModel:
    """A member to analyse.

    Attributes:
        supports_in: two or more, rising.
        lines, points: loads; beyond an outer support without an overhang they go into the bearing.
        low_in, high_in: ends of the member where it runs past its outer supports; None = it ends there.
        braces_in: where the bottom flange is held, besides the supports.
    """

    supports_in: tuple[float, ...]
    lines: tuple[LineLoad, ...]
    points: tuple[PointLoad, ...] = ()
    low_in: float | None = None
    high_in: float | None = None
    braces_in: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Segment:
    """A stretch without a load step: what holds at its low end, and the constant load over it."""

    low_in: float
    high_in: float
    moment: float
    shear: float
    load: float
    slope: float = 0.0
    sag: float = 0.0

    def moment_at(self, t: float) -> float:
        return self.moment + t * (self.shear - self.load * t / 2)

    def shear_at(self, t: float) -> float:
        return self.shear - self.load * t

    def slope_at(self, t: float) -> float:
        return self.slope - t * (self.moment + t * (self.shear / 2 - self.load * t / 6))

    def sag_at(self, t: float) -> float:
        return self.sag + t * (self.slope - t * (self.moment / 2 + t * (self.shear / 6 - self.load * t / 24)))


@dataclass(frozen=True, slots=True)
class Section:
    """Moment (lb-in) and shear (lb) that act together at one place."""

    at_in: float
    moment_lb_in: float
    shear_lb: float


@dataclass(frozen=True, slots=True)
class Solution:
    """One load pattern solved: segments by span, and a reaction (lb, up positive) for each support."""

    spans: tuple[tuple[Segment, ...], ...]
    reactions_lb: tuple[float, ...]

    def sections(self) -> tuple[Section, ...]:
        """Both sides of every load step and support, and where the shear is zero: there moments peak."""
        found = []
        for segment in (segment for span in self.spans for segment in span):
            length = segment.high_in - segment.low_in
            places = [0.0, length]
            if segment.load and 0 < segment.shear / segment.load < length:
                places.append(segment.shear / segment.load)
            found += [Section(segment.low_in + t, segment.moment_at(t), segment.shear_at(t)) for t in places]
        return tuple(found)

    def shear_at_lb(self, at_in: float) -> float:
        """Largest shear at a place, from both sides where a load steps there; 0 off the beam."""
        return max(
            (
                abs(segment.shear_at(at_in - segment.low_in))
                for span in self.spans
                for segment in span
                if segment.low_in - _SAME_PLACE_IN <= at_in <= segment.high_in + _SAME_PLACE_IN
            ),
            default=0.0,
        )

    def largest_sags(self) -> tuple[float, ...]:
        """Largest deflection of each span up or down, as E x I x inches."""
        return tuple(max(_segment_sag(segment) for segment in span) for span in self.spans)


def solve(
    supports_in: Sequence[float],
    lines: Sequence[tuple[float, float, float]],
    points: Sequence[tuple[float, float]],
) -> Solution:
    """Solve one load pattern: lines as (low, high, lb per inch), points as (at, lb)."""
    pairs = list(pairwise(supports_in))
    parts = [_span_loads(low, high, lines, points) for low, high in pairs]
    moments = _support_moments([high - low for low, high in pairs], parts)
    spans = tuple(
        _span_segments(low, loads, moments[i], moments[i + 1])
        for i, ((low, _), loads) in enumerate(zip(pairs, parts, strict=True))
    )
    return Solution(spans, _reactions(supports_in, spans, points))


class _SpanLoads:
    """Loads of one span in its own coordinate (0 at the low support)."""

    __slots__ = ("length", "lines", "points")

    def __init__(
        self, length: float, lines: list[tuple[float, float, float]], points: list[tuple[float, float]]
    ) -> None:
        self.length = length
        self.lines = lines
        self.points = points

    def low_reaction(self) -> float:
        """Reaction at the low end of the span as a simple beam."""
        spread = sum(w * (d - c) * (self.length - (c + d) / 2) for c, d, w in self.lines)
        return (spread + sum(p * (self.length - a) for a, p in self.points)) / self.length

    def turn(self, *, from_high: bool) -> float:
        """Three-moment load term 6Ax/L, the area moment taken about the low end (or the high one)."""
        length = self.length
        total = 0.0
        for c, d, w in self.lines:
            low, high = (length - d, length - c) if from_high else (c, d)
            total += w * (length**2 * (high**2 - low**2) / 2 - (high**4 - low**4) / 4)
        for a, p in self.points:
            x = length - a if from_high else a
            total += p * x * (length**2 - x**2)
        return total / length


def _span_loads(
    low: float,
    high: float,
    lines: Sequence[tuple[float, float, float]],
    points: Sequence[tuple[float, float]],
) -> _SpanLoads:
    inside = [
        (max(c, low) - low, min(d, high) - low, w)
        for c, d, w in lines
        if min(d, high) - max(c, low) > 0 and w
    ]
    return _SpanLoads(high - low, inside, [(a - low, p) for a, p in points if low < a < high and p])


def _support_moments(lengths: list[float], parts: list[_SpanLoads]) -> list[float]:
    """Moments over all supports, 0 at the outer two; the tridiagonal system by elimination."""
    inner = len(lengths) - 1
    diagonal: list[float] = []
    right: list[float] = []
    for i in range(inner):
        main = 2 * (lengths[i] + lengths[i + 1])
        value = -(parts[i].turn(from_high=False) + parts[i + 1].turn(from_high=True))
        if i:
            factor = lengths[i] / diagonal[i - 1]
            main -= factor * lengths[i]
            value -= factor * right[i - 1]
        diagonal.append(main)
        right.append(value)
    moments = [0.0] * (inner + 2)
    for i in reversed(range(inner)):
        moments[i + 1] = (right[i] - lengths[i + 1] * moments[i + 2]) / diagonal[i]
    return moments


def _span_segments(
    low: float, loads: _SpanLoads, low_moment: float, high_moment: float
) -> tuple[Segment, ...]:
    steps = {0.0, loads.length}
    steps.update(place for c, d, _ in loads.lines for place in (c, d))
    steps.update(a for a, _ in loads.points)
    places = sorted(steps)
    moment, shear = low_moment, loads.low_reaction() + (high_moment - low_moment) / loads.length
    segments: list[Segment] = []
    slope = sag = 0.0
    for a, b in pairwise(places):
        shear -= sum(p for at, p in loads.points if at == a)
        load = sum(w for c, d, w in loads.lines if c <= a and b <= d)
        segment = Segment(low + a, low + b, moment, shear, load, slope, sag)
        segments.append(segment)
        t = b - a
        moment, shear = segment.moment_at(t), segment.shear_at(t)
        slope, sag = segment.slope_at(t), segment.sag_at(t)
    return _turned(segments, low, -sag / loads.length)


def _turned(segments: list[Segment], low: float, turn: float) -> tuple[Segment, ...]:
    """The same span turned as a whole about its low end until the high end is back on its support."""
    return tuple(
        Segment(
            s.low_in, s.high_in, s.moment, s.shear, s.load, s.slope + turn, s.sag + turn * (s.low_in - low)
        )
        for s in segments
    )


def _reactions(
    supports_in: Sequence[float],
    spans: tuple[tuple[Segment, ...], ...],
    points: Sequence[tuple[float, float]],
) -> tuple[float, ...]:
    reactions = []
    for i, at in enumerate(supports_in):
        up = sum(p for a, p in points if a == at)
        if i < len(spans):
            up += spans[i][0].shear
        if i:
            last = spans[i - 1][-1]
            up -= last.shear_at(last.high_in - last.low_in)
        reactions.append(up)
    return tuple(reactions)


def _segment_sag(segment: Segment) -> float:
    """Largest deflection in a segment: between roots of the moment the slope is monotone, so it bisects."""
    length = segment.high_in - segment.low_in
    places = [0.0, *_moment_roots(segment, length), length]
    candidates = list(places)
    for a, b in pairwise(places):
        if segment.slope_at(a) * segment.slope_at(b) < 0:
            candidates.append(_bisect_slope(segment, a, b))
    return max(abs(segment.sag_at(t)) for t in candidates)


def _moment_roots(segment: Segment, length: float) -> list[float]:
    if segment.load:
        inside = segment.shear**2 + 2 * segment.load * segment.moment
        if inside < 0:
            return []
        root = sqrt(inside)
        roots = sorted(((segment.shear - root) / segment.load, (segment.shear + root) / segment.load))
    else:
        roots = [-segment.moment / segment.shear] if segment.shear else []
    return [t for t in roots if 0 < t < length]


def _bisect_slope(segment: Segment, low: float, high: float) -> float:
    rising = segment.slope_at(low) < 0
    slope, moment, half_shear, load = segment.slope, segment.moment, segment.shear / 2, segment.load
    for _ in range(_BISECTIONS):
        middle = (low + high) / 2  # `slope_at`, written out for the innermost loop of all
        if (slope - middle * (moment + middle * (half_shear - load * middle / 6)) < 0) == rising:
            low = middle
        else:
            high = middle
    return (low + high) / 2
