"""Made-up real floors: stepped, skewed and notched outlines, one to three bays, walls, flush beams, overhangs, stairs.

A floor is drawn with its main joists along y, low edges near y = 0 and high ones near its depth, so that between
the deepest low and the shallowest high edge a band of floor goes right across: there inner walls and borders lie.
Lengths in sixteenths. Whether a floor can be built is for the engine to say; most can.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise
from math import ceil, floor
from typing import Literal

from hypothesis import strategies as st

from framing.engine.floor import (
    Bay,
    DeadLayer,
    Edge,
    EdgeKind,
    FloorPlan,
    Joint,
    LoadCase,
    Opening,
    OpeningKind,
    Partition,
    Support,
    SupportKind,
)
from framing.engine.geometry import Point, Rect

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


@st.composite
def real_floors(draw: Draw, *, parts: bool = True) -> FloorPlan:
    """Any real floor; with `parts` also openings and partitions."""
    sketch = Sketch()
    _chains(draw, sketch)
    zones = _bays(draw, sketch)
    for zone in zones:
        _walls(draw, sketch, zone)
    _cantilever(draw, sketch)
    if parts:
        for zone in zones:
            _openings(draw, sketch, zone)
            _partition(draw, sketch, zone)
    return _floor(draw, sketch)


def _chains(draw: Draw, sketch: Sketch) -> None:
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


@dataclass(frozen=True)
class Zone:
    """A bay's rectangle of sure floor, for what is drawn in it; joists along y or along x."""

    axis: Literal["x", "y"]
    x_0: int
    x_1: int
    y_0: int
    y_1: int


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


def _bays(draw: Draw, sketch: Sketch) -> list[Zone]:
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


def _walls(draw: Draw, sketch: Sketch, zone: Zone) -> None:
    """Inner bearings across a zone's joists, mostly right across, some askew, some ending inside."""
    if zone.axis == "y":
        low, high, across = zone.y_0, zone.y_1, (zone.x_0, zone.x_1)
    else:
        low, high, across = zone.x_0, zone.x_1, (zone.y_0, zone.y_1)
    at = low + 2 * FOOT
    for _ in range(draw(st.sampled_from((0, 0, 1, 1, 2)))):
        if at > high - 2 * FOOT:
            return
        at = place(draw, at, high - 2 * FOOT)
        _inner_wall(draw, sketch, zone, at, across)
        at += 4 * FOOT


def _inner_wall(draw: Draw, sketch: Sketch, zone: Zone, at: int, across: tuple[int, int]) -> None:
    start, end = across
    kind = draw(
        st.sampled_from((SupportKind.WALL, SupportKind.WALL, SupportKind.BEAM, SupportKind.FLUSH_BEAM))
    )
    rise, flush = 0, kind is SupportKind.FLUSH_BEAM
    if flush and (zone.axis == "x" or len(sketch.bays) > 1):
        kind, flush = SupportKind.WALL, False
    if flush and end - start > 10 * FOOT and chance(draw, 3):
        end = _post_wall(draw, sketch, place(draw, start + 4 * FOOT, end - 4 * FOOT))
    if not flush and chance(draw, 5):
        rise = place(draw, -FOOT, FOOT)
    if not flush and chance(draw, 10):
        end = place(draw, start + FOOT, end)
    first, last = Point(start, at), Point(end, at + rise)
    if zone.axis == "x":
        first, last = (Point(p.y_16, p.x_16) for p in (first, last))
    width = 0 if flush else draw(st.sampled_from((56, 56, 56, 40, 88)))
    joint = draw(st.sampled_from(Joint))
    sketch.supports.append(Support(f"W{len(sketch.supports) + 1}", kind, first, last, width, joint))


def _post_wall(draw: Draw, sketch: Sketch, x: int) -> int:
    """A wall along the joists under the end of a flush beam; where it stands."""
    low, high = sketch.band
    number = len(sketch.supports) + 1
    sketch.supports.append(
        Support(f"W{number}", SupportKind.WALL, Point(x, low), Point(x, high), 56, Joint.LAP)
    )
    return x


