"""Where the joists of a floor must be: R3 to R5 written plainly in exact numbers, sharing no code with the engine.

For floors without openings and partitions. Only the set-back at a skewed wall has a root, taken to fifty digits.
What counts is told as `Piece`s. Numbers of the rules stand here once more on purpose.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from math import floor

from framing.engine.floor import FloorPlan, Joint, Support, SupportKind
from tests.engine.properties.oracle_ground import Bound, Ground, NoAnswer, nearest, slant
from tests.engine.properties.oracle_stations import FLANGE, RIM, Station, close_borders, stations_of

CLEARANCE = 6  # 3/8 in
PAST = 96  # 6 in
GAP = 3  # 3/16 in
LEAST = 192  # 12 in
LONGEST = 480 * 16

__all__ = ["FLANGE", "NoAnswer", "Piece", "expected"]


@dataclass(frozen=True)
class Stop:
    """What bears, or ends, a joist: its kind, its name, its centre and its half, which is measured along the joist."""

    kind: str
    host: str
    at: Fraction
    rise: Fraction
    half: Fraction = Fraction(0)
    through: bool = False
    laps: bool = False


@dataclass(frozen=True)
class Piece:
    """One joist: exact cut places, before its length is rounded down."""

    bay: str
    centre: int
    low: Fraction
    high: Fraction
    ends: tuple[str, str]
    hosts: tuple[str, str]
    crosses: tuple[str, ...]
    short: bool
    doubtful: bool = field(default=False, compare=False)
    kind: str = "J"


def expected(plan: FloorPlan) -> list[Piece]:
    """All joists of a floor without openings and partitions, those too short to set among them."""
    grounds = [Ground(plan, bay) for bay in plan.bays]
    if any(ground.start.denominator != 1 for ground in grounds):
        raise NoAnswer("a bay begins between two sixteenths")
    return [
        piece
        for ground, stations in zip(grounds, all_stations(grounds), strict=True)
        for station in stations
        for piece in _pieces(ground, station)
    ]


def all_stations(grounds: list[Ground]) -> list[list[Station]]:
    """Every bay's joist lines, borders settled; a line that only touches the floor in a corner is none."""
    found = [stations_of(ground) for ground in grounds]
    close_borders(grounds, found)
    return [[s for s in stations if s.stretch.low.along < s.stretch.high.along] for stations in found]


def _pieces(ground: Ground, station: Station) -> Iterator[Piece]:
    """R4, R5: the pieces of one joist line."""
    _bay, width = ground.bay, FLANGE * ground.bay.plies
    below = _laps_below(ground, station)
    stops = stops_of(ground, station)
    passed = {1} if stops[0].kind == "free" else set()
    passed |= {len(stops) - 2} if stops[-1].kind == "free" else set()
    start, laps = 0, below
    for index in range(1, len(stops)):
        stop = stops[index]
        if index < len(stops) - 1 and (index in passed or _goes_through(stops, start, index)):
            continue
        centre = station.across + (width if laps % 2 else 0)
        yield piece_of(ground, station, centre, stops[start : index + 1], width)
        laps += stop.laps
        start = index


def stops_of(ground: Ground, station: Station) -> list[Stop]:
    """What bears or ends a joist line, from its low to its high end."""
    low = _side(ground, station, station.stretch.low, 1)
    high = _side(ground, station, station.stretch.high, -1)
    return [low, *_inner(ground, station), high]


def _goes_through(stops: list[Stop], start: int, index: int) -> bool:
    """Through, while the piece up to the next stop is within the longest (R5)."""
    if not stops[index].through:
        return False
    low, _ = _cut(stops[start], 0, 1)
    high, _ = _cut(stops[index + 1], 0, -1)
    return high - low <= LONGEST


def _laps_below(ground: Ground, station: Station) -> int:
    """Lapped bearing lines of the bay that this stretch of floor lies above: a wing keeps its row's shift."""
    count = 0
    for support in _lines(ground):
        (ua, va), (ub, vb) = sorted((ground.frame(support.start), ground.frame(support.end)))
        across = Fraction(station.across)
        across = ua if across < ua else min(across, ub)
        near = va + (vb - va) * (across - ua) / (ub - ua)
        count += _is_lap(support) and near <= _wall_end(ground, station.stretch.low, 1)
    return count


def _is_lap(support: Support) -> bool:
    return support.kind is not SupportKind.FLUSH_BEAM and support.joint is Joint.LAP


def _lines(ground: Ground) -> Iterator[Support]:
    """Bearings across the joists with some of them inside the bay, not under its border."""
    for support in ground.plan.supports:
        (ua, va), (ub, vb) = sorted((ground.frame(support.start), ground.frame(support.end)))
        if ua < ub:
            rise = (vb - va) / (ub - ua)
            looks = (ua, max(ua, Fraction(0)), (ua + ub) / 2, ub - 1)
            stretches = [(u, s) for u in looks for s in ground.scan(u)]
            if any(s.low.at(u) < va + rise * (u - ua) < s.high.at(u) for u, s in stretches):
                yield support


