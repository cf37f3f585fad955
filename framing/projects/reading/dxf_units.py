"""What a drawing's numbers mean: units as the file names them, by plausible size, or to be asked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final


@dataclass(frozen=True, slots=True)
class DrawingUnit:
    """One unit of length. `metric` tells which of the two systems it is of."""

    key: str
    words: str
    sixteenths: Fraction
    metric: bool


_MM: Final = Fraction(160, 254)
UNITS: Final[Mapping[str, DrawingUnit]] = {
    unit.key: unit
    for unit in (
        DrawingUnit("in", "Inches", Fraction(16), False),
        DrawingUnit("ft", "Feet", Fraction(192), False),
        DrawingUnit("mm", "Millimetres", _MM, True),
        DrawingUnit("cm", "Centimetres", 10 * _MM, True),
        DrawingUnit("m", "Metres", 1000 * _MM, True),
    )
}
_NAMED: Final = {1: "in", 2: "ft", 4: "mm", 5: "cm", 6: "m"}
"""DXF's numbers for units that a floor may be drawn in ($INSUNITS)."""
SMALLEST_16, LARGEST_16 = 4 * 192, 1000 * 192
"""A floor that the file's own units make smaller than 4 ft or larger than 1,000 ft is asked about."""
USUAL_16: Final = (12 * 192, 300 * 192)
"""Sizes between which a floor's longer side tells the unit by itself, where only one unit gives such a size."""


@dataclass(frozen=True, slots=True)
class FoundUnit:
    """The unit that a drawing seems to have; None where a person has to say. `why` is a sentence."""

    unit: DrawingUnit | None
    why: str


def unit_named(facts: Mapping[str, Any]) -> DrawingUnit | None:
    """The unit that the file names for itself."""
    key = _NAMED.get(facts["units"] or 0)
    return UNITS[key] if key else None


def find_unit(facts: Mapping[str, Any], longest: float) -> FoundUnit:
    """The drawing's unit by the file's word or by the size of what is drawn (its longer side, in drawing units)."""
    named = unit_named(facts)
    if named is not None:
        size_16 = longest * named.sixteenths
        if SMALLEST_16 <= size_16 <= LARGEST_16:
            return FoundUnit(named, f"The file says that it is drawn in {named.words.lower()}.")
        size = "smaller than 4 ft" if size_16 < SMALLEST_16 else "larger than 1,000 ft"
        return FoundUnit(
            None, f"The file says {named.words.lower()}, but the floor would be {size}. Which unit is it?"
        )
    fitting = [
        unit
        for unit in UNITS.values()
        if USUAL_16[0] <= longest * unit.sixteenths <= USUAL_16[1] and _of_system(unit, facts["measurement"])
    ]
    if len(fitting) == 1:
        return FoundUnit(
            fitting[0],
            f"The file names no unit; only {fitting[0].words.lower()} make a floor of a usual size.",
        )
    return FoundUnit(
        None, "The file names no unit, and its numbers could mean more than one. Which unit is it?"
    )


def _of_system(unit: DrawingUnit, measurement: int | None) -> bool:
    """Whether a unit is of the system that the file names ($MEASUREMENT 0 or 1), if it names one."""
    return measurement not in (0, 1) or unit.metric == bool(measurement)
