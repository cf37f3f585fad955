"""How pieces of one profile are cut into bundles: an exact cut of an order, a search over orders (R32-R35).

Cost of a bundle, all whole numbers, in sixteenths so that a length costs what it measures:

    one bundle + its length spread + 4 in for each position skipped in the install sequence
    + where it is short: 100 in and 50 in for each piece it lacks

Ranks above that sum, highest first: fewest short bundles; fewest bundles with more than the allowed spread
(R33 lets a spread stand only to avoid a short bundle); fewest bundles. Equal sums take the evener sizes, then
the larger bundle first. `cut` is exact for ranges of a given order (dynamic programming); `plan_bundles`
tries several orders, then re-cuts neighboring bundles and exchanges pieces as long as that gains: it is never
worse than the plain cut of the install sequence.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from math import ceil
from typing import Final

SHORT_RANK: Final = 10**18
SPREAD_RANK: Final = 10**14
BUNDLE_RANK: Final = 10**10
SKIP_COST: Final = 64  # 4 in
SHORT_COST: Final = 1600  # 100 in
MISSING_COST: Final = 800  # 50 in
_ROUNDS: Final = 20
_SPLITS_MOST: Final = 8


@dataclass(frozen=True, slots=True, order=True)
class Unit:
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


def plan_bundles(units: Sequence[Unit], limits: Limits) -> tuple[Bundle, ...]:
    """Bundles in the order of their first pieces, each in install order. No units, no bundles.

    A piece over the weight limit is a bundle of its own: it can't be made lighter.
    """
    if not units:
        return ()
    ordered = sorted(units)
    starts = [cut(order, limits) for order in _orders(ordered, limits)]
    best = min(starts, key=lambda plan: _score(plan, limits))
    if len(best) > least_bundles(ordered, limits):
        best = min(best, _first_fit(ordered, limits), key=lambda plan: _score(plan, limits))
    return _sorted(_improved(best, limits))


def cut(order: Sequence[Unit], limits: Limits) -> list[Bundle]:
    """The best cut of an order into ranges, exact. Among equals the earlier bundle is the larger one."""
    count = len(order)
    best: list[Score] = [(0, 0)] * (count + 1)
    sizes = [1] * count
    for first in reversed(range(count)):
        unit = order[first]
        shortest = longest = unit.length_16
        lowest = highest = unit.place
        weight = unit.weight_100
        rest = best[first + 1]
        found = (_cost(1, 0, 0, limits) + rest[0], 1 + rest[1])
        for size in range(2, min(limits.most, count - first) + 1):
            unit = order[first + size - 1]
            weight += unit.weight_100
            if weight > limits.weight_100:
                break
            shortest, longest = _widened(shortest, longest, unit.length_16)
            lowest, highest = _widened(lowest, highest, unit.place)
            rest = best[first + size]
            total = _cost(size, longest - shortest, highest - lowest + 1 - size, limits) + rest[0]
            score = (total, size * size + rest[1])
            if score <= found:
                found, sizes[first] = score, size
        best[first] = found
    bundles, first = [], 0
    while first < count:
        bundles.append(tuple(order[first : first + sizes[first]]))
        first += sizes[first]
    return bundles


def _widened(low: int, high: int, value: int) -> tuple[int, int]:
    """The range that holds one value more."""
    if value < low:
        return value, high
    return (low, value) if value > high else (low, high)


def cost(bundle: Sequence[Unit], limits: Limits) -> int:
    """Cost of one bundle as in the module's text."""
    places = [unit.place for unit in bundle]
    return _cost(len(bundle), spread_16(bundle), max(places) - min(places) + 1 - len(bundle), limits)


def _cost(size: int, spread: int, skipped: int, limits: Limits) -> int:
    total = BUNDLE_RANK + spread + SKIP_COST * skipped
    if spread > limits.spread_16:
        total += SPREAD_RANK
    if size < limits.least:
        total += SHORT_RANK + SHORT_COST + MISSING_COST * (limits.least - size)
    return total


def spread_16(bundle: Sequence[Unit]) -> int:
    """Longest less shortest."""
    lengths = [unit.length_16 for unit in bundle]
    return max(lengths) - min(lengths)


def least_bundles(units: Sequence[Unit], limits: Limits) -> int:
    """A number that no plan can go below: by count, by weight, and by how many heavy pieces fit together."""
    weights = [unit.weight_100 for unit in units]
    bounds = [ceil(len(units) / limits.most), ceil(sum(weights) / limits.weight_100)]
    for fit in range(1, limits.most + 1):
        heavy = sum(1 for weight in weights if weight * (fit + 1) > limits.weight_100)
        bounds.append(ceil(heavy / fit))
    return max(bounds)


def short_bundles(plan: Sequence[Bundle], limits: Limits) -> int:
    return sum(1 for bundle in plan if len(bundle) < limits.least)


def _score(plan: Sequence[Bundle], limits: Limits) -> Score:
    return sum(cost(bundle, limits) for bundle in plan), sum(len(bundle) ** 2 for bundle in plan)


def _sorted(plan: Sequence[Bundle]) -> tuple[Bundle, ...]:
    return tuple(sorted(tuple(sorted(bundle)) for bundle in plan))


