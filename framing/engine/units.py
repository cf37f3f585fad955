"""Lengths as people type and read them (R50); the only module that converts units.

Shop lengths are whole sixteenths of an inch. Reading is exact (`Fraction`), then rounded half up.
Known forms, with or without spaces:

    12' 6 3/8"   12'-6 3/8"   12ft 6in   12'   12.5'    feet, or feet and inches
    12-6-3/8   12-6                                     feet-inches-fraction (two parts: imperial only)
    6"   6.375"   1 1/2 in   3/8"                       inches
    3.81m   3810 mm                                     metric
    150.375   1 1/2   3/8                               bare: inches, or (no fractions) millimetres

Typographic primes, quotes, dashes and fraction signs count as their plain forms. All else is refused,
with the reason.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final

from framing.engine.errors import LengthUnreadable
from framing.engine.floor import Units
from framing.engine.lean import half_up

SIXTEENTHS_PER_INCH: Final = 16
SIXTEENTHS_PER_FOOT: Final = 192
MM_PER_INCH: Final = Fraction(254, 10)
LONGEST_16: Final = 10_000 * SIXTEENTHS_PER_FOOT
"""Longest length that is read: 10,000 ft, far over any floor; a longer one is a slip of the keyboard."""
LONGEST_TEXT: Final = 40

_FLAGS: Final = re.IGNORECASE | re.ASCII
_PLAIN: Final = str.maketrans(
    {
        "′": "'", "’": "'", "‘": "'", "´": "'", "`": "'", "ʹ": "'",  # noqa: RUF001
        "″": '"', "”": '"', "“": '"', "„": '"', "ʺ": '"',
        "‐": "-", "‑": "-", "–": "-", "—": "-", "−": "-",  # noqa: RUF001
        "⁄": "/", "∕": "/",  # noqa: RUF001
        "\u00a0": " ", "\u2009": " ", "\u202f": " ", "\t": " ",
    }
)  # fmt: skip
_FRACTION_SIGNS: Final = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
_NUMBER: Final = r"(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)"
_FRACTION: Final = r"[0-9]+ ?/ ?[0-9]+"
_FEET_MARK: Final = r"(?:'|feet|foot|ft\.?)"
_INCH_MARK: Final = r"(?:\"|''|inches|inch|in\.?)"
_INCHES: Final = rf"(?:(?P<whole>{_NUMBER})(?:[ -] ?(?P<part>{_FRACTION}))?|(?P<only>{_FRACTION}))"
_FEET_INCHES: Final = re.compile(
    rf"(?P<feet>{_NUMBER}) ?{_FEET_MARK}(?: ?-? ?{_INCHES} ?{_INCH_MARK}?)?", _FLAGS
)
_DASHED: Final = re.compile(rf"(?P<feet>[0-9]+)-(?P<whole>[0-9]+)(?:[ -](?P<part>{_FRACTION}))?{_INCH_MARK}?")
_MARKED_INCHES: Final = re.compile(rf"{_INCHES} ?{_INCH_MARK}", _FLAGS)
_BARE: Final = re.compile(_INCHES)
_METRIC: Final = re.compile(rf"(?P<value>{_NUMBER}) ?(?P<unit>mm|m)", _FLAGS)
_TAPE_DENOMINATORS: Final = (2, 4, 8, 16, 32, 64)


def parse_length(text: str, units: Units, *, allow_negative: bool = False) -> int:
    """Read a length (R50) as sixteenths of an inch, rounded half up to a whole one.

    Args:
        text: what was typed.
        units: the project's units; they decide only what a bare number means (inches or millimetres).
        allow_negative: whether a leading minus is allowed, as for a coordinate.

    Raises:
        LengthUnreadable: any form that R50 does not know, or over 10,000 ft.
    """
    return round_half_up(parse_length_exact(text, units, allow_negative=allow_negative))


def parse_length_exact(text: str, units: Units, *, allow_negative: bool = False) -> Fraction:
    """Read a length (R50) as an exact number of sixteenths of an inch; for spacings such as 19.2 in.

    Takes and raises the same as `parse_length`.
    """
    plain = _plain(text)
    negative = plain.startswith("-")
    if negative and not allow_negative:
        raise LengthUnreadable(text, "a length can't be negative.")
    body = plain[1:].lstrip() if negative else plain
    try:
        value_16 = _read(body, units)
    except _Unreadable as refusal:
        raise LengthUnreadable(text, str(refusal)) from None
    if value_16 > LONGEST_16:
        raise LengthUnreadable(text, "it is longer than 10,000 ft.")
    return -value_16 if negative else value_16


def format_length(length_16: int, units: Units) -> str:
    """Write sixteenths for people: `12'-6 3/8"`, under a foot `3/8"`; metric as whole `3810 mm` (half up)."""
    if units == "metric":
        return f"{round_half_up(Fraction(length_16, SIXTEENTHS_PER_INCH) * MM_PER_INCH)} mm"
    sign, size = ("-", -length_16) if length_16 < 0 else ("", length_16)
    feet, rest_16 = divmod(size, SIXTEENTHS_PER_FOOT)
    return f"{sign}{feet}'-{_inches_text(rest_16, zero=True)}" if feet else f"{sign}{_inches_text(rest_16)}"


def round_half_up(value: Fraction) -> int:
    """Nearest whole number; a half goes to the larger one, so that equal steps round alike everywhere."""
    return half_up(value)


def inches(length_16: float) -> float:
    """Sixteenths as inches."""
    return length_16 / SIXTEENTHS_PER_INCH


def feet(length_16: float) -> float:
    """Sixteenths as feet."""
    return length_16 / SIXTEENTHS_PER_FOOT


class _Unreadable(Exception):
    """Why a text is no length; turned into LengthUnreadable where the typed text is known."""


def _plain(text: str) -> str:
    if len(text) > LONGEST_TEXT:
        raise LengthUnreadable(text[:LONGEST_TEXT] + "…", f"it is longer than {LONGEST_TEXT} signs.")
    plain = text.translate(_PLAIN)
    for sign, fraction in _FRACTION_SIGNS.items():
        plain = plain.replace(sign, f" {fraction}")
    # A fraction sign after a dash or a foot mark must not bring a second separator with it.
    return re.sub(r" +", " ", plain).replace("- ", "-").strip()


def _read(body: str, units: Units) -> Fraction:
    if not body:
        raise _Unreadable("nothing was typed.")
    if metric := _METRIC.fullmatch(body):
        mm = Fraction(metric["value"]) * (1000 if metric["unit"].lower() == "m" else 1)
        return mm / MM_PER_INCH * SIXTEENTHS_PER_INCH
    if match := _FEET_INCHES.fullmatch(body):
        return _feet_and_inches(match)
    if match := _DASHED.fullmatch(body):
        if units == "metric" and match["part"] is None:
            raise _Unreadable(
                "two numbers with a dash mean feet and inches; write 3810 mm, 3.81 m or 12' 6\"."
            )
        return _feet_and_inches(match)
    if match := _MARKED_INCHES.fullmatch(body):
        return _inches_of(match) * SIXTEENTHS_PER_INCH
    if match := _BARE.fullmatch(body):
        return _bare(match, units)
    raise _Unreadable(_reason(body))


def _feet_and_inches(match: re.Match[str]) -> Fraction:
    feet_read = Fraction(match["feet"])
    inches_read = _inches_of(match)
    if inches_read and feet_read.denominator != 1:
        raise _Unreadable("feet beside inches must be a whole number.")
    if inches_read >= 12:
        raise _Unreadable("inches beside feet must be under 12.")
    return feet_read * SIXTEENTHS_PER_FOOT + inches_read * SIXTEENTHS_PER_INCH


def _bare(match: re.Match[str], units: Units) -> Fraction:
    groups = match.groupdict()
    if units == "imperial":
        if groups["part"] and "-" in match[0]:
            raise _Unreadable('it could be feet or inches; write 12\' 0 3/8" or 12 3/8".')
        return _inches_of(match) * SIXTEENTHS_PER_INCH
    if groups["part"] or groups["only"]:
        raise _Unreadable('a bare number is in millimetres, which take no fraction; add " for inches.')
    return Fraction(groups["whole"]) / MM_PER_INCH * SIXTEENTHS_PER_INCH


def _inches_of(match: re.Match[str]) -> Fraction:
    groups = match.groupdict()
    whole = Fraction(groups.get("whole") or 0)
    fraction = groups.get("part") or groups.get("only")
    if fraction is None:
        return whole
    if whole.denominator != 1 or "." in (groups.get("whole") or ""):
        raise _Unreadable("a decimal and a fraction don't go together.")
    return whole + _tape_fraction(fraction)


def _tape_fraction(text: str) -> Fraction:
    over, under = (int(part) for part in text.replace(" ", "").split("/"))
    if under not in _TAPE_DENOMINATORS:
        raise _Unreadable(f"a tape has halves to sixty-fourths, no {over}/{under}.")
    if over >= under:
        raise _Unreadable(f"{over}/{under} is no fraction under 1.")
    return Fraction(over, under)


def _reason(body: str) -> str:
    """Name the first thing that is wrong, so that the field can say what to change."""
    if any(sign.isdigit() and not sign.isascii() for sign in body):
        return "use the digits 0 to 9."
    if "," in body:
        return "write decimals with a point and thousands without a sign."
    if "-" in body and body.startswith("-"):
        return "it has two minus signs."
    if not any(sign.isdigit() for sign in body):
        return "it has no number."
    if re.search(r"[^0-9 ./'\"\-a-zA-Z]", body):
        return "it has a sign that lengths don't use."
    if re.search(r"[a-zA-Z]", body):
        return "units are ', ft, \", in, mm and m."
    return "write it like 12' 6 3/8\", 12-6-3/8, 150.375, 3.81 m or 3810 mm."


def _inches_text(rest_16: int, *, zero: bool = False) -> str:
    """Inches and fraction; `zero` writes the 0 before a lone fraction, as beside feet."""
    whole, over = divmod(rest_16, SIXTEENTHS_PER_INCH)
    if not over:
        return f'{whole}"'
    fraction = Fraction(over, SIXTEENTHS_PER_INCH)
    return f'{whole} {fraction}"' if whole or zero else f'{fraction}"'
