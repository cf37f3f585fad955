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
from numpy.lib.stride_tricks import sliding_window_view
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
        squares = np.arange(1, limits.most + 1) ** 2
        packed = np.where(costs < _NEVER, costs * room.squares + squares, _NEVER)
        pairs = [divmod(key, room.squares) for key in _least(packed)]
    else:
        pairs = _least_pairs(costs)
    index = pairs.index(min(pairs))
    key, even = pairs[index]
    return (room.cost(key), even), index


def _least(costs: Numbers) -> list[int]:
    """The least cost of a cut, by order."""
    count, most = costs.shape[1:]
    best = np.full((len(costs), count + most), _NEVER, dtype=np.int64)
    best[:, count] = 0
    for first in range(count - 1, -1, -1):
        best[:, first] = (costs[:, first] + best[:, first + 1 : first + 1 + most]).min(axis=1)
    return [int(key) for key in best[:, 0]]


def _least_pairs(costs: Numbers) -> list[tuple[int, int]]:
    """The least cost of a cut, and the least squared sizes that it goes with, by order."""
    count, most = costs.shape[1:]
    best = np.full((len(costs), count + most), _NEVER, dtype=np.int64)
    best[:, count] = 0
    even = np.zeros_like(best)
    square = np.arange(1, most + 1) ** 2
    for first in range(count - 1, -1, -1):
        after = slice(first + 1, first + 1 + most)
        tried = costs[:, first] + best[:, after]
        best[:, first] = least = tried.min(axis=1)
        even[:, first] = np.where(tried == least[:, None], square + even[:, after], _NEVER).min(axis=1)
    return [(int(key), int(squares)) for key, squares in zip(best[:, 0], even[:, 0], strict=True)]


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
    """Cost of each range, by order, first position and size less one."""
    places, lengths, weights = (
        _ranges(np.array(column)[orders], limits.most) for column in zip(*units, strict=True)
    )
    size = np.arange(1, limits.most + 1)
    short = size < limits.least
    fixed = np.where(short, SHORT_COST + MISSING_COST * (limits.least - size), 0) - SKIP_COST * (size - 1)
    spread = _extent(lengths)
    bundles = (short * room.bundles + (spread > limits.spread_16)) * room.bundles + 1
    rest = spread + SKIP_COST * _extent(places) + fixed
    key = bundles * room.rest + rest
    key[(np.cumsum(weights, axis=2) > limits.weight_100) & (size > 1)] = _NEVER
    return key


def _ranges(values: Numbers, most: int) -> Numbers:
    """What each range of up to `most` holds; beyond the end the first value again, as no range may end there."""
    padded = np.concatenate([values, np.repeat(values[:, :1], most - 1, axis=1)], axis=1)
    return sliding_window_view(padded, most, axis=1)


def _extent(ranges: Numbers) -> Numbers:
    """Largest less smallest of each range, by its size."""
    return np.maximum.accumulate(ranges, axis=2) - np.minimum.accumulate(ranges, axis=2)
