"""The vibration checks of one joist: worked by hand, at their limits, refused."""

from __future__ import annotations

from dataclasses import replace
from math import inf, nan

import pytest

from framing.engine.errors import LoadRefused, OutsideSourceLimits
from framing.engine.practice import Practice
from framing.engine.result import Check
from framing.engine.vibration import impulse, point_load, vibration_checks, walking

PRACTICE = Practice()
STIFFNESS = 29.5e6 * 9.95
VELOCITY = "Vibration, velocity from a unit impulse"


def _checks(
    span_in: float = 180.0,
    spacing_in: float = 16.0,
    stiffness: float = STIFFNESS,
    dead_psf: float = 10.0,
    width_in: float = 360.0,
    practice: Practice = PRACTICE,
) -> dict[str, Check]:
    found = vibration_checks(span_in, spacing_in, stiffness, dead_psf, width_in, practice)
    return {check.name: check for check in found}


def test_a_15_ft_joist_by_hand() -> None:
    """15 ft = 4.572 m; E I = 293.5e6 lb-in2 = 842,300 N m2 a joist; 0.4064 m apart."""
    checks = _checks()
    point = checks["Vibration, 1 kN at midspan"]
    # 0.5 x 1000 N x 4.572^3 / (48 x 842,336) = 0.001182 m; limit 8 / 4.572^1.3 = 1.109 mm
    assert point.demand == pytest.approx(1.1818, abs=5e-4)
    assert point.capacity == pytest.approx(1.1091, abs=5e-4)
    assert not point.passes
    # 16 psf moves: 1.7778 lb/in sags 5 w L^4 / 384 E I = 0.0828 in, 0.18 sqrt(386 / 0.0828) = 12.29 Hz
    stiff = checks["Vibration, walking: stiffness over 9 Hz"]
    assert dict(stiff.inputs)["Frequency"] == "12.29 Hz"
    # 48 E I / (0.5 L^3) = 4832 lb/in
    assert (stiff.demand, stiff.capacity) == (1.0, pytest.approx(4.832, abs=1e-3))
    # (EI)L = 2.0727e6 N m2/m, m = 48.82 kg/m2: f1 = pi / (2 x 4.572^2) sqrt(42451) = 15.48 Hz
    assert checks["Vibration, first frequency"].capacity == pytest.approx(15.48, abs=0.01)
    assert checks["Vibration, first frequency"].demand == 8.0
    # (EI)b = 25,000 lb-in = 2824.6 N m2/m: kdist = 0.38 - 0.08 ln(14 x 2.8246e9 / 406.4^4) = 0.350
    sag = checks["Vibration, deflection under 1 kN"]
    assert dict(sag.inputs)["Share of the joist (kdist)"] == "0.350"
    assert sag.capacity == 1.0


def test_impulse_velocity_by_hand() -> None:
    """n40 = {[(40/15.48)^2 - 1] (9.144/4.572)^4 (2.0727e6/2824.6)}^0.25 = (5.677 x 16 x 733.8)^0.25 = 16.07."""
    velocity = _checks()[VELOCITY]
    assert dict(velocity.inputs)["Modes up to 40 Hz"] == "16.07"
    # 4 (0.4 + 0.6 x 16.07) / (48.82 x 9.144 x 4.572 + 200) = 0.01795; 120^(0.1548 - 1) = 0.01749
    assert velocity.demand == pytest.approx(0.01795, abs=5e-5)
    assert velocity.capacity == pytest.approx(0.01749, abs=5e-5)


def test_a_long_light_joist_is_held_to_walking_and_needs_a_special_investigation() -> None:
    checks = _checks(span_in=320.0)
    walk = checks["Vibration, walking: acceleration"]
    assert walk.unit == "% g"
    assert not walk.passes
    first = checks["Vibration, first frequency"]
    assert first.capacity < 8 < first.capacity * first.ratio + 1e-9
    assert not first.passes
    assert ("At 8 Hz or less", "the clause asks for a special investigation") in first.inputs
    assert VELOCITY not in checks
    assert len(checks) == 3


def test_all_are_information_until_the_practice_asks() -> None:
    assert not any(check.required for check in _checks().values())
    asked = {
        "vibration_point_load": 1,
        "vibration_walking": 1,
        "vibration_unit_impulse": 3,
    }
    for field, count in asked.items():
        checks = _checks(practice=replace(PRACTICE, **{field: True}))
        assert sum(check.required for check in checks.values()) == count, field
    long = _checks(span_in=320.0, practice=replace(PRACTICE, vibration_walking=True))
    assert long["Vibration, walking: acceleration"].required


def test_a_floor_stiffer_across_has_a_check_that_says_so() -> None:
    practice = replace(PRACTICE, sheathing_stiffness_lb_in2_per_ft=STIFFNESS)
    checks = _checks(practice=practice)
    outside = checks["Vibration, impulse: stiffness across under stiffness along"]
    assert outside.ratio == pytest.approx(16 / 12)
    assert not outside.passes
    assert VELOCITY not in checks


