"""What a bundle costs, and what no plan of bundles can go below (R32-R35).

Cost of a bundle, all whole numbers, in sixteenths so that a length costs what it measures:

    one bundle + its length spread + 4 in for each position skipped in the install sequence
    + where it is short: 100 in and 50 in for each piece it lacks

Ranks above that sum, highest first: fewest short bundles; fewest bundles with more than the allowed spread
(R33 lets a spread stand only to avoid a short bundle); fewest bundles. Equal sums take the evener sizes, then
the larger bundle first.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from typing import Final, NamedTuple

SHORT_RANK: Final = 10**18
SPREAD_RANK: Final = 10**14
BUNDLE_RANK: Final = 10**10
SKIP_COST: Final = 64  # 4 in
SHORT_COST: Final = 1600  # 100 in
MISSING_COST: Final = 800  # 50 in


class Unit(NamedTuple):
    """A piece to bundle: place in the delivery's install sequence, length, weight in 1/100 lb."""

    place: int
    length_16: int
    weight_100: int


@dataclass(frozen=True, slots=True)
class Limits:
    """What a bundle may be: pieces, weight in 1/100 lb, length spread."""

    least: int
    most: int
    weight_100: int
    spread_16: int


Bundle = tuple[Unit, ...]
Score = tuple[int, int]


def cost(bundle: Sequence[Unit], limits: Limits) -> int:
    """Cost of one bundle as in the module's text."""
    places = [unit.place for unit in bundle]
    reach = max(places) - min(places)
    return size_cost(len(bundle), limits) + stretch_cost(spread_16(bundle), reach, limits)


def size_cost(size: int, limits: Limits) -> int:
    """The part that its number of pieces alone decides: each takes up one position of the bundle's reach."""
    total = BUNDLE_RANK - SKIP_COST * (size - 1)
    if size < limits.least:
        total += SHORT_RANK + SHORT_COST + MISSING_COST * (limits.least - size)
    return total


def stretch_cost(spread: int, reach: int, limits: Limits) -> int:
    """The part of its length spread and of its reach from first to last position."""
    return spread + SKIP_COST * reach + (SPREAD_RANK if spread > limits.spread_16 else 0)


def score(plan: Sequence[Bundle], limits: Limits) -> Score:
    """What a plan is judged by: its cost, then how uneven its sizes are."""
    return sum(cost(bundle, limits) for bundle in plan), sum(len(bundle) ** 2 for bundle in plan)


def spread_16(bundle: Sequence[Unit]) -> int:
    """Longest less shortest."""
    lengths = [unit.length_16 for unit in bundle]
    return max(lengths) - min(lengths)


def least_bundles(units: Sequence[Unit], limits: Limits) -> int:
    """A number that no plan can go below: by count, by weight, and by how many heavy pieces fit together."""
    weights = sorted(unit.weight_100 for unit in units)
    bounds = [ceil(len(units) / limits.most), ceil(sum(weights) / limits.weight_100)]
    for fit in range(1, limits.most + 1):
        heavy = len(weights) - bisect_right(weights, limits.weight_100 // (fit + 1))
        bounds.append(ceil(heavy / fit))
    return max(bounds)


def short_bundles(plan: Sequence[Bundle], limits: Limits) -> int:
    return sum(1 for bundle in plan if len(bundle) < limits.least)
