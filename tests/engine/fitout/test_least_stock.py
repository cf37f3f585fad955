"""The dynamic programme's plan against the integer programmes and by hand."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from framing.engine.fitout import cutting, least_stock

STOCKS = (12 * 192, 16 * 192, 20 * 192)
Sticks = list[tuple[int, tuple[int, ...]]]


def _cut(lengths: tuple[int, ...], stocks: tuple[int, ...]) -> tuple[Sticks | None, Sticks]:
    """The sticks (stock, pieces of each length) by dynamic programme and by integer programmes."""
    demand = Counter(lengths)
    sizes = sorted(demand, reverse=True)
    counts = tuple(demand[size] for size in sizes)
    patterns = cutting._patterns(sizes, counts, stocks, cutting.PATTERNS_MOST)
    assert patterns is not None
    ways = [(p.stock_16, p.counts) for p in patterns]
    plan = least_stock.least_stock(ways, counts, stocks[-1])
    used = cutting._programmes(patterns, counts, stocks[-1])
    by_solver = [ways[index] for index, times in enumerate(used) for _ in range(times)]
    return None if plan is None else [ways[index] for index in plan], by_solver


def _score(sticks: Sticks, longest: int) -> tuple[int, int, int]:
    bought = [stock for stock, _ in sticks]
    return sum(bought), len(bought), bought.count(longest)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.sampled_from([3840, 3072, 1956, 1116, 800, 672]), min_size=1, max_size=10).map(tuple))
def test_as_good_as_the_integer_programmes(lengths: tuple[int, ...]) -> None:
    plan, by_solver = _cut(lengths, STOCKS)
    assert plan is not None
    assert _score(plan, STOCKS[-1]) == _score(by_solver, STOCKS[-1])
    cut = [sum(pieces) for pieces in zip(*(counts for _, counts in plan), strict=True)]
    demand = Counter(lengths)
    assert cut == [demand[size] for size in sorted(demand, reverse=True)]


@pytest.mark.parametrize(
    ("lengths", "expected"),
    [
        # Three plans of two: 664 + 664 and 388 + 388; 664 + 388 twice; 664 + 388 + 388 and 664. The first stick takes
        # most of the longest.
        ((664, 664, 388, 388), [(2, 0), (0, 2)]),
        ((800, 800), [(1,), (1,)]),  # each its own sheet
        ((768, 768), [(2,)]),  # both out of one
    ],
)
def test_of_equal_plans_the_first_stick_takes_most_of_the_longest(
    lengths: tuple[int, ...], expected: list[tuple[int, ...]]
) -> None:
    plan, _ = _cut(lengths, (1536,))
    assert plan == [(1536, counts) for counts in expected]


def test_total_and_sticks_by_hand() -> None:
    plan, _ = _cut((3840, 1200, 1100), STOCKS)  # 20 ft whole, 12 ft for the other two
    assert plan == [(3840, (1, 0, 0)), (2304, (0, 1, 1))]


def test_gives_up_where_there_is_too_much_to_look_at(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(least_stock, "STEPS_MOST", 3)
    assert _cut((600, 700, 800), STOCKS)[0] is None
    monkeypatch.setattr(least_stock, "PIECES_MOST", 2)
    assert _cut((600, 700, 800), STOCKS)[0] is None
