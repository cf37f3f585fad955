"""The floor as the checks see it: its sides, the bays' sides, the ground under walls, and how places are written."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import TYPE_CHECKING

from framing.engine.errors import Problem
from framing.engine.floor import Bay, EdgeKind, FloorPlan, Support, SupportKind
from framing.engine.floor_checks.lines import Line, Ring, Strip, same_way
from framing.engine.geometry import Axis, Point
from framing.engine.practice import Practice
from framing.engine.regions import Region, regions_of
from framing.engine.units import format_length

if TYPE_CHECKING:
    from shapely import Polygon

USUAL_FLANGE_16 = 26
"""A flush beam's profile is chosen later; until then each ply counts 1 5/8 in, the trade's usual flange."""
SIXTEENTHS_PER_FT = 192
_METRES_PER_16 = 0.0254 / 16


@dataclass(frozen=True)
class Site:
    """One floor whose outline is sound. Bays' regions are found when first asked for."""

    plan: FloorPlan
    practice: Practice

    @cached_property
    def ring(self) -> Ring:
        return Ring(self.plan.outline)

    @property
    def sides(self) -> tuple[Line, ...]:
        return self.ring.sides

    @cached_property
    def regions(self) -> tuple[Region, ...]:
        """The bays' ground, in the plan's order. Raises FloorRefused as `regions_of`."""
        return regions_of(self.plan)

    @cached_property
    def bay_rings(self) -> tuple[Ring, ...]:
        return tuple(Ring(region.ring) for region in self.regions)

    @cached_property
    def grounds(self) -> tuple[Polygon, ...]:
        """The bays' ground as polygons, to clip with."""
        from shapely import Polygon  # late: see `regions`

        return tuple(Polygon([(p.x_16, p.y_16) for p in region.ring]) for region in self.regions)

    @cached_property
    def strips(self) -> tuple[Strip | None, ...]:
        """The ground under each support, in order; None for one without length or width."""
        return tuple(support_strip(self.plan, support, self.practice) for support in self.plan.supports)

    @cached_property
    def wall_strips(self) -> tuple[Strip | None, ...]:
        """The ground of the wall along each outline edge, None at a free one or where it has no width."""
        return tuple(
            None if edge.kind is EdgeKind.FREE or edge.width_16 <= 0 else Strip(side, edge.width_16, 0)
            for edge, side in zip(self.plan.edges, self.sides, strict=True)
        )

    @property
    def pairs(self) -> Iterator[tuple[Bay, Region]]:
        return zip(self.plan.bays, self.regions, strict=True)

    def where(self, point: Point) -> str:
        """A place as people read it."""
        units = self.plan.units
        return f"({format_length(point.x_16, units)}, {format_length(point.y_16, units)})"

    def length(self, length_16: int) -> str:
        return format_length(length_16, self.plan.units)

    def area(self, area_16: float) -> str:
        """An area given in square sixteenths, in the floor's units."""
        if self.plan.units == "metric":
            return f"{area_16 * _METRES_PER_16**2:,.2f} m²"
        return f"{area_16 / SIXTEENTHS_PER_FT**2:,.1f} sq ft"

    def problem(self, place: str, message: str, at: Point) -> Problem:
        return Problem(place, message, at.x_16, at.y_16)

    def has(self, line: Line) -> bool:
        """Whether a line lies in the floor, its border included."""
        return self.ring.holds_line(line)

    def bays_beside(self, line: Line) -> tuple[tuple[int | None, int | None], ...]:
        """The bays on the left and the right of a line along a plan axis: each pair that some stretch of it has.

        None where no bay lies. A bay that begins within half a usual two-ply beam of the line begins on it.
        """
        a, b = line
        upright = a.x_16 == b.x_16
        low, high = sorted((a.y_16, b.y_16) if upright else (a.x_16, b.x_16))
        stops = {low, high}
        for ring in self.bay_rings:
            stops.update(p.y_16 if upright else p.x_16 for p in ring.corners)
        off = USUAL_FLANGE_16 + 1
        found: dict[tuple[int | None, int | None], None] = {}
        for start, end in pairwise(sorted(stop for stop in stops if low <= stop <= high)):
            middle = (start + end) // 2
            spots = (Point(a.x_16 - off, middle), Point(a.x_16 + off, middle))
            if not upright:
                spots = (Point(middle, a.y_16 + off), Point(middle, a.y_16 - off))
            found[self._bay_at(spots[0]), self._bay_at(spots[1])] = None
        return tuple(found)

    def _bay_at(self, point: Point) -> int | None:
        for index, ring in enumerate(self.bay_rings):
            low, high = ring.around.low, ring.around.high
            near = low.x_16 <= point.x_16 <= high.x_16 and low.y_16 <= point.y_16 <= high.y_16
            if near and ring.holds(point.x_16, point.y_16):
                return index
        return None


def beside(line: Line, axis: Axis) -> bool:
    """Whether a line runs exactly along joists of that direction."""
    a, b = line
    return a.x_16 == b.x_16 if axis == "y" else a.y_16 == b.y_16


def line_of(support: Support) -> Line:
    return support.start, support.end


def support_strip(plan: FloorPlan, support: Support, practice: Practice) -> Strip | None:
    """The ground under a wall or beam, or that a flush beam of usual joists takes; None where it has none."""
    width_16 = support.width_16
    if support.kind is SupportKind.FLUSH_BEAM:
        plies = dict(plan.plies).get(f"{support.id}:beam", practice.plies_default)
        width_16 = plies * USUAL_FLANGE_16
    if support.start == support.end or width_16 <= 0:
        return None
    return Strip(line_of(support), width_16 / 2, width_16 / 2)


def crosses(strip: Strip, line: Line) -> bool:
    """Whether a wall's line runs across another rather than with it."""
    return not same_way(strip.line, line)
