"""The oracle's openings: R7 written plainly, for floors whose joists butt or end at flush beams, no free edges.

There every span has pieces of its own, so that a trimmer touches the joists of one span only.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from math import floor

from framing.engine.floor import FloorPlan, Opening
from tests.engine.properties.oracle import (
    CLEARANCE,
    FLANGE,
    LEAST,
    Piece,
    Stop,
    all_stations,
    piece_of,
    stops_of,
)
from tests.engine.properties.oracle_ground import Ground, NoAnswer, Rim, nearest
from tests.engine.properties.oracle_stations import RIM, Station

STAND_OFF = 18  # 1 1/8 in
PAIR = 2 * FLANGE  # trimmers and headers are of two plies


@dataclass(frozen=True)
class Hole:
    """A framed opening in its bay's frame; `between` are the places across that its tails lie between."""

    ident: str
    middle: Fraction
    between: tuple[Fraction, Fraction]
    trimmers: tuple[Piece, ...]
    headers: tuple[Piece | None, Piece | None]

    @property
    def host(self) -> str:
        return f"opening:{self.ident}"


def expected_with_openings(plan: FloorPlan) -> list[Piece]:
    """All joists, tails, trimmers and headers, those too short to set among them."""
    grounds = [Ground(plan, bay) for bay in plan.bays]
    if any(ground.start.denominator != 1 for ground in grounds):
        raise NoAnswer("a bay begins between two sixteenths")
    found: list[Piece] = []
    for ground, stations in zip(grounds, all_stations(grounds), strict=True):
        holes = [_hole(ground, opening) for opening in plan.openings if _within(ground, opening)]
        for hole in holes:
            found += [*hole.trimmers, *(header for header in hole.headers if header)]
        for station in stations:
            stops = stops_of(ground, station)
            for low, high in itertools.pairwise(stops):
                found += _set(ground, station, low, high, holes)
    return found


def _reach(ground: Ground, opening: Opening) -> tuple[list[Fraction], list[Fraction]]:
    (ua, va), (ub, vb) = ground.frame(opening.rect.low), ground.frame(opening.rect.high)
    return sorted((ua, ub)), sorted((va, vb))


def _within(ground: Ground, opening: Opening) -> bool:
    (u0, u1), (v0, v1) = _reach(ground, opening)
    return any(s.shares((v0 + v1) / 2, (v0 + v1) / 2 + 1) for s in ground.scan((u0 + u1) / 2))


def _hole(ground: Ground, opening: Opening) -> Hole:
    (u0, u1), (v0, v1) = _reach(ground, opening)
    middle = (v0 + v1) / 2
    walls = _wall(ground, u0, v0, v1, before=False), _wall(ground, u1, v0, v1, before=True)
    trimmers = []
    for wall, centre in zip(walls, (u0 - STAND_OFF - FLANGE, u1 + STAND_OFF + FLANGE), strict=True):
        if wall is None:
            station, stops = _span(ground, centre, middle)
            trimmers.append(replace(piece_of(ground, station, int(centre), stops, PAIR), kind="T"))
    low_end = walls[0].place + RIM + CLEARANCE if walls[0] else u0 - STAND_OFF + CLEARANCE
    high_end = walls[1].place - RIM - CLEARANCE if walls[1] else u1 + STAND_OFF - CLEARANCE
    headers: list[Piece | None] = []
    for index, centre in enumerate((v0 - STAND_OFF - FLANGE, v1 + STAND_OFF + FLANGE)):
        edge = (v0, v1)[index]
        borne = all(_bears(ground, u, way, middle, edge, index) for u, way in ((u0, 1), (u1, -1)))
        headers.append(None if borne else _header(ground, opening, centre, low_end, high_end, walls))
    between = (
        walls[0].place if walls[0] else u0 - STAND_OFF,
        walls[1].place if walls[1] else u1 + STAND_OFF,
    )
    return Hole(opening.id, middle, between, tuple(trimmers), (headers[0], headers[1]))


def _wall(ground: Ground, edge: Fraction, v0: Fraction, v1: Fraction, *, before: bool) -> Rim | None:
    """The outside wall that leaves a trimmer no room beside an opening's edge."""
    for rim in ground.rims():
        space = rim.place - edge if before else edge - rim.place
        if rim.before is before and 0 <= space < STAND_OFF + PAIR + RIM and rim.low < v1 and v0 < rim.high:
            if not (rim.low <= v0 and v1 <= rim.high):
                raise NoAnswer("a wall beside a part of an opening")
            return rim
    return None


