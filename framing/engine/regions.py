"""Each bay's ground as one ring of straight sides, every side on an outline edge or on a border (R1).

A bay may be drawn larger than the floor: what lies in the floor counts. Corners are whole sixteenths; a side on a
skewed edge keeps the drawn edge, so that crossings are exact wherever the bay's corner was rounded to.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from framing.engine.errors import FloorRefused, Problem
from framing.engine.floor import Bay, Edge, FloorPlan
from framing.engine.geometry import Axis, Point

Ring = tuple[Point, ...]
_ON_EDGE_16 = 2.0
"""A bay's corner that lies this near an outline edge lies on it: drawn and rounded figures differ that much."""

_SLIVER_16 = 1.0
"""A part of a bay with less area than this by its length is what rounding left."""


@dataclass(frozen=True, slots=True)
class Side:
    """One straight side of a bay, the bay on its left.

    Attributes:
        start, end: its corners.
        edge: the outline edge that it lies on, None at a border with another bay.
        line: two places on the line to compute crossings with: the drawn edge's corners, or start and end.
    """

    start: Point
    end: Point
    edge: Edge | None
    line: tuple[Point, Point]

    def beside(self, axis: Axis) -> bool:
        """Whether it runs exactly along joists of that direction."""
        a, b = self.line
        return a.x_16 == b.x_16 if axis == "y" else a.y_16 == b.y_16


@dataclass(frozen=True, slots=True)
class Region:
    """One bay's ring of sides, counter-clockwise; side i runs from corner i to corner i + 1."""

    bay: str
    sides: tuple[Side, ...]

    @property
    def ring(self) -> Ring:
        return tuple(side.start for side in self.sides)


@lru_cache(maxsize=256)
def regions_of(plan: FloorPlan) -> tuple[Region, ...]:
    """The regions of all bays, in the plan's order.

    Raises FloorRefused where a bay lies outside the floor or falls apart in it.
    """
    return tuple(
        _region(plan, bay, _ring_in_floor(plan, bay, index) if bay.ring else plan.outline)
        for index, bay in enumerate(plan.bays)
    )


def _region(plan: FloorPlan, bay: Bay, ring: Ring) -> Region:
    corners = plan.outline[1:] + plan.outline[:1]
    drawn = [(edge, a, b) for edge, a, b in zip(plan.edges, plan.outline, corners, strict=True)]
    if ring == plan.outline:
        return Region(bay.id, tuple(Side(a, b, edge, (a, b)) for edge, a, b in drawn))
    return Region(bay.id, tuple(_side(a, b, drawn) for a, b in zip(ring, ring[1:] + ring[:1], strict=True)))


def _side(start: Point, end: Point, drawn: list[tuple[Edge, Point, Point]]) -> Side:
    """The side on the outline edge that it lies nearest to; near a corner two may be near enough."""
    near = []
    for index, (edge, a, b) in enumerate(drawn):
        apart = _away(start, a, b), _away(end, a, b)
        if max(apart) <= _ON_EDGE_16:
            near.append((sum(apart), index, Side(start, end, edge, (a, b))))
    return min(near, key=lambda one: one[:2])[2] if near else Side(start, end, None, (start, end))


def _away(point: Point, a: Point, b: Point) -> float:
    """Distance of a point from the stretch between two others, in sixteenths."""
    dx, dy = b.x_16 - a.x_16, b.y_16 - a.y_16
    px, py = point.x_16 - a.x_16, point.y_16 - a.y_16
    length_2 = dx * dx + dy * dy  # 0 where two corners lie on each other, which a refused floor may have
    share = min(1.0, max(0.0, (px * dx + py * dy) / length_2)) if length_2 else 0.0
    return float(((px - share * dx) ** 2 + (py - share * dy) ** 2) ** 0.5)


def _ring_in_floor(plan: FloorPlan, bay: Bay, index: int) -> Ring:
    from shapely import Polygon, intersection, normalize  # a tenth of a second to load; one bay needs none

    drawn, floor = (Polygon([(p.x_16, p.y_16) for p in ring]) for ring in (bay.ring, plan.outline))
    problem = f"Bay {bay.id} crosses itself; draw its corners in order around it."
    parts: list[Polygon] = []
    if drawn.is_valid and floor.is_valid:
        problem = f"Bay {bay.id} does not lie in the floor in one piece; draw each piece as a bay of its own."
        met = intersection(drawn, floor, grid_size=1.0)
        # Where it only touches the outline, lines and points come along, and rounding leaves slivers.
        parts = [
            p
            for p in getattr(met, "geoms", [met])
            if isinstance(p, Polygon) and p.area > _SLIVER_16 * p.length
        ]
    if len(parts) != 1 or parts[0].interiors:
        first = bay.ring[0]
        raise FloorRefused((Problem(f"bays.{index}.outline", problem, first.x_16, first.y_16),))
    ring = tuple(Point(round(x), round(y)) for x, y in normalize(parts[0]).exterior.coords[:-1])
    return ring[:1] + ring[:0:-1]  # normalised rings are clockwise
