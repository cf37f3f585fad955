"""Where weight decides: short bundles, broken spreads and the count settled exactly, by kinds of pieces (R33, R35).

Pieces of one length and weight are alike in all ranks above the cost, and a heavy lot mostly has few such kinds. What a
bundle may hold is listed as how many of each kind; a table over all that may be left to bundle tells the least of the
ranks in turn, then of length spread and of what short bundles lack. Which of like pieces lies where, and so what is
skipped in the install sequence, is left to the search that goes on from here.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import islice, product
from math import prod
from typing import Final

import numpy as np
from numpy.typing import NDArray

from framing.engine.bundling.costs import MISSING_COST, SHORT_COST, Bundle, Limits, Unit

PIECES_MOST: Final = 1_000
ENTRIES_MOST: Final = 20_000
FILLINGS_MOST: Final = 4_000
WORK_MOST: Final = 20_000_000
"""Pieces of a lot, counts of what may be left, fillings of a bundle, and the last two multiplied, which the time goes
by: a lot with more is left to the search."""
_NEVER: Final = 1 << 60
Numbers = NDArray[np.int64]
Kind = tuple[int, int]
"""Length and weight."""
Filling = tuple[int, ...]
"""How many of each kind lie in a bundle."""


def packed(units: Sequence[Unit], limits: Limits) -> list[Bundle] | None:
    """Bundles whose short ones, then broken spreads, then count are the least that there can be.

    Pieces of a kind go to the bundles in install order. None where the kinds are too many to decide it.
    """
    kinds = Counter((unit.length_16, unit.weight_100) for unit in units)
    entries = prod(count + 1 for count in kinds.values())
    if entries > ENTRIES_MOST or len(units) > PIECES_MOST:
        return None
    fillings = list(islice(_fillings(tuple(kinds.items()), limits), FILLINGS_MOST + 1))
    if len(fillings) > FILLINGS_MOST or len(fillings) * entries > WORK_MOST:
        return None
    return _handed_out(_Table(kinds, fillings, limits).best(), list(kinds), units)


def _fillings(kinds: Sequence[tuple[Kind, int]], limits: Limits) -> Iterator[Filling]:
    """All that a bundle may hold; one piece may be as heavy as it is."""
    yield from (one for one in _within(kinds, limits.most, limits.weight_100) if sum(one) > 1)
    for index in range(len(kinds)):
        yield tuple(int(other == index) for other in range(len(kinds)))


def _within(kinds: Sequence[tuple[Kind, int]], room: int, weight_100: int) -> Iterator[Filling]:
    if not kinds:
        yield ()
        return
    (_, own), count = kinds[0]
    most = min(count, room, weight_100 // own if own else room)
    for here in range(most + 1):
        for rest in _within(kinds[1:], room - here, weight_100 - here * own):
            yield here, *rest


class _Table:
    """The least key of every count of pieces that may be left; a key holds the ranks and the cost in one number.

    The table has room below nought in every direction, filled with what can't be: a filling that takes more than is
    left needs no asking. One bundle at a time is filled, always one that holds the first kind that is left.
    """

    def __init__(self, kinds: Counter[Kind], fillings: Sequence[Filling], limits: Limits) -> None:
        self.counts = tuple(kinds.values())
        taken = np.array(fillings)
        room = taken.max(axis=0)
        shape = tuple(int(count + below + 1) for count, below in zip(self.counts, room, strict=True))
        steps = np.cumprod((1, *shape[:0:-1]))[::-1]
        self.steps, self.nought = steps.tolist(), int(steps @ room)
        self.left = np.full(prod(shape), _NEVER)
        self.left[self.nought] = 0
        first, keys = (
            (taken > 0).argmax(axis=1),
            _keys(taken, np.array(list(kinds)), sum(self.counts), limits),
        )
        self.groups = [
            (taken[first == kind], taken[first == kind] @ steps, keys[first == kind])
            for kind in range(len(self.counts))
        ]

    def best(self) -> list[Filling]:
        """The fillings of the best plan."""
        for counts in islice(product(*(range(count + 1) for count in self.counts)), 1, None):
            at, _, offsets, keys = self._asked(counts)
            self.left[at] = (self.left[at - offsets] + keys).min()
        found, counts = list[Filling](), self.counts
        while any(counts):
            at, taken, offsets, keys = self._asked(counts)
            found.append(tuple(taken[(self.left[at - offsets] + keys).argmin()].tolist()))
            counts = tuple(count - less for count, less in zip(counts, found[-1], strict=True))
        return found

    def _asked(self, counts: Filling) -> tuple[int, Numbers, Numbers, Numbers]:
        """Where the table holds some counts, and the fillings that may come next with their offsets and keys."""
        at = self.nought + sum(map(int.__mul__, counts, self.steps))
        return at, *self.groups[next(kind for kind, count in enumerate(counts) if count)]


def _keys(taken: Numbers, kinds: Numbers, pieces: int, limits: Limits) -> Numbers:
    """What each filling adds to the ranks, and to the cost without what it skips, in one number."""
    lengths, held, sizes = kinds[:, 0], taken > 0, taken.sum(axis=1)
    spread = np.where(held, lengths, 0).max(axis=1) - np.where(held, lengths, lengths.max()).min(axis=1)
    short = sizes < limits.least
    cost = spread + short * (SHORT_COST + MISSING_COST * (limits.least - sizes))
    ranks = (short * (pieces + 1) + (spread > limits.spread_16)) * (pieces + 1) + 1
    keys: Numbers = ranks * (pieces * int(cost.max()) + 1) + cost
    return keys


def _handed_out(plan: Sequence[Filling], kinds: Sequence[Kind], units: Sequence[Unit]) -> list[Bundle]:
    """Bundles of pieces: those of a kind in install order, like fillings after one another."""
    pieces = [iter(sorted(u for u in units if (u.length_16, u.weight_100) == kind)) for kind in kinds]
    return [
        tuple(unit for of_kind, count in zip(pieces, filling, strict=True) for unit in islice(of_kind, count))
        for filling in sorted(plan, reverse=True)
    ]
