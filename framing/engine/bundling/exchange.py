"""The best move or swap of one piece between two bundles, all of them looked at in arrays (R32-R35)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from framing.engine.bundling.costs import SKIP_COST, SPREAD_RANK, Bundle, Limits, Score, score, size_cost

_FAR: Final = 1 << 60
_NEVER: Final = 1 << 61
Numbers = NDArray[np.int64]


class _Change(NamedTuple):
    """Piece `give` of the first bundle leaves it, piece `take` of the second joins it; -1 for none.

    `rank` is the change's place among all: each piece of the first bundle moved, then swapped with each of the
    second's, then the pieces of the second moved. Equals go by it.
    """

    score: Score
    rank: int
    give: int
    take: int


def best_change(first: Bundle, second: Bundle, limits: Limits) -> tuple[Bundle, Bundle] | None:
    """Both bundles after the change that gains most, the first of equals; None where none gains."""
    best = min(_changes(first, second, limits), default=None)
    if best is None or best.score >= score((first, second), limits):
        return None
    given = () if best.give < 0 else (first[best.give],)
    taken = () if best.take < 0 else (second[best.take],)
    return (*_without(first, best.give), *taken), (*_without(second, best.take), *given)


def _without(bundle: Bundle, index: int) -> Bundle:
    """The bundle without one piece; whole where the index is -1."""
    return bundle if index < 0 else bundle[:index] + bundle[index + 1 :]


def _changes(first: Bundle, second: Bundle, limits: Limits) -> Iterator[_Change]:
    """The best move each way and the best swap."""
    one, other = _Side(first), _Side(second)
    turn = len(second) + 1
    for after, give in _best_move(one, other, limits):
        yield _Change(after, give * turn, give, -1)
    for after, give, take in _best_swap(one, other, limits):
        yield _Change(after, give * turn + 1 + take, give, take)
    for after, take in _best_move(other, one, limits):
        yield _Change(after, len(first) * turn + take, -1, take)


class _Side:
    """One bundle in arrays by piece: its values, and the least and largest of all other pieces."""

    def __init__(self, bundle: Bundle) -> None:
        places, lengths, weights = zip(*bundle, strict=True)
        self.size = len(bundle)
        self.places, self.lengths, self.weights = np.array(places), np.array(lengths), np.array(weights)
        self.weight = sum(weights)
        self.place_ends, self.length_ends = (min(places), max(places)), (min(lengths), max(lengths))
        self.place_rest = _ends_without(self.places, places)
        self.length_rest = _ends_without(self.lengths, lengths)


def _ends_without(values: Numbers, listed: tuple[int, ...]) -> tuple[Numbers, Numbers]:
    """Least and largest of all but one, for each one; of none, what any value replaces."""
    if len(listed) == 1:
        return np.array([_FAR]), np.array([-_FAR])
    rising = sorted(listed)
    low, high = rising[0], rising[-1]
    return np.where(values == low, rising[1], low), np.where(values == high, rising[-2], high)


def _best_move(giver: _Side, taker: _Side, limits: Limits) -> Iterator[tuple[Score, int]]:
    """The best piece to move, if one may be: neither bundle may end up empty or over its limits."""
    if giver.size == 1 or taker.size >= limits.most:
        return
    (low, high), (short, long) = giver.place_rest, giver.length_rest
    stays = _stretch(low, high, short, long, limits)
    grown = _joined(taker.place_ends, giver.places, taker.length_ends, giver.lengths, limits)
    total = np.where(taker.weight + giver.weights > limits.weight_100, _NEVER, stays + grown)
    index = int(total.argmin())
    if total[index] < _NEVER:
        yield _score(int(total[index]), giver.size - 1, taker.size + 1, limits), index


def _best_swap(one: _Side, other: _Side, limits: Limits) -> Iterator[tuple[Score, int, int]]:
    """The best pair of pieces to swap, if any may be; a piece of its own may be as heavy as it is."""
    total = _swapped(one, other, limits) + _swapped(other, one, limits).T
    index = int(total.argmin())
    give, take = divmod(index, other.size)
    if total[give, take] < _NEVER:
        yield _score(int(total[give, take]), one.size, other.size, limits), give, take


def _swapped(side: _Side, joining: _Side, limits: Limits) -> Numbers:
    """Cost of one side's length spread and reach, by the piece that leaves it and the one that joins it."""
    low, high = side.place_rest
    short, long = side.length_rest
    total = _joined(
        (low[:, None], high[:, None]),
        joining.places,
        (short[:, None], long[:, None]),
        joining.lengths,
        limits,
    )
    if side.size == 1:
        return total
    heavy = (side.weight - side.weights)[:, None] + joining.weights > limits.weight_100
    return np.where(heavy, _NEVER, total)


def _joined(
    place_ends: tuple[Numbers | int, Numbers | int],
    places: Numbers,
    length_ends: tuple[Numbers | int, Numbers | int],
    lengths: Numbers,
    limits: Limits,
) -> Numbers:
    """Cost of length spread and reach once one piece more has joined."""
    return _stretch(
        np.minimum(place_ends[0], places),
        np.maximum(place_ends[1], places),
        np.minimum(length_ends[0], lengths),
        np.maximum(length_ends[1], lengths),
        limits,
    )


def _stretch(low: Numbers, high: Numbers, short: Numbers, long: Numbers, limits: Limits) -> Numbers:
    """`costs.stretch_cost` in arrays."""
    spread = long - short
    total: Numbers = spread + SKIP_COST * (high - low) + SPREAD_RANK * (spread > limits.spread_16)
    return total


def _score(stretch: int, size: int, other_size: int, limits: Limits) -> Score:
    total = size_cost(size, limits) + size_cost(other_size, limits) + stretch
    return total, size**2 + other_size**2
