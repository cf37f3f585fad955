"""What a member's strip of floor is cut from: runners beside it, sides of the bay, openings; and its stretches.

Positions in sixteenths in the bay's frame; `along` runs with the joists, `across` away from the start edge.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from math import inf
from typing import NamedTuple


class Runner(NamedTuple):
    """A member along the joists, as its neighbours see it: its centre and the floor that it holds up."""

    across: float
    low: float
    high: float


class Bound(NamedTuple):
    """A side of the bay over a stretch along the joists, straight from `at_low` to `at_high` across.

    `runs_out`: joists end on it at a wall. `shared`: joists of this bay and of the next run beside it.
    """

    low: float
    high: float
    at_low: float
    at_high: float
    runs_out: bool = False
    shared: bool = False

    def at(self, along: float) -> float:
        """Its across-coordinate at a place."""
        if self.at_low == self.at_high:
            return self.at_low
        return self.at_low + (self.at_high - self.at_low) * (along - self.low) / (self.high - self.low)


class Gap(NamedTuple):
    """An opening over a stretch along the joists; it begins and ends at two places across."""

    low: float
    high: float
    near: float
    far: float


class Stretch(NamedTuple):
    """A share's width on one side over a stretch, straight between both ends."""

    low: float
    high: float
    at_low: float
    at_high: float

    def at(self, along: float) -> float:
        if self.at_low == self.at_high:
            return self.at_low
        return self.at_low + (self.at_high - self.at_low) * (along - self.low) / (self.high - self.low)


class Share(NamedTuple):
    """A member's strip over a stretch: its two sides (towards the start edge, away from it)."""

    before: Stretch
    after: Stretch

    @property
    def low(self) -> float:
        return self.before.low

    @property
    def high(self) -> float:
        return self.before.high

    @property
    def widths(self) -> tuple[float, float]:
        """Both sides together, at the low and at the high end."""
        return self.before.at_low + self.after.at_low, self.before.at_high + self.after.at_high


def outward(
    runners: Sequence[Runner], centres: Sequence[float], across: float, sign: int
) -> Iterator[Runner]:
    """Runners on one side of a line, nearest first; `centres` are theirs, rising."""
    if sign > 0:
        places: Iterable[int] = range(bisect_right(centres, across), len(centres))
    else:
        places = range(bisect_left(centres, across) - 1, -1, -1)
    return (runners[place] for place in places)


def covered(
    runners: Iterator[Runner], across: float, low: float, high: float, far: float
) -> list[tuple[float, float, float]]:
    """Distance to the nearest runner on each stretch, rising; infinity where none comes before `far`."""
    rest, found = [(low, high)], []
    for runner in runners:
        gap = abs(runner.across - across)
        if not rest or gap >= far:
            break
        left = []
        for a, b in rest:
            if runner.high <= a or b <= runner.low:
                left.append((a, b))
                continue
            found.append((max(a, runner.low), min(b, runner.high), gap))
            left += [(a, runner.low)] if a < runner.low else []
            left += [(runner.high, b)] if runner.high < b else []
        rest = left
    return sorted([*found, *((a, b, inf) for a, b in rest)])
