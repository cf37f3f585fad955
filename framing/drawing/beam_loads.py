"""Which loads of a calculation sheet are drawn on the member, and where.

A load says its place in its words: "... 24.00 to 120.00 in" is a part of the member, "... at 96.00 in ..." a
point, counted from the low end; a line load that names no place lies on the whole member. Loads per area and
points without a place stand in the table alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from framing.engine.result import Value

LINE_UNITS = ("plf", "lb/ft", "lb per ft", "lb/in", "lb per in", "kip/ft")
POINT_UNITS = ("lb", "kip")
_NUMBER = r"(-?\d+(?:\.\d+)?)"
_PART = re.compile(rf"(?<![\d.]){_NUMBER} to {_NUMBER} in\b")
_AT = re.compile(rf"\bat {_NUMBER} in\b")
MINUS = "\N{MINUS SIGN}"
_DIGITS = 4


@dataclass(frozen=True, slots=True)
class Drawn:
    """Loads of one place: a point where both ends are one, in inches from the low end."""

    low_in: float
    high_in: float
    words: str

    @property
    def is_point(self) -> bool:
        return self.low_in == self.high_in


def drawn_loads(loads: Iterable[Value], length_in: float) -> tuple[Drawn, ...]:
    """The loads that have a place: points first, the longest last.

    Loads of one place stand together, those of one symbol and unit as their sum.
    """
    places: dict[tuple[float, float], dict[tuple[str, str], float]] = {}
    for load in loads:
        place = _place(load, length_in)
        if place is not None:
            sums = places.setdefault(place, {})
            sums[load.symbol, load.unit] = sums.get((load.symbol, load.unit), 0.0) + load.value
    found = [Drawn(low, high, _words(sums)) for (low, high), sums in places.items()]
    return tuple(sorted(found, key=lambda load: (load.high_in - load.low_in, load.low_in)))


def _words(sums: dict[tuple[str, str], float]) -> str:
    return ", ".join(f"{symbol} {significant(value)} {unit}" for (symbol, unit), value in sums.items())


def _place(load: Value, length_in: float) -> tuple[float, float] | None:
    if load.unit in LINE_UNITS:
        part = _PART.search(load.words)
        return _held(part[1], part[2], length_in) if part else (0.0, length_in)
    point = _AT.search(load.words)
    if load.unit in POINT_UNITS and point:
        return _held(point[1], point[1], length_in)
    return None


def _held(low: str, high: str, length_in: float) -> tuple[float, float]:
    """Both ends on the member: a load may reach beyond it, the drawing does not."""
    return min(max(float(low), 0.0), length_in), min(max(float(high), 0.0), length_in)


def significant(value: float) -> str:
    """A number with four significant figures and no exponent, thousands parted; whole ones from 1,000 up.

    A figure for reading: whether a check passes is told by its ratio.
    """
    if abs(value) >= 10 ** (_DIGITS - 1):
        text = f"{value:,.0f}"
    elif value == 0:
        return "0"
    else:
        exponent = int(f"{value:.{_DIGITS - 1}e}".split("e")[1])
        text = f"{value:,.{max(_DIGITS - 1 - exponent, 0)}f}"
        if "." in text:
            text = text.rstrip("0").rstrip(".")
    return text.replace("-", MINUS)