def _orders(units: Sequence[Unit], limits: Limits) -> tuple[tuple[Unit, ...], ...]:
    """Different orders worth cutting, the install order first."""
    return tuple(dict.fromkeys(tuple(order) for order in _all_orders(units, limits)))


def _all_orders(units: Sequence[Unit], limits: Limits) -> Iterator[list[Unit]]:
    """Install order, by length, and lengths in groups with install order inside."""
    yield list(units)
    by_length = sorted(units, key=lambda u: (u.length_16, u.place))
    yield by_length
    yield by_length[::-1]
    for split in _splits(by_length):
        yield [u for u in units if u.length_16 < split] + [u for u in units if u.length_16 >= split]
        yield [u for u in units if u.length_16 >= split] + [u for u in units if u.length_16 < split]
    for groups in (_groups(by_length, limits), _groups(by_length[::-1], limits)):
        yield [unit for group in groups for unit in sorted(group)]


def _splits(by_length: Sequence[Unit]) -> list[int]:
    """Lengths that part short from long, those after the widest steps first."""
    lengths = sorted({unit.length_16 for unit in by_length})
    steps = sorted(
        ((high - low, high) for low, high in pairwise(lengths)),
        key=lambda s: (-s[0], s[1]),
    )
    return [high for _, high in steps[:_SPLITS_MOST]]


def _groups(by_length: Sequence[Unit], limits: Limits) -> list[list[Unit]]:
    """The fewest groups of lengths within the allowed spread, taken from one end."""
    groups: list[list[Unit]] = []
    for unit in by_length:
        if groups and abs(unit.length_16 - groups[-1][0].length_16) <= limits.spread_16:
            groups[-1].append(unit)
        else:
            groups.append([unit])
    return groups


def _first_fit(units: Sequence[Unit], limits: Limits) -> list[Bundle]:
    """Heaviest first into the first bundle with room: where weight rules, ranges can need one bundle more."""
    open_bundles: list[list[Unit]] = []
    for unit in sorted(units, key=lambda u: (-u.weight_100, u.place)):
        for bundle in open_bundles:
            weight = sum(u.weight_100 for u in bundle) + unit.weight_100
            if len(bundle) < limits.most and weight <= limits.weight_100:
                bundle.append(unit)
                break
        else:
            open_bundles.append([unit])
    return [tuple(bundle) for bundle in open_bundles]


def _improved(plan: Sequence[Bundle], limits: Limits) -> list[Bundle]:
    current = list(_sorted(plan))
    for _ in range(_ROUNDS):
        before = _score(current, limits)
        current = list(_sorted(_recut(current, limits)))
        current = list(_sorted(_exchanged(current, limits)))
        if _score(current, limits) >= before:
            break
    return current


def _recut(plan: list[Bundle], limits: Limits) -> list[Bundle]:
    """Cut each two to four neighboring bundles again in every order worth trying."""
    first = 0
    while first < len(plan):
        for width in (2, 3, 4):
            window = plan[first : first + width]
            if len(window) < width or _is_clean(window, limits):
                continue
            union = sorted(unit for bundle in window for unit in bundle)
            tried = min(
                (cut(order, limits) for order in _orders(union, limits)), key=lambda p: _score(p, limits)
            )
            if _score(tried, limits) < _score(window, limits):
                plan = [*plan[:first], *_sorted(tried), *plan[first + width :]]
        first += 1
    return plan


def _is_clean(window: Sequence[Bundle], limits: Limits) -> bool:
    """Whether no re-cut can gain but by fewer bundles: nothing short, spread or skipped."""
    rest = sum(cost(bundle, limits) % BUNDLE_RANK for bundle in window)
    pieces = sum(len(bundle) for bundle in window)
    sizes = [len(bundle) for bundle in window]
    return rest == 0 and pieces > limits.most * (len(window) - 1) and max(sizes) - min(sizes) <= 1


def _exchanged(plan: list[Bundle], limits: Limits) -> list[Bundle]:
    """Move or swap single pieces between bundles at most three apart, the best change of each pair."""
    for a, b in combinations(range(len(plan)), 2):
        if b - a > 3 or _is_clean((plan[a], plan[b]), limits):
            continue
        best = min(_changes(plan[a], plan[b], limits), key=lambda pair: _score(pair, limits))
        if _score(best, limits) < _score((plan[a], plan[b]), limits):
            plan[a], plan[b] = best
    return plan


def _changes(first: Bundle, second: Bundle, limits: Limits) -> Iterator[tuple[Bundle, Bundle]]:
    yield first, second
    for i, unit in enumerate(first):
        rest = first[:i] + first[i + 1 :]
        if rest and _fits(moved := (*second, unit), limits):
            yield rest, moved
        for j, other in enumerate(second):
            swapped = (*rest, other), (*second[:j], *second[j + 1 :], unit)
            if all(_fits(bundle, limits) for bundle in swapped):
                yield swapped
    for j, unit in enumerate(second):
        rest = second[:j] + second[j + 1 :]
        if rest and _fits(moved := (*first, unit), limits):
            yield moved, rest


def _fits(bundle: Bundle, limits: Limits) -> bool:
    return len(bundle) <= limits.most and (
        len(bundle) == 1 or sum(unit.weight_100 for unit in bundle) <= limits.weight_100
    )
