"""A floor document seen in a mirror: left to right or front to back, about the middle of its outline.

What was typed stays as it was typed wherever the mirrored place has a length in the document already; the rest is
written anew under R50, exact in sixteenths. Mirrored twice, a document says the same floor again.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final, Literal

from framing.engine.document import FloorDocument, dump_document, read_document
from framing.engine.errors import DocumentRefused, LengthUnreadable, Problem
from framing.engine.floor import Units
from framing.engine.units import format_length, parse_length_exact, round_half_up

Way = Literal["left-right", "front-back"]
LEFT_RIGHT: Final = "left-right"
FRONT_BACK: Final = "front-back"
WAYS: Final[tuple[Way, ...]] = (LEFT_RIGHT, FRONT_BACK)
Typed = str | int | float
Spot = tuple[Fraction, Fraction]
_MM_PER_16: Final = Fraction(254, 160)
_MM_STEPS: Final = 1000
"""Millimetres are written with at most three decimals; a sixteenth that needs the fourth takes it."""
_SIGNS_MOST: Final = 400
_OTHER_PART: Final = {"header_low": "header_high", "header_high": "header_low"}
_OTHER_START: Final = {"low": "high", "high": "low"}


def mirrored(document: FloorDocument, way: Way) -> FloorDocument:
    """The document mirrored; also one that can't be built.

    Edges keep what they are on the side that they come to, start edges change over with their sides, and plies fixed
    for a header go with it: its low side is the one of the printed ends (R9). A trimmer's low side is the one towards
    the start edge (R1), which is mirrored along with it.

    Raises DocumentRefused with one problem per length that can't be read.
    """
    data = deepcopy(dump_document(document))
    mirror = _mirror_of(data, way, document.units)
    axis = 0 if way == LEFT_RIGHT else 1
    _turn_parts(data, way, document)
    corners = len(data["outline"])
    for entry in data["edges"]:
        entry["edge"] = (-entry["edge"] if axis == 0 else corners - 2 - entry["edge"]) % corners
    for opening in data["openings"]:
        opening["corner"][axis] = mirror.of(opening["corner"][axis], opening["size"][axis])
    for spot in _spots(data):
        spot[axis] = mirror.of(spot[axis])
    data["outline"] = _turned(data["outline"], axis)
    for bay in data["bays"]:
        bay["outline"] = bay["outline"] and _turned(bay["outline"], axis)
        if _across(bay["direction"], way):
            bay["start"] = _OTHER_START[bay["start"]]
    return read_document(data)


@dataclass(frozen=True, slots=True)
class _Mirror:
    """One axis: what two mirrored coordinates add up to, exactly and in sixteenths, and the lengths typed on it."""

    sum_exact: Fraction
    sum_16: int
    known: Mapping[Fraction, Typed]
    units: Units

    def of(self, typed: Typed, size: Typed = 0) -> Typed:
        """The mirrored coordinate of a place, or of the low corner of something of that size."""
        place, length = _exact(typed, self.units), _exact(size, self.units)
        exact = self.sum_exact - place - length
        wanted_16 = self.sum_16 - round_half_up(place) - round_half_up(length)
        if round_half_up(exact) != wanted_16:
            exact = Fraction(wanted_16)
        if exact in self.known:
            return self.known[exact]
        return _written(exact, wanted_16, self.units)


def _mirror_of(data: Mapping[str, Any], way: Way, units: Units) -> _Mirror:
    """Reads every length of the axis once. Raises DocumentRefused."""
    axis = 0 if way == LEFT_RIGHT else 1
    problems: list[Problem] = []
    known: dict[Fraction, Typed] = {}
    for place, typed in _lengths(data, axis):
        try:
            known.setdefault(_exact(typed, units), typed)
        except LengthUnreadable as error:
            problems.append(Problem(place, error.message))
    if problems:
        raise DocumentRefused(tuple(problems))
    outline = [_exact(pair[axis], units) for pair in data["outline"]]
    low, high = min(outline), max(outline)
    return _Mirror(low + high, round_half_up(low) + round_half_up(high), known, units)


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


def _spots(data: Mapping[str, Any]) -> Iterator[list[Typed]]:
    """Every pair of coordinates but an opening's corner, whose size counts too."""
    yield from data["outline"]
    for bay in data["bays"]:
        yield from bay["outline"] or ()
    for name in ("supports", "partitions"):
        for entry in data[name]:
            yield from (entry["from"], entry["to"])
    yield from (load["at"] for load in data.get("point_loads", ()))


def _turned(ring: list[Any], axis: int) -> list[Any]:
    """A mirrored ring run the way round that it ran before, so that a rectangle begins at its low corner again."""
    first = 1 if axis == 0 else -1
    return [ring[(first - index) % len(ring)] for index in range(len(ring))]


def _across(direction: str, way: Way) -> bool:
    """Whether the mirror changes over the sides that a bay's stations count between."""
    return (direction == "y") is (way == LEFT_RIGHT)


def _turn_parts(data: Mapping[str, Any], way: Way, document: FloorDocument) -> None:
    """Headers at the printed ends come to the other ends where the mirror changes the joists' ends over."""
    middles = {entry.id: _middle(entry.corner, entry.size, document.units) for entry in document.openings}
    for entry in data["overrides"]["plies"]:
        if entry["of"] in middles and not _across(_direction_at(middles[entry["of"]], document), way):
            entry["part"] = _OTHER_PART.get(entry["part"], entry["part"])


def _middle(corner: Sequence[Typed], size: Sequence[Typed], units: Units) -> Spot:
    x, y = (_exact(corner[axis], units) + _exact(size[axis], units) / 2 for axis in (0, 1))
    return x, y


def _direction_at(spot: Spot, document: FloorDocument) -> str:
    """The joists' direction where an opening lies: of the first bay drawn around it, else of the one not drawn."""
    for bay in document.bays:
        if bay.outline is not None:
            ring = [tuple(_exact(value, document.units) for value in pair) for pair in bay.outline]
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


def _exact(typed: Typed, units: Units) -> Fraction:
    """A length as typed, in exact sixteenths. Raises LengthUnreadable."""
    text = typed if isinstance(typed, str) else format(Decimal(repr(typed)), "f")
    return parse_length_exact(text[:_SIGNS_MOST], units, allow_negative=True)


def _written(exact: Fraction, length_16: int, units: Units) -> str:
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
