"""What a solved beam is made of: segments between load steps, and all of them with the reactions.

Inside a segment the load is straight, so shear is a parabola, moment a cubic and deflection of the fifth
degree: all figures are exact up to rounding. Positions are inches on the member's axis, `t` inches from a
segment's low end; moments lb-in (sagging positive), shears lb, slopes and deflections E x I x (rad, in), down
positive, so that one analysis serves every profile.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain
from typing import NamedTuple

from framing.engine.sizing.roots import CLOSE, NOUGHT, quadratic, root, roots

SAME_PLACE_IN = 1e-9


class Segment(NamedTuple):
    """A stretch without a load step: what holds at its low end, and the load (lb/in) with its rise (lb/in2).

    The four formulas of `t` use plain operators, so that fields and `t` may also be NumPy arrays.
    """

    low_in: float
    high_in: float
    moment: float
    shear: float
    load: float
    rise: float
    slope: float
    sag: float

    def moment_at(self, t: float) -> float:
        return self.moment + t * (self.shear - t * (self.load / 2 + t * self.rise / 6))

    def shear_at(self, t: float) -> float:
        return self.shear - t * (self.load + t * self.rise / 2)

    def slope_at(self, t: float) -> float:
        return self.slope - t * (
            self.moment + t * (self.shear / 2 - t * (self.load / 6 + t * self.rise / 24))
        )

    def sag_at(self, t: float) -> float:
        inner = self.moment / 2 + t * (self.shear / 6 - t * (self.load / 24 + t * self.rise / 120))
        return self.sag + t * (self.slope - t * inner)

    def shear_zeros(self) -> list[float]:
        """Where inside the shear is zero, rising: there the moment peaks."""
        length = self.high_in - self.low_in
        if self.rise:
            return sorted(t for t in quadratic(self.rise / 2, self.load, -self.shear) if 0 < t < length)
        t = self.shear / self.load if self.load else 0.0
        return [t] if 0 < t < length else []

    def moment_zeros(self) -> list[float]:
        """Where inside the moment changes its sign (points of inflection), rising."""
        length = self.high_in - self.low_in
        if self.rise:
            return roots(self.moment_at, self.shear_at, [0.0, *self.shear_zeros(), length])
        if self.load:
            found = sorted(quadratic(self.load / 2, -self.shear, -self.moment))
        else:
            found = [-self.moment / self.shear] if self.shear else []
        return [t for t in found if CLOSE * length < t < (1 - CLOSE) * length]

    def level_places(self) -> list[float]:
        """Where inside the slope changes its sign: there the deflection peaks."""
        places = [0.0, *self.moment_zeros(), self.high_in - self.low_in]
        return roots(self.slope_at, self._bend_at, places)

    def sag_range(self) -> tuple[float, float]:
        """Largest and smallest deflection, down positive."""
        length = self.high_in - self.low_in
        start, end = self.sag, self.sag_at(length)
        if self.moment < 0 or self.moment_at(length) < 0:
            sags = [start, end, *map(self.sag_at, self.level_places())]
            return max(sags), min(sags)
        # loads press down, so the moment is nowhere negative and the slope falls all the way
        first, last = self.slope, self.slope_at(length)
        least = NOUGHT * max(first, -first, last, -last)
        if first > least and last < -least:
            peak = self.sag_at(root(self.slope_at, self._bend_at, 0.0, length, rising=False))
            return max(start, end, peak), min(start, end, peak)
        return (start, end) if start > end else (end, start)

    def _bend_at(self, t: float) -> float:
        """How fast the slope changes."""
        return -self.moment_at(t)


class Section(NamedTuple):
    """Moment (lb-in) and shear (lb) that act together at one place."""

    at_in: float
    moment_lb_in: float
    shear_lb: float


@dataclass(frozen=True, slots=True)
class Solution:
    """One load pattern solved.

    Attributes:
        parts: segments of each part of the member, rising: an overhang, the spans, an overhang.
        reactions_lb: one for each support, up positive.
        low_overhang, high_overhang: whether the first and the last part are overhangs.
    """

    parts: tuple[tuple[Segment, ...], ...]
    reactions_lb: tuple[float, ...]
    low_overhang: bool = False
    high_overhang: bool = False

    @property
    def spans(self) -> tuple[tuple[Segment, ...], ...]:
        """The parts between supports."""
        return self.parts[self.low_overhang : len(self.parts) - self.high_overhang]

    def sections(self) -> list[Section]:
        """Both sides of every load step and support, and where the shear is zero: there moments peak."""
        return [
            Section(segment.low_in + t, segment.moment_at(t), segment.shear_at(t))
            for segment in chain.from_iterable(self.parts)
            for t in (0.0, *segment.shear_zeros(), segment.high_in - segment.low_in)
        ]

    def support_moments(self) -> list[float]:
        """Moment over each support."""
        spans = self.spans
        last = spans[-1][-1]
        return [*(span[0].moment for span in spans), last.moment_at(last.high_in - last.low_in)]

    def shears_at(self, at_in: float) -> tuple[float, float]:
        """Shear on the low and on the high side of a place; 0 off the member."""
        around = tuple(self._around(at_in))
        if not around:
            return 0.0, 0.0
        first, last = around[0], around[-1]
        low = first.shear_at(at_in - first.low_in) if first.low_in < at_in - SAME_PLACE_IN else 0.0
        high = last.shear_at(at_in - last.low_in) if last.high_in > at_in + SAME_PLACE_IN else 0.0
        return low, high

    def shear_at_lb(self, at_in: float) -> float:
        """Size of the larger shear of both sides of a place; 0 off the member."""
        return max((abs(s.shear_at(at_in - s.low_in)) for s in self._around(at_in)), default=0.0)

    def moment_at(self, at_in: float) -> float:
        """Moment at a place; 0 off the member."""
        return next((s.moment_at(at_in - s.low_in) for s in self._around(at_in)), 0.0)

    def peak_between(self, low_in: float, high_in: float) -> float:
        """Size of the largest moment where it peaks or steps between two places, themselves left out; 0 where none."""
        found = 0.0
        for segment in chain.from_iterable(self.parts):
            if segment.low_in < high_in and low_in < segment.high_in:
                for t in (0.0, *segment.shear_zeros(), segment.high_in - segment.low_in):
                    if low_in < segment.low_in + t < high_in:
                        found = max(found, abs(segment.moment_at(t)))
        return found

    def slope_at(self, at_in: float) -> float:
        """Slope at a place as E x I x rad, positive where the member goes down; 0 off the member."""
        return next((s.slope_at(at_in - s.low_in) for s in self._around(at_in)), 0.0)

    def sag_at(self, at_in: float) -> float:
        """Deflection at a place as E x I x in, down positive; 0 off the member."""
        return next((s.sag_at(at_in - s.low_in) for s in self._around(at_in)), 0.0)

    def largest_sags(self) -> tuple[float, ...]:
        """Largest deflection of each part, as E x I x inches: of a span up or down, of an overhang down.

        An overhang that rises is turned by the span beside it, which its own deflection limit holds.
        """
        found = []
        last = len(self.parts) - 1
        for i, part in enumerate(self.parts):
            ranges = [segment.sag_range() for segment in part]
            down = max(high for high, _ in ranges)
            overhang = (self.low_overhang and i == 0) or (self.high_overhang and i == last)
            found.append(max(down, 0.0) if overhang else max(down, -min(low for _, low in ranges)))
        return tuple(found)

    def plus(self, own: float, other: Solution, factor: float) -> Solution:
        """This solution times `own` and another on the same places times `factor`, added up."""
        parts = tuple(
            tuple(
                Segment(
                    a.low_in,
                    a.high_in,
                    own * a.moment + factor * b.moment,
                    own * a.shear + factor * b.shear,
                    own * a.load + factor * b.load,
                    own * a.rise + factor * b.rise,
                    own * a.slope + factor * b.slope,
                    own * a.sag + factor * b.sag,
                )
                for a, b in zip(mine, theirs, strict=True)
            )
            for mine, theirs in zip(self.parts, other.parts, strict=True)
        )
        pairs = zip(self.reactions_lb, other.reactions_lb, strict=True)
        reactions = tuple(own * a + factor * b for a, b in pairs)
        return Solution(parts, reactions, self.low_overhang, self.high_overhang)

    def _around(self, at_in: float) -> Iterator[Segment]:
        """The segments that touch a place, rising."""
        flat = self.parts[0] if len(self.parts) == 1 else tuple(chain.from_iterable(self.parts))
        index = bisect_left(flat, at_in - SAME_PLACE_IN, key=_high_end)
        while index < len(flat) and flat[index].low_in <= at_in + SAME_PLACE_IN:
            yield flat[index]
            index += 1


def _high_end(segment: Segment) -> float:
    return segment.high_in
