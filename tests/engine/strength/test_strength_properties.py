"""What must hold for any lipped C within the clauses' limits."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from framing.engine.errors import OutsideSourceLimits
from framing.engine.method import Method
from framing.engine.section.gross import gross
from framing.engine.section.shape import Shape, Steel
from framing.engine.strength.crippling import TABLE, LoadCase, crippling_kip
from framing.engine.strength.distortional import distortional_buckling
from framing.engine.strength.factors import (
    BEARING_STIFFENER,
    BENDING,
    BENDING_WITH_CRIPPLING,
    DISTORTIONAL,
    SHEAR,
)
from framing.engine.strength.flexure import unbraced_in_lu
from framing.engine.strength.profile import ProfileStrength, profile_strength
from framing.engine.strength.shear import shear

QUICK = settings(max_examples=60, deadline=None)

SHAPES = st.builds(
    lambda depth, flange, lip, thickness: Shape(
        depth, flange, lip * flange, thickness, max(3 / 32 - thickness / 2, 1.5 * thickness)
    ),
    st.floats(5.5, 14.0),
    st.floats(1.625, 3.0),
    st.floats(0.28, 0.4),
    st.floats(0.054, 0.125),
)
YIELDS = st.floats(30.0, 60.0)
GROWTH = st.floats(1.01, 1.3)


def _strength(
    shape: Shape, yield_ksi: float, method: Method = Method.ASD, turn_kip: float = 0.0
) -> ProfileStrength:
    """Steel with Fu/Fy under 1.2, so without cold work, which comes and goes in steps."""
    return profile_strength(
        shape,
        Steel(yield_ksi, 1.1 * yield_ksi),
        method=method,
        hole_depth_in=1.5,
        hole_length_in=4.0,
        sheathing_turn_kip=turn_kip,
    )


@QUICK
@given(SHAPES, YIELDS, GROWTH)
def test_thicker_steel_is_never_weaker(shape: Shape, yield_ksi: float, by: float) -> None:
    """The bends keep their radius."""
    thick = replace(shape, thickness_in=shape.thickness_in * by)
    assume(thick.lip_flat_in > 0.1)
    less, more = _strength(shape, yield_ksi), _strength(thick, yield_ksi)
    assert more.local_moment_kipin > less.local_moment_kipin
    assert more.distortional_moment_kipin > less.distortional_moment_kipin
    assert more.shear_lb > less.shear_lb


@QUICK
@given(SHAPES, YIELDS, GROWTH)
def test_stronger_steel_is_never_weaker(shape: Shape, yield_ksi: float, by: float) -> None:
    less, more = _strength(shape, yield_ksi), _strength(shape, yield_ksi * by)
    assert more.local_moment_kipin >= less.local_moment_kipin
    assert more.distortional_moment_kipin >= less.distortional_moment_kipin
    assert more.shear_lb >= less.shear_lb


@QUICK
@given(SHAPES, YIELDS, st.floats(1.0, 300.0), GROWTH, st.floats(1.0, 2.0))
def test_longer_unbraced_is_never_stronger(
    shape: Shape, yield_ksi: float, length: float, by: float, cb: float
) -> None:
    """At 0.56 Fy, a rounded figure, the clause's own curve steps up by 0.006 %."""
    found = _strength(shape, yield_ksi)
    near, far = found.lateral_moment_kipin(length, cb), found.lateral_moment_kipin(length * by, cb)
    assert far <= near * (1 + 1e-4)
    assert near <= found.local_moment_kipin * (1 + 1e-12)
    assert found.lateral_moment_kipin(length, 1.0) <= near * (1 + 1e-4)


@QUICK
@given(SHAPES, YIELDS)
def test_braced_closely_reaches_yield(shape: Shape, yield_ksi: float) -> None:
    found = _strength(shape, yield_ksi)
    assert found.lateral(found.unbraced_in * 0.999).stress_ksi == yield_ksi
    assert found.lateral(found.unbraced_in * 1.001).stress_ksi < yield_ksi
    assert found.lateral_moment_kipin(1e-6) == found.local_moment_kipin


