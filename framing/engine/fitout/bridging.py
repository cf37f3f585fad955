"""Bridging lines and their runs (R24)."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from framing.engine.fitout.intervals import between_evenly
from framing.engine.fitout.scene import Scene, high_face_16, low_face_16
from framing.engine.fitout.shape import FrameSide
from framing.engine.lean import Number, half_up
from framing.engine.members import FramedOpening, Member
from framing.engine.placement import BridgingLine, BridgingRun


def bridging_lines(scene: Scene) -> tuple[BridgingLine, ...]:
    """The straight lines of every span of the bay, low to high; a line outside the bay has no runs."""
    lines = []
    for span in scene.layout.spans:
        most = scene.practice.bridging_most_16
        positions = between_evenly(span.low_face_16, span.high_face_16, most)
        gap = Fraction(span.clear_16, len(positions) + 1)
        for number, position in enumerate(positions):
            along = half_up(position)
            lines.append(
                BridgingLine(
                    id=f"bridge:{scene.layout.bay.id}:{span.index}:{number}",
                    bay=scene.layout.bay.id,
                    span=span.index,
                    along_16=along,
                    clear_16=half_up(gap),
                    runs=tuple(_runs(scene, along)),
                )
            )
    return tuple(lines)


def _runs(scene: Scene, along_16: int) -> Iterator[BridgingRun]:
    """From rim or border to rim or border, broken where openings lie between."""
    gaps = sorted(_gaps(scene, along_16), key=lambda gap: gap.middle_16)
    for low, high in scene.shape.across_at(along_16):
        within = [g for g in gaps if low.across_at(along_16) < g.middle_16 < high.across_at(along_16)]
        start: int | None = _inside_16(scene, low, along_16)
        start_stop = low.id
        for gap in within:
            if start is not None and gap.low is not None:
                yield BridgingRun(start, half_up(high_face_16(gap.low)), start_stop, gap.low.id)
            start = None
            if gap.high is not None:
                start, start_stop = half_up(low_face_16(gap.high)), gap.high.id
        end = _inside_16(scene, high, along_16)
        if start is not None and start < end:
            yield BridgingRun(start, end, start_stop, high.id)


def _inside_16(scene: Scene, side: FrameSide, along_16: int) -> int:
    """Where a run ends at a side of its bay: at the inside face of the rim, at a border on the border's line."""
    at = side.across_at(along_16)
    if side.edge is None:
        return half_up(at)
    return half_up(at + side.inward_across * side.across_through(scene.practice.rim_thickness_16))


@dataclass(frozen=True, slots=True)
class _Gap:
    """An opening that a line meets: its middle across, and the trimmers, None where a wall stands beside it."""

    middle_16: Fraction
    low: Member | None
    high: Member | None


def _gaps(scene: Scene, along_16: int) -> Iterator[_Gap]:
    for opening in scene.layout.openings:
        low, high = far_faces_16(scene, opening)
        if low < along_16 < high:
            middle = Fraction(opening.across_low_16 + opening.across_high_16, 2)
            yield _Gap(middle, *trimmers_of(scene, opening))


def trimmers_of(scene: Scene, opening: FramedOpening) -> tuple[Member | None, Member | None]:
    """The trimmers on the low and high side, None where an outside wall leaves no room for one (R7)."""
    low, high = opening.trimmer_low, opening.trimmer_high
    return scene.by_id[low] if low else None, scene.by_id[high] if high else None


def far_faces_16(scene: Scene, opening: FramedOpening) -> tuple[Number, Number]:
    """Along-coordinates of the headers' far faces; the opening's own edge where it lies on a bearing.

    An edge without a header lies within the bearing's width, so no line of either span can stand beyond it.
    """
    low, high = opening.header_low, opening.header_high
    return (
        opening.along_low_16 if low is None else low_face_16(scene.member(low)),
        opening.along_high_16 if high is None else high_face_16(scene.member(high)),
    )


@dataclass(frozen=True, slots=True)
class Passing:
    """One run of a line, with the members that it passes under, start edge outwards.

    The trimmers that it stops at are among them.
    """

    line: BridgingLine
    number: int
    run: BridgingRun
    members: tuple[Member, ...]


def passings_of(scene: Scene, lines: Sequence[BridgingLine]) -> tuple[Passing, ...]:
    """All runs of a bay's lines."""
    centres = [member.centre_16 for member in scene.runners]
    return tuple(
        Passing(line, number, run, _crossed(scene, centres, run, line.along_16))
        for line in lines
        for number, run in enumerate(line.runs)
    )


def _crossed(scene: Scene, centres: Sequence[int], run: BridgingRun, along_16: int) -> tuple[Member, ...]:
    first, last = bisect_right(centres, run.across_low_16), bisect_left(centres, run.across_high_16)
    return tuple(m for m in scene.runners[first:last] if m.low_16 < along_16 < m.high_16)
