"""Exact cutting against a search over every way to group the pieces."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from framing.engine.fitout import cutting, least_stock
from framing.engine.fitout.cutting import CutPlan, cut_from

STOCKS = (12 * 192, 16 * 192, 20 * 192)


def _groupings(items: tuple[int, ...]) -> Iterator[list[list[int]]]:
    """Every way to part a list into groups."""
    if not items:
        yield []
        return
    first, rest = items[0], items[1:]
    for groups in _groupings(rest):
        yield [[first], *groups]
        for i in range(len(groups)):
            yield [*groups[:i], [first, *groups[i]], *groups[i + 1 :]]


def _best_by_search(lengths: tuple[int, ...], stocks: tuple[int, ...]) -> tuple[int, int, int]:
    """Least total, then fewest sticks, then most of the longest, as a tuple to minimise."""
    scores = []
    for groups in _groupings(lengths):
        sticks = [min((s for s in stocks if s >= sum(group)), default=None) for group in groups]
        if None not in sticks:
            used = [s for s in sticks if s is not None]
            scores.append((sum(used), len(used), -used.count(max(stocks))))
    return min(scores)


def _best_by_subsets(lengths: tuple[int, ...], stocks: tuple[int, ...]) -> tuple[int, int, int]:
    """The same for longer lists: the best way to cut each subset, by the stick that its first piece is in."""
    sums = [0] * (1 << len(lengths))
    best: list[tuple[int, int, int]] = [(0, 0, 0)] * len(sums)
    for mask in range(1, len(sums)):
        first = mask & -mask
        sums[mask] = sums[mask ^ first] + lengths[first.bit_length() - 1]
        found = []
        others = rest = mask ^ first
        while True:
            stick = first | rest
            stock = min((s for s in stocks if s >= sums[stick]), default=None)
            if stock is not None:
                total, sticks, longest = best[mask ^ stick]
                found.append((total + stock, sticks + 1, longest - (stock == max(stocks))))
            if not rest:
                break
            rest = (rest - 1) & others
        best[mask] = min(found)
    return best[-1]


def _score(plan: CutPlan, stocks: tuple[int, ...]) -> tuple[int, int, int]:
    used = [stick.stock_16 for stick in plan.sticks]
    return sum(used), len(used), -used.count(max(stocks))


def _check(plan: CutPlan, lengths: tuple[int, ...]) -> None:
    cut = sorted(i for stick in plan.sticks for i in stick.pieces)
    assert cut == list(range(len(lengths)))
    assert all(sum(lengths[i] for i in stick.pieces) <= stick.stock_16 for stick in plan.sticks)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.integers(512, 3840), min_size=1, max_size=7).map(tuple))
def test_plan_is_as_good_as_the_best_grouping(lengths: tuple[int, ...]) -> None:
    plan = cut_from(lengths, STOCKS)
    assert plan.exact
    _check(plan, lengths)
    assert _score(plan, STOCKS) == _best_by_search(lengths, STOCKS)


@settings(max_examples=10, deadline=None)
@given(
    st.lists(st.sampled_from([3840, 3036, 2268, 1572, 1536, 1107, 992, 600, 512]), min_size=8, max_size=10)
)
def test_longer_lists_of_rim_boards_are_cut_as_well_as_can_be(lengths: list[int]) -> None:
    plan = cut_from(lengths, STOCKS)
    assert plan.exact
    _check(plan, tuple(lengths))
    assert _score(plan, STOCKS) == _best_by_subsets(tuple(lengths), STOCKS)


@settings(max_examples=25, deadline=None)
@given(st.lists(st.sampled_from([640, 656, 1312, 1280, 800]), min_size=1, max_size=7).map(tuple))
def test_rips_of_one_length_are_the_fewest(lengths: tuple[int, ...]) -> None:
    plan = cut_from(lengths, (1536,))
    _check(plan, lengths)
    assert _score(plan, (1536,)) == _best_by_search(lengths, (1536,))


def test_the_two_searches_of_this_module_agree() -> None:
    for lengths in ((3000, 1200, 1100), (2400, 1440, 1600), (3840, 512, 512, 992, 1107)):
        assert _best_by_subsets(lengths, STOCKS) == _best_by_search(lengths, STOCKS)


def test_most_of_the_longest_breaks_a_tie() -> None:
    # Hand: 20 + 12 ft (150 + 90, 100) and 16 + 16 ft (150, 90 + 100) are both 32 ft; 28 ft holds no way.
    plan = cut_from((150 * 16, 90 * 16, 100 * 16), STOCKS)
    assert sorted(stick.stock_16 // 192 for stick in plan.sticks) == [12, 20]


def test_nothing_to_cut_buys_nothing() -> None:
    assert cut_from((), STOCKS) == CutPlan((), exact=True)


@pytest.mark.parametrize("length", [0, 3841])
def test_refuses_a_piece_that_no_stock_holds(length: int) -> None:
    with pytest.raises(ValueError, match="does not fit"):
        cut_from((length,), STOCKS)


def test_a_list_too_large_for_the_exact_plan_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cutting, "PATTERNS_MOST", 3)
    lengths = (600, 700, 800, 900, 1000)
    plan = cut_from(lengths, STOCKS)
    assert not plan.exact
    _check(plan, lengths)


def test_a_floors_boards_ask_no_solver(monkeypatch: pytest.MonkeyPatch) -> None:
    # Hand: 3000 fills a 16 ft stick with nothing that is left over, 1200 + 1100 a 12 ft one; no other way is 28 ft.
    monkeypatch.setattr("scipy.optimize.milp", lambda *_, **__: pytest.fail("there is nothing to decide"))
    plan = cut_from((3000, 1200, 1100), STOCKS)
    assert [(stick.stock_16 // 192, stick.pieces) for stick in plan.sticks] == [(16, (0,)), (12, (1, 2))]


def test_a_list_too_long_for_the_dynamic_programme_goes_to_the_solver(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # The same boards 40 times over: 28 ft a set is still the least, 40 of 16 ft and 40 of 12 ft.
    monkeypatch.setattr(least_stock, "PIECES_MOST", 100)
    plan = cut_from((3000, 1200, 1100) * 40, STOCKS)
    assert plan.exact
    assert Counter(stick.stock_16 // 192 for stick in plan.sticks) == {16: 40, 12: 40}
    _check(plan, (3000, 1200, 1100) * 40)


def test_a_solver_fault_is_no_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    class Answer:
        x = None
        message = "no time left"

    monkeypatch.setattr("scipy.optimize.milp", lambda *_, **__: Answer())
    monkeypatch.setattr(least_stock, "PIECES_MOST", 3)
    with pytest.raises(RuntimeError, match="no time left"):
        cut_from((664, 664, 388, 387), (1536,))
