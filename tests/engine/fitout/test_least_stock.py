"""The dynamic programme's value and its word on uniqueness, against the integer programmes and by hand."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from framing.engine.fitout import cutting, least_stock
from framing.engine.fitout.least_stock import LeastStock

STOCKS = (12 * 192, 16 * 192, 20 * 192)


def _known(lengths: tuple[int, ...], stocks: tuple[int, ...]) -> tuple[LeastStock | None, list[int]]:
    """What is known, and the sticks that the integer programmes alone come to."""
    demand = Counter(lengths)
    sizes = sorted(demand, reverse=True)
    counts = tuple(demand[size] for size in sizes)
    patterns = cutting._patterns(sizes, counts, stocks, cutting.PATTERNS_MOST)
    assert patterns is not None
    known = least_stock.least_stock([(p.stock_16, p.counts) for p in patterns], counts, stocks[-1])
    used = cutting._programmes(patterns, counts, stocks[-1], None)
    return known, [index for index, times in enumerate(used) for _ in range(times)]


@settings(max_examples=40, deadline=None)
@given(st.lists(st.sampled_from([3840, 3072, 1956, 1116, 800, 672]), min_size=1, max_size=10).map(tuple))
def test_agrees_with_the_integer_programmes(lengths: tuple[int, ...]) -> None:
    known, sticks = _known(lengths, STOCKS)
    assert known is not None
    assert known.sticks == len(sticks)
    if known.only is not None:
        assert sorted(known.only) == sticks


@pytest.mark.parametrize(
    ("lengths", "one"),
    [
        ((664, 664, 388, 388), False),  # 664 + 664 and 388 + 388; 664 + 388 + 388 and 664; 664 + 388 twice
        ((800, 800), True),  # each its own sheet
        ((768, 768), True),  # both out of one
    ],
)
def test_says_whether_there_is_another_plan_as_good(lengths: tuple[int, ...], one: bool) -> None:
    known, _ = _known(lengths, (1536,))
    assert known is not None
    assert (known.only is not None) == one


def test_total_and_sticks_by_hand() -> None:
    known, _ = _known((3840, 1200, 1100), STOCKS)  # 20 ft whole, 12 ft for the other two
    assert known is not None
    assert (known.total_16, known.sticks) == (32 * 192, 2)


def test_gives_up_where_there_is_too_much_to_look_at(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(least_stock, "STEPS_MOST", 3)
    assert _known((600, 700, 800), STOCKS)[0] is None
    monkeypatch.setattr(least_stock, "PIECES_MOST", 2)
    assert _known((600, 700, 800), STOCKS)[0] is None
