"""Exact one-way cutting: the sticks (or rips) to buy for a list of lengths, no kerf (R28, R29).

`cut_from` answers least total length bought, then fewest sticks, then most of the longest: by `least_stock`, and
where that has too much to look at by integer programmes over all ways to fill a stick (HiGHS), one for each goal
with the earlier answers held fixed. A list with more ways than `PATTERNS_MOST` is cut first-fit-decreasing instead
and says so (`exact` False).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from framing.engine.fitout.least_stock import least_stock

PATTERNS_MOST = 20_000


@dataclass(frozen=True, slots=True)
class CutStick:
    """One stick: its stock length and the indexes of the pieces cut from it, in the order asked."""

    stock_16: int
    pieces: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class CutPlan:
    """Sticks in the order of their first piece; `exact` is False where first-fit-decreasing stood in."""

    sticks: tuple[CutStick, ...]
    exact: bool


@dataclass(frozen=True, slots=True)
class _Pattern:
    stock_16: int
    counts: tuple[int, ...]  # pieces of each distinct length


def cut_from(lengths_16: Sequence[int], stocks_16: Sequence[int]) -> CutPlan:
    """Cut every length out of stock lengths.

    Args:
        lengths_16: pieces, each over 0 and at most the longest stock.
        stocks_16: stock lengths, any number of each.

    Raises:
        ValueError: a piece that no stock holds.
    """
    stocks = sorted(set(stocks_16))
    if any(not 0 < length <= stocks[-1] for length in lengths_16):
        raise ValueError(f"a piece of {max(lengths_16)} sixteenths does not fit stock of {stocks[-1]}")
    if not lengths_16:
        return CutPlan((), exact=True)
    demand = Counter(lengths_16)
    sizes = tuple(sorted(demand, reverse=True))
    used = _used(sizes, tuple(demand[s] for s in sizes), tuple(stocks), PATTERNS_MOST)
    if used is None:
        return CutPlan(_in_order(_first_fit(lengths_16, stocks)), exact=False)
    return CutPlan(_in_order(_assign(lengths_16, sizes, used)), exact=True)


@lru_cache(maxsize=256)
def _used(
    sizes: tuple[int, ...], demand: tuple[int, ...], stocks: tuple[int, ...], most: int
) -> tuple[tuple[_Pattern, int], ...] | None:
    """The patterns of the best plan, each with its number of sticks; None where there are over `most` to look at.

    Kept, as a floor's boards stay the same while other things change.
    """
    patterns = _patterns(sizes, demand, stocks, most)
    if patterns is None:
        return None
    counts = _solve(patterns, demand, stocks[-1])
    return tuple((pattern, times) for pattern, times in zip(patterns, counts, strict=True) if times)


def _patterns(
    sizes: Sequence[int], demand: Sequence[int], stocks: Sequence[int], most_patterns: int
) -> list[_Pattern] | None:
    """Every way to fill one stick, each with the shortest stock that holds it; None if there are too many."""
    found: list[_Pattern] = []
    stack: list[tuple[int, int, tuple[int, ...]]] = [(0, 0, ())]
    while stack:
        index, filled, counts = stack.pop()
        if index == len(sizes):
            if filled:
                found.append(_Pattern(next(s for s in stocks if s >= filled), counts))
            continue
        most = min(demand[index], (stocks[-1] - filled) // sizes[index])
        stack.extend((index + 1, filled + n * sizes[index], (*counts, n)) for n in range(most + 1))
        if len(found) + len(stack) > most_patterns:
            return None
    return sorted(found, key=lambda p: (p.stock_16, p.counts))


def _solve(patterns: Sequence[_Pattern], demand: Sequence[int], longest_16: int) -> tuple[int, ...]:
    """How many sticks of each pattern."""
    sticks = least_stock([(p.stock_16, p.counts) for p in patterns], demand, longest_16)
    if sticks is None:
        return _programmes(patterns, demand, longest_16)
    used = Counter(sticks)
    return tuple(used[index] for index in range(len(patterns)))


def _programmes(patterns: Sequence[_Pattern], demand: Sequence[int], longest_16: int) -> tuple[int, ...]:
    """The three goals in turn."""
    from scipy.optimize import Bounds, LinearConstraint, milp  # a second to load, and seldom needed

    columns = len(patterns)
    pieces = np.array([p.counts for p in patterns], dtype=float).T
    held = [LinearConstraint(pieces, demand, demand)]
    goals = (
        np.array([p.stock_16 for p in patterns], dtype=float),
        np.ones(columns),
        np.array([-1.0 if p.stock_16 == longest_16 else 0.0 for p in patterns]),
    )
    counts = np.zeros(columns)
    for goal in goals:
        answer = milp(
            goal,
            integrality=np.ones(columns, dtype=np.uint8),
            bounds=Bounds(0, np.inf),
            constraints=held,
            options={"mip_rel_gap": 0.0},
        )
        if answer.x is None:  # every piece fits a stick, so a plan exists: anything else is a solver fault
            raise RuntimeError(f"the cutting plan was not solved: {answer.message}")
        counts = np.rint(answer.x)
        value = float(goal @ counts)
        held.append(LinearConstraint(goal.reshape(1, -1), value, value))
    return tuple(int(n) for n in counts)


def _assign(
    lengths_16: Sequence[int], sizes: Sequence[int], used: Sequence[tuple[_Pattern, int]]
) -> list[CutStick]:
    waiting = {size: [i for i, length in enumerate(lengths_16) if length == size] for size in sizes}
    sticks = []
    for pattern, times in used:
        for _ in range(times):
            pieces = [
                waiting[size].pop(0) for size, n in zip(sizes, pattern.counts, strict=True) for _ in range(n)
            ]
            sticks.append(CutStick(pattern.stock_16, tuple(sorted(pieces))))
    return sticks


def _first_fit(lengths_16: Sequence[int], stocks: Sequence[int]) -> list[CutStick]:
    order = sorted(range(len(lengths_16)), key=lambda i: (-lengths_16[i], i))
    filled: list[tuple[int, list[int]]] = []
    for i in order:
        for place, (length, pieces) in enumerate(filled):
            if length + lengths_16[i] <= stocks[-1]:
                filled[place] = (length + lengths_16[i], [*pieces, i])
                break
        else:
            filled.append((lengths_16[i], [i]))
    return [CutStick(next(s for s in stocks if s >= n), tuple(sorted(pieces))) for n, pieces in filled]


def _in_order(sticks: Sequence[CutStick]) -> tuple[CutStick, ...]:
    return tuple(sorted(sticks, key=lambda stick: stick.pieces))
