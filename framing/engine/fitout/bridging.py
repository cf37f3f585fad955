"""Bridging lines and their runs (R24)."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from framing.engine.fitout.scene import Scene, high_face_16, low_face_16
from framing.engine.fitout.shape import Number, between_evenly, half_up
from framing.engine.members import FramedOpening, Member
from framing.engine.placement import BridgingLine, BridgingRun


def bridging_lines(scene: Scene) -> tuple[BridgingLine, ...]:
    """The straight lines of every span of the bay, low to high; a line outside the outline has no runs."""
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
    rim = scene.practice.rim_thickness_16
    gaps = sorted(_gaps(scene, along_16), key=lambda gap: gap.low_16)
    for low_edge, high_edge in scene.shape.across_at(along_16):
        start, start_stop = low_edge.at_16 + rim, low_edge.id
        for gap in gaps:
            if low_edge.at_16 < gap.low_16 and gap.high_16 < high_edge.at_16:
                yield BridgingRun(start, gap.low_16, start_stop, gap.low_stop)
                start, start_stop = gap.high_16, gap.high_stop
        yield BridgingRun(start, high_edge.at_16 - rim, start_stop, high_edge.id)


@dataclass(frozen=True, slots=True)
class _Gap:
    """Between the opening's trimmers, faces on the opening's side."""

    low_16: int
    high_16: int
    low_stop: str
    high_stop: str


def _gaps(scene: Scene, along_16: int) -> Iterator[_Gap]:
    for opening in scene.layout.openings:
        low, high = far_faces_16(scene, opening)
        if low < along_16 < high:
            before, behind = scene.member(opening.trimmer_low), scene.member(opening.trimmer_high)
            yield _Gap(half_up(high_face_16(before)), half_up(low_face_16(behind)), before.id, behind.id)


def far_faces_16(scene: Scene, opening: FramedOpening) -> tuple[Number, Number]:
    """Along-coordinates of the headers' far faces; the opening's own edge where it lies on a bearing.

    An edge without a header lies within the bearing's width, so no line of either span can stand beyond it.
    """
    low, high = opening.header_low, opening.header_high
    return (
        opening.along_low_16 if low is None else low_face_16(scene.member(low)),
        opening.along_high_16 if high is None else high_face_16(scene.member(high)),
    )


def crossed(scene: Scene, run: BridgingRun, along_16: int) -> tuple[Member, ...]:
    """Members that a run passes under, start edge outwards; the trimmers it stops at are among them."""
    return tuple(
        m
        for m in scene.runners
        if m.low_16 < along_16 < m.high_16 and run.across_low_16 < m.centre_16 < run.across_high_16
    )
