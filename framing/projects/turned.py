"""A floor document turned a quarter to the left about the low corner of its outline, or put into the other units.

What was typed stays as it was typed wherever it still says the same, or another length of the document does; the rest
is written anew, exact in sixteenths.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from copy import deepcopy
from typing import Any, Final

from framing.engine.document import FloorDocument, dump_document, read_document
from framing.engine.errors import LengthUnreadable
from framing.engine.floor import Units
from framing.engine.units import format_length, round_half_up
from framing.projects.mirrored import LEFT_RIGHT, mirrored
from framing.projects.typed_places import (
    OTHER_START,
    Axis,
    Typed,
    exact_length,
    known_lengths,
    spots,
    swap_headers,
)

SPACINGS: Final = ("12", "16", "19.2", "24")
"""Those of R3 as imperial documents keep them; metric ones keep them with the sign of inches."""


def turned(document: FloorDocument) -> FloorDocument:
    """The document turned; also one that can't be built.

    Corners keep their order, edges what they are. The joists turn too: start edges go along, and where printed ends
    (R9) come to the other side plies fixed for a header change places. Raises DocumentRefused.
    """
    data = deepcopy(dump_document(document))
    units = document.units
    known = known_lengths(data, (0, 1), units)
    (low_x, _), (low_y, high_y) = (
        (min(values), max(values))
        for values in ([exact_length(pair[axis], units) for pair in data["outline"]] for axis in (0, 1))
    )
    across = Axis(-1, low_x, high_y, known, units)
    up = Axis(1, low_y, low_x, known, units)
    swap_headers(data, document, "y")
    for opening in data["openings"]:
        (x, y), (width, depth) = opening["corner"], opening["size"]
        opening["corner"] = [across.of(y, depth), up.of(x)]
        opening["size"] = [depth, width]
    for spot in spots(data):
        spot[:] = [across.of(spot[1]), up.of(spot[0])]
    for bay in data["bays"]:
        if bay["direction"] == "x":
            bay["start"] = OTHER_START[bay["start"]]
        bay["direction"] = "x" if bay["direction"] == "y" else "y"
    return read_document(data)


def in_units(document: FloorDocument, units: Units) -> FloorDocument:
    """The same floor in other units: lengths that would be read otherwise there are written anew."""
    if units == document.units:
        return document
    data = deepcopy(dump_document(document))
    for holder, key in _lengths(data):
        holder[key] = _anew(holder[key], document.units, units)
    for bay in data["bays"]:
        bay["spacing"] = _spacing(bay["spacing"], document.units, units)
    data["units"] = units
    return read_document(data)


CHANGES: Final[Mapping[str, Callable[[FloorDocument], FloorDocument]]] = {
    "mirror": lambda document: mirrored(document, LEFT_RIGHT),
    "turn": turned,
    "imperial": lambda document: in_units(document, "imperial"),
    "metric": lambda document: in_units(document, "metric"),
}
"""Changes of a whole floor, by the names that the editor and the API give them."""


def _lengths(data: dict[str, Any]) -> Iterator[tuple[Any, Any]]:
    """Every holder of a length but of a spacing, with the length's key in it."""
    for spot in (
        *spots(data),
        *(opening[part] for opening in data["openings"] for part in ("corner", "size")),
    ):
        yield from ((spot, 0), (spot, 1))
    for name, key in (("edges", "width"), ("supports", "width"), ("bays", "offset")):
        yield from ((entry, key) for entry in data[name] if entry[key] is not None)


def _anew(typed: Typed, old: Units, new: Units) -> Typed:
    """A length that says the same in other units. What can't be read stays as it is."""
    try:
        exact = exact_length(typed, old)
    except LengthUnreadable:
        return typed
    try:
        if round_half_up(exact_length(typed, new)) == round_half_up(exact):
            return typed
    except LengthUnreadable:
        pass  # a bare "6 1/2", which metric documents do not take
    return format_length(round_half_up(exact), new)


def _spacing(typed: Typed, old: Units, new: Units) -> Typed:
    """A spacing of R3 as the other units keep it: a whole number of millimetres would be another one."""
    bare = str(typed).removesuffix('"')
    if bare in SPACINGS:
        return f'{bare}"' if new == "metric" else bare
    return _anew(typed, old, new)
