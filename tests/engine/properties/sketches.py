"""Made-up real floors: stepped, skewed and notched outlines, one to three bays, walls, flush beams, overhangs, stairs.

A floor is drawn with its main joists along y, low edges near y = 0 and high ones near its depth, so that between
the deepest low and the shallowest high edge a band of floor goes right across: there inner walls and borders lie.
Lengths in sixteenths. Whether a floor can be built is for the engine to say; most can.
"""

from __future__ import annotations

from itertools import pairwise

from hypothesis import strategies as st

from framing.engine.floor import (
    DeadLayer,
    Edge,
    EdgeKind,
    FloorPlan,
    Joint,
    LoadCase,
    Opening,
    OpeningKind,
    Partition,
    StandingLoad,
    Support,
    SupportKind,
)
from framing.engine.geometry import Point, Rect
from tests.engine.properties.sketching import FOOT, Draw, Sketch, Zone, chance, draw_bays, draw_chains, place


@st.composite
def real_floors(draw: Draw, *, parts: bool = True, openings: int = 3) -> FloorPlan:
    """Any real floor; with `parts` also openings (in one zone of so many), partitions and point loads."""
    sketch = Sketch()
    draw_chains(draw, sketch)
    zones = draw_bays(draw, sketch)
    for zone in zones:
        _walls(draw, sketch, zone)
    _cantilever(draw, sketch)
    if parts:
        for zone in zones:
            _openings(draw, sketch, zone, openings)
            _partition(draw, sketch, zone)
            _point_load(draw, sketch, zone)
    return _floor(draw, sketch)


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


def _openings(draw: Draw, sketch: Sketch, zone: Zone, one_in: int) -> None:
    """A stair or shaft anywhere in the zone, often beside its side, at times with a second one against it."""
    if not chance(draw, one_in):
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


def _point_load(draw: Draw, sketch: Sketch, zone: Zone) -> None:
    if not chance(draw, 4):
        return
    at = Point(draw(st.integers(zone.x_0, zone.x_1)), draw(st.integers(zone.y_0, zone.y_1)))
    number = len(sketch.point_loads) + 1
    dead = draw(st.sampled_from((0.0, 50.0, 200.0)))
    sketch.point_loads.append(
        StandingLoad(f"Q{number}", "", at, dead, draw(st.sampled_from((40.0, 300.0, 900.0))))
    )


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
        point_loads=tuple(sketch.point_loads),
    )
