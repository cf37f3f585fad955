"""Beams as properties: equilibrium, symmetry, and agreement with a fine numeric integration."""

from __future__ import annotations

from itertools import accumulate

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from framing.engine.sizing.beam_parts import Solution
from framing.engine.sizing.beam_solver import solve

LENGTH = st.floats(30.0, 300.0)
SHARE = st.floats(0.0, 1.0)
LOAD = st.floats(0.1, 20.0)


@st.composite
def beams(
    draw: st.DrawFn,
) -> tuple[tuple[float, ...], list[tuple[float, float, float]], list[tuple[float, float]]]:
    lengths = draw(st.lists(LENGTH, min_size=1, max_size=4))
    supports = tuple(accumulate(lengths, initial=0.0))
    total = supports[-1]
    shares = draw(st.lists(st.tuples(SHARE, SHARE, LOAD), max_size=3))
    lines = [(min(a, b) * total, max(a, b) * total, w) for a, b, w in shares]
    points = [(a * total, 50 * p) for a, p in draw(st.lists(st.tuples(SHARE, LOAD), max_size=3))]
    return supports, lines, points


@given(beams())
def test_reactions_balance_the_loads(
    beam: tuple[tuple[float, ...], list[tuple[float, float, float]], list[tuple[float, float]]],
) -> None:
    supports, lines, points = beam
    solution = solve(*beam)
    force = sum(w * (d - c) for c, d, w in lines) + sum(p for _, p in points)
    turn = sum(w * (d**2 - c**2) / 2 for c, d, w in lines) + sum(p * a for a, p in points)
    assert sum(solution.reactions_lb) == pytest.approx(force, abs=1e-6)
    assert sum(r * a for r, a in zip(solution.reactions_lb, supports, strict=True)) == pytest.approx(
        turn, abs=1e-3
    )


@given(beams())
def test_turned_round_it_answers_the_same(
    beam: tuple[tuple[float, ...], list[tuple[float, float, float]], list[tuple[float, float]]],
) -> None:
    supports, lines, points = beam
    end = supports[-1]
    mirror = solve(
        tuple(end - s for s in reversed(supports)),
        [(end - d, end - c, w) for c, d, w in lines],
        [(end - a, p) for a, p in points],
    )
    assert tuple(reversed(mirror.reactions_lb)) == pytest.approx(solve(*beam).reactions_lb, abs=1e-5)


@settings(max_examples=40)
@given(beams())
def test_largest_sag_bounds_every_place_and_is_reached(
    beam: tuple[tuple[float, ...], list[tuple[float, float, float]], list[tuple[float, float]]],
) -> None:
    solution = solve(*beam)
    largest = solution.largest_sags()
    for i, most in enumerate(largest):
        sampled = _sampled_sags(solution, i)
        assert max(sampled) <= most * (1 + 1e-9) + 1e-6
        assert max(sampled) >= most * 0.995 - 1e-6
        last = solution.spans[i][-1]
        assert last.sag_at(last.high_in - last.low_in) == pytest.approx(0.0, abs=max(most * 1e-8, 1e-5))


def _sampled_sags(solution: Solution, span: int) -> list[float]:
    return [
        abs(segment.sag_at((segment.high_in - segment.low_in) * k / 100))
        for segment in solution.spans[span]
        for k in range(101)
    ]
