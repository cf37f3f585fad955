"""Paper geometry in millimetres, y down, and the view that maps plan sixteenths to it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from math import hypot

from framing.engine.geometry import Point

MM_PER_16 = 25.4 / 16
_CELL = 6.0  # side of an index cell in mm; about one joist space


@dataclass(frozen=True, slots=True)
class Spot:
    """A place on the paper in mm."""

    x: float
    y: float

    def moved(self, dx: float, dy: float) -> Spot:
        return Spot(self.x + dx, self.y + dy)


@dataclass(frozen=True, slots=True)
class Box:
    """An axis-parallel box on the paper in mm."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.bottom - self.top

    @property
    def centre(self) -> Spot:
        return Spot((self.left + self.right) / 2, (self.top + self.bottom) / 2)

    def meets(self, other: Box) -> bool:
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def holds(self, other: Box) -> bool:
        return (
            self.left <= other.left
            and other.right <= self.right
            and self.top <= other.top
            and other.bottom <= self.bottom
        )

    def grown(self, by: float) -> Box:
        return Box(self.left - by, self.top - by, self.right + by, self.bottom + by)


@dataclass(frozen=True, slots=True)
class Stroke:
    """A straight line from a to b."""

    a: Spot
    b: Spot

    @property
    def length(self) -> float:
        return hypot(self.b.x - self.a.x, self.b.y - self.a.y)

    @property
    def direction(self) -> Spot:
        size = self.length or 1.0
        return Spot((self.b.x - self.a.x) / size, (self.b.y - self.a.y) / size)

    @property
    def box(self) -> Box:
        return box_around((self.a, self.b))

    def at(self, distance: float) -> Spot:
        way = self.direction
        return self.a.moved(way.x * distance, way.y * distance)

    def beside(self, by: float) -> Stroke:
        """The parallel stroke `by` mm to the right of the way a to b."""
        way = self.direction
        return Stroke(self.a.moved(-way.y * by, way.x * by), self.b.moved(-way.y * by, way.x * by))


def box_around(spots: Iterable[Spot]) -> Box:
    places = tuple(spots)
    xs, ys = [s.x for s in places], [s.y for s in places]
    return Box(min(xs), min(ys), max(xs), max(ys))


def box_at(centre: Spot, width: float, height: float) -> Box:
    return Box(centre.x - width / 2, centre.y - height / 2, centre.x + width / 2, centre.y + height / 2)


@dataclass(frozen=True, slots=True)
class View:
    """Plan to paper: 1 : `scale`, with the plan's `low` corner at `origin` on the paper."""

    scale: float
    low: Point
    origin: Spot

    def mm(self, length_16: float) -> float:
        return length_16 * MM_PER_16 / self.scale

    def spot(self, point: Point) -> Spot:
        return Spot(self.x(point.x_16), self.y(point.y_16))

    def x(self, x_16: float) -> float:
        return self.origin.x + self.mm(x_16 - self.low.x_16)

    def y(self, y_16: float) -> float:
        return self.origin.y - self.mm(y_16 - self.low.y_16)


def cut(stroke: Stroke, boxes: Iterable[Box]) -> list[Stroke]:
    """What is left of a stroke outside the boxes, from a to b."""
    taken = sorted(part for part in (_inside(stroke, box) for box in boxes) if part is not None)
    kept: list[Stroke] = []
    start = 0.0
    for low, high in taken:
        if low > start:
            kept.append(_part(stroke, start, low))
        start = max(start, high)
    if start < 1.0:
        kept.append(stroke if start == 0.0 else _part(stroke, start, 1.0))
    return kept


def _part(stroke: Stroke, low: float, high: float) -> Stroke:
    dx, dy = stroke.b.x - stroke.a.x, stroke.b.y - stroke.a.y
    return Stroke(stroke.a.moved(dx * low, dy * low), stroke.a.moved(dx * high, dy * high))


def _inside(stroke: Stroke, box: Box) -> tuple[float, float] | None:
    """Parameters of the part of a stroke inside a box (the slab method), or None."""
    low, high = 0.0, 1.0
    sides = (
        (stroke.a.x, stroke.b.x - stroke.a.x, box.left, box.right),
        (stroke.a.y, stroke.b.y - stroke.a.y, box.top, box.bottom),
    )
    for start, way, least, most in sides:
        if way == 0:
            if not least < start < most:
                return None
            continue
        first, last = sorted(((least - start) / way, (most - start) / way))
        low, high = max(low, first), min(high, last)
    return (low, high) if high > low else None


@dataclass(slots=True)
class Ground:
    """What already stands on the paper, by cell, so that a label finds a free place quickly.

    Weights: see `labels`; a heavier thing is worse to stand on.
    """

    _cells: dict[tuple[int, int], list[tuple[Box, float]]] = field(default_factory=dict)

    def add(self, box: Box, weight: float) -> None:
        for cell in _cells_of(box):
            self._cells.setdefault(cell, []).append((box, weight))

    def weight_under(self, box: Box, limit: float, least: float = 0.0) -> float:
        """Sum of the weights from `least` up that a box would stand on; stops counting above `limit`."""
        total = 0.0
        seen: list[Box] = []
        for cell in _cells_of(box):
            for other, weight in self._cells.get(cell, ()):
                if weight >= least and other.meets(box) and not any(other is known for known in seen):
                    seen.append(other)
                    total += weight
                    if total > limit:
                        return total
        return total


def _cells_of(box: Box) -> Iterator[tuple[int, int]]:
    for column in range(int(box.left // _CELL), int(box.right // _CELL) + 1):
        for row in range(int(box.top // _CELL), int(box.bottom // _CELL) + 1):
            yield column, row
