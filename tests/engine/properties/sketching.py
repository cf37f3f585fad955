"""A made-up floor while it is being drawn: its chains of corners, and the bays on it."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise
from math import ceil, floor
from typing import Literal

from hypothesis import strategies as st

from framing.engine.floor import (
    Bay,
    Joint,
    Opening,
    Partition,
    StandingLoad,
    Support,
    SupportKind,
)
from framing.engine.geometry import Point

Draw = st.DrawFn
SPACINGS = (Fraction(192), Fraction(256), Fraction(1536, 5), Fraction(384))
FOOT = 192
BEYOND = 30 * FOOT
"""Bays are drawn this far over the outline: what lies in the floor counts."""


def place(draw: Draw, low: int, high: int) -> int:
    """A place between two others, mostly at a whole inch."""
    if low >= high:
        return low
    found = draw(st.integers(-(-low // 16), max(high // 16, -(-low // 16)))) * 16
    if draw(st.integers(0, 3)) == 0:
        found += draw(st.integers(1, 15))
    return min(found, high)


def chance(draw: Draw, one_in: int) -> bool:
    return draw(st.integers(1, one_in)) == one_in


@dataclass(slots=True)
class Sketch:
    """A floor while it is being drawn; `low` and `high` are the chains of corners from left to right."""

    low: list[Point] = field(default_factory=list)
    high: list[Point] = field(default_factory=list)
    notch: tuple[int, int, int] | None = None
    tip: Point | None = None
    bays: list[Bay] = field(default_factory=list)
    supports: list[Support] = field(default_factory=list)
    openings: list[Opening] = field(default_factory=list)
    partitions: list[Partition] = field(default_factory=list)
    point_loads: list[StandingLoad] = field(default_factory=list)
    free: Literal["", "low", "high"] = ""

    @property
    def left(self) -> int:
        return self.low[0].x_16

    @property
    def right(self) -> int:
        return self.low[-1].x_16

    @property
    def band(self) -> tuple[int, int]:
        """Between these places along y there is floor all across."""
        return max(p.y_16 for p in self.low), min(p.y_16 for p in self.high)

    def outline(self) -> tuple[Point, ...]:
        ring = [*self.low]
        if self.notch is not None:
            depth, start, end = self.notch
            right = self.right
            ring += [
                Point(right, start), Point(right - depth, start), Point(right - depth, end), Point(right, end)
            ]  # fmt: skip
        if self.tip is not None:
            ring.append(self.tip)
        ring += self.high[::-1]
        return tuple(p for i, p in enumerate(ring) if p != ring[i - 1])


@dataclass(frozen=True)
class Zone:
    """A bay's rectangle of sure floor, for what is drawn in it; joists along y or along x."""

    axis: Literal["x", "y"]
    x_0: int
    x_1: int
    y_0: int
    y_1: int


def draw_chains(draw: Draw, sketch: Sketch) -> None:
    depth = place(draw, 12 * FOOT, 30 * FOOT)
    x = 0
    sketch.low = [Point(0, 0)]
    sketch.high = [Point(0, depth)]
    for column in range(draw(st.integers(1, 3))):
        width = place(draw, 4 * FOOT, 16 * FOOT)
        for chain, base in ((sketch.low, 0), (sketch.high, depth)):
            level = chain[-1].y_16
            if column and chance(draw, 2):
                level = base + place(draw, -4 * FOOT, 4 * FOOT)
                chain.append(Point(x, level))
            skew = place(draw, -4 * FOOT, 4 * FOOT) if chance(draw, 4) else 0
            chain.append(Point(x + width, min(max(level + skew, base - 5 * FOOT), base + 5 * FOOT)))
        x += width
    if chance(draw, 8):
        sketch.tip = Point(x + place(draw, 2 * FOOT, 10 * FOOT), place(draw, -3 * FOOT, depth + 3 * FOOT))
        return
    low, high = sketch.band
    if chance(draw, 10) and high - low > 6 * FOOT:
        start = place(draw, low + FOOT, high - 5 * FOOT)
        last = x - max(p.x_16 for p in (*sketch.low, *sketch.high) if p.x_16 < x)
        depth = place(draw, FOOT, min(last, 6 * FOOT) - FOOT)
        sketch.notch = depth, start, place(draw, start + FOOT, high - 2 * FOOT)


