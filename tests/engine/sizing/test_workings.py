"""Lines of the calculation sheet: they end in the very number that the checks use, and their formulas hold."""

from __future__ import annotations

from math import pi

import pytest

from framing.engine.errors import OutsideSourceLimits
from framing.engine.method import Method
from framing.engine.result import Value, Working
from framing.engine.section.shape import shape_of, steel_of
from framing.engine.sizing.workings import (
    crippling_working,
    distortional_working,
    hole_working,
    lateral_working,
    local_working,
    net_shear_working,
    section_values,
    shear_working,
)
from framing.engine.strength.crippling import LoadCase
from framing.engine.strength.profile import ProfileStrength, profile_strength


def _strength(
    name: str, yield_ksi: float = 50.0, method: Method = Method.ASD, *, round_hole: bool = False
) -> ProfileStrength:
    return profile_strength(
        shape_of(name),
        steel_of(yield_ksi),
        method=method,
        hole_depth_in=1.5,
        hole_length_in=1.5 if round_hole else 4.0,
        round_hole=round_hole,
    )


def _numbers(values: tuple[Value, ...]) -> dict[str, float]:
    found = {value.symbol: value.value for value in values}
    assert len(found) == len(values), "a symbol stands for two numbers"
    return found


def _all(strength: ProfileStrength) -> list[Working]:
    return [
        local_working(strength),
        hole_working(strength),
        distortional_working(strength),
        lateral_working(strength, 60.0, 1.136),
        shear_working(strength),
        net_shear_working(strength),
        crippling_working(strength, LoadCase.END_ONE_FLANGE, fastened=True, bearing_in=1.5),
    ]


@pytest.mark.parametrize("method", Method)
def test_last_line_is_the_capacity(method: Method) -> None:
    strength = _strength("800S200-54", method=method)
    wanted = [
        strength.local_moment_kipin,
        strength.hole_moment_kipin,
        strength.distortional_moment_kipin,
        strength.lateral_moment_kipin(60.0, 1.136),
        strength.shear_lb,
        strength.net_shear_lb,
        strength.crippling_lb(LoadCase.END_ONE_FLANGE, fastened=True, bearing_in=1.5),
    ]
    workings = _all(strength)
    assert [working.values[-1].value for working in workings] == wanted
    assert all(working.formula and "AISI S100-16" in working.clause for working in workings)


def test_method_is_in_words_and_symbols() -> None:
    asd, lrfd, lsd = (
        distortional_working(_strength("800S200-54", method=method)).values for method in Method
    )
    assert [(value.words, value.symbol) for value in asd[-2:]] == [
        ("Safety factor", "Omega"),
        ("Allowable moment", "Ma"),
    ]
    assert [(value.words, value.symbol) for value in lsd[-2:]] == [
        ("Resistance factor", "phi"),
        ("Design moment", "phi Mn"),
    ]
    assert (asd[-2].value, lrfd[-2].value, lsd[-2].value) == (1.67, 0.90, 0.85)
    assert lsd[-2].source == "LSD"


def test_distortional_lines_by_their_own_formula() -> None:
    found = _numbers(distortional_working(_strength("800S200-54")).values)
    stress = found["beta"] * (found["kfe"] + found["kwe"] + found["kphi"]) / (found["kfg"] + found["kwg"])
    assert found["Fcrd"] == pytest.approx(stress)
    root = (found["Mcrd"] / found["My"]) ** 0.5
    assert found["ld"] == pytest.approx(1 / root)
    assert found["Mnd"] == pytest.approx((1 - 0.22 * root) * root * found["My"])
    assert found["Ma"] == pytest.approx(found["Mnd"] / found["Omega"])


def test_local_and_hole_lines_by_their_own_formula() -> None:
    strength = _strength("1000S162-54")
    found = _numbers(local_working(strength).values)
    assert found["Mnl"] == pytest.approx(found["Se"] * found["f"])
    assert found["f"] == found["Fy"] == 50.0
    beside = _numbers(hole_working(strength).values)
    assert (beside["dh"], beside["Lh"]) == (1.5, 4.0)
    assert beside["Ma"] == pytest.approx(beside["Mnl"] / beside["Omega"])


