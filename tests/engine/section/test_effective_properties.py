"""What holds for every section: scale, order, and the effective section within the gross one."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from framing.engine.errors import OutsideSourceLimits, SectionImpossible
from framing.engine.section.effective import Effective, effective, effective_inertia_in4
from framing.engine.section.gross import gross
from framing.engine.section.shape import Shape, Steel, radius_of, shape

STRESSES = st.floats(5.0, 80.0)
EXACT = 1 + 1e-9


@st.composite
def sections(draw: st.DrawFn) -> Shape:
    """Joist-like sections of free dimensions that can be rolled."""
    thickness = draw(st.floats(0.03, 0.15))
    depth, flange = draw(st.floats(3.0, 16.0)), draw(st.floats(1.2, 4.0))
    return _made(depth, flange, draw(st.floats(0.3, 1.4)), thickness, radius_of(thickness))


def _made(depth: float, flange: float, lip: float, thickness: float, radius: float) -> Shape:
    try:
        return shape(depth, flange, lip, thickness, radius)
    except SectionImpossible:
        assume(False)
        raise


def _effective(section: Shape, stress: float, hole: float = 0.0) -> Effective:
    try:
        return effective(section, stress, hole)
    except OutsideSourceLimits:
        assume(False)
        raise


@given(sections(), st.floats(0.05, 50.0))
def test_scale(section: Shape, scale: float) -> None:
    """In any unit of length the section is the same."""
    larger = Shape(
        section.depth_in * scale,
        section.flange_in * scale,
        section.lip_in * scale,
        section.thickness_in * scale,
        section.radius_in * scale,
    )
    one, other = gross(section), gross(larger)
    for name, power in {
        "area_in2": 2, "ix_in4": 4, "sx_in3": 3, "rx_in": 1, "iy_in4": 4, "ry_in": 1, "x_bar_in": 1,
        "j_in4": 4, "cw_in6": 6, "xo_in": 1, "ro_in": 1, "weight_plf": 2,
    }.items():  # fmt: skip
        assert getattr(other, name) == pytest.approx(getattr(one, name) * scale**power, rel=1e-9), name
    kept, scaled = _effective(section, 33.0), _effective(larger, 33.0)
    assert scaled.inertia_in4 == pytest.approx(kept.inertia_in4 * scale**4, rel=1e-9)
    assert scaled.neutral_axis_in == pytest.approx(kept.neutral_axis_in * scale, rel=1e-9)
    assert (scaled.fully, scaled.flange_and_web_fully) == (kept.fully, kept.flange_and_web_fully)


@given(sections(), STRESSES)
def test_effective_is_never_more_than_gross(section: Shape, stress: float) -> None:
    kept, full = _effective(section, stress), gross(section)
    assert 0 < kept.inertia_in4 <= full.ix_in4 * EXACT
    assert 0 < kept.modulus_in3 <= full.sx_in3 * EXACT
    assert section.depth_in / 2 <= kept.neutral_axis_in * EXACT
    assert kept.neutral_axis_in < section.depth_in
    assert kept.fully == (kept.inertia_in4 >= full.ix_in4 / EXACT)
    assert 0 < kept.flange_in <= section.flange_flat_in
    assert 0 < kept.lip_in <= section.lip_flat_in


@given(sections(), STRESSES, st.floats(1.0, 2.0))
def test_effective_modulus_falls_and_moment_grows_with_stress(
    section: Shape, stress: float, more: float
) -> None:
    low, high = _effective(section, stress), _effective(section, stress * more)
    assert high.modulus_in3 <= low.modulus_in3 * EXACT
    assert high.modulus_in3 * more >= low.modulus_in3 / EXACT


@given(sections(), STRESSES, st.floats(1.0, 1.5))
def test_thicker_is_never_weaker(section: Shape, stress: float, more: float) -> None:
    thicker = _made(
        section.depth_in,
        section.flange_in,
        section.lip_in,
        section.thickness_in * more,
        section.radius_in,
    )
    one, other = gross(section), gross(thicker)
    assert other.area_in2 * EXACT >= one.area_in2
    assert other.ix_in4 * EXACT >= one.ix_in4
    assert _effective(thicker, stress).modulus_in3 * EXACT >= _effective(section, stress).modulus_in3


@given(sections(), STRESSES, st.floats(0.0, 0.7))
def test_a_hole_never_helps(section: Shape, stress: float, share: float) -> None:
    whole, at_hole = _effective(section, stress), _effective(section, stress, share * section.web_flat_in)
    assert at_hole.inertia_in4 <= whole.inertia_in4 * EXACT
    assert at_hole.modulus_in3 <= whole.modulus_in3 * EXACT


@given(sections(), st.floats(25.0, 80.0))
def test_effective_inertia_lies_between_that_at_yield_and_the_gross(section: Shape, yield_ksi: float) -> None:
    at_yield = _effective(section, yield_ksi)
    inertia = effective_inertia_in4(section, Steel(yield_ksi, 1.3 * yield_ksi))
    assert at_yield.inertia_in4 / EXACT <= inertia <= gross(section).ix_in4 * EXACT


@given(sections())
def test_the_shear_centre_lies_beyond_the_web(section: Shape) -> None:
    full = gross(section)
    assert -full.xo_in > full.x_bar_in - section.thickness_in / 2
    assert full.ro_in > max(full.rx_in, -full.xo_in)
    assert full.cw_in6 > 0
