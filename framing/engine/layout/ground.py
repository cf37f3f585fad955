"""The floor seen from one bay: walls and bearing lines in its frame, and the scan line across them (R1-R3).

Scan rule: half open, a station at `across` meets what lies just away from the start edge. Sides that run exactly
along the joists are beside them; on all others joists end.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from framing.engine.floor import Bay, Edge, FloorPlan, Joint, SupportKind
from framing.engine.geometry import Frame, Point
from framing.engine.layout.scan import crossings
from framing.engine.lean import SQUARE, Lean, Number, whole
from framing.engine.members import Member
from framing.engine.practice import Practice
from framing.engine.regions import Region, Side, regions_of

SLACK_16 = 16
"""A bearing under a border may end this far short of the outline: walls are drawn to an inside face, or rounded."""
SAME_LINE_16 = 24 * 16
"""Bearings drawn within 24 in of each other, end to end, are meant as one bearing line."""


@dataclass(frozen=True, slots=True)
class Track:
    """A straight line in the frame by two places on it, (across, along) each, the lower across first."""

    across_0_16: int
    along_0_16: int
    across_1_16: int
    along_1_16: int

    @staticmethod
    def of(frame: Frame, a: Point, b: Point) -> Track:
        low, high = sorted((frame.across_16(p), frame.along_16(p)) for p in (a, b))
        return Track(*low, *high)

    def along_16(self, across_16: Number) -> Number:
        """Where it stands at a place across; only for a track that is not beside the joists."""
        if self.along_0_16 == self.along_1_16:
            return self.along_0_16
        run, rise = self.across_1_16 - self.across_0_16, self.along_1_16 - self.along_0_16
        return whole(self.along_0_16 + Fraction((across_16 - self.across_0_16) * rise) / run)

    @property
    def ends(self) -> tuple[int, int, int, int]:
        return self.across_0_16, self.along_0_16, self.across_1_16, self.along_1_16

    def within(self, low_16: int, high_16: int) -> tuple[int, int, int, int]:
        """A part of it by its ends across; the along-coordinates are the whole track's."""
        return low_16, self.along_0_16, high_16, self.along_1_16

    @property
    def lean(self) -> Lean:
        if self.along_0_16 == self.along_1_16:
            return SQUARE
        return Lean(self.across_1_16 - self.across_0_16, abs(self.along_1_16 - self.along_0_16))


@dataclass(frozen=True, slots=True)
class Wall:
    """A side of the bay in the frame: on an outline edge, or on a border with another bay (`edge` None).

    `closes` is True beside a floor that lies on its low-across side.
    """

    edge: Edge | None
    track: Track
    across_low_16: int
    across_high_16: int
    along_low_16: int
    along_high_16: int
    closes: bool = False

    @property
    def beside(self) -> bool:
        """True for a side that runs along the joists."""
        return self.track.across_0_16 == self.track.across_1_16

    @property
    def host(self) -> str:
        """The outline edge as members name what they meet; "" at a border."""
        return f"edge:{self.edge.index}" if self.edge else ""

    @property
    def width_16(self) -> int:
        """Width of the outside wall; a border has none of its own."""
        return self.edge.width_16 if self.edge else 0

    def overlaps(self, low_16: Number, high_16: Number) -> bool:
        """Whether the wall runs beside some of the stretch from low to high (touching is not enough)."""
        return self.along_low_16 < high_16 and low_16 < self.along_high_16


@dataclass(frozen=True, slots=True)
class Line:
    """An interior bearing across the joists; `flush` is the member that joists end at, None where they stand on it."""

    id: str
    kind: SupportKind
    joint: Joint
    track: Track
    width_16: int
    row: int = 0
    flush: Member | None = None

    @property
    def across_low_16(self) -> int:
        return self.track.across_0_16

    @property
    def across_high_16(self) -> int:
        return self.track.across_1_16

    @property
    def half_16(self) -> int:
        """Half its width, measured along the joists."""
        return self.track.lean.through_16(self.width_16) // 2

    def covers(self, across_16: int) -> bool:
        return self.across_low_16 <= across_16 < self.across_high_16

    def under(self, across_16: int) -> bool:
        """Whether it stands under a joist there, a wall's end drawn short within the site's inch included."""
        return self.across_low_16 - SLACK_16 <= across_16 < self.across_high_16 + SLACK_16

    def holds(self, across_16: int, along_16: Number) -> bool:
        """Whether a place lies within half its width of its centre, as along it: no line across holds a border."""
        half = self.width_16 // 2
        return -half <= self.track.along_16(across_16) - along_16 <= half

    def along_near_16(self, across_16: int) -> Number:
        """Where it stands at a place across, or at its end nearest to it."""
        return self.track.along_16(min(max(across_16, self.across_low_16), self.across_high_16))


