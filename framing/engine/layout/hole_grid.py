"""Which phase of the common grid of holes is best for all members of a bay (R10).

Grid lines that all members keep are counted for every phase at once, over each sixteenth of the bay's length.
Only among the phases that are best in that are marks counted, pattern by pattern or, for many, in arrays.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate
from typing import Final

import numpy as np
from numpy.typing import NDArray

from framing.engine.members import MemberKind

_ARRAYS_FROM: Final = 40
"""From this many patterns on, arrays count marks faster."""
Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Pattern:
    """Where holes may stand in members of one make; positions along the bay.

    `kept_off` are (low, high, what) stretches, open at both ends, in which no hole centre may stand.
    """

    kind: MemberKind
    low_16: int
    high_16: int
    kept_off: tuple[tuple[int, int, str], ...]

    def grid(self, phase_16: int, pitch_16: int) -> range:
        """Grid lines that lie within the member."""
        first = self.low_16 + 1 + (phase_16 - self.low_16 - 1) % pitch_16
        return range(first, self.high_16, pitch_16)

    def reason(self, along_16: int) -> str:
        """Why no hole may stand there; "" where one may."""
        return next((what for low, high, what in self.kept_off if low < along_16 < high), "")

    def barred(self) -> list[tuple[int, int]]:
        """Whole positions within the member where no hole may stand, as first and last of each stretch, merged."""
        inside = [(max(low, self.low_16) + 1, min(high, self.high_16) - 1) for low, high, _ in self.kept_off]
        merged: list[tuple[int, int]] = []
        for low, high in sorted(stretch for stretch in inside if stretch[0] <= stretch[1]):
            if merged and low <= merged[-1][1] + 1:
                merged[-1] = merged[-1][0], max(merged[-1][1], high)
            else:
                merged.append((low, high))
        return merged


def best_phase(patterns: Sequence[Pattern], pitch_16: int, origin_16: int) -> int:
    """The phase that gives the most grid lines common to all, then the fewest marks, then the most holes.

    Among equals a whole inch from the origin, then the least. Only whole inches and the places where an answer
    can change need a look.
    """
    common, total = _counts(patterns, pitch_16, origin_16)
    offsets = _offsets(patterns, pitch_16, origin_16)
    most = max(common[offset] for offset in offsets)
    ties = [offset for offset in offsets if common[offset] == most]
    if len(ties) == 1:
        return origin_16 + ties[0]
    count = _Marks(patterns, pitch_16).count if len(patterns) >= _ARRAYS_FROM else None
    marks = {
        offset: (count(origin_16 + offset) if count else _marks(patterns, origin_16 + offset, pitch_16))
        for offset in ties
    }
    return origin_16 + min(ties, key=lambda offset: (marks[offset], -total[offset], offset % 16 != 0, offset))


def _offsets(patterns: Sequence[Pattern], pitch_16: int, origin_16: int) -> list[int]:
    offsets = set(range(0, pitch_16, 16))
    for pattern in patterns:
        places = {pattern.low_16, pattern.high_16}
        places.update(place for low, high, _ in pattern.kept_off for place in (low, high))
        offsets |= {(place + step - origin_16) % pitch_16 for place in places for step in (-1, 0, 1)}
    return sorted(offsets)


def _counts(patterns: Sequence[Pattern], pitch_16: int, origin_16: int) -> tuple[list[int], list[int]]:
    """For each offset: grid lines on which all members that reach them have a hole, and holes in all patterns."""
    first = min(pattern.low_16 for pattern in patterns)
    start = origin_16 + (first - origin_16) // pitch_16 * pitch_16
    rows = -(-(max(pattern.high_16 for pattern in patterns) - start) // pitch_16)
    reached, barred = [0] * (rows * pitch_16 + 1), [0] * (rows * pitch_16 + 1)
    for pattern in patterns:
        reached[pattern.low_16 + 1 - start] += 1
        reached[pattern.high_16 - start] -= 1
        for low, high in pattern.barred():
            barred[low - start] += 1
            barred[high + 1 - start] -= 1
    within = np.fromiter(accumulate(reached[:-1]), dtype=np.int64, count=rows * pitch_16)
    without = np.fromiter(accumulate(barred[:-1]), dtype=np.int64, count=rows * pitch_16)
    common = ((within > 0) & (without == 0)).reshape(rows, pitch_16).sum(axis=0)
    return common.tolist(), (within - without).reshape(rows, pitch_16).sum(axis=0).tolist()


def _marks(patterns: Sequence[Pattern], phase_16: int, pitch_16: int) -> int:
    """Distinct marks: kind, length and holes from the printed end."""
    found = set()
    for pattern in patterns:
        low = pattern.low_16
        holes = tuple([x - low for x in pattern.grid(phase_16, pitch_16) if not pattern.reason(x)])
        found.add((pattern.kind, pattern.high_16 - low, holes))
    return len(found)


class _Marks:
    """The same count for many patterns: one row of grid lines each."""

    def __init__(self, patterns: Sequence[Pattern], pitch_16: int) -> None:
        kinds = list(MemberKind)
        self._pitch = pitch_16
        self._low = np.array([p.low_16 for p in patterns])
        self._high = np.array([p.high_16 for p in patterns])
        self._make = np.array([(kinds.index(p.kind), p.high_16 - p.low_16) for p in patterns])
        self._lines = int((self._high - self._low).max()) // pitch_16 + 1
        barred = [pattern.barred() for pattern in patterns]
        most = max(map(len, barred))
        padded = [[*stretches, *[(1, 0)] * (most - len(stretches))] for stretches in barred]
        self._barred = np.array(padded, dtype=np.int64).reshape(len(patterns), most, 2)

    def count(self, phase_16: int) -> int:
        first = self._low + 1 + (phase_16 - self._low - 1) % self._pitch
        lines = first[:, None] + np.arange(self._lines) * self._pitch
        fits: Bools = lines < self._high[:, None]
        for stretch in range(self._barred.shape[1]):
            low, high = self._barred[:, stretch, :1], self._barred[:, stretch, 1:]
            fits &= (lines < low) | (lines > high)
        # Equal holes are equal places from the printed end, so the first line's place counts only with holes.
        holes = np.where(fits, lines - self._low[:, None], 0)
        holes.sort(axis=1)
        return len(np.unique(np.hstack([self._make, holes]), axis=0))
