"""Where joist lines stand (R3)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations, product
from math import ceil

from framing.engine.layout.ground import Ground, Reach, Wall
from framing.engine.units import round_half_up


@dataclass(frozen=True, slots=True)
class Station:
    """One joist line over one stretch of floor.

    `index` is k of R3, None for a closing joist; `exact_16` is the place before rounding to the sixteenth. A joist
    on the bay's far border meets what lies just before it (`on_far_side`).
    """

    index: int | None
    exact_16: Fraction
    across_16: int
    reach: Reach
    why: str
    on_far_side: bool = False

    @property
    def scan_16(self) -> int:
        """Where to ask what the joist line meets."""
        return self.across_16 - self.on_far_side


def find_stations(ground: Ground) -> tuple[Station, ...]:
    """All joist lines of the bay from the start edge outwards, before openings and partitions."""
    kept: list[Station] = []
    dropped: list[tuple[Station, Wall]] = []
    for station in _grid(ground):
        wall = _near_wall(ground, station)
        if wall is None:
            kept.append(station)
        elif _goes_on(ground, wall, station.reach):
            kept += _moved(ground, station, wall)
        else:
            dropped.append((station, wall))
    closing = {}
    for station, wall in dropped:
        extra = _closing(ground, kept, station.reach, wall)
        if extra is not None:
            closing[(extra.across_16, extra.reach.low_16)] = extra
    return tuple(sorted([*kept, *closing.values()], key=lambda s: (s.across_16, s.reach.low_16)))


def _grid(ground: Ground) -> list[Station]:
    places = []
    exact = ground.bay.offset_16
    while (across := round_half_up(exact)) < ground.across_high_16:
        places.append((exact, across))
        exact += ground.bay.spacing_16
    ground.scan([across for _, across in places])
    return [
        Station(index, exact, across, reach, "R3 station")
        for index, (exact, across) in enumerate(places)
        for reach in ground.reaches(across)
    ]


def _face_16(ground: Ground, wall: Wall) -> int:
    """Inside face of the rim on a wall beside the joists."""
    thick = ground.practice.rim_thickness_16
    return wall.across_low_16 - thick if wall.closes else wall.across_low_16 + thick


def _near_wall(ground: Ground, station: Station) -> Wall | None:
    """The rim nearer than 3 in that the station's joist would run beside."""
    near = ground.practice.near_rim_16
    for wall in ground.rims:
        if not wall.overlaps(station.reach.low_16, station.reach.high_16):
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


def _moved(ground: Ground, station: Station, wall: Wall) -> list[Station]:
    """The station 3 in from a step's rim; none where that is beyond the bay's border."""
    near = ground.practice.near_rim_16
    face = _face_16(ground, wall)
    across = face - near if wall.closes else face + near
    reach = next((r for r in ground.reaches(across) if r.overlaps(station.reach)), None)
    if reach is None and any(side.edge is None for side in ground.walls):
        return []
    words = "R3 station moved to 3 in from a step's rim"
    return [Station(station.index, Fraction(across), across, reach or station.reach, words)]


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


def close_borders(
    grounds: Sequence[Ground], found: Sequence[tuple[Station, ...]], widths_16: Sequence[int]
) -> list[tuple[Station, ...]]:
    """Stations of every bay as bays that run side by side leave them.

    Too wide a space gets closing joists; of two joists that would stand in each other the later bay's goes, or
    stands beside the other one where its place would leave too wide a space. `widths_16` are those of each bay's
    joists.
    """
    closed = [list(stations) for stations in found]
    for one, other in combinations(range(len(grounds)), 2):
        for mine, its in _common_borders(grounds[one], grounds[other]):
            sides = (_Side.of(grounds[one], mine, found[one]), _Side.of(grounds[other], its, found[other]))
            if sides[0] is None or sides[1] is None:
                continue
            extra = _between(sides[0], sides[1])
            for side, station in extra:
                home = one if side is sides[0] else other
                if not any(_in_the_way(there, station, widths_16[home]) for there in closed[home]):
                    closed[home].append(station)
            if (
                not extra
                and 2 * sides[0].apart_16(sides[1]) < widths_16[one] + widths_16[other]
                and sides[1].alone
            ):
                instead = _instead(
                    sides[0], sides[1], found[other], (widths_16[one] + widths_16[other] + 1) // 2
                )
                closed[other] = [s for s in closed[other] if s is not sides[1].station] + instead
    return [tuple(sorted(some, key=lambda s: (s.across_16, s.reach.low_16))) for some in closed]


