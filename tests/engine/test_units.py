"""R50: lengths as people type and read them, worked by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest

from framing.engine.errors import LengthUnreadable
from framing.engine.floor import Units
from framing.engine.units import feet, format_length, inches, parse_length, parse_length_exact, round_half_up

FT_12_6_3_8 = 12 * 192 + 6 * 16 + 6


@pytest.mark.parametrize(
    ("text", "length_16"),
    [
        ("12' 6 3/8\"", FT_12_6_3_8),
        ("12'-6 3/8\"", FT_12_6_3_8),
        ("12'6-3/8\"", FT_12_6_3_8),
        ("12-6-3/8", FT_12_6_3_8),
        ("12-6 3/8", FT_12_6_3_8),
        ("12ft 6in", 2400),
        ("12 FT. 6 In.", 2400),
        ("12 feet 6 inches", 2400),
        ("12.5'", 2400),
        ("12'", 2304),
        ("12' 6", 2400),
        ("12' 3/8\"", 2310),
        ("3.81m", 2400),
        ("3.81 M", 2400),
        ("3810 mm", 2400),
        ("3810mm", 2400),
        ('6"', 96),
        ("6''", 96),
        ('6.375"', 102),
        ('3/8"', 6),
        ('1-1/2"', 24),
        ('1 63/64"', 32),
        ("12’ 6⅜”", FT_12_6_3_8),  # noqa: RUF001
        ("12′\u00a06″", 2400),  # noqa: RUF001
        ("12′ – 6 3⁄8″", FT_12_6_3_8),  # noqa: RUF001
        ("12'-6½\"", 2408),
        ("  12'  6\"  ", 2400),
        ("0'", 0),
    ],
)
@pytest.mark.parametrize("units", ["imperial", "metric"])
def test_marked_lengths_mean_the_same_in_both_units(text: str, length_16: int, units: Units) -> None:
    assert parse_length(text, units) == length_16


@pytest.mark.parametrize(
    ("text", "length_16"),
    [("150.375", 2406), (".5", 8), ("16", 256), ("1 1/2", 24), ("1½", 24), ("3/8", 6), ("12-6", 2400)],
)
def test_a_bare_number_is_inches_in_an_imperial_project(text: str, length_16: int) -> None:
    assert parse_length(text, "imperial") == length_16


@pytest.mark.parametrize(("text", "length_16"), [("3810", 2400), ("25.4", 16), ("1", 1), ("0", 0)])
def test_a_bare_number_is_millimetres_in_a_metric_project(text: str, length_16: int) -> None:
    assert parse_length(text, "metric") == length_16


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "nothing was typed"),
        ("'", "no number"),
        ("nan", "no number"),
        ("inf", "no number"),
        ("1e5", "units are"),
        ("3810 cm", "units are"),
        ("0x10", "units are"),
        ("1,200", "decimals with a point"),
        ("3,81 m", "decimals with a point"),
        ("١٢", "digits 0 to 9"),
        ("１２", "digits 0 to 9"),  # noqa: RUF001
        ("²", "digits 0 to 9"),
        ("-5", "can't be negative"),
        ("−5", "can't be negative"),  # noqa: RUF001
        ("+5", "sign that lengths don't use"),
        ("12 6", "write it like"),
        ("12 6 3/8", "write it like"),
        ("12''6", "write it like"),
        ("5.", "write it like"),
        ("1.2.3", "write it like"),
        ("12' 14\"", "under 12"),
        ("12-12", "under 12"),
        ("12.5' 6\"", "whole number"),
        ("1.5 1/2", "don't go together"),
        ("9/8", "no fraction under 1"),
        ("1/3", "no 1/3"),
        ("1/0", "no 1/0"),
        ("12-3/8", "feet or inches"),
        ("99999999999", "longer than 10,000 ft"),
        ("9" * 41, "longer than 40 signs"),
    ],
)
def test_anything_else_is_refused_with_the_reason(text: str, reason: str) -> None:
    with pytest.raises(LengthUnreadable, match=reason):
        parse_length(text, "imperial")


@pytest.mark.parametrize(("text", "reason"), [("3/8", "take no fraction"), ("12-6", "dash mean feet")])
def test_imperial_shorthand_is_refused_in_a_metric_project(text: str, reason: str) -> None:
    with pytest.raises(LengthUnreadable, match=reason):
        parse_length(text, "metric")


def test_the_refusal_carries_what_was_typed() -> None:
    with pytest.raises(LengthUnreadable) as caught:
        parse_length("12 cm", "metric")
    assert caught.value.text == "12 cm"


def test_negative_is_read_only_where_a_coordinate_allows_it() -> None:
    assert parse_length("-3'-6\"", "imperial", allow_negative=True) == -672
    assert parse_length("- 1/2", "imperial", allow_negative=True) == -8
    with pytest.raises(LengthUnreadable, match="two minus signs"):
        parse_length("--5", "imperial", allow_negative=True)


def test_rounds_to_the_nearest_sixteenth_half_up() -> None:
    assert parse_length('1/32"', "imperial") == 1
    assert parse_length('1/64"', "imperial") == 0
    assert parse_length("-1/32", "imperial", allow_negative=True) == 0
    assert round_half_up(Fraction(5, 2)) == 3


def test_exact_keeps_a_spacing_that_is_no_whole_sixteenth() -> None:
    assert parse_length_exact("19.2", "imperial") == Fraction(1536, 5)
    assert parse_length_exact("1 mm", "imperial") == Fraction(80, 127)


@pytest.mark.parametrize(
    ("length_16", "imperial", "metric"),
    [
        (0, '0"', "0 mm"),
        (6, '3/8"', "10 mm"),
        (8, '1/2"', "13 mm"),
        (96, '6"', "152 mm"),
        (192, "1'-0\"", "305 mm"),
        (198, "1'-0 3/8\"", "314 mm"),
        (FT_12_6_3_8, "12'-6 3/8\"", "3820 mm"),
        (-672, "-3'-6\"", "-1067 mm"),
    ],
)
def test_shown_in_the_projects_units_only(length_16: int, imperial: str, metric: str) -> None:
    assert format_length(length_16, "imperial") == imperial
    assert format_length(length_16, "metric") == metric


def test_engineering_lengths() -> None:
    assert inches(24) == 1.5
    assert feet(288) == 1.5
