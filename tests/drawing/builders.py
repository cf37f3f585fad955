"""Floors made by hand for drawing tests: joists run along y, stations count from the left."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from framing.engine.errors import Problem
from framing.engine.floor import (
    Bay,
    Edge,
    EdgeKind,
    FloorPlan,
    Joint,
    LoadCase,
    Opening,
    OpeningKind,
    Support,
    SupportKind,
    Units,
)
from framing.engine.geometry import Frame, Point, Rect
from framing.engine.members import BayLayout, EndKind, Member, MemberEnd, MemberKind, Span
from framing.engine.placement import BridgingLine, BridgingRun, Item, Placed
from framing.engine.result import Bundle, BundlePiece, Check, FloorResult, MemberCheck

FT = 192
IN = 16
PROFILE = "1000S162-54"
FLANGE = 26
LOADS = LoadCase("Sleeping rooms", 30.0, ())
RIM = 18
CLEAR = 6
OFF = 18


@dataclass(frozen=True)
class Hole:
    """An opening for the builder, in sixteenths."""

    name: str
    low: tuple[int, int]
    high: tuple[int, int]


def plan(
    corners: tuple[tuple[int, int], ...], *, spacing: Fraction = Fraction(256),
    openings: tuple[Hole, ...] = (), supports: tuple[Support, ...] = (), units: Units = "imperial",
    balloon: tuple[int, ...] = (), name: str = "Level 2",
) -> FloorPlan:  # fmt: skip
    points = tuple(Point(*corner) for corner in corners)
    edges = []
    for index, (a, b) in enumerate(zip(points, points[1:] + points[:1], strict=True)):
        bears = a.y_16 == b.y_16
        kind = EdgeKind.BALLOON if index in balloon else EdgeKind.PLATFORM if bears else EdgeKind.PARALLEL
        edges.append(Edge(index, kind, 88))
    holes = tuple(
        Opening(f"O{n}", h.name, OpeningKind.STAIR, Rect(Point(*h.low), Point(*h.high)))
        for n, h in enumerate(openings, 1)
    )
    bay = Bay("A", (), "y", "low", spacing, spacing)
    return FloorPlan(name, "2", units, points, tuple(edges), (bay,), LOADS, supports, holes)


def rectangle(width: int, height: int) -> tuple[tuple[int, int], ...]:
    return ((0, 0), (width, 0), (width, height), (0, height))


def _end(kind: EndKind, host: str, face: int) -> MemberEnd:
    return MemberEnd(kind, host, face)


class Builder:
    """Collects members of one bay."""

    def __init__(self, floor: FloorPlan) -> None:
        self.plan = floor
        self.members: list[Member] = []

    def add(self, kind: MemberKind, mark: str, centre: int, low: int, high: int, **more: object) -> Member:
        plies = 2 if kind in (MemberKind.TRIMMER, MemberKind.HEADER) else 1
        number = sum(m.kind is kind for m in self.members) + 1
        member = Member(
            f"A.{kind.value}{number}", kind, "A", PROFILE, plies,
            "across" if kind is MemberKind.HEADER else "along", centre, plies * FLANGE, low, high,
            _end(EndKind.PLATFORM, "edge:0", 88), _end(EndKind.PLATFORM, "edge:2", 88), mark=mark,
            why="R4 outline to outline", **more,  # type: ignore[arg-type]
        )  # fmt: skip
        self.members.append(member)
        return member

    def result(
        self, spans: tuple[Span, ...], lines: tuple[BridgingLine, ...] = (), placed: tuple[Placed, ...] = (),
        checks: tuple[MemberCheck, ...] = (), warnings: tuple[Problem, ...] = (),
    ) -> FloorResult:  # fmt: skip
        layout = BayLayout(self.plan.bays[0], Frame("y", 0), PROFILE, tuple(self.members), (), spans, None)
        return FloorResult(self.plan, (layout,), (), lines, placed, (), (), checks, (), warnings)


def bare_floor(
    width: int, depth: int, *, spacing: Fraction = Fraction(256), units: Units = "imperial"
) -> FloorResult:
    """A rectangle of equal joists with one bridging line and its blocks."""
    floor = plan(rectangle(width, depth), spacing=spacing, units=units)
    builder = Builder(floor)
    for station, centre in _stations(width, spacing):
        builder.add(
            MemberKind.JOIST,
            "2J01",
            centre,
            RIM + CLEAR,
            depth - RIM - CLEAR,
            station=station,
            holes_16=_holes(depth),
        )
    lines, placed = _bridging("A.B1", depth // 2, depth // 2 - 88, ((RIM, width - RIM),))
    return builder.result((_span(width, 88, depth - 88),), (lines,), placed)


def house(*, fails: bool = True) -> FloorResult:
    """32 ft by 24 ft with a bearing wall, lapped joists, a stair and a small shaft."""
    width, depth, mid = 32 * FT, 24 * FT, 12 * FT
    wall = Support("W1", SupportKind.WALL, Point(0, mid), Point(width, mid), 56, Joint.LAP)
    stair = Hole("Stair", (12 * FT, 13 * FT), (15 * FT + 96, 23 * FT))
    shaft = Hole("Duct", (25 * FT, 3 * FT), (26 * FT + 64, 4 * FT + 96))
    floor = plan(rectangle(width, depth), openings=(stair, shaft), supports=(wall,))
    builder = Builder(floor)
    low, high = RIM + CLEAR, depth - RIM - CLEAR
    for station, centre in _stations(width, Fraction(256)):
        _add_line(builder, shaft, station, centre, low, mid + 96, ("2J01", "2J05"))
    _frame(builder, shaft, low, mid + 96, ("2T01", "2H01"))
    for station, centre in _stations(width, Fraction(256)):
        _add_line(
            builder, stair, station, centre + FLANGE, mid - 96, high, ("2J02", "2J03"), line=1, shifted=True
        )
    _frame(builder, stair, mid - 96, high, ("2T02", "2H02"), line=1)
    spans = (_span(width, 88, mid - 28), replace(_span(width, mid + 28, depth - 88), index=1))
    first, placed = _bridging("A.B1", (88 + mid - 28) // 2, (mid - 116) // 2, ((RIM, width - RIM),))
    ends = ((RIM, stair.low[0] - OFF), (stair.high[0] + OFF, width - RIM))
    second, more = _bridging("A.B2", (mid + 28 + depth - 88) // 2, (mid - 116) // 2, ends, span=1)
    bad = MemberCheck(
        ("A.T3", "A.J4"),
        "Trimmers at Stair",
        PROFILE,
        2,
        140.0,
        (Check("Bending", 2.0, 1.0, "kip-in", "C", ()),),
        0,
    )
    warnings = (Problem("supports.0", "The bearing is off its line.", 2 * FT, mid),)
    return builder.result(spans, (first, second), placed + more, (bad,) if fails else (), warnings)


def ell() -> FloorResult:
    """An L: 40 ft by 16 ft, with a leg of 18 ft by 14 ft more on the right."""
    corners = ((0, 0), (40 * FT, 0), (40 * FT, 30 * FT), (22 * FT, 30 * FT), (22 * FT, 16 * FT), (0, 16 * FT))
    floor = plan(corners, spacing=Fraction(1536, 5), balloon=(4,))
    builder = Builder(floor)
    for station, centre in _stations(40 * FT, Fraction(1536, 5)):
        long = centre >= 22 * FT
        mark = "2J02" if long else "2J01"
        builder.add(
            MemberKind.JOIST,
            mark,
            centre,
            24,
            (30 if long else 16) * FT - 24,
            station=station,
            holes_16=_holes(16 * FT),
        )
    reach = ((0, 22 * FT, 88, 16 * FT - 88), (22 * FT, 40 * FT, 88, 30 * FT - 88))
    span = Span(0, 88, 30 * FT - 88, reach)
    third = (30 * FT - 176) // 4
    lines, placed = [], ()
    for number in (1, 2, 3):
        along = 88 + third * number
        runs = ((RIM, 40 * FT - RIM),) if along < 16 * FT else ((22 * FT + RIM, 40 * FT - RIM),)
        line, more = _bridging(f"A.B{number}", along, third, runs)
        lines.append(line)
        placed += more
    return builder.result((span,), tuple(lines), placed)


def turned(result: FloorResult) -> FloorResult:
    """The floor mirrored on its diagonal: joists run along x, stations count upwards."""
    floor = result.plan
    count = len(floor.outline)
    outline = tuple(_swap(point) for point in reversed(floor.outline))
    edges = tuple(
        Edge(count - 2 - edge.index if edge.index < count - 1 else count - 1, edge.kind, edge.width_16)
        for edge in floor.edges
    )
    new = replace(
        floor,
        outline=outline,
        edges=tuple(sorted(edges, key=lambda edge: edge.index)),
        bays=tuple(replace(bay, axis="x") for bay in floor.bays),
        supports=tuple(replace(s, start=_swap(s.start), end=_swap(s.end)) for s in floor.supports),
        openings=tuple(replace(o, rect=Rect(_swap(o.rect.low), _swap(o.rect.high))) for o in floor.openings),
    )
    bays = tuple(replace(bay, frame=Frame("x", bay.frame.start_16)) for bay in result.bays)
    placed = tuple(replace(thing, at=_swap(thing.at)) for thing in result.placed)
    return replace(result, plan=new, bays=bays, placed=placed)


def _swap(point: Point) -> Point:
    return Point(point.y_16, point.x_16)


def bundle() -> Bundle:
    marks = [("2J01", 189)] * 5 + [("2J02", 180)] * 3 + [("2T01", 160)]
    pieces = tuple(
        BundlePiece(0, 1, f"A.J{n}/0", mark, inches * IN, n, 20.0)
        for n, (mark, inches) in enumerate(marks, 1)
    )
    return Bundle(3, PROFILE, pieces, 180.0, 189 * IN, "A", False, "")


def _stations(width: int, spacing: Fraction) -> list[tuple[int, int]]:
    places: list[tuple[int, int]] = []
    station = 0
    while (centre := int(spacing * (station + 1) + Fraction(1, 2))) <= width - RIM - 48:
        places.append((station, centre))
        station += 1
    return places


def _holes(depth: int) -> tuple[int, ...]:
    return tuple(range(384, depth - 400, 384))


def _span(width: int, low: int, high: int) -> Span:
    return Span(0, low, high, ((0, width, low, high),))


def _add_line(
    builder: Builder, hole: Hole, station: int, centre: int, low: int, high: int, marks: tuple[str, str],
    line: int = 0, shifted: bool = False,
) -> None:  # fmt: skip
    """A joist, or the tails of it where the opening is in its way."""
    (left, bottom), (right, top) = hole.low, hole.high
    clear = 2 * FLANGE + OFF
    if left - clear <= centre <= right + clear and not left - OFF <= centre <= right + OFF:
        return
    if left - OFF <= centre <= right + OFF:
        ends = ((low, bottom - OFF - 2 * FLANGE - CLEAR), (top + OFF + 2 * FLANGE + CLEAR, high))
        for place, (a, b) in enumerate(ends):
            if b - a > 200:
                mark = f"{marks[1]}{'ab'[place]}"
                builder.add(MemberKind.JOIST, mark, centre, a, b, line=line, station=station, shifted=shifted)
        return
    builder.add(MemberKind.JOIST, marks[0], centre, low, high, line=line, station=station, shifted=shifted)


def _frame(builder: Builder, hole: Hole, low: int, high: int, marks: tuple[str, str], line: int = 0) -> None:
    (left, bottom), (right, top) = hole.low, hole.high
    builder.add(MemberKind.TRIMMER, marks[0], left - OFF - FLANGE, low, high, line=line)
    builder.add(MemberKind.TRIMMER, marks[0], right + OFF + FLANGE, low, high, line=line)
    for centre in (bottom - OFF - FLANGE, top + OFF + FLANGE):
        builder.add(MemberKind.HEADER, marks[1], centre, left - OFF + CLEAR, right + OFF - CLEAR)


def _bridging(
    name: str, along: int, clear: int, runs: tuple[tuple[int, int], ...], span: int = 0
) -> tuple[BridgingLine, tuple[Placed, ...]]:
    line = BridgingLine(
        name, "A", span, along, clear, tuple(BridgingRun(low, high, "rim", "rim") for low, high in runs)
    )
    placed = []
    for low, high in runs:
        for place in dict.fromkeys(
            (_bay_middle(low + 300), _bay_middle((low + high) // 2), _bay_middle(high - 300))
        ):
            item_id = f"block:{name}:{place}"
            placed.append(
                Placed(
                    item_id,
                    Item.SOLID_BLOCK,
                    "1000",
                    1,
                    "piece",
                    Point(place, along),
                    "R25",
                    "on a line",
                    name,
                )
            )
    for side, place in (("low", runs[0][0] + 119), ("high", runs[-1][1] - 119)):
        ladder = f"ladder:{name}:{side}"
        placed.append(
            Placed(
                ladder,
                Item.LADDER_BLOCK,
                "1000",
                1,
                "piece",
                Point(place, along),
                "R26",
                "beside a rim",
                name,
            )
        )
    return line, tuple(placed)


def _bay_middle(place: int) -> int:
    return place // 256 * 256 + 128
