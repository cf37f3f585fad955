"""Beams against the closed forms of structural handbooks (AISC Manual Table 3-23, from memory).

w = 1 lb/in, P = 1 lb, L = 100 in; deflections as E x I x in.
"""

from __future__ import annotations

from math import sqrt

import pytest

from framing.engine.sizing.beam_parts import Solution
from framing.engine.sizing.beam_solver import solve

L = 100.0


def largest(solution: Solution) -> float:
    return max(section.moment_lb_in for section in solution.sections())


def smallest(solution: Solution) -> float:
    return min(section.moment_lb_in for section in solution.sections())


def test_load_that_grows_to_one_end() -> None:
    solution = solve((0.0, L), [(0.0, L, 0.0, 1.0)], [])
    total = L / 2
    assert solution.reactions_lb == pytest.approx((total / 3, 2 * total / 3))
    assert largest(solution) == pytest.approx(2 * total * L / (9 * sqrt(3)))  # at L / sqrt(3)
    assert solution.largest_sags()[0] == pytest.approx(0.01304 * total * L**3, rel=5e-4)
    at = next(t for t in solution.parts[0][0].level_places())
    assert at == pytest.approx(0.5193 * L, rel=1e-4)


def test_load_that_falls_from_one_end_is_its_mirror() -> None:
    solution = solve((0.0, L), [(0.0, L, 1.0, 0.0)], [])
    assert solution.reactions_lb == pytest.approx((L / 3, L / 6))
    assert solution.largest_sags()[0] == pytest.approx(0.01304 * L / 2 * L**3, rel=5e-4)


def test_load_that_grows_to_the_middle() -> None:
    solution = solve((0.0, L), [(0.0, 50.0, 0.0, 1.0), (50.0, L, 1.0, 0.0)], [])
    total = L / 2
    assert largest(solution) == pytest.approx(total * L / 6)
    assert solution.largest_sags()[0] == pytest.approx(total * L**3 / 60)


def test_two_spans_with_one_loaded() -> None:
    solution = solve((0.0, L, 2 * L), [(0.0, L, 1.0)], [])
    assert solution.reactions_lb == pytest.approx((7 / 16 * L, 5 / 8 * L, -L / 16))
    assert largest(solution) == pytest.approx(49 / 512 * L**2)
    assert smallest(solution) == pytest.approx(-(L**2) / 16)


def test_two_spans_with_a_force_in_the_middle_of_one() -> None:
    solution = solve((0.0, L, 2 * L), [], [(50.0, 1.0)])
    assert solution.reactions_lb == pytest.approx((13 / 32, 22 / 32, -3 / 32))
    assert largest(solution) == pytest.approx(13 / 64 * L)


def test_half_of_two_equal_spans_is_a_propped_cantilever() -> None:
    solution = solve((0.0, L, 2 * L), [(0.0, 2 * L, 1.0)], [])
    assert solution.slope_at(L) == pytest.approx(0.0, abs=1e-6)
    assert solution.reactions_lb == pytest.approx((0.375 * L, 1.25 * L, 0.375 * L))
    assert solution.largest_sags()[0] == pytest.approx(L**4 / 185, rel=3e-3)
    assert solution.sag_at(L / 2) == pytest.approx(L**4 / 192)


@pytest.mark.parametrize(
    ("loaded", "factors"),
    [
        ((0, 1, 2), (0.400, 1.100, 1.100, 0.400)),
        ((0, 2), (0.450, 0.550, 0.550, 0.450)),
        ((0, 1), (0.383, 1.200, 0.450, -0.033)),
        ((0,), (0.433, 0.650, -0.100, 0.017)),
    ],
)
def test_three_equal_spans(loaded: tuple[int, ...], factors: tuple[float, ...]) -> None:
    supports = (0.0, L, 2 * L, 3 * L)
    solution = solve(supports, [(i * L, (i + 1) * L, 1.0) for i in loaded], [])
    assert solution.reactions_lb == pytest.approx([factor * L for factor in factors], abs=0.0006 * L)


def test_four_equal_spans() -> None:
    solution = solve((0.0, L, 2 * L, 3 * L, 4 * L), [(0.0, 4 * L, 1.0)], [])
    assert solution.reactions_lb == pytest.approx([k * L for k in (11 / 28, 8 / 7, 13 / 14, 8 / 7, 11 / 28)])
    assert smallest(solution) == pytest.approx(-3 / 28 * L**2)


def test_overhang_with_a_force_at_its_tip() -> None:
    a = 40.0
    solution = solve((0.0, L), [], [(L + a, 1.0)], None, L + a)
    assert solution.reactions_lb == pytest.approx((-a / L, 1 + a / L))
    assert smallest(solution) == pytest.approx(-a)
    assert solution.sag_at(L + a) == pytest.approx(a**2 * (L + a) / 3)
    # between the supports it rises: P a L2 / (9 sqrt(3)) at L / sqrt(3)
    assert solution.largest_sags() == pytest.approx((a * L**2 / (9 * sqrt(3)), a**2 * (L + a) / 3))


@pytest.mark.parametrize("mirrored", [False, True])
def test_overhang_under_even_load(mirrored: bool) -> None:
    a = 40.0
    if mirrored:
        solution, tip = solve((0.0, L), [(-a, L, 1.0)], [], -a, None), -a
    else:
        solution, tip = solve((0.0, L), [(0.0, L + a, 1.0)], [], None, L + a), L + a
    reactions = ((L**2 - a**2) / (2 * L), (L + a) ** 2 / (2 * L))
    assert solution.reactions_lb == pytest.approx(reactions[::-1] if mirrored else reactions)
    assert largest(solution) == pytest.approx((L + a) ** 2 * (L - a) ** 2 / (8 * L**2))
    assert smallest(solution) == pytest.approx(-(a**2) / 2)
    assert solution.sag_at(tip) == pytest.approx(a * (4 * a**2 * L - L**3 + 3 * a**3) / 24)


def test_a_cantilever_beyond_the_turn_of_its_support() -> None:
    a, even = 40.0, solve((0.0, L), [(L, L + 40.0, 1.0)], [], None, L + 40.0)
    assert even.sag_at(L + a) - even.slope_at(L) * a == pytest.approx(a**4 / 8)
    falling = solve((0.0, L), [(L, L + a, 1.0, 0.0)], [], None, L + a)
    assert falling.sag_at(L + a) - falling.slope_at(L) * a == pytest.approx(a**4 / 30)


def test_shear_on_both_sides_of_a_step() -> None:
    solution = solve((0.0, L), [], [(30.0, 1.0)])
    assert solution.shears_at(30.0) == pytest.approx((0.7, -0.3))
    assert solution.shears_at(0.0) == pytest.approx((0.0, 0.7))
    assert solution.shears_at(L) == pytest.approx((-0.3, 0.0))
    assert solution.shear_at_lb(30.0) == pytest.approx(0.7)


def test_off_the_member_there_is_nothing() -> None:
    solution = solve((0.0, L), [(0.0, L, 1.0)], [])
    assert solution.shears_at(-1.0) == (0.0, 0.0)
    assert solution.shear_at_lb(101.0) == 0.0
    assert (solution.moment_at(-1.0), solution.slope_at(101.0), solution.sag_at(101.0)) == (0.0, 0.0, 0.0)