def _span(ground: Ground, across: Fraction, along: Fraction, way: int = 1) -> tuple[Station, list[Stop]]:
    """The two bearings that a line across stands between at a place along it."""
    for stretch in ground.scan(across, way):
        station = Station(across, int(across), stretch, way)
        stops = stops_of(ground, station) if stretch.shares(along, along + 1) else []
        for low, high in itertools.pairwise(stops):
            if low.at <= along < high.at:
                return station, [low, high]
    raise NoAnswer("an opening or its trimmer beyond the floor")


def _bears(ground: Ground, across: Fraction, way: int, middle: Fraction, edge: Fraction, end: int) -> bool:
    """Whether an opening's edge lies within the width of the bearing at that end, faces included."""
    stop = _span(ground, across, middle, way)[1][end]
    inward = 1 if end == 0 else -1
    near, far = stop.at + inward * stop.half, stop.at - inward * stop.half
    if stop.kind in ("platform", "balloon"):
        far = stop.at
    low, high = sorted((nearest(near), nearest(far)))
    if stop.rise and min(abs(edge - low), abs(edge - high)) <= 1:
        raise NoAnswer("an opening's edge on a skewed face")
    return low <= edge <= high


def _header(
    ground: Ground,
    opening: Opening,
    centre: Fraction,
    low: Fraction,
    high: Fraction,
    walls: tuple[Rim | None, Rim | None],
) -> Piece:
    kinds = ["platform" if wall else "trimmer" for wall in walls]
    hosts = [f"edge:{wall.edge}" if wall else f"opening:{opening.id}" for wall in walls]
    ends = (kinds[0], kinds[1]), (hosts[0], hosts[1])
    return Piece(ground.bay.id, int(centre), low, high, *ends, (), short=False, kind="H")


def _set(ground: Ground, station: Station, low: Stop, high: Stop, holes: list[Hole]) -> Iterator[Piece]:
    """The joist of one span, moved clear of trimmers, or its tails (R7)."""
    width = FLANGE * ground.bay.plies
    plain = piece_of(ground, station, station.across, [low, high], width)
    centre = _clear(station.across, width, plain, holes)
    if centre is None:
        return
    piece = piece_of(ground, station, centre, [low, high], width)
    here = [h for h in holes if low.at <= h.middle < high.at and h.between[0] < centre < h.between[1]]
    if len(here) > 1:
        raise NoAnswer("openings one behind the other")
    if not here:
        yield piece
        return
    away = centre - station.across
    faces = low.at + low.rise * away + low.half, high.at + high.rise * away - high.half
    askew = bool(low.rise), bool(high.rise)
    yield from _tails(piece, here[0], faces, askew)


def _clear(centre: int, width: int, plain: Piece, holes: list[Hole]) -> int | None:
    """The centre line clear of all trimmers; None where one stands in the joist's place."""
    bands = [t for hole in holes for t in hole.trimmers if t.low < plain.high and plain.low < t.high]
    for _ in range(len(bands) + 1):
        hit = next((t for t in bands if 2 * abs(centre - t.centre) < PAIR + width), None)
        if hit is None:
            return centre
        if abs(centre - hit.centre) <= FLANGE:
            if max(hit.low - plain.low, plain.high - hit.high) <= LEAST:
                return None
            raise NoAnswer("a joist that runs on beyond a trimmer in its place")
        reach = FLANGE + width // 2
        centre = hit.centre + reach if centre > hit.centre else hit.centre - reach
    return None


def _tails(
    piece: Piece, hole: Hole, faces: tuple[Fraction, Fraction], askew: tuple[bool, bool]
) -> Iterator[Piece]:
    below, above = hole.headers
    if below is not None and below.centre - FLANGE > faces[0]:
        end = Fraction(below.centre - FLANGE - CLEARANCE)
        tail = replace(piece, high=end, ends=(piece.ends[0], "header"), hosts=(piece.hosts[0], hole.host))
        yield replace(tail, short=askew[0] and floor(end - piece.low) < LEAST)
    if above is not None and above.centre + FLANGE < faces[1]:
        start = Fraction(above.centre + FLANGE + CLEARANCE)
        tail = replace(piece, low=start, ends=("header", piece.ends[1]), hosts=(hole.host, piece.hosts[1]))
        yield replace(tail, short=askew[1] and floor(piece.high - start) < LEAST)
