"""The surroundings of a bay's members: strips of floor, straps that hold them, members that hang on them (R8, R13)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import ceil

from framing.engine.floor import EdgeKind, FloorPlan
from framing.engine.geometry import Frame, Point
from framing.engine.lean import farthest_16
from framing.engine.loads import LineLoad, strip_load
from framing.engine.members import BayLayout, EndKind, FramedOpening, Member, MemberEnd, MemberKind
from framing.engine.practice import Practice
from framing.engine.regions import regions_of
from framing.engine.sizing.segments import Place, inside
from framing.engine.sizing.strip_parts import Bound, Gap, Runner, Share
from framing.engine.sizing.strips import Strips
from framing.engine.units import inches


class Ground:
    """One bay's surroundings in its frame; positions in sixteenths.

    Args:
        hosts: members of the whole floor by id, for those that others end on.
        others: layouts of the other bays.
    """

    def __init__(
        self,
        plan: FloorPlan,
        layout: BayLayout,
        practice: Practice,
        hosts: Mapping[str, Member],
        others: Sequence[BayLayout] = (),
    ) -> None:
        self.plan, self.layout, self.practice = plan, layout, practice
        self.frame: Frame = layout.frame
        self.load = plan.load_on(layout.bay)
        self.hosts = hosts
        self.half_16 = float(layout.bay.spacing_16) / 2
        self.region = next(region for region in regions_of(plan) if region.bay == layout.bay.id)
        self.edges = {
            f"edge:{side.edge.index}": sorted(
                (self.frame.across_16(p), self.frame.along_16(p)) for p in side.line
            )
            for side in self.region.sides
            if side.edge is not None
        }
        self.slanted = frozenset(
            host for host, ((x0, y0), (x1, y1)) in self.edges.items() if x0 != x1 and y0 != y1
        )
        self.runners = [m for m in layout.members if m.runs == "along"]
        self.openings = [(self._opening_reach(o), o) for o in layout.openings]
        self.reaches = {m.id: self.reach(m) for m in self.runners}
        self.spread_lines = any(_askew(s.start, s.end) for s in plan.supports)
        lines: dict[int, list[Runner]] = {}
        for runner in sorted(self.runners, key=lambda m: m.centre_16):
            low, high = self.reaches[runner.id]
            lines.setdefault(self.line_of(runner), []).append(Runner(runner.centre_16, low, high))
        bounds = list(self._bounds())
        self.beyond = sorted(self._beyond(others))
        beside = self.beyond if any(bound.shared for bound in bounds) else ()
        self.strips = Strips(self.half_16, lines, bounds, self._gaps(), beside)
        self.straps_16 = [
            span.low_face_16 + span.clear_16 * step / spaces
            for span in layout.spans
            for spaces in [max(1, ceil(span.clear_16 / practice.bridging_most_16))]
            for step in range(1, spaces)
        ]

    def parts_along(self, start: Place, end: Place) -> Iterator[tuple[Place, Place]]:
        """The parts of a line that lie in bays whose joists run as this one's do."""
        if len(self.plan.bays) == 1:
            yield start, end
            return
        for bay, region in zip(self.plan.bays, regions_of(self.plan), strict=True):
            if bay.axis == self.layout.bay.axis:
                ring = [(self.frame.across_16(p), self.frame.along_16(p)) for p in region.ring]
                yield from inside(start, end, ring)

    def line_of(self, member: Member) -> int:
        """Members of a line share floor; where bearings stand askew, lines run beside each other and all share."""
        return 0 if self.spread_lines else member.line

    def reach(self, member: Member) -> tuple[float, float]:
        """Where a member holds floor up: to the middle of what it ends at between joists, to a tip, else its cuts."""
        return self._reach_of(member, member.low, -1), self._reach_of(member, member.high, 1)

    def _reach_of(self, member: Member, end: MemberEnd, sign: int) -> float:
        host = self.hosts.get(end.host)
        if host is not None:
            return host.centre_16
        if end.kind is EndKind.FREE:
            return self._outline_16(member, end, sign, self.half_16)
        if end.host in self.slanted:
            return self._outline_16(member, end, sign, 0.0)
        return member.high_16 if sign > 0 else member.low_16

    def _outline_16(self, member: Member, end: MemberEnd, sign: int, off_16: float) -> float:
        """The outline at a member's end, at its farthest from the member within `off_16` of its centre.

        A cantilever is taken to end there: the floor out to it weighs on the joist; on a skewed edge that is a
        little more than the floor there is.
        """
        low, high = self.edges[end.host]
        return farthest_16(low, high, member.centre_16, off_16, sign)

    def ends_16(self, member: Member) -> tuple[float, float]:
        """Between which places floor weighs on a member: faces of what its ends meet, tips where they are free."""
        low, high = member.low, member.high
        return (
            self.reaches[member.id][0] if low.kind is EndKind.FREE else low.face_16,
            self.reaches[member.id][1] if high.kind is EndKind.FREE else high.face_16,
        )

    def shares(self, member: Member) -> tuple[Share, ...]:
        """The strip of a member that runs along."""
        return self.strips.shares(self.line_of(member), member.centre_16, *self.ends_16(member))

    def strip_lines(self, shares: Sequence[Share]) -> Iterator[LineLoad]:
        """Floor load on a strip, one line load for each stretch of equal width or straight taper."""
        merged: list[tuple[float, float, float, float]] = []
        for share in shares:
            start, end = share.widths
            if merged and start == end == merged[-1][2] == merged[-1][3]:
                merged[-1] = (merged[-1][0], share.high, start, end)
            else:
                merged.append((share.low, share.high, start, end))
        for low, high, start, end in merged:
            taper = None if start == end else inches(end)
            yield strip_load(self.load, inches(start), inches(low), inches(high), taper)

    def header_strip(self, header: Member) -> Iterator[LineLoad]:
        """The header's own strip, from its far face to the opening's edge; a flush beam's is as wide as it is."""
        if header.kind is MemberKind.BEAM:
            places = inches(header.low.face_16), inches(header.high.face_16)
            yield strip_load(self.load, inches(header.width_16), *places)
        for far, edge in self.header_reach(header):
            places = inches(header.low.face_16), inches(header.high.face_16)
            yield strip_load(self.load, inches(abs(edge - far)), *places)

    def header_reach(self, header: Member) -> Iterator[tuple[float, float]]:
        """From the header's far face, where its tails end, to the opening's edge."""
        for _, opening in self.openings:
            edge = {opening.header_low: opening.along_low_16, opening.header_high: opening.along_high_16}
            if header.id in edge:
                side = 1 if edge[header.id] > header.centre_16 else -1
                yield header.centre_16 - side * header.width_16 / 2, edge[header.id]

    def braces_in(self, member: Member) -> tuple[float, ...]:
        """Where bridging straps hold a member's bottom flange (R24)."""
        low, high = self.ends_16(member)
        return tuple(inches(place) for place in self.straps_16 if low < place < high)

    def _opening_reach(self, opening: FramedOpening) -> tuple[int, int]:
        low = self.hosts[opening.header_low].centre_16 if opening.header_low else opening.along_low_16
        high = self.hosts[opening.header_high].centre_16 if opening.header_high else opening.along_high_16
        return low, high

    def _gaps(self) -> list[Gap]:
        return [Gap(low, high, o.across_low_16, o.across_high_16) for (low, high), o in self.openings]

    def _bounds(self) -> Iterator[Bound]:
        """Sides of the bay that a line across the joists meets."""
        frame = self.frame
        for side in self.region.sides:
            (y0, x0), (y1, x1) = sorted((frame.along_16(p), frame.across_16(p)) for p in side.line)
            low, high = sorted((frame.along_16(side.start), frame.along_16(side.end)))
            if low < high and y0 < y1:
                at_low, at_high = (
                    x0 + (x1 - x0) * (place - y0) / (y1 - y0) if x0 != x1 else x0 for place in (low, high)
                )
                runs_out = x0 != x1 and (side.edge is None or side.edge.kind is not EdgeKind.FREE)
                yield Bound(low, high, at_low, at_high, runs_out, side.edge is None and x0 == x1)

    def _beyond(self, others: Sequence[BayLayout]) -> Iterator[Runner]:
        """Runners of the bays whose joists run the same way."""
        for layout in others:
            if layout.bay.axis == self.layout.bay.axis:
                for member in layout.members:
                    if member.runs == "along":
                        across = self.frame.across_16(layout.frame.point(member.centre_16, 0))
                        yield Runner(across, member.low_16, member.high_16)


def _askew(start: Point, end: Point) -> bool:
    return start.x_16 != end.x_16 and start.y_16 != end.y_16
