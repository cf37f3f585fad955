"""The surroundings of a bay's members: how wide a strip each holds, and which partitions stand on it (R8, R13)."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import ceil

from framing.engine.floor import FloorPlan, Partition
from framing.engine.geometry import Frame
from framing.engine.loads import LineLoad, PointLoad, partition_line, strip_load
from framing.engine.members import BayLayout, FramedOpening, Member
from framing.engine.practice import Practice
from framing.engine.units import SIXTEENTHS_PER_INCH, feet, inches

_ON_GRID_16 = 1.0  # rounding of stations to sixteenths (R3) makes no wider strip
_ROUNDING = 1e-9


class Ground:
    """One bay's surroundings in its frame; positions in sixteenths."""

    def __init__(self, plan: FloorPlan, layout: BayLayout, practice: Practice) -> None:
        frame: Frame = layout.frame
        self.plan = plan
        self.practice = practice
        self.pressing = frozenset(
            wall.id for wall in plan.partitions if wall.bearing or wall.load_plf > practice.spread_wall_plf
        )
        self.layout = layout
        self.frame = frame
        self.half_16 = float(layout.bay.spacing_16) / 2
        self.outline = [(frame.across_16(p), frame.along_16(p)) for p in plan.outline]
        self.by_id = {member.id: member for member in layout.members}
        self.runners = [m for m in layout.members if m.runs == "along"]
        self.openings = [(self._opening_reach(o), o) for o in layout.openings]
        self.reaches = {m.id: self.reach(m) for m in self.runners}
        self.riders_of: dict[str, list[Member]] = {}
        for member in layout.members:
            for host in dict.fromkeys((member.low.host, member.high.host)):
                self.riders_of.setdefault(host, []).append(member)
        self.lines: dict[int, list[Member]] = {}
        for runner in sorted(self.runners, key=lambda m: m.centre_16):
            self.lines.setdefault(runner.line, []).append(runner)
        self.centres = {line: [m.centre_16 for m in runners] for line, runners in self.lines.items()}
        self.steps = {line: self._steps(runners) for line, runners in self.lines.items()}
        self.straps_16 = [
            span.low_face_16 + span.clear_16 * step / spaces
            for span in layout.spans
            for spaces in [max(1, ceil(span.clear_16 / practice.bridging_most_16))]
            for step in range(1, spaces)
        ]
        self.crossings: dict[float, list[float]] = {}
        self.stood_on: dict[tuple[int, int, int], list[tuple[Member | None, int, int]]] = {}

    def riders(self, host: Member) -> Sequence[Member]:
        """Members that end on a member."""
        return self.riders_of.get(host.id, ())

    def reach(self, member: Member) -> tuple[int, int]:
        """Where a member holds floor up: to the middle of a header it ends at, else its cut ends."""
        low, high = self.by_id.get(member.low.host), self.by_id.get(member.high.host)
        return (low.centre_16 if low else member.low_16, high.centre_16 if high else member.high_16)

    def strips(self, member: Member) -> Iterator[LineLoad]:
        """Floor strips of a member that runs along, one for each stretch of equal width."""
        ends = (member.low.face_16, member.high.face_16)
        merged: list[tuple[float, float, float]] = []
        for low, high in pairwise(self._breaks(member, *ends)):
            width = self.width(member, (low + high) / 2)
            if merged and merged[-1][2] == width:
                merged[-1] = (merged[-1][0], high, width)
            else:
                merged.append((low, high, width))
        for low, high, width in merged:
            yield strip_load(self.plan.load_case, inches(width), inches(low), inches(high))

    def header_strip(self, header: Member) -> Iterator[LineLoad]:
        """The header's own strip, from its far face to the opening's edge."""
        for far, edge in self._header_reach(header):
            places = inches(header.low.face_16), inches(header.high.face_16)
            yield strip_load(self.plan.load_case, inches(abs(edge - far)), *places)

    def header_partitions(self, header: Member) -> tuple[list[LineLoad], list[PointLoad]]:
        """Partitions across the joists on the header's strip, where the tails have ended."""
        lines: list[LineLoad] = []
        for partition in self.plan.partitions:
            (x0, y0), (x1, y1) = sorted(self._ends(partition))
            low, high = max(x0, header.low.face_16), min(x1, header.high.face_16)
            for far, edge in self._header_reach(header):
                if (
                    y0 == y1
                    and low < high
                    and partition.load_plf
                    and (y0 - far) * (edge - y0) >= 0
                    and y0 != far
                ):
                    lines.append(partition_line(partition.load_plf, inches(low), inches(high)))
        return lines, []

    def _header_reach(self, header: Member) -> Iterator[tuple[float, float]]:
        """From the header's far face, where its tails end, to the opening's edge."""
        for _, opening in self.openings:
            edge = {opening.header_low: opening.along_low_16, opening.header_high: opening.along_high_16}
            if header.id in edge:
                side = 1 if edge[header.id] > header.centre_16 else -1
                yield header.centre_16 - side * header.width_16 / 2, edge[header.id]

    def braces_in(self, member: Member) -> tuple[float, ...]:
        """Where bridging straps hold a member's bottom flange (R24)."""
        return tuple(
            inches(place) for place in self.straps_16 if member.low.face_16 < place < member.high.face_16
        )

    def partitions(self, member: Member) -> tuple[list[LineLoad], list[PointLoad]]:
        """Partitions over a member: along it where it is nearest (R8), else where they cross its strip."""
        lines: list[LineLoad] = []
        points: list[PointLoad] = []
        for partition in self.plan.partitions:
            (x0, y0), (x1, y1) = self._ends(partition)
            if not partition.load_plf:
                continue
            if x0 == x1:
                lines += [
                    partition_line(partition.load_plf, inches(a), inches(b))
                    for nearest, a, b in self._stood_on(x0, min(y0, y1), max(y0, y1))
                    if nearest is member
                ]
            else:
                points += self._crossing(member, partition, (x0, y0), (x1, y1))
        return lines, points

    def under_all_of_strip(self, member: Member, point: PointLoad) -> bool:
        """Whether the partition that a point load comes from crosses all of a member's strip."""
        plf = next(partition.load_plf for partition in self.plan.partitions if partition.id == point.source)
        whole_lb = plf * feet(self.width(member, point.at_in * SIXTEENTHS_PER_INCH))
        return point.live_lb >= whole_lb * (1 - _ROUNDING)

    def width(self, member: Member, along_16: float) -> float:
        """Width of the strip of a member at a place, both sides together."""
        return self._side(member, along_16, -1) + self._side(member, along_16, 1)

    def _side(self, member: Member, along_16: float, sign: int) -> float:
        centre = member.centre_16
        opening = [
            (edge - centre) * sign
            for (low, high), o in self.openings
            if low <= along_16 <= high
            for edge in (o.across_low_16, o.across_high_16)
        ]
        rims = [(across - centre) * sign for across in self._outline_at(along_16)]
        to_edge = _nearest(opening)
        gap = min(self._to_neighbor(member, along_16, sign), _nearest(rims))
        if to_edge < gap:
            return to_edge
        if gap == float("inf") or gap / 2 <= self.half_16 + _ON_GRID_16 / 2:
            return self.half_16
        return gap / 2

    def _to_neighbor(self, member: Member, along_16: float, sign: int) -> float:
        """Distance to the next member of the same line that holds floor up there; infinity where none."""
        line, centres, here = self.lines[member.line], self.centres[member.line], member.centre_16
        ahead = (
            range(bisect_right(centres, here), len(line))
            if sign > 0
            else range(bisect_left(centres, here) - 1, -1, -1)
        )
        for index in ahead:
            if self._over(line[index], along_16):
                return abs(centres[index] - here)
        return float("inf")

    def _over(self, member: Member, along_16: float) -> bool:
        low, high = self.reaches[member.id]
        return low <= along_16 <= high

    def _outline_at(self, along_16: float) -> list[float]:
        """Across-coordinates where the outline crosses a line at a place that is on no corner."""
        if along_16 not in self.crossings:
            ring = self.outline
            self.crossings[along_16] = [
                x0 + (x1 - x0) * (along_16 - y0) / (y1 - y0)
                for (x0, y0), (x1, y1) in zip(ring, ring[1:] + ring[:1], strict=True)
                if (y0 <= along_16) != (y1 <= along_16)
            ]
        return self.crossings[along_16]

    def _opening_reach(self, opening: FramedOpening) -> tuple[int, int]:
        low = self.by_id[opening.header_low].centre_16 if opening.header_low else opening.along_low_16
        high = self.by_id[opening.header_high].centre_16 if opening.header_high else opening.along_high_16
        return low, high

    def _steps(self, runners: list[Member]) -> list[float]:
        """Where the width of a strip can change: ends of members and openings, corners of the outline."""
        places: set[float] = {place for runner in runners for place in self.reaches[runner.id]}
        places.update(place for reach, _ in self.openings for place in reach)
        places.update(along for _, along in self.outline)
        return sorted(places)

    def _breaks(self, member: Member, low: float, high: float) -> list[float]:
        return [low, *(place for place in self.steps[member.line] if low < place < high), high]

    def _ends(self, partition: Partition) -> tuple[tuple[int, int], tuple[int, int]]:
        start, end = partition.start, partition.end
        return (
            (self.frame.across_16(start), self.frame.along_16(start)),
            (self.frame.across_16(end), self.frame.along_16(end)),
        )

    def _stood_on(self, across: int, low: int, high: int) -> list[tuple[Member | None, int, int]]:
        """The nearest member under each stretch of a line along the joists."""
        if (across, low, high) not in self.stood_on:
            places = {end for runner in self.runners for end in self.reaches[runner.id] if low < end < high}
            self.stood_on[across, low, high] = [
                (self._nearest_to(across, (a + b) / 2), a, b)
                for a, b in pairwise(sorted({low, high, *places}))
            ]
        return self.stood_on[across, low, high]

    def _nearest_to(self, across: int, along_16: float) -> Member | None:
        there = (runner for runner in self.runners if self._over(runner, along_16))
        return min(there, key=lambda r: (abs(r.centre_16 - across), r.centre_16, r.line), default=None)

    def _crossing(
        self, member: Member, partition: Partition, first: tuple[int, int], last: tuple[int, int]
    ) -> Iterator[PointLoad]:
        (x0, y0), (x1, y1) = sorted((first, last))
        middle = y0 + (y1 - y0) * (member.centre_16 - x0) / (x1 - x0)
        if not member.low.face_16 <= middle <= member.high.face_16:
            return
        low = max(x0, member.centre_16 - self._side(member, middle, -1))
        high = min(x1, member.centre_16 + self._side(member, middle, 1))
        if high > low:
            slope = ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5 / (x1 - x0)
            weight = partition.load_plf * feet((high - low) * slope)
            yield PointLoad(inches(middle), 0.0, weight, partition.id)


def _nearest(distances: list[float] | list[int]) -> float:
    """Least distance ahead; infinity where nothing is ahead."""
    return min((d for d in distances if d > 0), default=float("inf"))