@dataclass(frozen=True, slots=True)
class Reach:
    """One stretch of the bay under a station, from side to side."""

    low_16: Number
    high_16: Number
    low_wall: Wall
    high_wall: Wall

    def overlaps(self, other: Reach) -> bool:
        return self.low_16 < other.high_16 and other.low_16 < self.high_16

    def at(self, across_16: int) -> Reach:
        """Between the same two sides on another line near by."""
        low, high = (wall.track.along_16(across_16) for wall in (self.low_wall, self.high_wall))
        return Reach(low, high, self.low_wall, self.high_wall)


@dataclass(frozen=True, slots=True)
class Ground:
    """One bay's walls and lines in its frame; each of `rows` is the lines that form one bearing line.

    `bearings` are those under its borders, which joists of this bay end on; they are no lines of its own. `number` is
    the bay's place in the plan.
    """

    bay: Bay
    frame: Frame
    walls: tuple[Wall, ...]
    lines: tuple[Line, ...]
    rows: tuple[tuple[Line, ...], ...]
    bearings: tuple[Line, ...]
    practice: Practice
    number: int
    _kept: dict[int, tuple[Reach, ...]] = field(default_factory=dict, compare=False, repr=False)

    @property
    def across_high_16(self) -> int:
        return max(wall.across_high_16 for wall in self.walls)

    @property
    def rims(self) -> tuple[Wall, ...]:
        """Sides beside the joists with a rim on them: on the outline, not at borders."""
        return tuple(wall for wall in self.walls if wall.beside and wall.edge)

    @property
    def askew(self) -> frozenset[str]:
        """Sides and bearings that stand askew to the joists, as members name what they meet; "" for a border."""
        sides = {w.host for w in self.walls if not w.beside and w.track.lean.rise_16}
        lines = (x for x in (*self.lines, *self.bearings) if x.track.lean.rise_16)
        return frozenset(sides | {f"support:{x.id}" for x in lines})

    def reaches(self, across_16: int) -> tuple[Reach, ...]:
        """Stretches of the bay that a station at `across_16` meets, low to high."""
        if across_16 not in self._kept:
            self.scan([across_16])
        return self._kept[across_16]

    def scan(self, stations_16: Sequence[int]) -> None:
        """Find what many stations meet at once; they rise."""
        sides = [w.track.within(w.across_low_16, w.across_high_16) for w in self.walls]
        lines = [w.track.ends for w in self.walls]
        for across, met in zip(stations_16, crossings(sides, stations_16, lines), strict=True):
            pairs = zip(met[::2], met[1::2], strict=True)
            self._kept[across] = tuple(
                Reach(low.along_16, high.along_16, self.walls[low.side], self.walls[high.side])
                for low, high in pairs
                if low.along_16 < high.along_16
            )


def survey(plan: FloorPlan, bay: Bay, practice: Practice, beams: Sequence[tuple[str, Member]] = ()) -> Ground:
    """The ground of `bay` in a floor that `check_floor` let pass; `beams` are the floor's flush beams by support."""
    number = plan.bays.index(bay)
    region = regions_of(plan)[number]
    frame = frame_of(bay, region)
    walls = tuple(_wall(frame, side) for side in region.sides)
    found = sorted(
        _lines(plan, frame, walls, dict(beams)),
        key=lambda line: (line.track.along_0_16, line.across_low_16, line.id),
    )
    bearings = tuple(line for line in found if any(_under(line, wall) for wall in walls))
    bare = Ground(bay, frame, walls, (), (), bearings, practice, number)
    several = len(plan.bays) > 1
    rows = _rows([line for line in found if not several or _within(bare, line)])
    numbered = tuple(replace(line, row=i) for i, row in enumerate(rows) for line in row)
    closed = tuple(replace(wall, closes=_closes(bare, wall)) for wall in walls)
    return Ground(bay, frame, closed, numbered, rows, bearings, practice, number)


