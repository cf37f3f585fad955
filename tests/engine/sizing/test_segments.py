"""Lines cut to half planes and to rings, by hand."""

from __future__ import annotations

import pytest

from framing.engine.sizing.segments import clipped, inside

L_SHAPE = [(0, 0), (10, 0), (10, 4), (4, 4), (4, 10), (0, 10)]


def test_a_line_keeps_what_holds_at_both_ends_of_it() -> None:
    assert clipped([(1, 1)]) == (0, 1)
    assert clipped([(-1, 3)]) == (0.25, 1)
    assert clipped([(3, -1), (-1, 1)]) == (0.5, 0.75)
    assert clipped([(0, 0)]) == (0, 1)


def test_nothing_is_kept_where_nothing_holds() -> None:
    assert clipped([(-1, -2)]) is None
    assert clipped([(1, -3), (-3, 1)]) is None


@pytest.mark.parametrize(
    ("start", "end", "parts"),
    [
        ((1, 1), (3, 9), [((1, 1), (3, 9))]),
        ((2, 2), (12, 2), [((2, 2), (10, 2))]),
        ((-5, 20), (5, 20), []),
        # over the notch: out at x 4, back in never; and through it from leg to leg
        ((1, 8), (9, 8), [((1, 8), (4, 8))]),
        ((2, 9), (9, 2), [((2, 9), (4, 7)), ((7, 4), (9, 2))]),
        # along a side: on the border counts
        ((0, -2), (0, 5), [((0, 0), (0, 5))]),
        ((2, 4), (12, 4), [((2, 4), (10, 4))]),
        # beside a side, outside
        ((11, 0), (11, 4), []),
    ],
)
def test_parts_of_a_line_in_a_ring(
    start: tuple[float, float], end: tuple[float, float], parts: list[tuple[tuple[float, float], ...]]
) -> None:
    found = list(inside(start, end, L_SHAPE))
    assert [part for pair in found for part in pair] == [
        pytest.approx(place) for pair in parts for place in pair
    ]