def _half(support: Support, rise: Fraction) -> Fraction:
    """Half a bearing's width along the joist; the whole to the nearest sixteenth."""
    if support.kind is SupportKind.FLUSH_BEAM:
        return Fraction(FLANGE)
    return Fraction(nearest(support.width_16 * slant(rise)), 2)


def _inner(ground: Ground, station: Station) -> list[Stop]:
    found = []
    for support in _lines(ground):
        (ua, va), (ub, vb) = sorted((ground.frame(support.start), ground.frame(support.end)))
        if not station.meets(ua, ub):
            continue
        rise = (vb - va) / (ub - ua)
        at = va + rise * (station.across - ua)
        low, high = station.stretch.low, station.stretch.high
        if _wall_end(ground, low, 1) < at < _wall_end(ground, high, -1):
            found.append(_bearing(support, ground.plan, at, rise))
    return sorted(found, key=lambda s: s.at)


def _wall_end(ground: Ground, bound: Bound, way: int) -> Fraction:
    """Where the outside wall at a stretch's end stops: a bearing within it is that wall (R2)."""
    if bound.edge is None:
        return bound.along
    edge = ground.plan.edges[bound.edge]
    width = 0 if edge.kind.value == "free" else edge.width_16
    return bound.along + way * nearest(width * slant(bound.rise))


def _bearing(support: Support, plan: FloorPlan, at: Fraction, rise: Fraction) -> Stop:
    half = _half(support, rise)
    if support.kind is SupportKind.FLUSH_BEAM:
        return Stop("flush", f"support:{support.id}", at, rise, half)
    through, laps = support.joint is Joint.THROUGH, support.joint is Joint.LAP
    # A bearing that can't be passed for want of length is lapped.
    return Stop(
        "butt" if support.joint is Joint.BUTT else "lap",
        f"support:{support.id}",
        at,
        rise,
        half,
        through,
        laps or through,
    )


def _side(ground: Ground, station: Station, bound: Bound, way: int) -> Stop:
    if bound.edge is not None:
        edge = ground.plan.edges[bound.edge]
        thick = RIM if edge.kind.value in ("balloon", "free") else edge.width_16
        half = Fraction(nearest(thick * slant(bound.rise)))
        return Stop(edge.kind.value, f"edge:{bound.edge}", bound.along, bound.rise, half)
    for support in ground.plan.supports:
        (ua, va), (ub, vb) = sorted((ground.frame(support.start), ground.frame(support.end)))
        if ua < ub and station.meets(ua, ub):
            rise = (vb - va) / (ub - ua)
            at = va + rise * (station.across - ua)
            if abs(at - bound.along) <= _half(support, rise):
                made = _bearing(support, ground.plan, at, rise)
                kind = "flush" if made.kind == "flush" else "butt"
                return Stop(kind, made.host, at, rise, made.half)
    raise NoAnswer("nothing under a border")


def _cut(stop: Stop, width: int, way: int) -> tuple[Fraction, Fraction]:
    """Where a piece that leaves a stop (way 1) or comes up to it (-1) is cut, and the bearing's face there."""
    at, outside = stop.at, stop.kind in ("platform", "balloon", "free")
    face = at + way * stop.half
    if stop.kind == "flush":
        return face + way * CLEARANCE, face
    if stop.kind == "lap":
        return at - way * PAST, face
    if stop.kind == "butt":
        return at + way * GAP, face
    assert outside
    rise = abs(stop.rise)
    return at + way * max(Fraction(RIM + CLEARANCE), RIM * slant(rise) + Fraction(width, 2) * rise), face


def piece_of(ground: Ground, station: Station, centre: int, stops: list[Stop], width: int) -> Piece:
    """The piece of that width on that line from the first stop to the last."""
    away = centre - station.across
    here = [Stop(s.kind, s.host, s.at + s.rise * away, s.rise, s.half, s.through, s.laps) for s in stops]
    low, low_face = _cut(here[0], width, 1)
    high, high_face = _cut(here[-1], width, -1)
    faces = [low_face, *(f for s in here[1:-1] for f in (s.at - s.half, s.at + s.half)), high_face]
    clear = min(b - a for a, b in zip(faces[::2], faces[1::2], strict=True))
    askew = any(s.rise for s in here)
    return Piece(
        ground.bay.id,
        centre,
        low,
        high,
        (here[0].kind, here[-1].kind),
        (here[0].host, here[-1].host),
        tuple(s.host for s in here[1:-1]),
        askew and (floor(high - low) < LEAST or clear <= 0),
        askew and (abs(clear) <= 2 or not ground.holds(centre)),
    )
