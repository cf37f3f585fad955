"""A floor document seen in a mirror: left to right or front to back, about the middle of its outline.

What was typed stays as it was typed wherever the mirrored place has a length in the document already; the rest is
written anew under R50, exact in sixteenths. Mirrored twice, a document says the same floor again.
"""

from __future__ import annotations

from copy import deepcopy
from typing import Any, Final, Literal

from framing.engine.document import FloorDocument, dump_document, read_document
from framing.engine.floor import Units
from framing.projects.typed_places import (
    OTHER_START,
    Axis,
    exact_length,
    known_lengths,
    spots,
    swap_headers,
)

Way = Literal["left-right", "front-back"]
LEFT_RIGHT: Final = "left-right"
FRONT_BACK: Final = "front-back"
WAYS: Final[tuple[Way, ...]] = (LEFT_RIGHT, FRONT_BACK)


def mirrored(document: FloorDocument, way: Way) -> FloorDocument:
    """The document mirrored; also one that can't be built.

    Edges keep what they are on the side that they come to, start edges change over with their sides, and plies fixed
    for a header go with it: its low side is the one of the printed ends (R9). A trimmer's low side is the one towards
    the start edge (R1), which is mirrored along with it.

    Raises DocumentRefused with one problem per length that can't be read.
    """
    data = deepcopy(dump_document(document))
    axis = 0 if way == LEFT_RIGHT else 1
    mirror = _mirror_of(data, axis, document.units)
    swap_headers(data, document, "x" if axis == 0 else "y")
    corners = len(data["outline"])
    for entry in data["edges"]:
        entry["edge"] = (-entry["edge"] if axis == 0 else corners - 2 - entry["edge"]) % corners
    for opening in data["openings"]:
        opening["corner"][axis] = mirror.of(opening["corner"][axis], opening["size"][axis])
    for spot in spots(data):
        spot[axis] = mirror.of(spot[axis])
    data["outline"] = _turned(data["outline"], axis)
    for bay in data["bays"]:
        bay["outline"] = bay["outline"] and _turned(bay["outline"], axis)
        if _across(bay["direction"], way):
            bay["start"] = OTHER_START[bay["start"]]
    return read_document(data)


def _mirror_of(data: dict[str, Any], axis: int, units: Units) -> Axis:
    known = known_lengths(data, (axis,), units)
    outline = [exact_length(pair[axis], units) for pair in data["outline"]]
    return Axis(-1, min(outline), max(outline), known, units)


def _turned(ring: list[Any], axis: int) -> list[Any]:
    """A mirrored ring run the way round that it ran before, so that a rectangle begins at its low corner again."""
    first = 1 if axis == 0 else -1
    return [ring[(first - index) % len(ring)] for index in range(len(ring))]


def _across(direction: str, way: Way) -> bool:
    """Whether the mirror changes over the sides that a bay's stations count between."""
    return (direction == "y") is (way == LEFT_RIGHT)
