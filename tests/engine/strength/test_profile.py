"""Strengths of a profile as the checks use them."""

from __future__ import annotations

import pytest

from framing.engine.errors import OutsideSourceLimits
from framing.engine.method import Method
from framing.engine.section.effective import effective
from framing.engine.section.shape import Shape, Steel, shape_of, steel_of
from framing.engine.strength.crippling import LoadCase, crippling_kip
from framing.engine.strength.profile import ProfileStrength, profile_strength
from framing.engine.strength.trade_table import table_values


def _strength(
    name: str, yield_ksi: float, method: Method = Method.ASD, hole_in: float = 1.5
) -> ProfileStrength:
    return profile_strength(
        shape_of(name), steel_of(yield_ksi), method=method, hole_depth_in=hole_in, hole_length_in=4.0
    )


@pytest.mark.parametrize(
    ("method", "bending", "distortional", "shear"),
    [
        (Method.ASD, 1 / 1.67, 1 / 1.67, 1 / 1.60),
        (Method.LRFD, 0.90, 0.90, 0.95),
        (Method.LSD, 0.90, 0.85, 0.80),
    ],
)
def test_factors_by_method(method: Method, bending: float, distortional: float, shear: float) -> None:
    found = _strength("1000S162-54", 50.0, method)
    assert found.local_moment_kipin == pytest.approx(bending * found.nominal_local_kipin)
    assert found.distortional_moment_kipin == pytest.approx(distortional * found.distortional.nominal_kipin)
    assert found.shear_lb == pytest.approx(1000 * shear * found.shear.nominal_kip)
    assert found.moment_kipin == min(found.local_moment_kipin, found.distortional_moment_kipin)


def test_crippling_in_pounds_with_the_rows_factors() -> None:
    found = _strength("1000S162-54", 50.0)
    kips = crippling_kip(found.shape, 50.0, LoadCase.END_ONE_FLANGE, fastened=True, bearing_in=1.5)
    nominal = found.nominal_crippling_lb(LoadCase.END_ONE_FLANGE, fastened=True, bearing_in=1.5)
    assert nominal == pytest.approx(1000 * kips)
    available = found.crippling_lb(LoadCase.END_ONE_FLANGE, fastened=True, bearing_in=1.5)
    assert available == pytest.approx(nominal / 1.75)


def test_lateral_moment_falls_from_the_local_one() -> None:
    found = _strength("1000S162-54", 50.0)
    assert found.lateral_moment_kipin(0.0) == found.local_moment_kipin
    assert found.lateral_moment_kipin(0.999 * found.unbraced_in) == found.local_moment_kipin
    stress = found.lateral(96.0).stress_ksi
    by_hand = effective(found.shape, stress).modulus_in3 * stress / 1.67
    assert found.lateral_moment_kipin(96.0) == pytest.approx(by_hand)
    assert found.lateral_moment_kipin(96.0) < found.local_moment_kipin
    assert found.lateral_moment_kipin(96.0, 1.136) > found.lateral_moment_kipin(96.0)


def test_cold_work_counts_in_bending_and_not_in_shear() -> None:
    found = _strength("800S162-97", 33.0)
    assert found.cold_work
    assert found.bending_yield_ksi > 33.0
    assert found.nominal_local_kipin == pytest.approx(found.gross.sx_in3 * found.bending_yield_ksi)
    plain = profile_strength(
        found.shape, Steel(33.0, 36.0), method=Method.ASD, hole_depth_in=1.5, hole_length_in=4.0
    )
    assert not plain.cold_work
    assert plain.bending_yield_ksi == 33.0
    assert plain.shear_lb == found.shear_lb


def test_shallow_hole_leaves_the_moment() -> None:
    found = _strength("1000S162-54", 50.0)
    assert found.hole_moment_kipin == found.local_moment_kipin
    assert found.hole_moment_reason == ""
    assert found.net_shear_lb == found.shear_lb
    assert found.net_shear_reason == ""


def test_deep_hole_takes_the_cold_work_too() -> None:
    """A 2.5 in slot in a web of 5.49 in: 0.46 of it, so the web beside it counts as unstiffened."""
    found = profile_strength(
        shape_of("600S162-97"), steel_of(33.0), method=Method.LRFD, hole_depth_in=2.5, hole_length_in=4.0
    )
    assert found.cold_work
    at_hole = effective(found.shape, 33.0, 2.5)
    assert found.hole_moment_kipin == pytest.approx(0.90 * at_hole.modulus_in3 * 33.0)


def test_hole_outside_the_clauses_has_a_reason_and_no_number() -> None:
    found = _strength("1200S162-54", 50.0)
    assert found.web_slenderness == pytest.approx(207.0, abs=0.1)
    assert found.net_shear_lb is None
    assert found.net_shear_reason == "AISI S100 G3 holds for h/t up to 200; here it is 207."
    assert found.hole_moment_kipin is None
    assert "1.1.3 holds for h/t up to 200" in found.hole_moment_reason


def test_no_hole() -> None:
    found = _strength("1200S162-54", 50.0, hole_in=0.0)
    assert found.net_shear_lb == found.shear_lb
    assert found.hole_moment_kipin == found.local_moment_kipin


def test_sheathing_helps_distortional_buckling_alone() -> None:
    plain = _strength("1000S162-54", 50.0)
    held = profile_strength(
        plain.shape,
        plain.steel,
        method=Method.ASD,
        hole_depth_in=1.5,
        hole_length_in=4.0,
        sheathing_turn_kip=0.1,
    )
    assert held.distortional_moment_kipin > plain.distortional_moment_kipin
    assert held.local_moment_kipin == plain.local_moment_kipin


def test_web_over_260_is_refused() -> None:
    thin = Shape(12.0, 1.625, 0.5, 0.0451, 0.0712)
    with pytest.raises(
        OutsideSourceLimits, match=r"AISI S100 B4.1 holds for h/t up to 260; here it is 260\.9"
    ):
        profile_strength(thin, steel_of(33.0), method=Method.ASD, hole_depth_in=1.5, hole_length_in=4.0)


def test_table_values_take_the_standard_hole_beyond_the_clause() -> None:
    """Trade tables print the net shear of webs over h/t 200; a member's check has none there."""
    values = table_values(shape_of("1200S162-54"), steel_of(50.0))
    assert values["Vanet_lb"] == values["Vag_lb"] == pytest.approx(1377.0, rel=0.001)
