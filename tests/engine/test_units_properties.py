"""R50 as properties: what is shown reads back, and no text brings the reader down."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from framing.engine.errors import LengthUnreadable
from framing.engine.floor import Units
from framing.engine.units import LONGEST_16, format_length, parse_length, parse_length_exact

UNITS: st.SearchStrategy[Units] = st.sampled_from(["imperial", "metric"])


@given(st.integers(-LONGEST_16, LONGEST_16), UNITS, UNITS)
def test_every_shown_length_reads_back_whatever_the_projects_units(
    length: int, shown: Units, read: Units
) -> None:
    assert parse_length(format_length(length, shown), read, allow_negative=True) == length


@given(st.text(alphabet="0123456789 .-/'\"ftinm½⅜’”−,", max_size=14), UNITS)  # noqa: RUF001
def test_any_text_near_a_length_is_one_in_range_or_refused_by_name(text: str, units: Units) -> None:
    value = _read(text, units)
    assert value is None or 0 <= value <= LONGEST_16
    assert value is None or abs(parse_length(text, units) - value) <= Fraction(1, 2)


@given(st.text(max_size=60), UNITS)
def test_wild_text_never_raises_anything_but_the_refusal(text: str, units: Units) -> None:
    value = _read(text, units)
    assert value is None or value >= 0


def _read(text: str, units: Units) -> Fraction | None:
    try:
        return parse_length_exact(text, units)
    except LengthUnreadable:
        return None