def _bay(draw: Draw, ident: str, axis: Literal["x", "y"], ring: tuple[Point, ...]) -> Bay:
    spacing = draw(st.sampled_from(SPACINGS))
    offset = spacing
    if chance(draw, 3):
        offset = Fraction(place(draw, 0, int(spacing)))
    plies = draw(st.sampled_from((1, 1, 1, 1, 1, 2, 2, 3)))
    return Bay(
        ident, ring, axis, draw(st.sampled_from(("low", "high"))), spacing, offset, "1000S162-54", plies
    )


def _box(x_0: int, y_0: int, x_1: int, y_1: int) -> tuple[Point, ...]:
    return Point(x_0, y_0), Point(x_1, y_0), Point(x_1, y_1), Point(x_0, y_1)


def draw_bays(draw: Draw, sketch: Sketch) -> list[Zone]:
    """One bay; two side by side; two over a wall or flush beam; two beside an inner wall; or three."""
    low, high = sketch.band
    wide = sketch.right - sketch.left > 8 * FOOT
    ways = ["one"] * 5
    if sketch.notch is None and sketch.tip is None:
        ways += ["beside", "beside", "turned"] if wide else []
        ways += ["over", "over"] if high - low > 9 * FOOT else []
        ways += ["three"] if wide and high - low > 9 * FOOT else []
    way = draw(st.sampled_from(ways))
    if way == "one":
        sketch.bays = [_bay(draw, "A", "y", ())]
        return [Zone("y", sketch.left, sketch.right, low, high)]
    across = place(draw, sketch.left + 3 * FOOT, sketch.right - 3 * FOOT)
    if way in ("beside", "turned"):
        return _side_by_side(draw, sketch, across, low - BEYOND, high + BEYOND, turned=way == "turned")
    along = place(draw, low + 4 * FOOT, high - 4 * FOOT)
    return _over(draw, sketch, along, across if way == "three" else None)


def _side_by_side(
    draw: Draw, sketch: Sketch, across: int, bottom: int, top: int, *, turned: bool
) -> list[Zone]:
    """Two bays with a border along y; where the second one's joists run along x, over a wall."""
    low, high = sketch.band
    second: Literal["x", "y"] = "x" if turned else "y"
    sketch.bays += [
        _bay(draw, "A", "y", _box(sketch.left - BEYOND, bottom, across, top)),
        _bay(draw, "B", second, _box(across, bottom, sketch.right + BEYOND, top)),
    ]
    if turned:
        start, end = (Point(across, _at(chain, across)) for chain in (sketch.low, sketch.high))
        sketch.supports.append(Support("W0", SupportKind.WALL, start, end, 56, Joint.BUTT))
    upper = min(high, top)
    return [
        Zone("y", sketch.left, across, low, upper),
        Zone(second, across, sketch.right, low, upper),
    ]


def _over(draw: Draw, sketch: Sketch, along: int, across: int | None) -> list[Zone]:
    """A bay over a wall, a beam or a flush beam, below it another one or two side by side."""
    low, high = sketch.band
    upper: Literal["x", "y"] = draw(st.sampled_from(("y", "y", "x")))
    kind = draw(st.sampled_from((SupportKind.WALL, SupportKind.BEAM, SupportKind.FLUSH_BEAM)))
    width = 0 if kind is SupportKind.FLUSH_BEAM else 56
    ends = Point(sketch.left, along), Point(sketch.right, along)
    sketch.supports.append(Support("W0", kind, *ends, width, Joint.LAP))
    if across is None:
        ring = _box(sketch.left - BEYOND, low - BEYOND, sketch.right + BEYOND, along)
        sketch.bays.append(_bay(draw, "A", "y", ring))
        zones = [Zone("y", sketch.left, sketch.right, low, along)]
    else:
        zones = _side_by_side(draw, sketch, across, low - BEYOND, along, turned=False)
    ring = _box(sketch.left - BEYOND, along, sketch.right + BEYOND, high + BEYOND)
    sketch.bays.append(_bay(draw, "C", upper, ring))
    return [*zones, Zone(upper, sketch.left, sketch.right, along, high)]


def _at(chain: list[Point], x: int) -> int:
    """Where a chain of corners stands, towards the floor's inside at a step, to the inner sixteenth."""
    found = []
    for a, b in pairwise(chain):
        if a.x_16 <= x <= b.x_16 and a.x_16 < b.x_16:
            found.append(a.y_16 + Fraction((x - a.x_16) * (b.y_16 - a.y_16), b.x_16 - a.x_16))
    return ceil(max(found)) if min(found) < 6 * FOOT else floor(min(found))
