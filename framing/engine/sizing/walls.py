"""Partitions on the members of a bay: each on what it stands on, all of it somewhere (R8).

Along the joists a wall weighs on the member nearest to it; across them on each by its strip, at its centre line;
askew at the centre line too where it runs more across than along, else over its way through the strip. On headers
and flush beams it weighs where the joists have ended.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import chain, pairwise
from math import hypot, inf
from typing import NamedTuple

from framing.engine.loads import LineLoad, PointLoad, partition_line
from framing.engine.members import Member
from framing.engine.sizing.ground import Ground
from framing.engine.sizing.segments import clipped
from framing.engine.sizing.strip_parts import Share
from framing.engine.units import SIXTEENTHS_PER_INCH, feet, inches

_ROUNDING = 1e-9


class Wall(NamedTuple):
    """A partition that weighs something: its ends in the bay's frame, (across, along)."""

    id: str
    load_plf: float
    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def length_16(self) -> float:
        return hypot(self.x1 - self.x0, self.y1 - self.y0)

    @property
    def askew(self) -> bool:
        return self.x0 != self.x1 and self.y0 != self.y1


class Walls:
    """The partitions of one bay; `pressing` are those that bear or weigh more than the sheathing spreads."""

    def __init__(self, ground: Ground) -> None:
        plan, practice = ground.plan, ground.practice
        self.ground = ground
        self.pressing = frozenset(
            wall.id for wall in plan.partitions if wall.bearing or wall.load_plf > practice.spread_wall_plf
        )
        self.walls = tuple(self._walls())
        self.on_lines: dict[str, list[LineLoad]] = {}
        for wall in self.walls:
            if wall.x0 == wall.x1:
                for member, low, high in self._stood_on(wall):
                    line = partition_line(wall.load_plf, inches(low), inches(high))
                    self.on_lines.setdefault(member.id, []).append(line)

    def on_runner(self, member: Member, shares: Sequence[Share]) -> tuple[list[LineLoad], list[PointLoad]]:
        """Walls over a member that runs along."""
        lines, points = list(self.on_lines.get(member.id, ())), list[PointLoad]()
        for wall in self.walls:
            if wall.y0 == wall.y1:
                points += self._crossing(member, wall, shares)
            elif wall.askew:
                more = self._slanting(member, wall, shares)
                lines += more[0]
                points += more[1]
        return lines, points

    def on_header(self, header: Member) -> tuple[list[LineLoad], list[PointLoad]]:
        """Walls on the strip of a header between its tails' ends and the opening's edge."""
        lines: list[LineLoad] = []
        points: list[PointLoad] = []
        reach = header.low.face_16, header.high.face_16
        for wall in self.walls:
            for far, edge in self.ground.header_reach(header):
                if wall.askew:
                    found = _in_box(wall, reach, (min(far, edge), max(far, edge)))
                    lines += found[0]
                    points += found[1]
                elif wall.y0 == wall.y1 and (wall.y0 - far) * (edge - wall.y0) >= 0 and wall.y0 != far:
                    lines += _in_box(wall, reach, (wall.y0, wall.y0))[0]
        return lines, points

    def on_beam(self, beam: Member) -> tuple[list[LineLoad], list[PointLoad]]:
        """Walls on a flush beam's width, between the faces that joists end at."""
        lines: list[LineLoad] = []
        points: list[PointLoad] = []
        half = beam.width_16 / 2
        for wall in self.walls:
            box = beam.centre_16 - half, beam.centre_16 + half
            more = _in_box(wall, (beam.low.face_16, beam.high.face_16), box)
            lines += more[0]
            points += more[1]
        return lines, points

    def under_all_of_strip(self, point: PointLoad, shares: Sequence[Share]) -> bool:
        """Whether the wall that a point load comes from crosses all of a member's strip, square to it."""
        place = point.at_in * SIXTEENTHS_PER_INCH
        wall = next(wall for wall in self.walls if wall.id == point.source)
        whole_lb = wall.load_plf * feet(sum(_sides_at(shares, place)))
        return not wall.askew and point.live_lb >= whole_lb * (1 - _ROUNDING)

    def _walls(self) -> Iterator[Wall]:
        frame = self.ground.frame
        for partition in self.ground.plan.partitions:
            if partition.load_plf:
                ends = [(frame.across_16(p), frame.along_16(p)) for p in (partition.start, partition.end)]
                yield Wall(partition.id, partition.load_plf, *ends[0], *ends[1])

    def _stood_on(self, wall: Wall) -> Iterator[tuple[Member, float, float]]:
        """The nearest member of the bay under each stretch of a wall along the joists; none where another's is."""
        ground = self.ground
        reaches = ground.reaches
        for start, end in ground.parts_along((wall.x0, wall.y0), (wall.x1, wall.y1)):
            low, high = sorted((start[1], end[1]))
            ends = (
                *chain.from_iterable(reaches.values()),
                *(e for r in ground.beyond for e in (r.low, r.high)),
            )
            for a, b in pairwise(sorted({low, high, *(place for place in ends if low < place < high)})):
                middle = (a + b) / 2
                there = (r for r in ground.runners if reaches[r.id][0] <= middle <= reaches[r.id][1])
                nearest = min(
                    there, key=lambda r: (abs(r.centre_16 - wall.x0), r.centre_16, r.line), default=None
                )
                others = (abs(r.across - wall.x0) for r in ground.beyond if r.low <= middle <= r.high)
                if nearest is not None and abs(nearest.centre_16 - wall.x0) <= min(others, default=inf):
                    yield nearest, a, b

    def _crossing(self, member: Member, wall: Wall, shares: Sequence[Share]) -> Iterator[PointLoad]:
        """A wall across the joists: what stands on a member's strip, at its centre line."""
        ends = self.ground.ends_16(member)
        if ends[0] <= wall.y0 <= ends[1]:
            before, after = _sides_at(shares, wall.y0)
            low = max(min(wall.x0, wall.x1), member.centre_16 - before)
            high = min(max(wall.x0, wall.x1), member.centre_16 + after)
            if high > low:
                yield PointLoad(inches(wall.y0), 0.0, wall.load_plf * feet(high - low), wall.id)

    def _slanting(
        self, member: Member, wall: Wall, shares: Sequence[Share]
    ) -> tuple[list[LineLoad], list[PointLoad]]:
        """An askew wall's way through a member's strip."""
        ways = [way for share in shares if (way := _through(member, wall, share)) is not None]
        if not ways:
            return [], []
        low, high = self.ground.ends_16(member)
        run, rise = wall.x1 - wall.x0, wall.y1 - wall.y0
        crossing = wall.y0 + rise * (member.centre_16 - wall.x0) / run
        if abs(run) >= abs(rise) and low <= crossing <= high:
            length = sum(end - start for start, end in ways) * wall.length_16
            return [], [PointLoad(inches(crossing), 0.0, wall.load_plf * feet(length), wall.id)]
        plf = wall.load_plf * wall.length_16 / abs(rise)
        spots = (sorted((wall.y0 + rise * start, wall.y0 + rise * end)) for start, end in ways)
        return [partition_line(plf, inches(a), inches(b)) for a, b in spots], []


