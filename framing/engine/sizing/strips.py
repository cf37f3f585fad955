"""Strips of floor: how wide a member's share is on each side, place by place (R13).

A share goes half-way to the next member of the line or to the outline, at least half a spacing (so that joists on
the grid are one case), and all the way to an opening's edge. Where joists end on a skewed wall, a strip runs out
with the outline: its width is straight between two places. Positions in sixteenths in the bay's frame.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from itertools import chain, pairwise
from math import inf

from framing.engine.sizing.strip_parts import Bound, Gap, Runner, Share, Stretch, covered, outward

_ON_GRID_16 = 1.0  # rounding of stations to sixteenths (R3) makes no wider strip


class Strips:
    """Shares of a bay's runners.

    Attributes:
        half_16: half the spacing, the least share.
        lines: runners by line, rising; those that share floor among them.
        beyond: runners of other bays in this frame, rising; they share floor over a border beside them.
    """

    def __init__(
        self,
        half_16: float,
        lines: dict[int, list[Runner]],
        bounds: Sequence[Bound],
        gaps: Sequence[Gap],
        beyond: Sequence[Runner] = (),
    ) -> None:
        self.half_16 = half_16
        self.lines = lines
        self.centres = {line: [runner.across for runner in runners] for line, runners in lines.items()}
        self.bounds = tuple(bounds)
        self.gaps = tuple(gaps)
        self.beyond = beyond
        self.in_way = [(min(b.at_low, b.at_high), max(b.at_low, b.at_high), b.low, b.high) for b in bounds]
        self.in_way += [(gap.near, gap.far, gap.low, gap.high) for gap in gaps]

    def shares(self, line: int, across: float, low: float, high: float) -> tuple[Share, ...]:
        """The strip of a runner of a line between two places along it, in rising stretches."""
        before, after = self.side(line, across, -1, low, high), self.side(line, across, 1, low, high)
        if len(before) == len(after) == 1:
            return (Share(before[0], after[0]),)
        places = sorted({low, high, *(s.low for s in chain(before, after))})
        return tuple(Share(_cut(before, a, b), _cut(after, a, b)) for a, b in pairwise(places))

    def side(self, line: int, across: float, sign: int, low: float, high: float) -> list[Stretch]:
        """One side of a strip, `sign` 1 away from the start edge, else -1."""
        nearest = self._nearest(line, across, sign)
        alongside = nearest is not None and nearest.low <= low and high <= nearest.high
        if nearest is not None and alongside and not self._between(across, nearest.across, low, high):
            width = self._half_of(abs(nearest.across - across))
            return [Stretch(low, high, width, width)]
        return list(self._stretches(line, across, sign, low, high))

    def _stretches(self, line: int, across: float, sign: int, low: float, high: float) -> Iterator[Stretch]:
        for a, b, bound in self._bounds_ahead(across, sign, low, high):
            far = _distance(bound, across, sign, a, b)
            for c, d, gap in covered(self._outward(line, across, sign), across, a, b, far):
                for e, f, away, rim in self._over_border(across, sign, (c, d, gap), bound):
                    for g, h, edge in self._edges_ahead(across, sign, e, f):
                        yield from self._widths((g, h), away, edge, rim, across * sign, sign)

    def _nearest(self, line: int, across: float, sign: int) -> Runner | None:
        centres = self.centres[line]
        place = bisect_right(centres, across) if sign > 0 else bisect_left(centres, across) - 1
        return self.lines[line][place] if 0 <= place < len(centres) else None

    def _outward(self, line: int, across: float, sign: int) -> Iterator[Runner]:
        """Runners of a line on one side, nearest first."""
        return outward(self.lines[line], self.centres[line], across, sign)

    def _between(self, here: float, there: float, low: float, high: float) -> bool:
        """Whether a side of the bay or an opening lies nearer than the next member."""
        least, most = (here, there) if here < there else (there, here)
        return any(a < most and least < b and start < high and low < end for a, b, start, end in self.in_way)

    def _half_of(self, gap: float) -> float:
        """Half-way over a gap, at least half a spacing."""
        if gap == inf or gap / 2 <= self.half_16 + _ON_GRID_16 / 2:
            return self.half_16
        return gap / 2

    def _bounds_ahead(
        self, across: float, sign: int, low: float, high: float
    ) -> Iterator[tuple[float, float, Bound | None]]:
        """The nearest side of the bay on each stretch."""
        ahead = [
            bound
            for bound in self.bounds
            if bound.low < high
            and low < bound.high
            and max(bound.at_low * sign, bound.at_high * sign) > across * sign
        ]
        places = {place for bound in ahead for place in (bound.low, bound.high) if low < place < high}
        for a, b in pairwise(sorted({low, high, *places})):
            middle = (a + b) / 2
            found = [
                (distance, bound)
                for bound in ahead
                if bound.low <= a and b <= bound.high
                for distance in [(bound.at(middle) - across) * sign]
                if distance > 0
            ]
            yield a, b, min(found)[1] if found else None

    def _over_border(
        self, across: float, sign: int, own: tuple[float, float, float], bound: Bound | None
    ) -> Iterator[tuple[float, float, float, Bound | None]]:
        """A stretch with its gap and side; over a border beside it the next bay's runners count instead."""
        low, high, gap = own
        if bound is None or not bound.shared or (bound.at_low - across) * sign >= gap:
            yield low, high, gap, bound
            return
        beyond = outward(self.beyond, [runner.across for runner in self.beyond], across, sign)
        for a, b, away in covered(beyond, across, low, high, inf):
            yield a, b, away, bound if away == inf else None

    def _edges_ahead(
        self, across: float, sign: int, low: float, high: float
    ) -> Iterator[tuple[float, float, float]]:
        """Distance to the nearest opening's edge on each stretch; infinity where there is none."""
        met = [gap for gap in self.gaps if gap.low < high and low < gap.high]
        places = {place for gap in met for place in (gap.low, gap.high) if low < place < high}
        for a, b in pairwise(sorted({low, high, *places})):
            edges = [
                (edge - across) * sign
                for gap in met
                if gap.low <= a and b <= gap.high
                for edge in (gap.near, gap.far)
            ]
            yield a, b, min((edge for edge in edges if edge > 0), default=inf)

    def _widths(
        self, reach: tuple[float, float], gap: float, edge: float, bound: Bound | None, here: float, sign: int
    ) -> Iterator[Stretch]:
        """Widths over a stretch with one next member, one opening's edge and one side of the bay."""
        low, high = reach
        if bound is None or bound.at_low == bound.at_high:
            rim = inf if bound is None else bound.at_low * sign - here
            width = edge if edge < min(gap, rim) else self._half_of(min(gap, rim))
            yield Stretch(low, high, width, width)
            return
        ends = bound.at(low) * sign - here, bound.at(high) * sign - here
        rate = (ends[1] - ends[0]) / (high - low)
        turns = (gap, edge, self.half_16, 2 * self.half_16 + _ON_GRID_16)
        places = {low + (turn - ends[0]) / rate for turn in turns if min(ends) < turn < max(ends)}
        for a, b in pairwise(sorted({low, high, *places})):
            rims = tuple(ends[0] + rate * (place - low) for place in (a, b))
            yield Stretch(a, b, *self._slanted(gap, edge, rims, runs_out=bound.runs_out))

    def _slanted(
        self, gap: float, edge: float, rims: tuple[float, ...], *, runs_out: bool
    ) -> tuple[float, float]:
        """Widths at both ends of a stretch in which one rule holds, beside a skewed side."""
        middle = sum(rims) / 2
        least = min(gap, middle)
        if edge < least:
            return edge, edge
        if runs_out and middle < min(gap, self.half_16):
            return rims[0], rims[1]
        if middle < gap and self._half_of(middle) > self.half_16:
            return rims[0] / 2, rims[1] / 2
        width = self._half_of(least)
        return width, width


def _distance(bound: Bound | None, across: float, sign: int, low: float, high: float) -> float:
    """The farthest that a side of the bay lies from a line on a stretch."""
    return inf if bound is None else max((bound.at(place) - across) * sign for place in (low, high))


def _cut(stretches: Sequence[Stretch], low: float, high: float) -> Stretch:
    """The part of a side between two places within one of its stretches."""
    own = next(s for s in stretches if s.low <= low and high <= s.high)
    return own if (own.low, own.high) == (low, high) else Stretch(low, high, own.at(low), own.at(high))
