"""The least stock that a list of lengths can be cut from, by dynamic programming over what is left to cut.

Of equally good plans it takes one by a rule of its own, so that equal lists are cut alike on every machine: the
stick with the longest piece left is filled with the most of the longest pieces that a best plan allows. A state is
the pieces left, packed into one whole number: a few bits for each length, the longest in the highest, with a spare
bit above each so that taking a stick away shows at once where it takes too much.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

STEPS_MOST = 50_000  # about what the integer programmes take
PIECES_MOST = 120

_TOTAL, _STICK = 1 << 40, 1 << 20  # one sum ranks total length, then sticks, then sticks of the longest
Way = tuple[int, int, int]  # cost of a stick, packed pieces, index of its pattern


def least_stock(
    patterns: Sequence[tuple[int, tuple[int, ...]]], demand: Sequence[int], longest_16: int
) -> tuple[int, ...] | None:
    """The pattern of each stick for least total length, then fewest sticks, then most of the longest stock.

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
        search.least(search.start)
    except _TooMany:
        return None
    return tuple(search.plan())


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
        self._steps_taken = 0
        self._least: dict[int, int] = {0: 0}
        self._known: dict[int, list[Way]] = {}

    def least(self, left: int) -> int:
        """Cost of the best plan for what is left."""
        if left not in self._least:
            steps = self._known[left] = self._steps(left)
            self._least[left] = min(cost + self.least(rest) for cost, rest, _ in steps)
        return self._least[left]

    def plan(self) -> Iterator[int]:
        """Stick by stick a best plan, once its cost is known."""
        left = self.start
        while left:
            steps = self._known[left]
            rest, index = next(
                (rest, i) for cost, rest, i in steps if cost + self._least[rest] == self._least[left]
            )
            yield index
            left = rest

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