def test_lateral_lines_by_their_own_formula() -> None:
    strength = _strength("1000S162-54")
    found, full = _numbers(lateral_working(strength, 60.0, 1.136).values), strength.gross
    product = found["sey"] * found["st"]
    assert found["Fcre"] == pytest.approx(1.136 * found["ro"] * full.area_in2 / full.sx_in3 * product**0.5)
    assert found["sey"] == pytest.approx(pi**2 * 29500 / (60.0 / full.ry_in) ** 2)
    ratio = 50.0 / found["Fcre"]
    assert found["Fn"] == pytest.approx(10 / 9 * 50 * (1 - 10 / 36 * ratio))
    assert found["Mnl"] == pytest.approx(found["Se"] * found["Fn"])
    assert found["Mnl"] <= found["Mne"]


def test_shear_lines_by_their_own_formula() -> None:
    found = _numbers(shear_working(_strength("800S162-97")).values)
    assert found["lv"] == pytest.approx((found["Vy"] / found["Vcr"]) ** 0.5)
    assert 0.815 < found["lv"] <= 1.227
    assert found["Vn"] == pytest.approx(0.815 * (found["Vcr"] * found["Vy"]) ** 0.5)


@pytest.mark.parametrize(("round_hole", "part"), [(False, 2.0), (True, 2.83)])
def test_net_shear_lines_by_their_own_formula(round_hole: bool, part: float) -> None:
    strength = _strength("800S162-97", round_hole=round_hole)
    working = net_shear_working(strength)
    found = _numbers(tuple(value for value in working.values if value.symbol != "Omega"))
    assert f"dh / {part:g}" in working.formula
    assert found["c"] == pytest.approx(strength.shape.web_flat_in / 2 - 1.5 / part)
    assert found["qs"] == pytest.approx(found["c/t"] / 54)
    assert found["Va'"] == pytest.approx(found["qs"] * found["Va"])


def test_crippling_lines_by_their_own_formula() -> None:
    strength = _strength("1000S162-54")
    case = LoadCase.INTERIOR_ONE_FLANGE
    working = crippling_working(strength, case, fastened=True, bearing_in=3.5)
    found = _numbers(working.values)
    pounds = 1000 * found["C"] * strength.shape.thickness_in**2 * found["Fy"]
    pounds *= 1 - found["CR"] * found["R/t"] ** 0.5
    pounds *= 1 + found["CN"] * found["N/t"] ** 0.5
    pounds *= 1 - found["Ch"] * found["h/t"] ** 0.5
    assert found["Pn"] == pytest.approx(pounds)
    assert found["Pa"] == pytest.approx(pounds / 1.65)
    assert working.title == "Web crippling inside, on one flange"
    assert working.values[1].source.endswith("Table G5-2, fastened")
    loose = crippling_working(strength, case, fastened=False, bearing_in=3.5)
    assert loose.values[1].source.endswith("not fastened")


def test_crippling_beyond_its_limits_has_no_lines() -> None:
    with pytest.raises(OutsideSourceLimits, match="h/t"):
        crippling_working(_strength("1200S162-54"), LoadCase.END_ONE_FLANGE, fastened=True, bearing_in=1.5)


def test_hole_outside_the_clauses_shows_the_reason() -> None:
    strength = _strength("1200S162-54")
    assert net_shear_working(strength) == Working(
        "Shear at a web hole", "AISI S100-16 G3", "AISI S100 G3 holds for h/t up to 200; here it is 207.", ()
    )
    assert hole_working(strength).formula == strength.hole_moment_reason
    assert hole_working(strength).values == ()


def test_cold_work_is_named() -> None:
    strength = _strength("800S162-97", 33.0)
    assert _numbers(local_working(strength).values)["Fy = Fya"] == strength.bending_yield_ksi > 33.0
    assert _numbers(section_values(strength))["Fy = Fya"] == strength.bending_yield_ksi


def test_section_values_are_the_profiles() -> None:
    strength = _strength("1000S162-54")
    found = _numbers(section_values(strength))
    assert "Fy = Fya" not in found
    assert (found["D"], found["t"], found["R"]) == (10.0, 0.0566, pytest.approx(0.0849))
    assert (found["Ix"], found["Ixe"]) == (strength.gross.ix_in4, strength.effective_inertia_in4)
    assert (found["Fy"], found["Fu"], found["E"], found["G"]) == (50.0, 65.0, 29500.0, 11300.0)
    assert found["W"] == pytest.approx(2.66, abs=0.005)
    assert found["Lu"] == strength.unbraced_in