def _instead(first: _Side, later: _Side, stations: Sequence[Station], touching_16: int) -> list[Station]:
    """What stands instead of a joist line that would stand in another bay's: none, or itself moved until they touch.

    It is not needed where the bay's next line, all its length, stands within the spacing of the other bay's.
    """
    gone, ground, wall = later.station, later.ground, later.wall
    most = max(first.ground.bay.spacing_16, ground.bay.spacing_16)
    if any(
        s is not gone
        and (s.across_16 < wall.across_low_16) is wall.closes
        and abs(_plan_16(ground, s.exact_16) - first.place_16) <= most
        and s.reach.low_16 <= gone.reach.low_16
        and gone.reach.high_16 <= s.reach.high_16
        for s in stations
    ):
        return []
    beside = ground.frame.across_16(first.ground.frame.point(first.station.across_16, 0))
    across = beside - touching_16 if wall.closes else beside + touching_16
    words = "R3 station moved beside the joist of the next bay"
    return [
        Station(gone.index, Fraction(across), across, reach, words)
        for reach in ground.reaches(across)
        if reach.overlaps(gone.reach)
    ]


def _in_the_way(one: Station, other: Station, width_16: int) -> bool:
    """Whether two joist lines of a bay would overlap, as where a border's two parts ask for the same joist."""
    return abs(one.across_16 - other.across_16) < width_16 and one.reach.overlaps(other.reach)


def _common_borders(one: Ground, other: Ground) -> Iterator[tuple[Wall, Wall]]:
    """Borders that the joists of both bays run beside."""
    if one.frame.axis != other.frame.axis:
        return
    for mine, its in product(one.walls, other.walls):
        beside = mine.beside and its.beside and mine.edge is None and its.edge is None
        overlap = beside and its.overlaps(mine.along_low_16, mine.along_high_16)
        if overlap and _plan_16(one, mine.across_low_16) == _plan_16(other, its.across_low_16):
            yield mine, its


@dataclass(frozen=True, slots=True)
class _Side:
    """One bay's nearest joist line to a border; places are plan coordinates."""

    ground: Ground
    wall: Wall
    station: Station
    border_16: Fraction
    place_16: Fraction

    @staticmethod
    def of(ground: Ground, wall: Wall, stations: Sequence[Station]) -> _Side | None:
        beside = [
            s
            for s in stations
            if wall.overlaps(s.reach.low_16, s.reach.high_16)
            and (s.across_16 < wall.across_low_16) is wall.closes
        ]
        near = min(beside, key=lambda s: abs(s.across_16 - wall.across_low_16), default=None)
        if near is None:
            return None
        border = _plan_16(ground, wall.across_low_16)
        return _Side(ground, wall, near, border, _plan_16(ground, near.exact_16))

    @property
    def alone(self) -> bool:
        """Whether the joist line runs beside the border all its length."""
        reach = self.station.reach
        return self.wall.along_low_16 <= reach.low_16 and reach.high_16 <= self.wall.along_high_16

    def apart_16(self, other: _Side) -> Fraction:
        return abs(self.place_16 - other.place_16)

    def holds(self, middle_16: Fraction) -> bool:
        """Whether a place lies on this bay's side of the border."""
        return (middle_16 - self.border_16) * (self.place_16 - self.border_16) > 0

    def closing(self, middle_16: Fraction) -> Station:
        exact = abs(middle_16 - self.ground.frame.start_16)
        across = round_half_up(exact)
        far = self.wall.closes and across >= self.wall.across_low_16
        scan = self.wall.across_low_16 - 1 if far else across
        own = next(
            (r for r in self.ground.reaches(scan) if r.overlaps(self.station.reach)), self.station.reach
        )
        words = "R3 closing joist between two bays"
        return Station(None, exact, across, own.at(across) if far else own, words, on_far_side=far)


def _between(one: _Side, other: _Side) -> list[tuple[_Side, Station]]:
    """The closing joists between two bays along one border, each with the side that it stands on.

    As few as part the space evenly into spaces within the larger spacing: one in its middle, but where a station is
    missing.
    """
    spaces = ceil(one.apart_16(other) / max(one.ground.bay.spacing_16, other.ground.bay.spacing_16))
    ending = one if one.wall.closes else other
    found = []
    for number in range(1, spaces):
        place = one.place_16 + (other.place_16 - one.place_16) * number / spaces
        home = next((side for side in (one, other) if side.holds(place)), ending)
        found.append((home, home.closing(place)))
    return found


def _plan_16(ground: Ground, across_16: Fraction | int) -> Fraction:
    """The plan coordinate of a place across."""
    start, exact = ground.frame.start_16, Fraction(across_16)
    return start - exact if ground.frame.reverse else start + exact
