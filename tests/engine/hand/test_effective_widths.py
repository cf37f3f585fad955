"""Effective widths worked by hand (AISI S100-16 Appendix 1).

Flange and lip at S = 1.28 sqrt(E/f) = 40, so f = 29500 (1.28/40)^2 = 30.208 ksi; t = 0.05 in.
Fcrl = 26662 k / (w/t)^2.
"""

from __future__ import annotations

import math

import pytest

from framing.engine.section.elements import (
    beside_hole_width,
    effective_share,
    flange_width,
    lip_width,
    slenderness,
    web_widths,
)
from framing.engine.section.shape import Shape

STRESS = 30.208


def _section(flange_over: float, lip_over: float, radius_over: float, depth: float = 8.0) -> Shape:
    """A shape with t = 0.05 in by the flats of flange and lip and the radius, all over t."""
    t = 0.05
    bend = radius_over + 1
    return Shape(depth, (flange_over + 2 * bend) * t, (lip_over + bend) * t, t, radius_over * t)


def test_slenderness_and_share() -> None:
    """Fcrl = 4 x 26662/50^2 = 42.66 ksi; at f = 42.66 lambda is 1 and rho 0.78."""
    assert slenderness(42.66, 4.0, 50.0) == pytest.approx(1.0, rel=1e-4)
    assert effective_share(1.0) == pytest.approx(0.78)
    assert effective_share(0.673) == effective_share(0.6731) == 1.0
    assert effective_share(2.0) == pytest.approx(0.445)


def test_a_flange_under_0_328_s_needs_no_lip() -> None:
    """w/t 13 < 0.328 x 40 = 13.12."""
    found = flange_width(_section(13.0, 3.0, 1.0), STRESS)
    assert (found.width, found.ratio) == (pytest.approx(0.65), 1.0)
    assert found.slenderness == pytest.approx(math.sqrt(STRESS / (4 * 26662 / 169)), rel=1e-4)


def test_a_flange_with_a_short_lip() -> None:
    """w/t 50: Ia/t^4 = min(399 x 0.922^3 = 312.7, 115 x 1.25 + 5 = 148.75), Is/t^4 = 6^3/12 = 18, RI 0.1210.

    n = max(0.582 - 0.3125, 1/3); d/w = 8/50: k = 3.57 x 0.4946 + 0.43 = 2.196; Fcrl 23.42, lambda 1.1358, rho 0.7099.
    """
    found = flange_width(_section(50.0, 6.0, 1.0), STRESS)
    assert found.ratio == pytest.approx(0.1210, rel=1e-3)
    assert found.slenderness == pytest.approx(1.1358, rel=1e-4)
    assert found.width == pytest.approx(0.7099 * 2.5, rel=1e-4)


def test_a_flange_with_a_lip_over_a_quarter_of_it() -> None:
    """w/t 40: Ia/t^4 = min(399 x 0.672^3 = 121.08, 120), Is/t^4 = 8^3/12 = 42.67, RI 0.3556, RI^(1/3) 0.7084.

    d/w = 11/40: k = (4.82 - 1.375) x 0.7084 + 0.43 = 2.8705; Fcrl 47.83, lambda 0.7947, rho 0.9100.
    """
    found = flange_width(_section(40.0, 8.0, 2.0), STRESS)
    assert found.ratio == pytest.approx(0.3556, rel=1e-3)
    assert found.slenderness == pytest.approx(0.7947, rel=1e-4)
    assert found.width == pytest.approx(0.9100 * 2.0, rel=1e-4)


def test_a_lip_under_a_stress_gradient() -> None:
    """Flat 15 t, axis 75 t below its upper end: psi 0.8, k = 0.578/1.14 = 0.5070, Fcrl 60.08.

    At 60 ksi lambda is 0.9993.
    """
    section = _section(40.0, 15.0, 1.0)
    assert lip_width(section, 60.0, 3.75) == pytest.approx((1 - 0.22 / 0.9993) / 0.9993 * 0.75, rel=1e-3)
    assert lip_width(section, 20.0, 3.75) == pytest.approx(0.75)


@pytest.mark.parametrize(("flange_over", "deep"), [(36.0, False), (35.0, True)])
def test_a_web_about_its_middle(flange_over: float, deep: bool) -> None:
    """Axis at mid-depth: psi 1, k 24. h = 7.8, h/t 156: Fcrl = 24 x 26662/24336 = 26.294; at 50 ksi lambda 1.379.

    rho = (1 - 0.22/1.379)/1.379 = 0.6095, be 4.754, b1 = be/4 = 1.1885; b2 = be/2, or be/2 - b1 past D/B 4.
    D/B = 8/2 = 4 on the border, 8/1.95 past it.
    """
    section = _section(flange_over, 6.0, 1.0)
    b1, b2 = web_widths(section, 50.0, 3.9)
    assert b1 == pytest.approx(1.1885, rel=1e-3)
    assert b2 == pytest.approx(1.1885 if deep else 2.377, rel=1e-3)


def test_a_web_with_little_tension() -> None:
    """A shallow wide section, axis at 0.85 h: psi = 0.15/0.85 = 0.1765 < 0.236, so b1 + b2 is be, here h."""
    section = _section(60.0, 6.0, 1.0, depth=2.2)
    b1, b2 = web_widths(section, 30.0, 1.7)
    assert b1 == pytest.approx(2.0 / 3.1765, rel=1e-3)
    assert b1 + b2 == pytest.approx(2.0)


def test_beside_a_hole() -> None:
    """h 7.8, hole 5.0: 1.4 in beside it, 28 t. Fcrl = 0.43 x 26662/784 = 14.62; at 30 ksi lambda 1.4324, rho 0.5909."""
    assert beside_hole_width(_section(36.0, 6.0, 1.0), 30.0, 5.0) == pytest.approx(0.5909 * 1.4, rel=1e-3)
