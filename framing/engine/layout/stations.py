"""Where joist lines stand (R3)."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from framing.engine.layout.ground import Ground, Reach, Wall
from framing.engine.units import round_half_up


@dataclass(frozen=True, slots=True)
class Station:
    """One joist line over one stretch of floor.

    `index` is k of R3, None for a closing joist; `exact_16` is the place before rounding to the sixteenth.
    """

    index: int | None
    exact_16: Fraction
    across_16: int
    reach: Reach
    why: str


def find_stations(ground: Ground) -> tuple[Station, ...]:
    """All joist lines of the bay from the start edge outwards, before openings and partitions."""
    kept: list[Station] = []
    dropped: list[tuple[Station, Wall]] = []
    for station in _grid(ground):
        wall = _near_wall(ground, station)
        if wall is None:
            kept.append(station)
        elif _goes_on(ground, wall, station.reach):
            kept.append(_moved(ground, station, wall))
        else:
            dropped.append((station, wall))
    closing = {}
    for station, wall in dropped:
        extra = _closing(ground, kept, station.reach, wall)
        if extra is not None:
            closing[(extra.across_16, extra.reach.low_16)] = extra
    return tuple(sorted([*kept, *closing.values()], key=lambda s: (s.across_16, s.reach.low_16)))


def _grid(ground: Ground) -> list[Station]:
    found = []
    index, exact = 0, ground.bay.offset_16
    while (across := round_half_up(exact)) < ground.across_high_16:
        found += [Station(index, exact, across, reach, "R3 station") for reach in ground.reaches(across)]
        index, exact = index + 1, exact + ground.bay.spacing_16
    return found


def _face_16(ground: Ground, wall: Wall) -> int:
    """Inside face of the rim on a wall beside the joists."""
    thick = ground.practice.rim_thickness_16
    return wall.across_low_16 - thick if wall.closes else wall.across_low_16 + thick


def _near_wall(ground: Ground, station: Station) -> Wall | None:
    """The rim nearer than 3 in that the station's joist would run beside."""
    near = ground.practice.near_rim_16
    for wall in ground.walls:
        if not wall.beside or not wall.overlaps(station.reach.low_16, station.reach.high_16):
            continue
        face, closes = _face_16(ground, wall), wall.closes
        on_floor_side = (station.across_16 < wall.across_low_16) is closes
        if on_floor_side and (station.across_16 > face - near if closes else station.across_16 < face + near):
            return wall
    return None


def _goes_on(ground: Ground, wall: Wall, reach: Reach) -> bool:
    """Whether the floor goes on beyond the wall, beside it, for some of the joist's length."""
    beyond = wall.across_low_16 if wall.closes else wall.across_low_16 - 1
    return any(reach.overlaps(other) for other in ground.reaches(beyond))


def _moved(ground: Ground, station: Station, wall: Wall) -> Station:
    near = ground.practice.near_rim_16
    face = _face_16(ground, wall)
    across = face - near if wall.closes else face + near
    reach = next((r for r in ground.reaches(across) if r.overlaps(station.reach)), station.reach)
    return Station(
        station.index, Fraction(across), across, reach, "R3 station moved to 3 in from a step's rim"
    )


def _closing(ground: Ground, kept: list[Station], reach: Reach, wall: Wall) -> Station | None:
    """The joist in the middle of a space over the spacing beside a rim whose station was not set."""
    end = Fraction(wall.across_low_16)
    stations = [s.exact_16 for s in kept if s.reach.overlaps(reach)]
    outlines = [
        Fraction(w.across_low_16)
        for w in ground.walls
        if w.beside and w is not wall and w.overlaps(reach.low_16, reach.high_16)
    ]
    if wall.closes:
        other = max(place for place in stations + outlines if place < end)
    else:
        other = min(place for place in stations + outlines if place > end)
    if abs(end - other) <= ground.bay.spacing_16:
        return None
    middle = (end + other) / 2
    across = round_half_up(middle)
    own = next(r for r in ground.reaches(across) if r.overlaps(reach))
    return Station(None, middle, across, own, "R3 closing joist in the middle of the last space")
