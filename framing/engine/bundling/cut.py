"""The exact cut of an order of pieces into ranges, by dynamic programming from the end."""

from __future__ import annotations

from collections.abc import Sequence

from framing.engine.bundling.costs import SKIP_COST, SPREAD_RANK, Bundle, Limits, Score, Unit, size_cost


def cut(order: Sequence[Unit], limits: Limits) -> list[Bundle]:
    """The best cut of an order into ranges, exact. Among equals the earlier bundle is the larger one."""
    _, sizes = cut_sizes(order, limits)
    bundles, first = [], 0
    for size in sizes:
        bundles.append(tuple(order[first : first + size]))
        first += size
    return bundles


def cut_sizes(order: Sequence[Unit], limits: Limits) -> tuple[Score, list[int]]:
    """Score and sizes of the best cut."""
    count, most = len(order), limits.most
    base = [size_cost(size, limits) for size in range(most + 1)]
    totals, squares, sizes = [0] * (count + 1), [0] * (count + 1), [1] * count
    for first in range(count - 1, -1, -1):
        after = slice(first + 1, first + 1 + most)
        totals[first], squares[first], sizes[first] = _best_range(
            order[first : first + most], base, totals[after], squares[after], limits
        )
    chosen, first = [], 0
    while first < count:
        chosen.append(sizes[first])
        first += sizes[first]
    return (totals[0], squares[0]), chosen


def _best_range(
    ahead: Sequence[Unit],
    base: Sequence[int],
    totals: Sequence[int],
    squares: Sequence[int],
    limits: Limits,
) -> tuple[int, int, int]:
    """Cost, squared sizes and size of the best range at the start of `ahead`, with the best cut of what follows.

    Written out, as it runs some hundred thousand times; `costs.cost` says the same in words.
    """
    heaviest, widest = limits.weight_100, limits.spread_16
    lowest, shortest, weight = ahead[0]
    highest, longest = lowest, shortest
    total, square, best = base[1] + totals[0], 1 + squares[0], 1
    for size, (place, length, more) in enumerate(ahead[1:], start=2):
        weight += more
        if weight > heaviest:
            break
        if length < shortest:
            shortest = length
        elif length > longest:
            longest = length
        if place < lowest:
            lowest = place
        elif place > highest:
            highest = place
        spread = longest - shortest
        tried = base[size] + spread + SKIP_COST * (highest - lowest) + totals[size - 1]
        if spread > widest:
            tried += SPREAD_RANK
        if tried <= total and (tried < total or size * size + squares[size - 1] <= square):
            total, square, best = tried, size * size + squares[size - 1], size
    return total, square, best
