"""Distances across a support that stands askew to a joist, measured along the joist (R2, R4).

A support's lean is (run, rise): how far its line goes across the joists and along them, whole sixteenths; square
supports have rise 0. Roots are taken of whole numbers, so that equal floors give equal answers everywhere.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor, isqrt

Number = int | Fraction
_FINE = 1 << 40


@dataclass(frozen=True, slots=True)
class Lean:
    """Run over 0, rise 0 or more, both in sixteenths."""

    run_16: int
    rise_16: int

    def through_16(self, thickness_16: int) -> int:
        """Length along the joist of the way through something `thickness_16` thick, to the nearest sixteenth."""
        if not self.rise_16:
            return thickness_16
        square = (2 * thickness_16) ** 2 * (self.run_16**2 + self.rise_16**2)
        return (isqrt(square // self.run_16**2) + 1) // 2

    def set_back_16(self, rim_16: int, clearance_16: int, width_16: int) -> Number:
        """How far a member of that width ends short of an outline (R4), its flange's corner out of the rim."""
        square = rim_16 + clearance_16
        if not self.rise_16:
            return square
        slant = isqrt((rim_16 * _FINE) ** 2 * (self.run_16**2 + self.rise_16**2))
        needed = (Fraction(slant, _FINE) + Fraction(width_16 * self.rise_16, 2)) / self.run_16
        if needed > square:
            return needed
        return square


SQUARE = Lean(1, 0)


def whole(value: Number) -> Number:
    """The same number, as an int where it is one: ints are counted with ten times faster than fractions."""
    return value.numerator if value.denominator == 1 else value


def half_up(value: Number) -> int:
    """The nearest whole sixteenth, halves up."""
    return value if type(value) is int else (2 * value + 1) // 2


def cut_16(low: Number, high: Number) -> tuple[int, int]:
    """Ends in whole sixteenths of a piece between two places: its length rounded down once (R4)."""
    if isinstance(low, int) and isinstance(high, int):
        return low, high
    length = floor(high - low)
    if high.denominator == 1:
        return int(high) - length, int(high)
    start = ceil(low)
    return start, start + length


def farthest_16(
    low: tuple[int, int], high: tuple[int, int], centre_16: float, off_16: float, sign: int
) -> float:
    """The farthest place of an outline edge from a member that ends on it, within `off_16` of the member's centre.

    The edge's corners are (across, along) the member, the lower across first; `sign` is -1 at the member's low end.
    """
    (x0, y0), (x1, y1) = low, high
    places = (min(max(centre_16 + off, x0), x1) for off in (-off_16, off_16))
    return sign * max(sign * (y0 + (y1 - y0) * (place - x0) / (x1 - x0)) for place in places)
