"""A floor document as the values of the entry form's fields."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

from framing.engine.document import FloorDocument
from framing.engine.errors import LengthUnreadable
from framing.engine.loads import load_occupancies
from framing.engine.units import parse_length

RECTANGLE, CORNERS = "rectangle", "corners"
SIDES: Final = ("bottom", "right", "top", "left")
_USUAL: Final = {
    "level": "1",
    "repeat": "1",
    "bay_id": "A",
    "shape": RECTANGLE,
    "direction": "y",
    "start": "low",
    "plies": "1",
    "occupancy": "Living rooms (other than sleeping)",
}


def usual_values(units: str) -> dict[str, str]:
    """What a new floor begins with."""
    return {**_USUAL, "units": units, "spacing": '16"' if units == "metric" else "16"}


def number_text(value: float) -> str:
    return f"{value:g}"


def length_text(length: str | float | None) -> str:
    """A length of a document as it is typed; numbers in full."""
    if length is None:
        return ""
    return length if isinstance(length, str) else f"{length:.10g}"


def _is_zero(length: str | float) -> bool:
    try:
        return parse_length(length_text(length), "imperial", allow_negative=True) == 0
    except LengthUnreadable:
        return False


def _is_rectangle(document: FloorDocument) -> bool:
    """Whether the outline is a rectangle as typed by width and depth; any other keeps its corners."""
    if len(document.outline) != 4:
        return False
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = document.outline
    zeros = all(_is_zero(value) for value in (x0, y0, y1, x3))
    return zeros and x1 == x2 and y2 == y3


def main_values(document: FloorDocument) -> dict[str, str]:
    """Single fields of the form but those of the bays."""
    case = document.load_case
    known = {use.name: use.live_psf for use in load_occupancies()}
    values = {
        "name": document.name,
        "level": document.level,
        "repeat": str(document.repeat),
        "units": document.units,
        "occupancy": case.occupancy,
        "live_psf": "" if known.get(case.occupancy) == case.live_psf else number_text(case.live_psf),
        "partition_psf": number_text(case.partition_psf) if case.partition_psf else "",
        "shape": RECTANGLE if _is_rectangle(document) else CORNERS,
    }
    if values["shape"] == RECTANGLE:
        values |= {"width": length_text(document.outline[2][0]), "depth": length_text(document.outline[2][1])}
        for edge in document.edges:
            values[f"edge_{SIDES[edge.edge]}"] = edge.kind or ""
            values[f"wall_{SIDES[edge.edge]}"] = length_text(edge.width)
    return values


def _corner_values(document: FloorDocument) -> list[dict[str, str]]:
    if _is_rectangle(document):
        return []
    edges = {edge.edge: edge for edge in document.edges}
    found = []
    for index, (x, y) in enumerate(document.outline):
        edge = edges.get(index)
        kind, wall = (edge.kind or "", length_text(edge.width)) if edge else ("", "")
        found.append({"x": length_text(x), "y": length_text(y), "kind": kind, "wall": wall})
    return found


def _ends(entry: Any) -> dict[str, str]:
    (from_x, from_y), (to_x, to_y) = entry.start, entry.end
    return {
        "from_x": length_text(from_x),
        "from_y": length_text(from_y),
        "to_x": length_text(to_x),
        "to_y": length_text(to_y),
    }


ROW_VALUES: Final[Mapping[str, Callable[[FloorDocument], list[dict[str, str]]]]] = {
    "corner": _corner_values,
    "support": lambda document: [
        {"id": e.id, "kind": e.kind, "width": length_text(e.width), "joint": e.joint} | _ends(e)
        for e in document.supports
    ],
    "opening": lambda document: [
        {
            "id": e.id,
            "name": e.name,
            "kind": e.kind,
            "corner_x": length_text(e.corner[0]),
            "corner_y": length_text(e.corner[1]),
            "size_x": length_text(e.size[0]),
            "size_y": length_text(e.size[1]),
        }
        for e in document.openings
    ],
    "partition": lambda document: [
        {"id": e.id, "bearing": "yes" if e.bearing else "", "load_plf": number_text(e.load_plf)} | _ends(e)
        for e in document.partitions
    ],
    "point_load": lambda document: [
        {
            "id": e.id,
            "name": e.name,
            "at_x": length_text(e.at[0]),
            "at_y": length_text(e.at[1]),
            "dead_lb": length_text(e.dead_lb) if e.dead_lb else "",
            "live_lb": length_text(e.live_lb) if e.live_lb else "",
        }
        for e in document.point_loads
    ],
    "layer": lambda document: [
        {"name": layer.name, "psf": number_text(layer.psf)} for layer in document.load_case.layers
    ],
    "plies": lambda document: [
        {"of": e.of, "part": e.part, "plies": str(e.plies)} for e in document.overrides.plies
    ],
}
