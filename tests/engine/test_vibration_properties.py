"""What holds for every floor: stiffer is better, longer is worse, units do not matter."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from framing.engine.practice import Practice
from framing.engine.vibration import impulse, point_load, vibration_checks, walking

SPANS = st.floats(60.0, 420.0)
STIFFNESSES = st.floats(3e7, 2e9)
FACTORS = st.floats(1.001, 3.0)


@settings(max_examples=50)
@given(SPANS, STIFFNESSES, FACTORS)
def test_a_stiffer_joist_is_never_livelier_under_1_kn(span: float, stiffness: float, factor: float) -> None:
    before, after = (
        vibration_checks(span, 16.0, s, 10.0, 360.0, Practice())[0] for s in (stiffness, stiffness * factor)
    )
    assert after.ratio == pytest.approx(before.ratio / factor)


@settings(max_examples=50)
@given(SPANS, STIFFNESSES, FACTORS)
def test_a_longer_joist_is_never_better_under_1_kn(span: float, stiffness: float, factor: float) -> None:
    before, after = (
        vibration_checks(s, 16.0, stiffness, 10.0, 360.0, Practice())[0] for s in (span, span * factor)
    )
    assert after.ratio > before.ratio


@settings(max_examples=50)
@given(SPANS, STIFFNESSES, st.floats(4.0, 60.0), st.floats(60.0, 1200.0))
def test_every_check_is_a_number_and_all_methods_speak(
    span: float, stiffness: float, dead: float, width: float
) -> None:
    checks = vibration_checks(span, 16.0, stiffness, dead, width, Practice())
    assert all(0 < check.ratio < float("inf") for check in checks)
    methods = {check.clause.split(" ")[0] for check in checks}
    assert methods == {"1", "AISC", "EN"}


@settings(max_examples=50)
@given(st.floats(1.0, 9.899), st.floats(1.0, 2.0))
def test_the_limit_never_rises_with_the_span(span: float, factor: float) -> None:
    assert point_load.point_load_limit_mm(span * factor) <= point_load.point_load_limit_mm(span)


@settings(max_examples=50)
@given(st.floats(0.5, 2.0), st.floats(0.5, 2.0))
def test_b_falls_as_a_rises(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert impulse.b_of_figure(low) >= impulse.b_of_figure(high)


def test_formulas_take_arrays() -> None:
    spans = np.array([3.0, 4.0, 5.0])
    frequencies = impulse.first_frequency_hz(spans, 2e6, 50.0)  # type: ignore[arg-type]
    each = [impulse.first_frequency_hz(float(span), 2e6, 50.0) for span in spans]
    assert frequencies == pytest.approx(each)
    sags = walking.uniform_sag_in(1.5, spans * 39.37, 3e8)  # type: ignore[arg-type]
    expected = [
        walking.panel_frequency_hz(walking.uniform_sag_in(1.5, float(span) * 39.37, 3e8)) for span in spans
    ]
    assert walking.panel_frequency_hz(sags) == pytest.approx(expected)
