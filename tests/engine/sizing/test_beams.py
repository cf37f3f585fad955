"""Beams against closed forms from structural handbooks, worked by hand. w = 1 lb/in, P = 1 lb, L = 100 in."""

from __future__ import annotations

import pytest

from framing.engine.loads import LineLoad, PointLoad
from framing.engine.sizing.beam_solver import solve
from framing.engine.sizing.beams import BeamModel
from framing.engine.sizing.demand import analyse
from framing.engine.sizing.patterns import live_patterns


def test_simple_span_uniform() -> None:
    solution = solve((0.0, 100.0), [(0.0, 100.0, 1.0)], [])
    assert solution.reactions_lb == pytest.approx((50.0, 50.0))
    assert max(s.moment_lb_in for s in solution.sections()) == pytest.approx(1250.0)  # wL2/8
    assert solution.largest_sags() == pytest.approx((5 * 100.0**4 / 384,))


def test_simple_span_point_off_centre() -> None:
    a, b = 30.0, 70.0
    solution = solve((0.0, 100.0), [], [(a, 1.0)])
    assert solution.reactions_lb == pytest.approx((0.7, 0.3))
    assert max(s.moment_lb_in for s in solution.sections()) == pytest.approx(a * b / 100)
    # largest sag P a (L2 - a2)^1.5 / (9 sqrt(3) L) for the shorter side a
    assert solution.largest_sags()[0] == pytest.approx(a * (100.0**2 - a**2) ** 1.5 / (9 * 3**0.5 * 100.0))


def test_partial_uniform_load() -> None:
    solution = solve((0.0, 100.0), [(20.0, 60.0, 2.0)], [])
    # 80 lb at 40 in: reactions 48 and 32; zero shear 24 in into the load: 48 x 44 - 2 x 24^2 / 2
    assert solution.reactions_lb == pytest.approx((48.0, 32.0))
    assert max(s.moment_lb_in for s in solution.sections()) == pytest.approx(48 * 44 - 576)
    assert solution.shear_at_lb(10.0) == pytest.approx(48.0)
    assert solution.shear_at_lb(50.0) == pytest.approx(12.0)


def test_two_equal_spans_uniform() -> None:
    solution = solve((0.0, 100.0, 200.0), [(0.0, 200.0, 1.0)], [])
    assert solution.reactions_lb == pytest.approx((37.5, 125.0, 37.5))
    assert min(s.moment_lb_in for s in solution.sections()) == pytest.approx(-1250.0)  # -wL2/8
    assert max(s.moment_lb_in for s in solution.sections()) == pytest.approx(9 * 100.0**2 / 128)
    assert solution.largest_sags() == pytest.approx((100.0**4 / 184.6,) * 2, rel=1e-3)


def test_three_equal_spans_uniform() -> None:
    solution = solve((0.0, 100.0, 200.0, 300.0), [(0.0, 300.0, 1.0)], [])
    assert solution.reactions_lb == pytest.approx((40.0, 110.0, 110.0, 40.0))
    assert min(s.moment_lb_in for s in solution.sections()) == pytest.approx(-1000.0)  # -wL2/10


def test_two_unequal_spans_by_three_moments() -> None:
    solution = solve((0.0, 80.0, 200.0), [(0.0, 200.0, 1.0)], [])
    # the support moment is -w times the sum of cubes over eight times the sum of spans
    expected = -(80.0**3 + 120.0**3) / (8 * 200.0)
    assert min(s.moment_lb_in for s in solution.sections()) == pytest.approx(expected)


def test_a_load_on_a_support_goes_into_it() -> None:
    solution = solve((0.0, 100.0, 200.0), [], [(100.0, 7.0)])
    assert solution.reactions_lb == pytest.approx((0.0, 7.0, 0.0))
    assert solution.largest_sags() == (0.0, 0.0)


def test_live_patterns_are_the_classic_ones() -> None:
    assert live_patterns(1) == (frozenset({0}),)
    assert set(live_patterns(2)) == {frozenset({0, 1}), frozenset({0}), frozenset({1})}
    # three parts: every set there is
    assert len(set(live_patterns(3))) == 7
    # four: all, every second, beside a support and every second one beyond, and what those leave out
    assert set(live_patterns(4)) == {
        frozenset(set_)
        for set_ in ((0, 1, 2, 3), (0, 2), (1, 3), (0, 1, 3), (2,), (1, 2), (0, 3), (0, 2, 3), (1,))
    }


def test_envelope_of_two_spans_takes_live_load_on_one_span_for_deflection() -> None:
    demand = analyse(BeamModel((0.0, 100.0, 200.0), (LineLoad(0.0, 200.0, 0.25, 1.0),)))
    # both spans full rule the support; one loaded span sags 0.0092 wL4 (handbook), more than 0.0054 with both
    assert demand.moment_lb_in == pytest.approx(1.25 * 1250.0)
    assert demand.live_sags[0] == pytest.approx(0.0092 * 100.0**4, abs=0.00005 * 100.0**4)
    # -w L2/16 over the support leaves the loaded end w L (1/2 - 1/16)
    assert demand.reactions_lb[0] == pytest.approx((0.25 * 37.5, 43.75))


def test_dead_and_live_of_a_point_stay_apart() -> None:
    demand = analyse(BeamModel((0.0, 100.0), (), (PointLoad(50.0, 10.0, 40.0),)))
    assert demand.reactions_lb == ((5.0, 20.0), (5.0, 20.0))
    assert demand.moment_lb_in == pytest.approx(1250.0)
    assert demand.total_sags[0] == pytest.approx(50 * 100.0**3 / 48)
    assert demand.live_sags[0] == pytest.approx(40 * 100.0**3 / 48)
    assert demand.stepped
