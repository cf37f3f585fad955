"""Rows of tie-downs across the deck, worked by hand."""

from __future__ import annotations

from framing.engine.trucks.rows import rows_for


def test_nothing_takes_no_row() -> None:
    assert rows_for([], 3) == ()


def test_one_row_serves_what_it_crosses() -> None:
    assert rows_for([(0, 100, 2), (0, 100, 2), (20, 80, 2)], 0) == (35, 65)


def test_a_row_more_goes_into_the_widest_gap() -> None:
    # 0 to 100 has rows at 25 and 75 by the first; the second wants three: 25, 75 and the middle
    assert rows_for([(0, 100, 2), (0, 101, 3)], 0) == (25, 50, 75)


def test_a_row_at_an_end_crosses_nothing() -> None:
    assert rows_for([(0, 40, 1), (20, 60, 1)], 0) == (20, 40)


def test_as_many_as_weight_asks_for() -> None:
    assert rows_for([(0, 80, 1)], 3) == (20, 40, 60)
