"""Ply clip positions, each case worked by hand from R22 in inches."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from framing.engine.fitout.plies import clip_positions
from framing.engine.practice import Practice


def _inches(length: float, carried: tuple[float, ...] = ()) -> list[float]:
    positions = clip_positions(int(length * 16), [int(c * 16) for c in carried], Practice())
    return [float(p / 16) for p in positions]


@pytest.mark.parametrize(
    ("length", "expected"),
    [
        (20, [5, 15]),  # under 24: the quarter points
        (23.9375, [5.984375, 17.953125]),
        (24, [9, 15]),  # ceil(6/24) = 1 space
        (42, [9, 33]),  # exactly 24 is allowed
        (42.5, [9, 21.25, 33.5]),  # ceil(24.5/24) = 2
        (138, [9, 33, 57, 81, 105, 129]),  # 120/24 = 5 spaces
    ],
)
def test_regular_positions(length: float, expected: list[float]) -> None:
    assert _inches(length) == expected


@pytest.mark.parametrize(
    ("carried", "expected"),
    [
        ((9,), [6, 21.25, 33.5]),  # a tie goes to the low end: 6; gap 15.25
        ((20,), [9, 23, 33.5]),  # 21.25 lies high of 20
        ((24.25,), [9, 21.25, 33.5]),  # exactly 3 in off stays
        ((22, 16), [9, 19, 33.5]),  # nearer side, 19, is exactly 3 from 16: free
        ((22, 17), [9, 25, 33.5]),  # 19 is 2 in from 17: the other side
        ((22, 17, 27), [9, 19, 33.5]),  # 25 is 2 in from 27 too: neither is free, so the nearer side
    ],
)
def test_clips_keep_off_carried_members(carried: tuple[float, ...], expected: list[float]) -> None:
    assert _inches(42.5, carried) == expected


def test_a_gap_that_grew_over_24_gets_a_clip_in_its_middle() -> None:
    # 42: 9 and 33; a member at 34 sends 33 to 31; one at 8 sends 9 to 11. Member at 32: 33 goes up to 35:
    # gap 26, 22.
    assert _inches(42, (32,)) == [9, 22, 35]


@given(st.integers(200, 8000), st.lists(st.integers(0, 8000), max_size=3))
def test_no_gap_over_24_in_and_none_near_a_carried_member(length: int, carried: list[int]) -> None:
    apart = [c for i, c in enumerate(sorted(carried)) if i == 0 or c - sorted(carried)[i - 1] >= 192]
    positions = clip_positions(length, apart, Practice())
    assert all(b - a <= 384 for a, b in pairwise(positions))
    assert all(abs(p - c) >= 48 for p in positions for c in apart)
