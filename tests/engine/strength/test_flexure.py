"""Bending (F2, F3), each branch."""

from __future__ import annotations

from math import pi, sqrt

import pytest

from framing.engine.errors import OutsideSourceLimits
from framing.engine.section.effective import effective
from framing.engine.section.gross import gross
from framing.engine.section.shape import Shape, shape_of
from framing.engine.strength.flexure import (
    column_stress_ksi,
    lateral_torsional,
    local_moment,
    moment_gradient,
    unbraced_in_lu,
)

JOIST = shape_of("1000S162-54")


def test_moment_gradient_of_a_uniform_load() -> None:
    """Parabola: 3/4, 1, 3/4 of the largest: 12.5 / (2.5 + 2.25 + 4 + 2.25) = 1.136."""
    assert moment_gradient(-8.0, 6.0, 8.0, 6.0) == pytest.approx(12.5 / 11)


def test_moment_gradient_of_even_moment_and_of_none() -> None:
    assert moment_gradient(5.0, 5.0, 5.0, 5.0) == pytest.approx(1.0)
    assert moment_gradient(0.0, 0.0, 0.0, 0.0) == 1.0


@pytest.mark.parametrize(
    ("elastic", "stress"),
    [
        (139.0, 50.0),
        (138.99, 50.0),
        (200.0, 50.0),
        (50.0, 10 / 9 * 50 * (1 - 500 / 1800)),
        (28.0, 28.0),
        (10.0, 10.0),
    ],
)
def test_column_stress(elastic: float, stress: float) -> None:
    """2.78 Fy = 139 and 0.56 Fy = 28 for 50 ksi; at 138.99 the formula alone gives 50.004."""
    assert column_stress_ksi(elastic, 50.0) == pytest.approx(stress)


def test_elastic_stress_is_that_of_the_textbook() -> None:
    """One length for both: xo drops out, Mcr = pi/L sqrt(E Iy (G J + pi^2 E Cw / L^2))."""
    section, length = gross(JOIST), 72.0
    found = lateral_torsional(section, 50.0, unbraced_lateral_in=length, unbraced_twist_in=length)
    torsion = 11300 * section.j_in4 + pi**2 * 29500 * section.cw_in6 / length**2
    moment = pi / length * sqrt(29500 * section.iy_in4 * torsion)
    assert found.elastic_ksi * section.sx_in3 == pytest.approx(moment, rel=1e-12)


def test_gradient_factor_multiplies() -> None:
    section = gross(JOIST)
    one = lateral_torsional(section, 50.0, unbraced_lateral_in=90.0, unbraced_twist_in=60.0)
    two = lateral_torsional(section, 50.0, unbraced_lateral_in=90.0, unbraced_twist_in=60.0, cb=1.3)
    assert two.elastic_ksi == pytest.approx(1.3 * one.elastic_ksi)
    assert two.gradient == 1.3


def test_held_all_along_reaches_yield() -> None:
    found = lateral_torsional(gross(JOIST), 50.0, unbraced_lateral_in=0.0, unbraced_twist_in=0.0)
    assert found.stress_ksi == 50.0


def test_unbraced_length_is_where_buckling_stress_is_2_78_of_yield() -> None:
    section = gross(JOIST)
    length = unbraced_in_lu(section, 50.0)
    found = lateral_torsional(section, 50.0, unbraced_lateral_in=length, unbraced_twist_in=length)
    assert found.elastic_ksi == pytest.approx(139.0, rel=1e-12)


def test_local_moment_is_effective_modulus_times_stress() -> None:
    found = local_moment(JOIST, 20.0)
    assert found.effective == effective(JOIST, 20.0)
    assert found.nominal_kipin == found.effective.modulus_in3 * 20.0


def test_local_moment_beside_a_deep_hole_is_less() -> None:
    joist = shape_of("800S162-68")
    assert (
        local_moment(joist, 33.0, hole_depth_in=4.0).nominal_kipin < local_moment(joist, 33.0).nominal_kipin
    )


def test_flange_too_wide_for_the_clause() -> None:
    with pytest.raises(OutsideSourceLimits, match="flange"):
        local_moment(Shape(8.0, 4.0, 1.0, 0.0346, 0.0765), 33.0)
