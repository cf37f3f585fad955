"""Orders of pieces that are worth cutting, and the best cut of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import combinations, islice, pairwise
from typing import Final

from framing.engine.bundling.batch import cheapest
from framing.engine.bundling.costs import Bundle, Limits, Score, Unit
from framing.engine.bundling.cut import cut_sizes

_SPLITS_MOST: Final = 8
_PAIRED_MOST: Final = 4  # of the widest steps each two part three groups
Order = tuple[int, ...]  # positions in the install order


def best_cut(units: Sequence[Unit], limits: Limits) -> tuple[Score, list[Bundle]]:
    """The best exact cut of any order worth cutting, with its score; among equals the order tried first.

    `units` are in install order. Where on the floor they stand makes no difference: equal stretches are asked once.
    """
    first = units[0].place
    shifted = tuple(Unit(u.place - first, u.length_16, u.weight_100) for u in units)
    found, order, sizes = _best_cut(shifted, limits)
    pieces = (units[i] for i in order)
    return found, [tuple(islice(pieces, size)) for size in sizes]


@lru_cache(maxsize=1024)
def _best_cut(units: tuple[Unit, ...], limits: Limits) -> tuple[Score, Order, list[int]]:
    tried = orders([unit.length_16 for unit in units], limits)
    found = cheapest(tried, units, limits) if len(tried) > 1 else None
    if found is not None:
        cheap, index, sizes = found
        return cheap, tried[index], sizes
    cuts = [cut_sizes([units[i] for i in order], limits) for order in tried]
    (cheap, sizes), order = min(zip(cuts, tried, strict=True), key=lambda cut: cut[0][0])
    return cheap, order, sizes


def orders(lengths_16: Sequence[int], limits: Limits) -> tuple[Order, ...]:
    """Different orders worth cutting, the install order first."""
    return tuple(dict.fromkeys(tuple(order) for order in _all_orders(lengths_16, limits)))


def _all_orders(lengths_16: Sequence[int], limits: Limits) -> Iterator[Sequence[int]]:
    """Install order, by length, and lengths in groups with install order inside.

    From the longest down is not among them: the ranges of an order are those of its reverse.
    """
    install = range(len(lengths_16))
    yield install
    by_length = sorted(install, key=lengths_16.__getitem__)
    yield by_length
    for split in _splits(lengths_16):
        short = [i for i in install if lengths_16[i] < split]
        long = [i for i in install if lengths_16[i] >= split]
        yield short + long
        yield long + short
    for low, high in combinations(sorted(_splits(lengths_16)[:_PAIRED_MOST]), 2):
        short = [i for i in install if lengths_16[i] < low]
        middle = [i for i in install if low <= lengths_16[i] < high]
        long = [i for i in install if lengths_16[i] >= high]
        yield short + middle + long
        yield middle + short + long
        yield short + long + middle
    for groups in (_groups(by_length, lengths_16, limits), _groups(by_length[::-1], lengths_16, limits)):
        yield [i for group in groups for i in sorted(group)]


def _splits(lengths_16: Sequence[int]) -> list[int]:
    """Lengths that part short from long, those after the widest steps first."""
    steps = sorted(
        ((high - low, high) for low, high in pairwise(sorted(set(lengths_16)))),
        key=lambda s: (-s[0], s[1]),
    )
    return [high for _, high in steps[:_SPLITS_MOST]]


def _groups(by_length: Sequence[int], lengths_16: Sequence[int], limits: Limits) -> list[list[int]]:
    """The fewest groups of lengths within the allowed spread, taken from one end."""
    groups: list[list[int]] = []
    for i in by_length:
        if groups and abs(lengths_16[i] - lengths_16[groups[-1][0]]) <= limits.spread_16:
            groups[-1].append(i)
        else:
            groups.append([i])
    return groups