@QUICK
@given(SHAPES, st.sampled_from(LoadCase), st.booleans(), st.floats(1.0, 5.0), GROWTH)
def test_longer_bearing_is_never_weaker(
    shape: Shape, case: LoadCase, fastened: bool, bearing_in: float, by: float
) -> None:
    assume(shape.web_flat_in / shape.thickness_in <= 200)
    short = crippling_kip(shape, 33.0, case, fastened=fastened, bearing_in=bearing_in)
    assert 0 < short < crippling_kip(shape, 33.0, case, fastened=fastened, bearing_in=bearing_in * by)


@QUICK
@given(SHAPES, st.floats(0.0, 0.5), GROWTH)
def test_sheathing_never_weakens(shape: Shape, turn_kip: float, by: float) -> None:
    plain = distortional_buckling(shape, sheathing_kip=turn_kip).stress_ksi
    assert distortional_buckling(shape, sheathing_kip=turn_kip * by).stress_ksi >= plain
    assert plain >= distortional_buckling(shape).stress_ksi


@QUICK
@given(SHAPES, st.floats(4.0, 200.0), st.floats(-1.0, 1.0))
def test_restraint_and_moment_gradient_never_weaken(shape: Shape, restraint_in: float, ratio: float) -> None:
    held = distortional_buckling(shape, restraint_in=restraint_in)
    helped = distortional_buckling(shape, restraint_in=restraint_in, end_moment_ratio=ratio)
    assert held.stress_ksi <= helped.stress_ksi <= 1.3 * held.stress_ksi * (1 + 1e-12)


@QUICK
@given(SHAPES, YIELDS)
def test_lengths_scale(shape: Shape, yield_ksi: float) -> None:
    """A joist twice as large in everything: force by 4, moment by 8, lengths by 2."""
    sizes = (shape.depth_in, shape.flange_in, shape.lip_in, shape.thickness_in, shape.radius_in)
    large = Shape(*(2 * size for size in sizes))
    small_buckling, large_buckling = distortional_buckling(shape), distortional_buckling(large)
    assert large_buckling.half_wave_in == pytest.approx(2 * small_buckling.half_wave_in)
    assert large_buckling.stress_ksi == pytest.approx(small_buckling.stress_ksi)
    assert shear(large, yield_ksi).nominal_kip == pytest.approx(4 * shear(shape, yield_ksi).nominal_kip)
    assert unbraced_in_lu(gross(large), yield_ksi) == pytest.approx(
        2 * unbraced_in_lu(gross(shape), yield_ksi)
    )
    case = LoadCase.END_ONE_FLANGE
    if shape.web_flat_in / shape.thickness_in <= 200:
        small_kip = crippling_kip(shape, yield_ksi, case, fastened=True, bearing_in=1.5)
        large_kip = crippling_kip(large, yield_ksi, case, fastened=True, bearing_in=3.0)
        assert large_kip == pytest.approx(4 * small_kip)


@QUICK
@given(SHAPES, YIELDS)
def test_local_moment_is_between_nothing_and_yield(shape: Shape, yield_ksi: float) -> None:
    found = _strength(shape, yield_ksi)
    assert 0 < found.nominal_local_kipin <= found.gross.sx_in3 * yield_ksi * (1 + 1e-12)
    assert 0 < found.distortional.nominal_kipin <= found.gross.sx_in3 * yield_ksi
    assert found.hole_moment_kipin is None or found.hole_moment_kipin <= found.local_moment_kipin
    assert found.net_shear_lb is None or 0 < found.net_shear_lb <= found.shear_lb


def test_allowable_is_under_design_strength_and_that_under_nominal() -> None:
    rows = [row.factors for row in TABLE.values()]
    for factors in (BENDING, DISTORTIONAL, SHEAR, BENDING_WITH_CRIPPLING, BEARING_STIFFENER, *rows):
        assert factors.share(Method.ASD) < factors.share(Method.LSD) <= factors.share(Method.LRFD) < 1.0


@QUICK
@given(SHAPES, st.floats(1.5, 5.0))
def test_crippling_beyond_h_over_t_200_has_no_number(shape: Shape, bearing_in: float) -> None:
    thin = replace(shape, thickness_in=shape.depth_in / 215, radius_in=0.05)
    with pytest.raises(OutsideSourceLimits):
        crippling_kip(thin, 33.0, LoadCase.END_ONE_FLANGE, fastened=True, bearing_in=bearing_in)
