"""Shear (G2), at holes (G3), and the web's limit (B4.1)."""

from __future__ import annotations

import pytest

from framing.engine.errors import OutsideSourceLimits
from framing.engine.section.shape import Shape, shape_of
from framing.engine.strength.shear import (
    Hole,
    check_hole_limits,
    check_shear_at_hole,
    check_web_slenderness,
    flat_beside_hole_in,
    hole_factor,
    shear,
    web_slenderness,
)

SLOT = Hole(1.5, 4.0)
JOIST = shape_of("1000S162-54")


def _web(flat_in: float, thickness_in: float) -> Shape:
    """A joist with this flat web, and small bends."""
    return Shape(flat_in + 4 * thickness_in, 1.625, 0.5, thickness_in, thickness_in)


@pytest.mark.parametrize(
    ("slenderness", "yield_ksi", "stress_ksi"),
    [
        (50.0, 33.0, 0.6 * 33.0),
        (80.0, 33.0, 0.6 * (29500 * 5.34 * 33.0) ** 0.5 / 80.0),
        (150.0, 50.0, 3.14159265**2 * 29500 * 5.34 / (12 * 0.91 * 150.0**2)),
    ],
    ids=["yield", "inelastic", "elastic"],
)
def test_three_ranges(slenderness: float, yield_ksi: float, stress_ksi: float) -> None:
    """The older print of the clause gives stresses; its 0.60 sqrt(E kv Fy) is the newer 0.815 to 0.02 %."""
    found = shear(_web(slenderness * 0.05, 0.05), yield_ksi)
    area = slenderness * 0.05**2
    assert found.nominal_kip == pytest.approx(stress_ksi * area, rel=5e-4)
    assert found.web_slenderness == pytest.approx(slenderness)
    assert found.nominal_kip <= found.yield_kip


def test_web_limits() -> None:
    check_web_slenderness(_web(9.9, 0.05), bearing_stiffeners=False)
    check_web_slenderness(_web(12.9, 0.05), bearing_stiffeners=True)
    with pytest.raises(OutsideSourceLimits, match=r"B4.1 .* up to 200"):
        check_web_slenderness(_web(10.1, 0.05), bearing_stiffeners=False)
    with pytest.raises(OutsideSourceLimits, match=r"B4.1 .* up to 260"):
        check_web_slenderness(_web(13.1, 0.05), bearing_stiffeners=True)


def test_hole_in_a_thin_web_takes_nothing() -> None:
    """c/t = (9.717 / 2 - 0.75) / 0.0566 = 72.6, over 54."""
    assert hole_factor(JOIST, SLOT) == 1.0


def test_hole_in_a_thick_web() -> None:
    thick = shape_of("800S162-97")
    beside = (thick.web_flat_in - 1.5) / 2
    assert flat_beside_hole_in(thick, SLOT) == pytest.approx(beside)
    assert hole_factor(thick, SLOT) == pytest.approx(beside / 0.1017 / 54)


def test_round_hole_takes_less_than_a_slot() -> None:
    thick = shape_of("800S162-97")
    assert flat_beside_hole_in(thick, Hole(2.83, 2.83, round=True)) == pytest.approx(
        thick.web_flat_in / 2 - 1
    )
    assert hole_factor(thick, Hole(2.0, 2.0, round=True)) > hole_factor(thick, Hole(2.0, 2.0))


def test_hole_as_deep_as_the_web_leaves_nothing() -> None:
    assert hole_factor(JOIST, Hole(9.8, 4.0)) == 0.0


@pytest.mark.parametrize(
    ("joist", "hole", "thing"),
    [
        (_web(10.1, 0.05), SLOT, "h/t"),
        (shape_of("350S162-54"), Hole(2.4, 4.0), "hole depth / h"),
        (JOIST, Hole(2.6, 4.0), "hole depth (in)"),
        (JOIST, Hole(6.1, 6.1, round=True), "hole depth (in)"),
        (JOIST, Hole(1.5, 4.6), "hole length (in)"),
        (JOIST, Hole(0.5, 2.0), "hole depth (in)"),
    ],
)
def test_hole_limits(joist: Shape, hole: Hole, thing: str) -> None:
    with pytest.raises(OutsideSourceLimits) as refused:
        check_hole_limits(joist, hole)
    assert refused.value.thing == thing
    assert (refused.value.value < refused.value.limit) is refused.value.least


def test_web_beside_hole_under_5_t() -> None:
    stub = Shape(3.0, 1.625, 0.5, 0.1242, 0.1242)
    with pytest.raises(OutsideSourceLimits) as refused:
        check_shear_at_hole(stub, Hole(1.7, 4.0))
    assert refused.value.thing == "c/t beside the hole"


def test_hole_within_all_limits() -> None:
    check_shear_at_hole(JOIST, SLOT)
    assert web_slenderness(JOIST) == pytest.approx(171.68, abs=0.01)
