"""Which parts of the outline a wall stands under, and the borders between bays (R1, R2)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

from framing.drawing.paper import Box, Spot, Stroke, View, box_around, cut
from framing.engine.floor import Edge, EdgeKind, FloorPlan, SupportKind
from framing.engine.geometry import Point
from framing.engine.regions import regions_of

_ALONG_MM = 0.05  # borders this near each other are one line


@dataclass(frozen=True, slots=True)
class Stretch:
    """A part of an outline edge that one bay lies at; `bears` where that bay's joists end on it."""

    start: Point
    end: Point
    edge: Edge
    bears: bool

    def stroke(self, view: View) -> Stroke:
        return Stroke(view.spot(self.start), view.spot(self.end))

    @property
    def walled(self) -> bool:
        """Whether a wall stands under it."""
        return self.bears and self.edge.kind is EdgeKind.PLATFORM


def stretches(plan: FloorPlan) -> tuple[Stretch, ...]:
    """The outline in order, each edge parted where bays meet on it."""
    found: list[Stretch] = []
    corners = plan.outline[1:] + plan.outline[:1]
    sides = [
        (side.edge.index, side.start, side.end, not side.beside(bay.axis))
        for bay, region in zip(plan.bays, regions_of(plan), strict=True)
        for side in region.sides
        if side.edge is not None
    ]
    for edge, a, b in zip(plan.edges, plan.outline, corners, strict=True):
        here = sorted((_far(a, end), bears, end) for index, _, end, bears in sides if index == edge.index)
        place = a
        for number, (_, bears, end) in enumerate(here):
            last = b if number == len(here) - 1 else end
            found.append(Stretch(place, last, edge, bears))
            place = last
        if not here:
            found.append(Stretch(a, b, edge, False))
    return tuple(found)


def _far(a: Point, b: Point) -> int:
    return abs(b.x_16 - a.x_16) + abs(b.y_16 - a.y_16)


def borders(plan: FloorPlan, view: View) -> list[Stroke]:
    """Borders between bays, each once, without the parts on a flush beam."""
    drawn: list[Stroke] = []
    taken = [
        _strip(view.spot(s.start), view.spot(s.end))
        for s in plan.supports
        if s.kind is SupportKind.FLUSH_BEAM
    ]
    for region in regions_of(plan) if len(plan.bays) > 1 else ():
        for side in region.sides:
            if side.edge is None:
                stroke = Stroke(view.spot(side.start), view.spot(side.end))
                if Stroke(stroke.b, stroke.a) not in drawn:
                    parts = cut(stroke, taken)
                    drawn += parts
                    taken += [_strip(part.a, part.b) for part in parts if _square(part)]
    return drawn


def _square(stroke: Stroke) -> bool:
    return stroke.a.x == stroke.b.x or stroke.a.y == stroke.b.y


def _strip(a: Spot, b: Spot) -> Box:
    return box_around((a, b)).grown(_ALONG_MM)


def within(stroke: Stroke, ring: Sequence[Spot], reach: float) -> Stroke:
    """A line in the ring, cut back to it, or run out to it by `reach` mm at most where it is askew."""
    way, middle = stroke.direction, stroke.length / 2
    reach = 0.0 if _square(stroke) else reach
    low, high = -inf, inf
    for a, b in zip(ring, (*ring[1:], ring[0]), strict=True):
        place = _crossing(stroke.a, way, a, b)
        if place is not None and place < middle:
            low = max(low, place)
        elif place is not None:
            high = min(high, place)
    low = low if low >= -reach else 0.0
    high = high if high <= stroke.length + reach else stroke.length
    return Stroke(stroke.at(low), stroke.at(high))


def _crossing(start: Spot, way: Spot, a: Spot, b: Spot) -> float | None:
    """How far along a line it meets the stretch from a to b."""
    dx, dy = b.x - a.x, b.y - a.y
    across = way.x * dy - way.y * dx
    if abs(across) < 1e-9:
        return None
    share = ((a.x - start.x) * way.y - (a.y - start.y) * way.x) / across
    if not 0.0 <= share <= 1.0:
        return None
    return ((a.x - start.x) * dy - (a.y - start.y) * dx) / across


def holds(ring: Sequence[Spot], spot: Spot) -> bool:
    """Whether a place lies in a ring, by the even-odd rule."""
    inside = False
    for a, b in zip(ring, (*ring[1:], ring[0]), strict=True):
        if (a.y > spot.y) != (b.y > spot.y):
            inside ^= spot.x < a.x + (spot.y - a.y) * (b.x - a.x) / (b.y - a.y)
    return inside
