"""Places and lengths of a floor document as they are typed: read exactly, walked through, written anew."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final, Literal

from framing.engine.document import FloorDocument
from framing.engine.errors import DocumentRefused, LengthUnreadable, Problem
from framing.engine.floor import Units
from framing.engine.units import format_length, parse_length_exact, round_half_up

Typed = str | int | float
Number = Fraction | int
Spot = tuple[Fraction, Fraction]
_MM_PER_16: Final = Fraction(254, 160)
_MM_STEPS: Final = 1000
"""Millimetres are written with at most three decimals; a sixteenth that needs the fourth takes it."""
_SIGNS_MOST: Final = 400
_OTHER_PART: Final = {"header_low": "header_high", "header_high": "header_low"}
OTHER_START: Final = {"low": "high", "high": "low"}


def known_lengths(data: Mapping[str, Any], axes: Sequence[int], units: Units) -> dict[Fraction, Typed]:
    """Every length of some axes, read once, by its value: its notation is the person's. Raises DocumentRefused."""
    problems: list[Problem] = []
    known: dict[Fraction, Typed] = {}
    for axis in axes:
        for place, typed in _lengths(data, axis):
            try:
                known.setdefault(exact_length(typed, units), typed)
            except LengthUnreadable as error:
                problems.append(Problem(place, error.message))
    if problems:
        raise DocumentRefused(tuple(problems))
    return known


def _lengths(data: Mapping[str, Any], axis: int) -> Iterator[tuple[str, Typed]]:
    """Coordinates and sizes on one axis with their places, the outline's first: their notation is the person's."""
    for index, pair in enumerate(data["outline"]):
        yield f"outline.{index}.{axis}", pair[axis]
    for index, bay in enumerate(data["bays"]):
        for number, pair in enumerate(bay["outline"] or ()):
            yield f"bays.{index}.outline.{number}.{axis}", pair[axis]
    for name in ("supports", "partitions"):
        for index, entry in enumerate(data[name]):
            for end in ("from", "to"):
                yield f"{name}.{index}.{end}.{axis}", entry[end][axis]
    for index, opening in enumerate(data["openings"]):
        for part in ("corner", "size"):
            yield f"openings.{index}.{part}.{axis}", opening[part][axis]
    for index, load in enumerate(data.get("point_loads", ())):
        yield f"point_loads.{index}.at.{axis}", load["at"][axis]


def spots(data: Mapping[str, Any]) -> Iterator[list[Typed]]:
    """Every pair of coordinates but an opening's corner, whose size counts too."""
    yield from data["outline"]
    for bay in data["bays"]:
        yield from bay["outline"] or ()
    for name in ("supports", "partitions"):
        for entry in data[name]:
            yield from (entry["from"], entry["to"])
    yield from (load["at"] for load in data.get("point_loads", ()))


@dataclass(frozen=True, slots=True)
class Axis:
    """Where coordinates come to on one axis: `low + high - value` (sign -1) or `low + value - high`, exactly.

    In sixteenths it comes to what the rounded values come to, so that a floor keeps its lengths. `known` lengths keep
    their notation.
    """

    sign: Literal[1, -1]
    low: Fraction
    high: Fraction
    known: Mapping[Fraction, Typed]
    units: Units

    def of(self, typed: Typed, size: Typed = 0) -> Typed:
        """The coordinate of a place, or of the low corner of something of that size."""
        place, length = exact_length(typed, self.units), exact_length(size, self.units)
        exact = self._moved(self.low, self.high, place, length)
        wanted_16 = self._moved(*(round_half_up(value) for value in (self.low, self.high, place, length)))
        if round_half_up(exact) != wanted_16:
            exact = Fraction(wanted_16)
        if exact in self.known:
            return self.known[exact]
        return written_length(exact, int(wanted_16), self.units)

    def _moved(self, low: Number, high: Number, place: Number, size: Number) -> Fraction:
        return Fraction(low + high - place - size if self.sign < 0 else low + place - high)


def swap_headers(data: dict[str, Any], document: FloorDocument, direction: str) -> None:
    """Plies fixed for low and high headers change places where the joists, of that direction, turned round."""
    middles = {entry.id: _middle(entry.corner, entry.size, document.units) for entry in document.openings}
    for entry in data["overrides"]["plies"]:
        if entry["of"] in middles and _direction_at(middles[entry["of"]], document) == direction:
            entry["part"] = _OTHER_PART.get(entry["part"], entry["part"])


def _middle(corner: Sequence[Typed], size: Sequence[Typed], units: Units) -> Spot:
    x, y = (exact_length(corner[axis], units) + exact_length(size[axis], units) / 2 for axis in (0, 1))
    return x, y


def _direction_at(spot: Spot, document: FloorDocument) -> str:
    """The joists' direction where an opening lies: of the first bay drawn around it, else of the one not drawn."""
    for bay in document.bays:
        if bay.outline is not None:
            ring = [tuple(exact_length(value, document.units) for value in pair) for pair in bay.outline]
            if _inside(spot, ring):
                return bay.direction
    return next((bay.direction for bay in document.bays if bay.outline is None), document.bays[0].direction)


def _inside(spot: Spot, ring: Sequence[tuple[Fraction, ...]]) -> bool:
    """Whether a spot lies in a ring: an odd number of its sides is passed on the way out along x."""
    x, y = spot
    inside = False
    for (x1, y1), (x2, y2) in zip(ring, (*ring[1:], ring[0]), strict=True):
        if (y1 > y) != (y2 > y) and x < x1 + (y - y1) / (y2 - y1) * (x2 - x1):
            inside = not inside
    return inside


def exact_length(typed: Typed, units: Units) -> Fraction:
    """A length as typed, in exact sixteenths. Raises LengthUnreadable."""
    text = typed if isinstance(typed, str) else format(Decimal(repr(typed)), "f")
    return parse_length_exact(text[:_SIGNS_MOST], units, allow_negative=True)


def written_length(exact: Fraction, length_16: int, units: Units) -> str:
    """A length in the document's units that reads as `length_16`; as `exact` where that has a short form."""
    if units == "imperial":
        return format_length(length_16, units)
    mm = exact * _MM_PER_16
    if (mm * _MM_STEPS).denominator != 1:
        mm = length_16 * _MM_PER_16
    return f"{_decimal(mm)} mm"


def _decimal(value: Fraction) -> str:
    """A fraction that ends, without zeros behind it."""
    text = format(Decimal(value.numerator) / Decimal(value.denominator), "f")
    return text.rstrip("0").rstrip(".") if "." in text else text
