"""Points, rectangles and the bay's own frame; all positions are whole sixteenths of an inch.

Plan coordinates: x to the right, y up, as the floor document gives them. Frame coordinates: `along` runs with the
joists (growing with the plan coordinate, so the printed end R9 is the low end), `across` counts away from the
outline at the bay's start edge (R1).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Axis = Literal["x", "y"]


@dataclass(frozen=True, slots=True, order=True)
class Point:
    """A plan position in sixteenths."""

    x_16: int
    y_16: int


@dataclass(frozen=True, slots=True)
class Rect:
    """An axis-parallel rectangle on the plan, low corner and high corner."""

    low: Point
    high: Point

    @property
    def width_16(self) -> int:
        return self.high.x_16 - self.low.x_16

    @property
    def height_16(self) -> int:
        return self.high.y_16 - self.low.y_16


@dataclass(frozen=True, slots=True)
class Frame:
    """Maps plan coordinates to (across, along) of one bay and back.

    Attributes:
        axis: the plan axis that joists run along.
        start_16: plan coordinate (on the other axis) of the outline at the start edge.
        reverse: True where stations count towards smaller plan coordinates.
    """

    axis: Axis
    start_16: int
    reverse: bool = False

    def across_16(self, point: Point) -> int:
        other = point.x_16 if self.axis == "y" else point.y_16
        return self.start_16 - other if self.reverse else other - self.start_16

    def along_16(self, point: Point) -> int:
        return point.y_16 if self.axis == "y" else point.x_16

    def point(self, across_16: int, along_16: int) -> Point:
        other = self.start_16 - across_16 if self.reverse else self.start_16 + across_16
        return Point(other, along_16) if self.axis == "y" else Point(along_16, other)


def signed_area_2(ring: tuple[Point, ...]) -> int:
    """Twice the signed area of a ring in square sixteenths; positive for counter-clockwise."""
    return sum(a.x_16 * b.y_16 - b.x_16 * a.y_16 for a, b in zip(ring, ring[1:] + ring[:1], strict=True))