def _through(member: Member, wall: Wall, share: Share) -> tuple[float, float] | None:
    """Where along a wall it enters and leaves a stretch of a member's strip, as parts of its length."""

    def kept(x: float, y: float) -> tuple[float, float, float, float]:
        aside = x - member.centre_16
        return y - share.low, share.high - y, aside + share.before.at(y), share.after.at(y) - aside

    return clipped(zip(kept(wall.x0, wall.y0), kept(wall.x1, wall.y1), strict=True))


def _in_box(
    wall: Wall, across: tuple[float, float], along: tuple[float, float]
) -> tuple[list[LineLoad], list[PointLoad]]:
    """What stands in a box, on a member that runs across: over its way there, or at its middle where it is steep."""

    def kept(x: float, y: float) -> tuple[float, float, float, float]:
        return x - across[0], across[1] - x, y - along[0], along[1] - y

    way = clipped(zip(kept(wall.x0, wall.y0), kept(wall.x1, wall.y1), strict=True))
    if way is None:
        return [], []
    run = wall.x1 - wall.x0
    low, high = sorted(wall.x0 + run * part for part in way)
    if abs(run) >= abs(wall.y1 - wall.y0):
        return [partition_line(wall.load_plf * wall.length_16 / abs(run), inches(low), inches(high))], []
    weight = wall.load_plf * feet((way[1] - way[0]) * wall.length_16)
    return [], [PointLoad(inches((low + high) / 2), 0.0, weight, wall.id)]


def _sides_at(shares: Sequence[Share], along: float) -> tuple[float, float]:
    """Both sides of a strip at a place, the wider ones where they step there."""
    there = [share for share in shares if share.low <= along <= share.high]
    return (
        max((share.before.at(along) for share in there), default=0.0),
        max((share.after.at(along) for share in there), default=0.0),
    )
