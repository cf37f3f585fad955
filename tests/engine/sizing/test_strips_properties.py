"""Strips of floor of made-up members."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from framing.engine.sizing.strip_parts import Runner
from framing.engine.sizing.strips import Strips

HALF = 8.0
ALONE = Runner(0, 0, 100)


@given(
    st.lists(st.tuples(st.integers(1, 90), st.integers(0, 60), st.integers(1, 90)), min_size=1, max_size=8),
    st.integers(0, 100).map(lambda whole: whole + 0.5),
)
def test_nothing_between_two_members_is_left_over(rows: list[tuple[int, int, int]], place: float) -> None:
    """Wherever two members run beside a place, their strips meet."""
    runners = sorted({ALONE, *(Runner(across, low, low + length) for across, low, length in rows)})
    strips = Strips(HALF, {0: runners}, (), ())
    there = [r for r in runners if r.low < place < r.high]
    for one, other in pairwise(there):
        reach = max(one.low, other.low), min(one.high, other.high)
        after = next(s for s in strips.side(0, one.across, 1, *reach) if s.low <= place <= s.high)
        before = next(s for s in strips.side(0, other.across, -1, *reach) if s.low <= place <= s.high)
        assert after.at(place) + before.at(place) >= other.across - one.across - 1  # R3 rounds