def frame_of(bay: Bay, region: Region) -> Frame:
    """The bay's frame: stations count from its outermost line on the start side."""
    others = [p.x_16 if bay.axis == "y" else p.y_16 for p in region.ring]
    reverse = bay.start == "high"
    return Frame(bay.axis, max(others) if reverse else min(others), reverse)


def _closes(ground: Ground, wall: Wall) -> bool:
    if not wall.beside:
        return False
    middle = Fraction(wall.along_low_16 + wall.along_high_16, 2)
    before = ground.reaches(wall.across_low_16 - 1)
    return any(reach.low_16 < middle < reach.high_16 for reach in before)


def _wall(frame: Frame, side: Side) -> Wall:
    across = sorted((frame.across_16(side.start), frame.across_16(side.end)))
    along = sorted((frame.along_16(side.start), frame.along_16(side.end)))
    track = Track.of(frame, *side.line)
    if track.across_0_16 == track.across_1_16 and across[0] < across[1]:
        track = Track.of(
            frame, side.start, side.end
        )  # a sliver beside a corner, off the edge it was taken for
    return Wall(side.edge, track, across[0], across[1], along[0], along[1])


def _lines(plan: FloorPlan, frame: Frame, walls: tuple[Wall, ...], beams: dict[str, Member]) -> list[Line]:
    lines = []
    for support in plan.supports:
        track = Track.of(frame, support.start, support.end)
        if track.across_0_16 == track.across_1_16:
            continue  # runs with the joists and carries none; floor_checks warns
        beam = beams.get(support.id)
        width = beam.width_16 if beam else support.width_16
        joint = Joint.BUTT if beam else support.joint
        lines.append(Line(support.id, support.kind, joint, _stretched(track, walls), width, flush=beam))
    return lines


def _stretched(track: Track, walls: tuple[Wall, ...]) -> Track:
    """A square bearing drawn to a wall's inside carries on over that wall to the outline."""
    if track.along_0_16 != track.along_1_16:
        return track
    low, high = track.across_0_16, track.across_1_16
    for wall in walls:
        if wall.beside and wall.along_low_16 <= track.along_0_16 <= wall.along_high_16:
            at_16, width_16 = wall.across_low_16, wall.width_16
            if 0 < low - at_16 <= width_16:
                low = at_16
            if 0 < at_16 - high <= width_16:
                high = at_16
    return replace(track, across_0_16=low, across_1_16=high)


def _under(line: Line, wall: Wall) -> bool:
    """Whether a line stands under a border that crosses the joists: its centre within half its width of it."""
    if wall.edge or wall.beside:
        return False
    low = max(line.across_low_16, wall.across_low_16)
    high = min(line.across_high_16, wall.across_high_16)
    return low < high and all(line.holds(place, wall.track.along_16(place)) for place in (low, high))


def _within(ground: Ground, line: Line) -> bool:
    """Whether some of a line lies inside the bay, off its sides; looked at wherever the bay's shape changes."""
    ends = (end for w in ground.walls for end in (w.across_low_16, w.across_high_16 - 1))
    places = {line.across_low_16, *(end for end in ends if line.covers(end))}
    return any(
        reach.low_16 + line.half_16 < line.track.along_16(place) < reach.high_16 - line.half_16
        for place in places
        for reach in ground.reaches(place)
    )


def _rows(lines: list[Line]) -> tuple[tuple[Line, ...], ...]:
    rows: list[list[Line]] = []
    for line in lines:
        for row in rows:
            if all(_continues(line, other) for other in row):
                row.append(line)
                break
        else:
            rows.append([line])
    return tuple(tuple(row) for row in rows)


def _continues(one: Line, other: Line) -> bool:
    """Whether two lines are one bearing line: end to end and near each other there."""
    if one.across_low_16 >= other.across_high_16:
        before, behind = other, one
    elif other.across_low_16 >= one.across_high_16:
        before, behind = one, other
    else:
        return False
    near = abs(before.track.along_1_16 - behind.track.along_0_16)
    return near <= SAME_LINE_16
