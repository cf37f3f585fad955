"""Which loads of a calculation sheet are drawn on the member, and where: those that have a reach."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from framing.engine.result import Value

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
    """Both ends on the member: a load may reach beyond it, the drawing does not."""
    if load.reach_in is None:
        return None
    low, high = load.reach_in
    return min(max(low, 0.0), length_in), min(max(high, 0.0), length_in)


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
