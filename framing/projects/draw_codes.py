"""Which lines of the bill count what was pointed at: a member, or a thing that was drawn."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import hypot
from typing import Any, Final

from framing.drawing.editor_layer import frame_layer, inches, place_layer
from framing.engine.document import FloorDocument, read_document
from framing.engine.errors import DocumentRefused
from framing.engine.floor import FloorPlan
from framing.engine.geometry import Point
from framing.engine.practice import Practice
from framing.projects.draw_answer import typed_corners
from framing.projects.preview import preview_document

NEAR_IN: Final = 2.5
"""How far beside a thing's own half width a place still counts as its."""
USUAL_WIDTH_IN: Final = 3.5
Spot = tuple[float, float]
Line = tuple[Spot, Spot]


def draw_codes(document: Any, near: str, practice: Practice) -> list[str]:
    """Codes of the bill lines with a place at `near`, a member's id or a place in the document as `openings.0`.

    A place is a thing's where it lies along it, or the thing along the place, as an opening's side along a trimmer.
    [] where the floor can't be built or has no such thing.
    """
    try:
        known = read_document(document if isinstance(document, Mapping) else b"[]")
    except DocumentRefused:
        return []
    preview = preview_document(known, practice)
    if preview.result is None or preview.plan is None:
        return []
    members = {member["id"]: member for member in frame_layer(preview.result)["members"]}
    if near in members:
        x1, y1, x2, y2 = members[near]["line"]
        shapes, width_in = [((x1, y1), (x2, y2))], members[near]["width"]
    else:
        shapes, width_in = _drawn(preview.plan, known, near)
    reach_in = width_in / 2 + NEAR_IN
    return [
        code
        for code in dict.fromkeys(line.code for line in preview.result.bill)
        if any(_meet(place, near, shapes, reach_in) for place in place_layer(preview.result, code))
    ]


def _drawn(plan: FloorPlan, document: FloorDocument, key: str) -> tuple[list[Line], float]:
    """The lines of a drawn thing and its width, both in inches; no lines where there is none."""
    name, _, number = key.partition(".")
    index = int(number) if number.isdecimal() else -1
    if name == "wall":
        corners = typed_corners(document)
        return (
            ([_line(corners[index], corners[(index + 1) % len(corners)])], USUAL_WIDTH_IN)
            if 0 <= index < len(corners)
            else ([], 0)
        )
    things: Sequence[Any] = (
        getattr(plan, name, ()) if name in ("supports", "openings", "partitions", "point_loads") else ()
    )
    if not 0 <= index < len(things):
        return [], 0
    thing = things[index]
    if name == "openings":
        low, high = thing.rect.low, thing.rect.high
        ring = [low, Point(high.x_16, low.y_16), high, Point(low.x_16, high.y_16)]
        return [_line(a, b) for a, b in zip(ring, [*ring[1:], low], strict=True)], USUAL_WIDTH_IN
    if name == "point_loads":
        return [_line(thing.at, thing.at)], USUAL_WIDTH_IN
    width_in = inches(thing.width_16) if name == "supports" else USUAL_WIDTH_IN
    return [_line(thing.start, thing.end)], float(width_in)


def _line(a: Point, b: Point) -> Line:
    return (float(inches(a.x_16)), float(inches(a.y_16))), (float(inches(b.x_16)), float(inches(b.y_16)))


def _meet(place: Mapping[str, Any], near: str, shapes: Sequence[Line], reach_in: float) -> bool:
    start, end = place["at"], place["to"] or place["at"]
    own = (start[0], start[1]), (end[0], end[1])
    return place["id"] == near or any(
        _along(own, shape, reach_in) or _along(shape, own, reach_in) for shape in shapes
    )


def _along(line: Line, other: Line, reach_in: float) -> bool:
    return all(_apart(spot, other) <= reach_in for spot in line)


def _apart(spot: Spot, line: Line) -> float:
    """How far a spot lies from a line, in inches."""
    (x, y), ((x1, y1), (x2, y2)) = spot, line
    dx, dy = x2 - x1, y2 - y1
    share = ((x - x1) * dx + (y - y1) * dy) / ((dx * dx + dy * dy) or 1)
    along = min(max(share, 0), 1)
    return hypot(x - x1 - along * dx, y - y1 - along * dy)
