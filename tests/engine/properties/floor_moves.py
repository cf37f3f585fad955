"""A floor laid somewhere else: mirrored, turned, shifted."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Literal

from hypothesis import strategies as st

from framing.engine.floor import Bay, FloorPlan
from framing.engine.geometry import Point, Rect

Draw = st.DrawFn


@dataclass(frozen=True)
class Move:
    """A floor laid somewhere else: mirrored in x or y, then x and y changed over, then shifted."""

    flip_x: bool = False
    flip_y: bool = False
    swap: bool = False
    by: Point = field(default_factory=lambda: Point(0, 0))

    def point(self, point: Point) -> Point:
        x = -point.x_16 if self.flip_x else point.x_16
        y = -point.y_16 if self.flip_y else point.y_16
        x, y = (y, x) if self.swap else (x, y)
        return Point(x + self.by.x_16, y + self.by.y_16)

    def ring(self, ring: tuple[Point, ...]) -> tuple[Point, ...]:
        """Corners moved, still counter-clockwise, beginning with the same one."""
        moved = tuple(self.point(p) for p in ring)
        return moved[:1] + moved[:0:-1] if self.turns_over else moved

    @property
    def turns_over(self) -> bool:
        return self.flip_x ^ self.flip_y ^ self.swap

    def bay(self, bay: Bay) -> Bay:
        flipped = self.flip_x if bay.axis == "y" else self.flip_y
        start: Literal["low", "high"] = "high" if (bay.start == "low") is flipped else "low"
        axis: Literal["x", "y"] = bay.axis if not self.swap else "x" if bay.axis == "y" else "y"
        return replace(bay, ring=self.ring(bay.ring), axis=axis, start=start)

    def rect(self, rect: Rect) -> Rect:
        a, b = self.point(rect.low), self.point(rect.high)
        return Rect(
            Point(min(a.x_16, b.x_16), min(a.y_16, b.y_16)), Point(max(a.x_16, b.x_16), max(a.y_16, b.y_16))
        )

    def floor(self, plan: FloorPlan) -> FloorPlan:
        count = len(plan.edges)
        edges = plan.edges
        if self.turns_over:
            edges = tuple(replace(plan.edges[count - 1 - i], index=i) for i in range(count))
        return replace(
            plan,
            outline=self.ring(plan.outline),
            edges=edges,
            bays=tuple(self.bay(bay) for bay in plan.bays),
            supports=tuple(
                replace(s, start=self.point(s.start), end=self.point(s.end)) for s in plan.supports
            ),
            openings=tuple(replace(o, rect=self.rect(o.rect)) for o in plan.openings),
            partitions=tuple(
                replace(p, start=self.point(p.start), end=self.point(p.end)) for p in plan.partitions
            ),
            point_loads=tuple(replace(load, at=self.point(load.at)) for load in plan.point_loads),
        )


@st.composite
def moves(draw: Draw) -> Move:
    by = Point(draw(st.integers(-9000, 9000)), draw(st.integers(-9000, 9000)))
    return Move(draw(st.booleans()), draw(st.booleans()), draw(st.booleans()), by)
