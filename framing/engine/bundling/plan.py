"""How pieces of one profile are parted into bundles: exact cuts of several orders, then a search (R32-R35).

`cut` is exact for ranges of a given order; `plan_bundles` tries several orders, then re-cuts neighboring bundles
and exchanges pieces as long as that gains: it is never worse than the plain cut of the install sequence. What
plans are judged by is in `costs`.
"""

from __future__ import annotations

from collections.abc import Sequence

from framing.engine.bundling.anneal import PIECES_MOST, annealed
from framing.engine.bundling.costs import (
    Bundle,
    Limits,
    Unit,
    cost,
    least_bundles,
    score,
    short_bundles,
    spread_16,
)
from framing.engine.bundling.cut import cut
from framing.engine.bundling.kinds import packed
from framing.engine.bundling.orders import best_cut
from framing.engine.bundling.search import improved, in_order

__all__ = [
    "Bundle",
    "Limits",
    "Unit",
    "cost",
    "cut",
    "least_bundles",
    "plan_bundles",
    "short_bundles",
    "spread_16",
]


def plan_bundles(units: Sequence[Unit], limits: Limits, *, neater: bool = False) -> tuple[Bundle, ...]:
    """Bundles in the order of their first pieces, each in install order. No units, no bundles.

    A piece over the weight limit is a bundle of its own: it can't be made lighter. Where weight keeps a plan from
    what the rules want, the search begins again from the heaviest pieces and, of few kinds, from bundles that are
    proved to be the fewest; the best plan is searched from by annealing. `neater` leaves all that out, so that pieces
    that follow each other on the floor stay together.
    """
    if not units:
        return ()
    ordered = sorted(units)
    _, ranges = best_cut(ordered, limits)
    best = improved(ranges, limits)
    if not neater and _weight_costs(best, ordered, limits):
        starts = [_first_fit(ordered, limits), packed(ordered, limits)]
        plans = [improved(start, limits) for start in starts if start]
        best = min(best, *plans, key=lambda plan: score(plan, limits))
        if len(ordered) <= PIECES_MOST:
            best = improved(annealed(best, limits), limits)
    return tuple(in_order(best))


def _weight_costs(plan: Sequence[Bundle], units: Sequence[Unit], limits: Limits) -> bool:
    """Whether weight can hold a bundle back, and the plan has more bundles than the bound, short or uneven ones."""
    heaviest = sorted(unit.weight_100 for unit in units)[-limits.most :]
    if sum(heaviest) <= limits.weight_100:
        return False
    uneven = any(spread_16(bundle) > limits.spread_16 for bundle in plan)
    return uneven or short_bundles(plan, limits) > 0 or len(plan) > least_bundles(units, limits)


def _first_fit(units: Sequence[Unit], limits: Limits) -> list[Bundle]:
    """Heaviest first into the first bundle with room: where weight rules, ranges can need one bundle more."""
    bundles: list[list[Unit]] = []
    room: dict[int, int] = {}  # weight by index of those that are not full, first opened first
    for unit in sorted(units, key=lambda u: (-u.weight_100, u.place)):
        fits = (i for i, weight in room.items() if weight + unit.weight_100 <= limits.weight_100)
        index = next(fits, len(bundles))
        if index == len(bundles):
            bundles.append([])
        bundles[index].append(unit)
        room[index] = room.get(index, 0) + unit.weight_100
        if len(bundles[index]) == limits.most:
            del room[index]
    return [tuple(bundle) for bundle in bundles]