def _cantilever(draw: Draw, sketch: Sketch) -> None:
    stands = [
        s
        for s in sketch.supports
        if s.kind is not SupportKind.FLUSH_BEAM
        and s.id != "W0"
        and {s.start.x_16, s.end.x_16} == {sketch.left, sketch.right}
    ]
    if stands and chance(draw, 2):
        sketch.free = draw(st.sampled_from(("low", "high")))


def _openings(draw: Draw, sketch: Sketch, zone: Zone) -> None:
    """A stair or shaft anywhere in the zone, often beside its side, at times with a second one against it."""
    if not chance(draw, 3):
        return
    width, length = place(draw, 2 * FOOT, 5 * FOOT), place(draw, 2 * FOOT, 9 * FOOT)
    x_0, x_1, y_0, y_1 = zone.x_0, zone.x_1, zone.y_0, zone.y_1
    if zone.axis == "x":
        width, length = length, width
    where = draw(st.sampled_from(("low side", "high side", "gap", "any", "any", "any")))
    x, y = place(draw, x_0, x_1 - width), place(draw, y_0, y_1 - length)
    gap = place(draw, 0, FOOT) if where == "gap" else 0
    if zone.axis == "y" and where != "any":
        x = x_1 - width if where == "high side" else x_0 + gap
    elif where != "any":
        y = y_1 - length if where == "high side" else y_0 + gap
    kind = draw(st.sampled_from(OpeningKind))
    number = len(sketch.openings) + 1
    rect = Rect(Point(x, y), Point(x + width, y + length))
    sketch.openings.append(Opening(f"S{number}", "Stair", kind, rect))
    if chance(draw, 4):
        more = place(draw, FOOT, 3 * FOOT)
        next_to = Rect(Point(x + width, y), Point(x + width + more, y + length))
        if draw(st.booleans()):
            next_to = Rect(Point(x, y + length), Point(x + width, y + length + more))
        sketch.openings.append(Opening(f"S{number + 1}", "Shaft", OpeningKind.SHAFT, next_to))


def _partition(draw: Draw, sketch: Sketch, zone: Zone) -> None:
    if not chance(draw, 5):
        return
    number = len(sketch.partitions) + 1
    x, y = place(draw, zone.x_0 + FOOT, zone.x_1 - FOOT), place(draw, zone.y_0 + FOOT, zone.y_1 - FOOT)
    ends = (
        (Point(x, zone.y_0), Point(x, zone.y_1))
        if zone.axis == "y"
        else (Point(zone.x_0, y), Point(zone.x_1, y))
    )
    bearing = draw(st.booleans())
    sketch.partitions.append(Partition(f"P{number}", *ends, bearing, 300.0 if bearing else 60.0))


def _edges(draw: Draw, sketch: Sketch, outline: tuple[Point, ...]) -> tuple[Edge, ...]:
    """Platform walls; at times one chain stands on ledgers or hangs free."""
    tip = [] if sketch.tip is None else [sketch.tip]
    lows, highs = set(pairwise([*sketch.low, *tip])), {(b, a) for a, b in pairwise([*sketch.high, *tip])}
    balloon = draw(st.sampled_from(("", "", "", "low", "high")))
    width = draw(st.sampled_from((88, 88, 56, 128)))
    edges = []
    for index, (a, b) in enumerate(zip(outline, outline[1:] + outline[:1], strict=True)):
        kind = EdgeKind.PLATFORM
        chain = "low" if (a, b) in lows else "high" if (a, b) in highs else ""
        if a.x_16 == b.x_16:
            kind = EdgeKind.PARALLEL if len(sketch.bays) == 1 else EdgeKind.PLATFORM
        elif chain and chain == sketch.free:
            kind = EdgeKind.FREE
        elif chain and chain == balloon:
            kind = EdgeKind.BALLOON
        edges.append(Edge(index, kind, width))
    return tuple(edges)


def _floor(draw: Draw, sketch: Sketch) -> FloorPlan:
    outline = sketch.outline()
    return FloorPlan(
        name="Made up",
        level="1",
        units="imperial",
        outline=outline,
        edges=_edges(draw, sketch, outline),
        bays=tuple(sketch.bays),
        load_case=LoadCase("Rooms", 40.0, (DeadLayer("Floor", 10.0),)),
        supports=tuple(sketch.supports),
        openings=tuple(sketch.openings),
        partitions=tuple(sketch.partitions),
    )
