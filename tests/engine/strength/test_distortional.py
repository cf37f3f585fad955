"""Distortional buckling (F4, Appendix 2), each branch; the numbers are in the published tests."""

from __future__ import annotations

import pytest

from framing.engine.section.shape import shape_of
from framing.engine.strength.distortional import (
    distortional_buckling,
    distortional_strength,
    flange_and_lip,
    moment_gradient_factor,
)

JOIST = shape_of("800S200-54")


def test_flange_and_lip_by_hand() -> None:
    """b 1.9434, d 0.5967: area and the distance from shear point to web corner, which is b."""
    found = flange_and_lip(JOIST)
    assert found.area_in2 == pytest.approx((1.9434 + 0.5967) * 0.0566)
    assert found.xo_in - found.hx_in == pytest.approx(1.9434)
    assert found.yo_in == pytest.approx(-(0.5967**2) / 2 / 2.5401)


def test_restraints_closer_than_a_half_wave_shorten_it() -> None:
    free, held = distortional_buckling(JOIST), distortional_buckling(JOIST, restraint_in=12.0)
    assert held.length_in == 12.0
    assert held.half_wave_in == free.half_wave_in
    assert held.stress_ksi > free.stress_ksi


def test_restraints_further_apart_change_nothing() -> None:
    assert distortional_buckling(JOIST, restraint_in=96.0) == distortional_buckling(JOIST)


def test_moment_gradient_helps() -> None:
    even = distortional_buckling(JOIST, restraint_in=96.0)
    found = distortional_buckling(JOIST, restraint_in=96.0, end_moment_ratio=0.0)
    assert found.gradient == pytest.approx(1 + 0.4 * (even.length_in / 96.0) ** 0.7)
    assert found.stress_ksi == pytest.approx(found.gradient * even.stress_ksi)


@pytest.mark.parametrize(("ratio", "factor"), [(-1.0, 1.0), (-2.0, 1.0), (0.0, 1.3), (1.0, 1.3)])
def test_moment_gradient_factor_between_1_and_1_3(ratio: float, factor: float) -> None:
    """An even moment (-1) gives 1; L = Lm with M1 = 0 would be 1.4."""
    assert moment_gradient_factor(20.0, 20.0, ratio) == pytest.approx(factor)


def test_stocky_section_reaches_its_yield_moment() -> None:
    found = distortional_strength(2.0, 33.0, 33.0 / 0.672**2)
    assert found.nominal_kipin == found.yield_kipin == 66.0


def test_slender_section_by_hand() -> None:
    """Fcrd = Fy / 4: lambda 2, (1 - 0.22 / 2) / 2 = 0.445."""
    found = distortional_strength(2.0, 40.0, 10.0)
    assert found.slenderness == pytest.approx(2.0)
    assert found.nominal_kipin == pytest.approx(0.445 * 80)
    assert found.critical_kipin == pytest.approx(20.0)


def test_just_past_the_rounded_limit_is_not_over_yield() -> None:
    """0.67301: (1 - 0.22 / 0.67301) / 0.67301 = 1.00015."""
    found = distortional_strength(2.0, 33.0, 33.0 / 0.67301**2)
    assert found.nominal_kipin == 66.0
