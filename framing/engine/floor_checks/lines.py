"""Exact geometry of what is drawn: crossings, what lies in a ring, the ground that a wall covers.

Corners are whole sixteenths, so crossings are exact fractions. A wall's ground has corners off that grid where it
is askew; those are compared within `EVEN_16`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from itertools import pairwise
from math import lcm

from framing.engine.geometry import Point, Rect

Line = tuple[Point, Point]
Spot = tuple[float, float]
Quad = tuple[Spot, Spot, Spot, Spot]

ROUNDED_16 = 2.0
"""A place drawn on an askew line lies this near it: it was rounded to a sixteenth, and so was the line."""
EVEN_16 = 1e-6


def turn(a: Point, b: Point, c: Point) -> int:
    """Twice the area of the triangle a, b, c: over 0 where c lies to the left of the way from a to b."""
    return (b.x_16 - a.x_16) * (c.y_16 - a.y_16) - (b.y_16 - a.y_16) * (c.x_16 - a.x_16)


def askew(line: Line) -> bool:
    """Whether a line runs along neither plan axis."""
    a, b = line
    return a.x_16 != b.x_16 and a.y_16 != b.y_16


def overlap(one: Rect, other: Rect) -> bool:
    """Whether two boxes share more than a border; a line counts where it passes through the inside."""
    return (
        one.low.x_16 < other.high.x_16
        and other.low.x_16 < one.high.x_16
        and one.low.y_16 < other.high.y_16
        and other.low.y_16 < one.high.y_16
    )


def same_way(one: Line, other: Line) -> bool:
    """Whether two lines run in one direction rather than across each other (under 45 degrees)."""
    (a, b), (c, d) = one, other
    x, y, u, v = b.x_16 - a.x_16, b.y_16 - a.y_16, d.x_16 - c.x_16, d.y_16 - c.y_16
    return abs(x * u + y * v) > abs(x * v - y * u)


def meetings(line: Line, other: Line) -> tuple[Fraction, ...]:
    """Where `other` meets `line`, as shares of it from its start: none, one, or the two ends of what they share."""
    (a, b), (c, d) = line, other
    from_c, from_d = turn(a, b, c), turn(a, b, d)
    if from_c == from_d == 0:
        low, high = sorted((share_of(line, c), share_of(line, d)))
        low, high = max(low, Fraction(0)), min(high, Fraction(1))
        return tuple(sorted({low, high})) if low <= high else ()
    if from_c * from_d > 0 or turn(c, d, a) * turn(c, d, b) > 0:
        return ()
    at_c, at_d = share_of(line, c), share_of(line, d)
    return (at_c + (at_d - at_c) * Fraction(from_c, from_c - from_d),)


def share_of(line: Line, point: Point) -> Fraction:
    """How far along a line a point lies: 0 at its start, 1 at its end, beyond them outside."""
    a, b = line
    x, y = b.x_16 - a.x_16, b.y_16 - a.y_16
    return Fraction((point.x_16 - a.x_16) * x + (point.y_16 - a.y_16) * y, x * x + y * y)


def at_share(line: Line, share: Fraction) -> tuple[Fraction, Fraction]:
    """The place at a share of a line."""
    a, b = line
    return a.x_16 + share * (b.x_16 - a.x_16), a.y_16 + share * (b.y_16 - a.y_16)


@dataclass(frozen=True)
class Ring:
    """A closed ring of straight sides without holes; side i runs from corner i to the next."""

    corners: tuple[Point, ...]

    @cached_property
    def sides(self) -> tuple[Line, ...]:
        return tuple(zip(self.corners, (*self.corners[1:], *self.corners[:1]), strict=True))

    @cached_property
    def around(self) -> Rect:
        """The least rectangle around it."""
        xs, ys = [p.x_16 for p in self.corners], [p.y_16 for p in self.corners]
        return Rect(Point(min(xs), min(ys)), Point(max(xs), max(ys)))

    @cached_property
    def _ends(self) -> tuple[tuple[int, int, int, int], ...]:
        return tuple((a.x_16, a.y_16, b.x_16, b.y_16) for a, b in self.sides)

    def holds(self, x: int, y: int, parts: int = 1) -> bool:
        """Whether a place lies in the ring, its border included; x and y count parts of a sixteenth."""
        inside = False
        for ax, ay, bx, by in self._ends:
            low, high = (ay, by) if ay <= by else (by, ay)
            if not low * parts <= y <= high * parts:
                continue
            lean = (bx - ax) * (y - ay * parts) - (by - ay) * (x - ax * parts)
            if lean == 0 and min(ax, bx) * parts <= x <= max(ax, bx) * parts:
                return True
            if low * parts <= y < high * parts and (lean > 0) == (ay < by):
                inside = not inside
        return inside

    def holds_line(self, line: Line) -> bool:
        """Whether a line lies in the ring, its border included; beside an askew side up to `ROUNDED_16` outside."""
        shares = {Fraction(0), Fraction(1)}
        for side in self.near(line):
            shares.update(meetings(line, side))
        return all(self._holds_part(line, low, high) for low, high in pairwise(sorted(shares)))

    def near(self, line: Line) -> Iterator[Line]:
        """The sides whose boxes meet that of a line."""
        (a, b) = line
        low_x, high_x = (a.x_16, b.x_16) if a.x_16 <= b.x_16 else (b.x_16, a.x_16)
        low_y, high_y = (a.y_16, b.y_16) if a.y_16 <= b.y_16 else (b.y_16, a.y_16)
        for (ax, ay, bx, by), side in zip(self._ends, self.sides, strict=True):
            beside_x = (ax < low_x and bx < low_x) or (ax > high_x and bx > high_x)
            if not beside_x and not (ay < low_y and by < low_y) and not (ay > high_y and by > high_y):
                yield side

    def _holds_part(self, line: Line, low: Fraction, high: Fraction) -> bool:
        """Whether the part of a line between two shares lies in the ring; no side crosses it on its way."""
        x, y = at_share(line, (low + high) / 2)
        parts = lcm(x.denominator, y.denominator)
        if self.holds(int(x * parts), int(y * parts), parts):
            return True
        ends = [at_share(line, share) for share in (low, high)]
        return any(askew(s) and all(away(end, s) <= ROUNDED_16 for end in ends) for s in self.sides)

    def holds_box(self, rect: Rect) -> bool:
        """Whether a rectangle lies in the ring; a ring has no holes, so the rectangle's border tells."""
        return all(self.holds_line(side) for side in Ring(corners(rect)).sides)


