"""The least stock that a list of lengths can be cut from, by dynamic programming over what is left to cut.

Finds total length and number of sticks of the best plan, and the plan itself where no other is as good. A state
is the pieces left, packed into one whole number: a few bits for each length, the longest in the highest, with a
spare bit above each so that taking a stick away shows at once where it takes too much.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

STEPS_MOST = 50_000  # about what the integer programmes take
PIECES_MOST = 120

_TOTAL, _STICK = 1 << 40, 1 << 20  # one sum ranks total length, then sticks, then sticks of the longest
Way = tuple[int, int, int]  # cost of a stick, packed pieces, index of its pattern


@dataclass(frozen=True, slots=True)
class LeastStock:
    """What the best plans have in common; `only` are the pattern of each stick where there is one best plan."""

    total_16: int
    sticks: int
    only: tuple[int, ...] | None


def least_stock(
    patterns: Sequence[tuple[int, tuple[int, ...]]], demand: Sequence[int], longest_16: int
) -> LeastStock | None:
    """Least total length, then fewest sticks, then most of the longest stock.

    Args:
        patterns: (stock length, pieces of each distinct length) of every way to fill a stick.
        demand: pieces wanted of each distinct length, the longest first.
        longest_16: the longest stock.

    Returns None where there is too much to look at.
    """
    if sum(demand) > PIECES_MOST:
        return None
    search = _Search(patterns, demand, longest_16)
    try:
        value = search.least(search.start)
        only = search.only()
    except _TooMany:
        return None
    return LeastStock(value // _TOTAL, -(-(value % _TOTAL) // _STICK), only)


class _TooMany(Exception):
    pass


class _Search:
    def __init__(
        self, patterns: Sequence[tuple[int, tuple[int, ...]]], demand: Sequence[int], longest_16: int
    ) -> None:
        widths = [count.bit_length() + 1 for count in demand]
        self._shifts = [sum(widths[i + 1 :]) for i in range(len(widths))]
        self._spare = sum(1 << (s + w - 1) for s, w in zip(self._shifts, widths, strict=True))
        self.start = self._packed(demand)
        by_first: list[list[Way]] = [[] for _ in demand]
        order = sorted(range(len(patterns)), key=lambda i: patterns[i][1], reverse=True)
        for index in order:
            stock, counts = patterns[index]
            first = next(i for i, count in enumerate(counts) if count)
            cost = stock * _TOTAL + _STICK - (stock == longest_16)
            by_first[first].append((cost, self._packed(counts), index))
        # By the bit length of what is left, which tells the longest piece left.
        self._ways = [by_first[i] for i in reversed(range(len(widths))) for _ in range(widths[i])]
        self._rank = {index: rank for rank, index in enumerate(order)}
        self._steps_taken = 0
        self._least: dict[int, int] = {0: 0}
        self._plans: dict[tuple[int, int], tuple[tuple[int, ...], ...]] = {}

    def least(self, left: int) -> int:
        """Cost of the best plan for what is left."""
        if left not in self._least:
            self._least[left] = min(cost + self.least(rest) for cost, rest, _ in self._steps(left))
        return self._least[left]

    def only(self) -> tuple[int, ...] | None:
        """The best plan where it is the only one."""
        plans = self._best_plans(self.start, 0)
        return plans[0] if len(plans) == 1 else None

    def _best_plans(self, left: int, from_rank: int) -> tuple[tuple[int, ...], ...]:
        """At most two best plans, their patterns in falling order so that each is met once."""
        if not left:
            return ((),)
        key = left, from_rank
        if key not in self._plans:
            found: list[tuple[int, ...]] = []
            for cost, rest, index in self._steps(left):
                rank = self._rank[index]
                if rank >= from_rank and cost + self._least[rest] == self._least[left]:
                    found += [(index, *plan) for plan in self._best_plans(rest, rank)]
            self._plans[key] = tuple(found[:2])
        return self._plans[key]

    def _steps(self, left: int) -> list[Way]:
        """(cost, what is left after it, pattern) of each stick that takes the longest piece left."""
        spare, found = self._spare, []
        ways = self._ways[left.bit_length() - 1]
        self._steps_taken += len(ways)
        if self._steps_taken > STEPS_MOST:
            raise _TooMany
        for cost, packed, index in ways:
            rest = (left | spare) - packed
            if rest & spare == spare:
                found.append((cost, rest ^ spare, index))
        return found

    def _packed(self, counts: Sequence[int]) -> int:
        return sum(count << shift for count, shift in zip(counts, self._shifts, strict=True))
