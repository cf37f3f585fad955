"""Flush beams: built-up members between the joists that end on them, at their level (R5, R7, R19)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from framing.engine.catalogue import JoistProfile
from framing.engine.errors import FloorRefused, Problem
from framing.engine.floor import EdgeKind, FloorPlan, Support, SupportKind
from framing.engine.geometry import Frame, Point
from framing.engine.layout.ground import Track, frame_of
from framing.engine.layout.plies import beam_key
from framing.engine.lean import Number, cut_16, half_up, whole
from framing.engine.members import Crossing, EndKind, Member, MemberEnd, MemberKind
from framing.engine.practice import Practice
from framing.engine.regions import Region, regions_of
from framing.engine.units import format_length

_TOUCH_16 = 16
"""A beam drawn this near the outline, or nearer than the wall is wide, ends at it."""


@dataclass(frozen=True, slots=True)
class FlushBeam:
    """A flush beam: the support that it is, the bay whose frame and profile its member has."""

    support: str
    bay: str
    member: Member


def lay_beams(
    plan: FloorPlan, profiles: Mapping[str, JoistProfile], practice: Practice, plies: Mapping[str, int]
) -> tuple[FlushBeam, ...]:
    """Every flush beam, in the plan's order, with provisional ids.

    Raises FloorRefused where one carries no bay's joists, ends on nothing or is longer than can be made.
    """
    made = []
    for index, support in enumerate(plan.supports):
        if support.kind is SupportKind.FLUSH_BEAM:
            home = next(_homes(plan, support), None)
            if home is None:
                raise _refused(support, index, "carries no joists; draw it square to joists that end on it")
            bay, frame = home
            maker = _Maker(plan, support, index, frame, practice)
            count = plies.get(beam_key(support.id), practice.plies_default)
            made.append(FlushBeam(support.id, bay, maker.member(bay, profiles[bay], count)))
    return tuple(made)


def _homes(plan: FloorPlan, support: Support) -> Iterator[tuple[str, Frame]]:
    """Bays whose joists cross or meet a beam, with their frames."""
    for bay, region in zip(plan.bays, regions_of(plan), strict=True):
        frame = frame_of(bay, region)
        track = Track.of(frame, support.start, support.end)
        if track.along_0_16 == track.along_1_16 and _touches(frame, region, track):
            yield bay.id, frame


def _touches(frame: Frame, region: Region, track: Track) -> bool:
    """Whether some of a beam lies in the bay or on its side: the middle of its part beside the bay tells."""
    ring = [(frame.across_16(p), frame.along_16(p)) for p in region.ring]
    low = max(track.across_0_16, min(across for across, _ in ring))
    high = min(track.across_1_16, max(across for across, _ in ring))
    middle = Fraction(low + high, 2)
    met = sorted(
        a[1] + (middle - a[0]) * (b[1] - a[1]) / (b[0] - a[0])
        for a, b in zip(ring, ring[1:] + ring[:1], strict=True)
        if min(a[0], b[0]) <= middle < max(a[0], b[0])
    )
    reaches = zip(met[::2], met[1::2], strict=True)
    return low < high and any(start <= track.along_0_16 <= end for start, end in reaches)


class _Maker:
    """One beam in its home bay's frame; it runs across there, `at_16` along."""

    def __init__(
        self, plan: FloorPlan, support: Support, index: int, frame: Frame, practice: Practice
    ) -> None:
        self.plan, self.support, self.index = plan, support, index
        self.frame, self.practice = frame, practice
        self.track = Track.of(frame, support.start, support.end)
        self.at_16 = self.track.along_0_16

    def member(self, bay: str, profile: JoistProfile, plies: int) -> Member:
        width = plies * profile.flange_16
        low, low_end = self._end(self.track.across_0_16, 1, width)
        high, high_end = self._end(self.track.across_1_16, -1, width)
        low_16, high_16 = cut_16(low, high)
        if self._on_edge(width):
            words = "runs along an outside wall; end it where that wall begins"
            raise _refused(self.support, self.index, words)
        if high_16 - low_16 > self.practice.longest_piece_16:
            length = format_length(high_16 - low_16, self.plan.units)
            limit = format_length(self.practice.longest_piece_16, self.plan.units)
            words = f"would be {length} long; the longest piece is {limit}. Part it over a bearing"
            raise _refused(self.support, self.index, words)
        return Member(
            id=beam_key(self.support.id),
            kind=MemberKind.BEAM,
            bay=bay,
            profile=profile.designator,
            plies=plies,
            runs="across",
            centre_16=self.at_16,
            width_16=width,
            low_16=low_16,
            high_16=high_16,
            low=low_end,
            high=high_end,
            crossings=tuple(self._crossings(low_end.face_16, high_end.face_16)),
            why=f"R5 flush beam {self.support.id}",
        )

    def _on_edge(self, width_16: int) -> bool:
        """Whether some of the beam lies along an outline edge that joists end on."""
        corners = self.plan.outline[1:] + self.plan.outline[:1]
        for a, b in zip(self.plan.outline, corners, strict=True):
            edge = Track.of(self.frame, a, b)
            near = abs(edge.along_0_16 - self.at_16) < width_16 and edge.along_0_16 == edge.along_1_16
            low = max(edge.across_0_16, self.track.across_0_16)
            if near and low < min(edge.across_1_16, self.track.across_1_16):
                return True
        return False

    def _end(self, drawn_16: int, inward: int, width_16: int) -> tuple[Number, MemberEnd]:
        """Cut place and end of the beam: at the outline, or butted over a bearing inside."""
        at_outline = self._at_outline(drawn_16, inward, width_16)
        if at_outline is not None:
            return at_outline
        for support in self._under():
            centre, low, high = self._faces(support)
            if low <= drawn_16 <= high:
                face = high if inward > 0 else low
                end = MemberEnd(EndKind.BUTT, f"support:{support.id}", face)
                return centre + inward * self.practice.butt_gap_16, end
        words = "ends on nothing; draw it to an outside wall, or to a wall or beam across under its end"
        raise _refused(self.support, self.index, words)

    def _at_outline(self, drawn_16: int, inward: int, width_16: int) -> tuple[Number, MemberEnd] | None:
        corners = self.plan.outline[1:] + self.plan.outline[:1]
        practice = self.practice
        for edge, a, b in zip(self.plan.edges, self.plan.outline, corners, strict=True):
            side = _turned(self.frame, a, b)
            if (
                not (side.across_0_16 <= self.at_16 <= side.across_1_16)
                or side.across_0_16 == side.across_1_16
            ):
                continue
            at = side.along_16(self.at_16)
            if edge.kind is EdgeKind.FREE or not -_TOUCH_16 <= (drawn_16 - at) * inward <= edge.width_16:
                continue
            back = side.lean.set_back_16(practice.rim_thickness_16, practice.end_clearance_16, width_16)
            face = half_up(at + inward * side.lean.through_16(edge.width_16))
            return whole(at + inward * back), MemberEnd(EndKind.PLATFORM, f"edge:{edge.index}", face)
        return None

    def _under(self) -> Iterator[Support]:
        """Walls and beams that stand across under the beam's line."""
        for support in self.plan.supports:
            side = _turned(self.frame, support.start, support.end)
            reaches = side.across_0_16 <= self.at_16 <= side.across_1_16
            if support.kind is not SupportKind.FLUSH_BEAM and reaches and side.across_0_16 < side.across_1_16:
                yield support

    def _faces(self, support: Support) -> tuple[Number, int, int]:
        side = _turned(self.frame, support.start, support.end)
        centre, half = side.along_16(self.at_16), side.lean.through_16(support.width_16) // 2
        return centre, half_up(centre - half), half_up(centre + half)

    def _crossings(self, low_16: int, high_16: int) -> Iterator[Crossing]:
        found = [
            (half_up(centre), low, high, s.id)
            for s in self._under()
            for centre, low, high in [self._faces(s)]
        ]
        for centre, low, high, ident in sorted(found):
            if low_16 < low and high < high_16:
                yield Crossing(ident, centre, low, high)


def _turned(frame: Frame, a: Point, b: Point) -> Track:
    """A line seen along the beam: the frame's along counts as across, so that askew lines have a lean to the beam."""
    places = sorted((frame.along_16(p), frame.across_16(p)) for p in (a, b))
    return Track(*places[0], *places[1])


def _refused(support: Support, index: int, words: str) -> FloorRefused:
    start = support.start
    text = f"Flush beam {support.id} {words}."
    return FloorRefused((Problem(f"supports.{index}", text, start.x_16, start.y_16),))


def beams_by_support(beams: Sequence[FlushBeam]) -> tuple[tuple[str, Member], ...]:
    """What `survey` takes."""
    return tuple((beam.support, beam.member) for beam in beams)