def corners(rect: Rect) -> tuple[Point, Point, Point, Point]:
    low, high = rect.low, rect.high
    return low, Point(high.x_16, low.y_16), high, Point(low.x_16, high.y_16)


def away(spot: tuple[Fraction | float, Fraction | float], line: Line) -> float:
    """Distance of a place from a line, in sixteenths."""
    a, b = line
    x, y = b.x_16 - a.x_16, b.y_16 - a.y_16
    px, py = float(spot[0]) - a.x_16, float(spot[1]) - a.y_16
    share = min(1.0, max(0.0, (px * x + py * y) / (x * x + y * y)))
    return float(((px - share * x) ** 2 + (py - share * y) ** 2) ** 0.5)


@dataclass(frozen=True)
class Strip:
    """The ground that a wall covers: from `right_16` to the right of its line to `left_16` to the left."""

    line: Line
    left_16: float
    right_16: float

    @cached_property
    def quad(self) -> Quad:
        """Its corners, counter-clockwise."""
        (a, b), (nx, ny) = self.line, self._normal
        right, left = self.right_16, self.left_16
        return (
            (a.x_16 - right * nx, a.y_16 - right * ny),
            (b.x_16 - right * nx, b.y_16 - right * ny),
            (b.x_16 + left * nx, b.y_16 + left * ny),
            (a.x_16 + left * nx, a.y_16 + left * ny),
        )

    @cached_property
    def _normal(self) -> Spot:
        a, b = self.line
        x, y = b.x_16 - a.x_16, b.y_16 - a.y_16
        length = float((x * x + y * y) ** 0.5)
        return -y / length, x / length

    @cached_property
    def _around(self) -> tuple[float, float, float, float]:
        """Low x and y, high x and y, a little more."""
        xs, ys = zip(*self.quad, strict=True)
        return min(xs) - EVEN_16, min(ys) - EVEN_16, max(xs) + EVEN_16, max(ys) + EVEN_16

    def covers(self, point: Point) -> bool:
        """Whether a place stands on it, its border included."""
        return self.stretch((point, point)) is not None

    def stretch(self, line: Line) -> tuple[float, float] | None:
        """The shares of a line between which it lies on this ground; None where it does not."""
        (a, b), (low_x, low_y, high_x, high_y) = line, self._around
        if max(a.x_16, b.x_16) < low_x or min(a.x_16, b.x_16) > high_x:
            return None
        if max(a.y_16, b.y_16) < low_y or min(a.y_16, b.y_16) > high_y:
            return None
        low, high = 0.0, 1.0
        for p, q in zip(self.quad, self.quad[1:] + self.quad[:1], strict=True):
            length = ((q[0] - p[0]) ** 2 + (q[1] - p[1]) ** 2) ** 0.5
            ux, uy = (q[0] - p[0]) / length, (q[1] - p[1]) / length
            at_a, at_b = (ux * (c.y_16 - p[1]) - uy * (c.x_16 - p[0]) + EVEN_16 for c in (a, b))
            if at_a < 0 and at_b < 0:
                return None
            if at_a < 0:
                low = max(low, at_a / (at_a - at_b))
            elif at_b < 0:
                high = min(high, at_a / (at_a - at_b))
        return (low, high) if low <= high else None

    def overlaps(self, other: Strip) -> bool:
        """Whether two walls stand in each other; touching is not enough."""
        mine, others = self._around, other._around
        if mine[0] > others[2] or others[0] > mine[2] or mine[1] > others[3] or others[1] > mine[3]:
            return False
        for strip in (self, other):
            nx, ny = strip._normal
            for x, y in ((nx, ny), (-ny, nx)):
                one, two = ([x * px + y * py for px, py in quad] for quad in (self.quad, other.quad))
                if min(max(one), max(two)) - max(min(one), min(two)) <= EVEN_16:
                    return False
        return True
