"""Vibration against examples worked apart from this code; the table's own rows say where each comes from."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from framing.engine.vibration import impulse, point_load, walking

TABLE = Path(__file__).parent / "vibration_examples.csv"
ROWS = tuple(csv.DictReader(TABLE.read_text(encoding="utf-8").splitlines()))
NOT_COMPUTED = {
    "V30": "the published excerpt does not show its inputs",
    "V8b": "a constant of the source",
    "V8c": "a constant of the source",
}


def _name(row: dict[str, str]) -> str:
    return f"{row['id']}-{row['output'].split(' ')[0]}"


def _numbers(inputs: str) -> dict[str, float]:
    """`L=4.0 m;B=6.0 m` as numbers by symbol; words without `=` are left out."""
    pairs = [part.split("=", 1) for part in inputs.split(";") if "=" in part]
    return {symbol.strip(): float(value.split()[0]) for symbol, value in pairs}


def _of(method: str, output: str) -> list[dict[str, str]]:
    found = [row for row in ROWS if row["method"].startswith(method) and row["output"].startswith(output)]
    found = [row for row in found if row["id"] not in NOT_COMPUTED]
    assert found
    return found


def _value(row: dict[str, str]) -> object:
    """The row's value to all digits that it prints."""
    digits = len(row["value"].partition(".")[2])
    return pytest.approx(float(row["value"]), abs=0.5000001 * 10**-digits)


def _frequency(n: dict[str, float]) -> float:
    return impulse.first_frequency_hz(n["L"], n["EIL"], n["m"])


@pytest.mark.parametrize("row", _of("EN 1995-1-1 7.3.3", "f1"), ids=_name)
def test_first_frequency(row: dict[str, str]) -> None:
    assert _frequency(_numbers(row["inputs"])) == _value(row)


@pytest.mark.parametrize("row", _of("EN 1995-1-1 7.3.3", "n40"), ids=_name)
def test_modes_below_40_hz(row: dict[str, str]) -> None:
    n = _numbers(row["inputs"])
    assert impulse.modes_below_40_hz(_frequency(n), n["B"], n["L"], n["EIL"], n["EIB"]) == _value(row)


@pytest.mark.parametrize("row", _of("EN 1995-1-1 7.3.3", "v"), ids=_name)
def test_impulse_velocity(row: dict[str, str]) -> None:
    n = _numbers(row["inputs"])
    modes = impulse.modes_below_40_hz(_frequency(n), n["B"], n["L"], n["EIL"], n["EIB"])
    assert impulse.impulse_velocity(modes, n["m"], n["B"], n["L"]) == _value(row)


@pytest.mark.parametrize("row", _of("EN 1995-1-1 7.3.3", "b_limit"), ids=_name)
def test_impulse_limit(row: dict[str, str]) -> None:
    n = _numbers(row["inputs"])
    assert impulse.impulse_limit(_frequency(n), n["zeta"], 100.0) == _value(row)


@pytest.mark.parametrize("row", _of("UK NA limit", "a_limit"), ids=_name)
def test_uk_flexibility_limit(row: dict[str, str]) -> None:
    assert impulse.uk_flexibility_limit_mm(_numbers(row["inputs"])["L"]) == _value(row)


@pytest.mark.parametrize("row", _of("AISC DG11 f=", "f"), ids=_name)
def test_panel_frequency(row: dict[str, str]) -> None:
    assert walking.panel_frequency_hz(_numbers(row["inputs"])["D"]) == _value(row)


def test_frequency_of_a_joist_at_16_in() -> None:
    """V7: Ix 9.95 in4, 15 psf, 16 in, 18 ft."""
    sag, frequency = (row for row in ROWS if row["id"] == "V7")
    found = walking.uniform_sag_in(15.0 * 16 / 144, 216.0, 29.5e6 * 9.95)
    assert found == _value(sag)
    assert walking.panel_frequency_hz(found) == _value(frequency)


@pytest.mark.parametrize("row", _of("AISC DG11 walking", "ap/g"), ids=_name)
def test_peak_acceleration(row: dict[str, str]) -> None:
    n = _numbers(row["inputs"])
    percent = walking.peak_acceleration_percent(n["fn"], n["beta"], n["W"], force_lb=n["Po"])
    assert percent == _value(row)


def test_constants_of_the_guide() -> None:
    printed = {row["id"]: float(row["value"]) for row in ROWS if row["id"] in ("V8b", "V8c")}
    assert printed == {"V8b": walking.WALKING_FORCE_LB, "V8c": walking.WALKING_MOST_HZ}


@pytest.mark.parametrize("row", _of("1 kN point load limit", "limit"), ids=_name)
def test_point_load_limit(row: dict[str, str]) -> None:
    assert point_load.point_load_limit_mm(_numbers(row["inputs"])["L"]) == _value(row)


def test_every_row_is_compared_or_named() -> None:
    """V7's two rows and the two constants have tests of their own."""
    compared = [
        *_of("EN 1995-1-1 7.3.3", ""),
        *_of("UK NA limit", ""),
        *_of("AISC DG11 f=", ""),
        *_of("AISC DG11 walking", ""),
        *_of("1 kN point load limit", ""),
    ]
    left = {row["id"] for row in ROWS if row not in compared}
    assert left == {"V7", *NOT_COMPUTED}
