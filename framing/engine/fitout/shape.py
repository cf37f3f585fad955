"""The outline in a bay's own frame: edges with their corners, and what lies inside at a coordinate.

Index: `FrameEdge`, `Shape` (`shape_of`), interval helpers `subtract` and `clip`.
Only rectilinear outlines: every edge runs along the joists or across them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import floor
from typing import Literal

from framing.engine.errors import FloorRefused, Problem
from framing.engine.floor import FloorPlan
from framing.engine.geometry import Frame

Number = int | Fraction
Interval = tuple[Number, Number]
Corner = Literal["outside", "re-entrant", "straight"]


@dataclass(frozen=True, slots=True)
class FrameEdge:
    """One outline edge in frame coordinates (sixteenths).

    Attributes:
        index: the edge's index in `FloorPlan.edges`.
        runs: "along" for a parallel edge, "across" for one that joists bear on.
        at_16: its coordinate on the other axis.
        low_16, high_16: its ends on its own axis.
        inward: +1 where the floor lies towards larger `at_16`, else -1.
        low_corner, high_corner: the corners at its ends.
    """

    index: int
    runs: Literal["along", "across"]
    at_16: int
    low_16: int
    high_16: int
    inward: int
    low_corner: Corner
    high_corner: Corner

    @property
    def id(self) -> str:
        return f"edge:{self.index}"

    @property
    def corners(self) -> tuple[Corner, Corner]:
        return self.low_corner, self.high_corner


@dataclass(frozen=True, slots=True)
class Shape:
    """A rectilinear floor in frame coordinates.

    Attributes:
        edges: in outline order.
        parallel: those that joists run along.
        bearing: those that joists end on.
    """

    edges: tuple[FrameEdge, ...]
    parallel: tuple[FrameEdge, ...]
    bearing: tuple[FrameEdge, ...]

    @property
    def along_range(self) -> tuple[int, int]:
        """Smallest and largest along-coordinate of the outline."""
        ends = [edge.at_16 for edge in self.bearing]
        return min(ends), max(ends)

    def across_at(self, along_16: Number) -> tuple[tuple[FrameEdge, FrameEdge], ...]:
        """Pairs of parallel edges that bound the floor at one along-coordinate, low to high."""
        return _pairs(self.parallel, along_16)

    def along_at(self, across_16: Number) -> tuple[tuple[FrameEdge, FrameEdge], ...]:
        """Pairs of bearing edges that bound the floor at one across-coordinate, low to high."""
        return _pairs(self.bearing, across_16)


def _pairs(edges: Iterable[FrameEdge], at: Number) -> tuple[tuple[FrameEdge, FrameEdge], ...]:
    """Half-open scan: an edge counts from its low end up to, not including, its high end."""
    whole = floor(at)  # edges end at whole sixteenths
    hit = sorted((e for e in edges if e.low_16 <= whole < e.high_16), key=lambda e: e.at_16)
    return tuple(zip(hit[::2], hit[1::2], strict=True))


def shape_of(plan: FloorPlan, frame: Frame) -> Shape:
    """The plan's outline in a bay's frame. Raises FloorRefused where an edge is skewed."""
    ring = [(frame.across_16(corner), frame.along_16(corner)) for corner in plan.outline]
    count = len(ring)
    area_2 = sum(
        ring[i][0] * ring[(i + 1) % count][1] - ring[(i + 1) % count][0] * ring[i][1] for i in range(count)
    )
    turn = 1 if area_2 > 0 else -1
    corners = [_corner(ring[i - 1], ring[i], ring[(i + 1) % count], turn) for i in range(count)]
    edges = []
    for i in range(count):
        j = (i + 1) % count
        edges.append(_edge(i, ring[i], ring[j], turn, corners[i], corners[j]))
    return Shape(
        tuple(edges),
        tuple(edge for edge in edges if edge.runs == "along"),
        tuple(edge for edge in edges if edge.runs == "across"),
    )


def _corner(before: tuple[int, int], at: tuple[int, int], after: tuple[int, int], turn: int) -> Corner:
    cross = (at[0] - before[0]) * (after[1] - at[1]) - (at[1] - before[1]) * (after[0] - at[0])
    if cross == 0:
        return "straight"
    return "outside" if cross * turn > 0 else "re-entrant"


def _edge(
    index: int, start: tuple[int, int], end: tuple[int, int], turn: int, first: Corner, last: Corner
) -> FrameEdge:
    forward = end > start
    low_corner, high_corner = (first, last) if forward else (last, first)
    if start[0] == end[0]:
        inward = -turn if forward else turn
        low, high = sorted((start[1], end[1]))
        return FrameEdge(index, "along", start[0], low, high, inward, low_corner, high_corner)
    if start[1] == end[1]:
        inward = turn if forward else -turn
        low, high = sorted((start[0], end[0]))
        return FrameEdge(index, "across", start[1], low, high, inward, low_corner, high_corner)
    raise FloorRefused(
        (Problem(f"edges.{index}", "This edge is neither along the joists nor square to them."),)
    )


def subtract(span: Interval, holes: Iterable[Interval]) -> tuple[Interval, ...]:
    """What is left of an interval after taking away others; pieces of no length are dropped."""
    left: list[Interval] = [span]
    for low, high in sorted(holes):
        kept: list[Interval] = []
        for a, b in left:
            if high <= a or low >= b:
                kept.append((a, b))
                continue
            if a < low:
                kept.append((a, low))
            if high < b:
                kept.append((high, b))
        left = kept
    return tuple(left)


def clip(span: Interval, to: Interval) -> Interval | None:
    """The common part of two intervals, None where they share no length."""
    low, high = max(span[0], to[0]), min(span[1], to[1])
    return (low, high) if low < high else None


def union(spans: Sequence[Interval]) -> tuple[Interval, ...]:
    """Intervals merged where they touch or overlap, low to high."""
    merged: list[Interval] = []
    for low, high in sorted(spans):
        if merged and low <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(merged[-1][1], high))
        else:
            merged.append((low, high))
    return tuple(merged)


def plain(value: Number) -> Number:
    """The same number, as an int where it is whole: ints are counted with much faster than fractions."""
    return value.numerator if value.denominator == 1 else value


def half_up(value: Number) -> int:
    """The nearest whole sixteenth, halves up."""
    return value if isinstance(value, int) else int((2 * value + 1) // 2)


def middle(low: Number, high: Number) -> int:
    """Half-way between two positions, to the nearest whole sixteenth, halves up."""
    return int((low + high + 1) // 2)


def between_evenly(low: Number, high: Number, most: int) -> tuple[Number, ...]:
    """As few positions strictly between `low` and `high` as keep the equal spaces at or under `most`."""
    spaces = max(1, -int(-(high - low) // most))
    return tuple(low + plain(Fraction(i * (high - low)) / spaces) for i in range(1, spaces))