def test_the_labels_say_what_each_method_is() -> None:
    clauses = {check.name: check.clause for check in _checks().values()}
    assert "timber floors), by analogy" in clauses[VELOCITY]
    assert "Onysko" in clauses["Vibration, 1 kN at midspan"]
    assert "AISC Design Guide 11" in clauses["Vibration, walking: stiffness over 9 Hz"]


@pytest.mark.parametrize("bad", [0.0, -1.0, nan, inf])
@pytest.mark.parametrize("name", ["span_in", "spacing_in", "stiffness", "dead_psf", "width_in"])
def test_what_no_floor_has_is_refused(name: str, bad: float) -> None:
    with pytest.raises(LoadRefused, match=r"Vibration: the .* must be a number over 0"):
        _checks(**{name: bad})


@pytest.mark.parametrize(
    ("field", "span_in"),
    [
        ("point_load_share", 180.0),
        ("impulse_damping", 180.0),
        ("impulse_a_mm_per_kn", 180.0),
        ("sheathing_stiffness_lb_in2_per_ft", 180.0),
        ("walking_damping", 320.0),
        ("walking_acceleration_percent", 320.0),
    ],
)
def test_a_practice_value_of_zero_is_refused(field: str, span_in: float) -> None:
    with pytest.raises(LoadRefused, match="must be a number over 0"):
        _checks(span_in=span_in, practice=replace(PRACTICE, **{field: 0.0}))


def test_people_cannot_weigh_less_than_the_floor_is_heavy() -> None:
    with pytest.raises(LoadRefused, match="weight that moves is -2"):
        _checks(practice=replace(PRACTICE, walking_live_psf=-12.0))


def test_the_walking_formula_ends_at_9_hz() -> None:
    assert walking.peak_acceleration_percent(9.0, 0.03, 20_000.0) > 0
    with pytest.raises(OutsideSourceLimits) as refused:
        walking.peak_acceleration_percent(9.01, 0.03, 20_000.0)
    assert (refused.value.value, refused.value.limit) == (9.01, 9.0)


def test_effective_width_is_at_most_two_thirds_of_the_floor() -> None:
    assert walking.effective_width_in(200.0, 1.0, 16.0, 1200.0) == pytest.approx(200.0)
    assert walking.effective_width_in(200.0, 1.0, 16.0, 1200.0, factor=1.0) == pytest.approx(100.0)
    assert walking.effective_width_in(200.0, 1.0, 16.0, 240.0) == pytest.approx(160.0)


@pytest.mark.parametrize(("a", "b"), [(0.5, 150.0), (0.75, 135.0), (1.0, 120.0), (1.5, 100.0), (2.0, 80.0)])
def test_b_of_the_figure(a: float, b: float) -> None:
    assert impulse.b_of_figure(a) == pytest.approx(b)


@pytest.mark.parametrize(
    ("a", "value", "limit"), [(2.1, 2.1, 2.0), (0.4, 0.4, 0.5), (0.0, 0.0, 0.5), (-1.0, -1.0, 0.5)]
)
def test_off_the_figure_is_outside(a: float, value: float, limit: float) -> None:
    with pytest.raises(OutsideSourceLimits) as refused:
        impulse.b_of_figure(a)
    assert (refused.value.value, refused.value.limit) == (value, limit)


def test_modes_below_40_hz_at_its_ends() -> None:
    assert impulse.modes_below_40_hz(45.0, 6.0, 4.0, 2e6, 1e4) == 0.0
    with pytest.raises(OutsideSourceLimits):
        impulse.modes_below_40_hz(12.0, 6.0, 4.0, 1e4, 2e4)


def test_strutting_and_the_least_share() -> None:
    """kdist at 400 mm: 0.38 - 0.08 ln(14 x 3e9 / 2.56e10) = 0.3404; strutting takes 3 %; never under 0.30."""
    assert impulse.load_share(3e9, 400.0) == pytest.approx(0.3404, abs=1e-4)
    assert impulse.load_share(3e9, 400.0, strut_factor=impulse.STRUTTED) == pytest.approx(0.3302, abs=1e-4)
    assert impulse.load_share(3e12, 400.0) == 0.30


def test_the_point_load_limit_steps_down_only() -> None:
    assert point_load.point_load_limit_mm(2.999) == 2.0
    assert point_load.point_load_limit_mm(9.9) == 0.6
    for bad in (0.0, -2.0, nan):
        with pytest.raises(LoadRefused):
            point_load.point_load_limit_mm(bad)


@pytest.mark.parametrize("span_in", [1.0, 30.0])
def test_a_floor_above_40_hz_has_no_mode_to_excite(span_in: float) -> None:
    found = _checks(span_in=span_in)
    assert found["Vibration, first frequency"].passes
    assert VELOCITY not in found
