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
) -> tuple[Score, int] | None:
    """Score of the best exact cut of any order, and the order's index, the first of equals.

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
        packed = np.where(costs < _NEVER, costs * room.squares + squares, _NEVER)
        pairs = [divmod(key, room.squares) for key in _least(packed)]
    else:
        pairs = _least_pairs(costs)
    index = pairs.index(min(pairs))
    key, even = pairs[index]
    return (room.cost(key), even), index


def _least(costs: Numbers) -> list[int]:
    """The least cost of a cut, by order."""
    most, count, tried = costs.shape
    best = np.full((count + most, tried), _NEVER, dtype=np.int64)
    best[count] = 0
    for first in range(count - 1, -1, -1):
        after = best[first + 1 : first + 1 + most]
        np.minimum.reduce(costs[:, first] + after, axis=0, out=best[first])
    return [int(key) for key in best[0]]


def _least_pairs(costs: Numbers) -> list[tuple[int, int]]:
    """The least cost of a cut, and the least squared sizes that it goes with, by order."""
    most, count, tried = costs.shape
    best = np.full((count + most, tried), _NEVER, dtype=np.int64)
    best[count] = 0
    even = np.zeros_like(best)
    squares = _sizes(most) ** 2
    for first in range(count - 1, -1, -1):
        after = slice(first + 1, first + 1 + most)
        cuts = costs[:, first] + best[after]
        np.minimum.reduce(cuts, axis=0, out=best[first])
        equals = np.where(cuts == best[first], squares + even[after], _NEVER)
        np.minimum.reduce(equals, axis=0, out=even[first])
    return [(int(key), int(square)) for key, square in zip(best[0], even[0], strict=True)]


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
    ahead = np.arange(limits.most)[:, None] + np.arange(len(units))
    held = np.array(units).T[:, orders.T[np.minimum(ahead, len(units) - 1)]]
    reach, spread = np.maximum.accumulate(held[:2], axis=1) - np.minimum.accumulate(held[:2], axis=1)
    size = _sizes(limits.most)[:, :, None]
    short = size < limits.least
    fixed = np.where(short, SHORT_COST + MISSING_COST * (limits.least - size), 0) - SKIP_COST * (size - 1)
    bundles = (short * room.bundles + (spread > limits.spread_16)) * room.bundles + 1
    key: Numbers = bundles * room.rest + (spread + SKIP_COST * reach + fixed)
    key[(held[2].cumsum(axis=0) > limits.weight_100) & (size > 1)] = _NEVER
    return key


def _sizes(most: int) -> Numbers:
    """Sizes of ranges, as a column."""
    return np.arange(1, most + 1)[:, None]
