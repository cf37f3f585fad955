"""Many orders of the same pieces cut at once, in arrays, to tell which has the best cut.

The arithmetic is exact: the ranks of `costs` are packed into one 64-bit whole number, with just as much room
for each as the pieces at hand can fill. Of many pieces the squared sizes, which only tell equals apart, are
kept beside it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from framing.engine.bundling.costs import (
    BUNDLE_RANK,
    MISSING_COST,
    SHORT_COST,
    SHORT_RANK,
    SKIP_COST,
    SPREAD_RANK,
    Limits,
    Score,
    Unit,
)

_KEY_MOST: Final = 1 << 60
_NEVER: Final = 1 << 61  # twice this is still a 64-bit number
Numbers = NDArray[np.int64]


def cheapest(
    orders: Sequence[Sequence[int]], units: Sequence[Unit], limits: Limits
) -> tuple[Score, int, list[int]] | None:
    """Score of the best exact cut of any order, the order's index, the first of equals, and the cut's sizes.

    Args:
        orders: positions in `units`, each order with all of them.
        units: the pieces, in install order.
        limits: what a bundle may be.

    Returns None where the numbers are too large for 64 bits.
    """
    room = _room_of(units, limits)
    if room.bundles**3 * room.rest >= _KEY_MOST:
        return None
    costs = _range_costs(np.array(orders), units, limits, room)
    if room.bundles**3 * room.rest * room.squares < _KEY_MOST:
        squares = _sizes(limits.most)[:, :, None] ** 2
        costs = np.where(costs < _NEVER, costs * room.squares + squares, _NEVER)
        best = _least(costs)
        index = int(best[0].argmin())
        key, even = divmod(int(best[0, index]), room.squares)
        _, sizes = _evenest(costs[:, :, index], best[:, index])
        return (room.cost(key), even), index, sizes
    best = _least(costs)
    tied = np.flatnonzero(best[0] == best[0].min())
    cuts = [_evenest(costs[:, :, index], best[:, index]) for index in tied]
    even, sizes = min(cuts, key=lambda cut: cut[0])
    index = int(tied[[cut[0] for cut in cuts].index(even)])
    return (room.cost(int(best[0, index])), even), index, sizes


def _least(costs: Numbers) -> Numbers:
    """The least cost of a cut from each position on, by order; past the end no cut goes on."""
    most, count, tried = costs.shape
    best = np.full((count + most, tried), _NEVER, dtype=np.int64)
    best[count] = 0
    for first in range(count - 1, -1, -1):
        after = best[first + 1 : first + 1 + most]
        np.minimum.reduce(costs[:, first] + after, axis=0, out=best[first])
    return best


def _evenest(costs: Numbers, best: Numbers) -> tuple[int, list[int]]:
    """Of one order's cheapest cuts the one of least squared sizes, among equals the earlier bundle larger."""
    most, count = costs.shape
    after = best[np.arange(count)[:, None] + np.arange(1, most + 1)]
    squares, sizes = [0] * (count + 1), [0] * count
    places, fits = np.nonzero(costs.T + after == best[:count, None])
    for first, less_one in zip(places[::-1].tolist(), fits[::-1].tolist(), strict=True):
        size = less_one + 1  # sizes fall, so that a smaller one must be better
        even = size * size + squares[first + size]
        if not sizes[first] or even < squares[first]:
            squares[first], sizes[first] = even, size
    cut, first = [], 0
    while first < count:
        cut.append(sizes[first])
        first += sizes[first]
    return squares[0], cut


@dataclass(frozen=True, slots=True)
class _Room:
    """How large each part of a plan's cost can get, plus one: bundles of any kind, what is left, squared sizes."""

    bundles: int
    rest: int
    squares: int

    def cost(self, key: int) -> int:
        """The cost, as in `costs`, that was packed into a key."""
        bundles, rest = divmod(key, self.rest)
        ranks, count = divmod(bundles, self.bundles)
        short, spread = divmod(ranks, self.bundles)
        return short * SHORT_RANK + spread * SPREAD_RANK + count * BUNDLE_RANK + rest


def _room_of(units: Sequence[Unit], limits: Limits) -> _Room:
    lengths = [unit.length_16 for unit in units]
    spread, reach = max(lengths) - min(lengths), units[-1].place - units[0].place
    rest = spread + SKIP_COST * reach + SHORT_COST + MISSING_COST * limits.least
    return _Room(len(units) + 1, len(units) * rest + 1, len(units) * limits.most + 1)


def _range_costs(orders: Numbers, units: Sequence[Unit], limits: Limits, room: _Room) -> Numbers:
    """Cost of each range, by size less one, first position and order."""
    # Ranges that would pass the end repeat the last piece: no cut can use them.
    at = np.concatenate([orders.T, np.repeat(orders.T[-1:], limits.most - 1, axis=0)])
    values = np.array(units).T
    reach, spread = _stretches(values[:2, at], limits.most)
    size = _sizes(limits.most)
    short = size < limits.least
    fixed = np.where(short, SHORT_COST + MISSING_COST * (limits.least - size), 0) - SKIP_COST * (size - 1)
    fixed += (short * room.bundles**2 + 1) * room.rest
    key: Numbers = reach * SKIP_COST
    key += spread
    key += fixed[:, :, None]
    np.add(key, room.bundles * room.rest, out=key, where=spread > limits.spread_16)
    weights = values[2]
    if np.sort(weights)[-limits.most :].sum() > limits.weight_100:
        ahead = np.lib.stride_tricks.sliding_window_view(weights[at], limits.most, axis=0)
        heavy = ahead.cumsum(axis=2).transpose(2, 0, 1) > limits.weight_100
        key[1:][heavy[1:]] = _NEVER  # a piece of its own may be as heavy as it is
    return key


def _stretches(held: Numbers, most: int) -> Numbers:
    """Largest less least of each range, by value, size less one, first position and order."""
    kinds, ahead, tried = held.shape
    count = ahead - most + 1
    low = np.empty((kinds, most, count, tried), dtype=np.int64)
    high = np.empty_like(low)
    low[:, 0] = high[:, 0] = held[:, :count]
    for more in range(1, most):
        joining = held[:, more : more + count]
        np.minimum(low[:, more - 1], joining, out=low[:, more])
        np.maximum(high[:, more - 1], joining, out=high[:, more])
    high -= low
    return high


def _sizes(most: int) -> Numbers:
    """Sizes of ranges, as a column."""
    return np.arange(1, most + 1)[:, None]
