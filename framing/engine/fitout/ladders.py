"""Ladder blocks and packers between parallel rims and the joists beside them (R26)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise
from typing import NamedTuple

from framing.engine.fitout.bridging import far_faces_16, trimmers_of
from framing.engine.fitout.fasteners import group
from framing.engine.fitout.intervals import Interval, between_evenly, clip, subtract
from framing.engine.fitout.scene import Scene, high_face_16, low_face_16
from framing.engine.fitout.shape import FrameSide
from framing.engine.lean import Number, half_up
from framing.engine.members import EndKind, FramedOpening, Member
from framing.engine.placement import BridgingLine, Item, Placed

_ENDS_AT_FACE = (EndKind.LAP, EndKind.BUTT, EndKind.FLUSH)


class _Look(NamedTuple):
    """A joist as a rim that it runs beside sees it: how far it stands there, and its spans."""

    low_16: int
    high_16: int
    spans: tuple[tuple[int, int], ...]


Beside = Sequence[tuple[Member, _Look]]


def ladder_blocks(scene: Scene, lines: Sequence[BridgingLine], numbers: dict[str, int]) -> Iterator[Placed]:
    """Ladder blocks, or wood packers in narrow spaces, between each parallel rim and the joist beside it.

    Args:
        scene: the bay; only sides on the outline have a rim.
        lines: its bridging lines.
        numbers: blocks numbered so far on each edge, counted on here: an edge can have parts in several bays.
    """
    looks = _looks(scene)
    for side in scene.shape.parallel:
        on_lines, beside = _lines_at(side, lines), _beside(looks, side)
        for along in _ladder_positions(scene, side, beside, on_lines):
            number = numbers.get(side.id, 0)
            numbers[side.id] = number + 1
            why = "on bridging lines" if along in on_lines else "between bridging lines and bearings"
            joist = next((m for m, look in beside if look.low_16 <= along <= look.high_16), None)
            if joist is not None:
                yield from _ladder_block(scene, side, number, along, joist, why)


def _looks(scene: Scene) -> Beside:
    """Every joist with its look; equal ones share one, so that they are told by identity."""
    margin = scene.practice.rim_thickness_16 + scene.practice.end_clearance_16
    known: dict[_Look, _Look] = {}
    found = []
    for member in scene.runners:
        low, high = member.low, member.high
        # Beside a rim a joist stands up to the outline, or to the face of an interior bearing or flush beam.
        look = _Look(
            low.face_16 if low.kind in _ENDS_AT_FACE else member.low_16 - margin,
            high.face_16 if high.kind in _ENDS_AT_FACE else member.high_16 + margin,
            clear_spans(member),
        )
        found.append((member, known.setdefault(look, look)))
    return found


def _beside(looks: Beside, side: FrameSide) -> Beside:
    """Joists on the bay's side of a rim, the nearest of each look first."""
    at, inward = side.across_low_16, side.inward_across
    inside = [pair for pair in looks if (pair[0].centre_16 - at) * inward > 0]
    if inward < 0:
        inside.sort(key=lambda pair: (-pair[0].centre_16, pair[0].low_16))
    nearest: dict[int, tuple[Member, _Look]] = {}
    for pair in inside:
        nearest.setdefault(id(pair[1]), pair)
    return list(nearest.values())


def _lines_at(side: FrameSide, lines: Sequence[BridgingLine]) -> set[int]:
    """Along-coordinates of the bridging lines that reach this rim."""
    return {
        line.along_16
        for line in lines
        for run in line.runs
        if side.id in (run.low_stop, run.high_stop)
        and side.along_low_16 <= line.along_16 < side.along_high_16
    }


def _ladder_positions(scene: Scene, side: FrameSide, beside: Beside, on_lines: set[int]) -> list[int]:
    positions = set(on_lines)
    for low, high in _spans_beside(scene, side, beside):
        fixed: list[Number] = [low, *sorted(p for p in on_lines if low < p < high), high]
        for a, b in pairwise(fixed):
            positions.update(half_up(p) for p in between_evenly(a, b, scene.practice.ladder_most_16))
    return sorted(positions)


def _spans_beside(scene: Scene, side: FrameSide, beside: Beside) -> list[Interval]:
    """Clear spans of the joists beside a rim, nearest joist first, within the edge."""
    reach = side.along_low_16, side.along_high_16
    uncovered = subtract(reach, _openings_beside(scene, side))
    found: list[Interval] = []
    for _, look in beside:
        for span in look.spans:
            found.extend(c for part in uncovered if (c := clip(span, part)) is not None)
        uncovered = tuple(
            left for part in uncovered for left in subtract(part, [(look.low_16, look.high_16)])
        )
    return sorted(found)


def _openings_beside(scene: Scene, side: FrameSide) -> list[Interval]:
    """Where openings without a trimmer on this side stand at the rim, their headers included: no joist is there."""
    found: list[Interval] = []
    for opening in scene.layout.openings:
        low, high = trimmers_of(scene, opening)
        if (low if side.inward_across > 0 else high) is None and _next_to(scene, opening, side):
            found.append(far_faces_16(scene, opening))
    return found


def _next_to(scene: Scene, opening: FramedOpening, side: FrameSide) -> bool:
    """Whether this side is the first one that is met going out from the opening."""
    middle = half_up(Fraction(opening.along_low_16 + opening.along_high_16, 2))
    centre = Fraction(opening.across_low_16 + opening.across_high_16, 2)
    return any(
        side is (low if side.inward_across > 0 else high)
        for low, high in scene.shape.across_at(middle)
        if low.across_at(middle) < centre < high.across_at(middle)
    )


def clear_spans(member: Member) -> tuple[tuple[int, int], ...]:
    """The spans of one member between the faces of what it bears on, low to high; an overhang is one too."""
    faces = [member.low.face_16]
    for crossing in member.crossings:
        faces += [crossing.low_face_16, crossing.high_face_16]
    faces.append(member.high.face_16)
    return tuple(zip(faces[::2], faces[1::2], strict=True))


def _ladder_block(
    scene: Scene, side: FrameSide, number: int, along_16: int, joist: Member, why: str
) -> Iterator[Placed]:
    rim_face = side.across_low_16 + side.inward_across * scene.practice.rim_thickness_16
    joist_face = low_face_16(joist) if side.inward_across > 0 else high_face_16(joist)
    clear_16 = (joist_face - rim_face) * side.inward_across
    if clear_16 <= 0:
        return  # a shifted joist at the rim or in it, which a warning names
    narrow = clear_16 < scene.practice.block_least_16
    item, size = (Item.WOOD_PACKER, "") if narrow else (Item.LADDER_BLOCK, joist.profile)
    block_id = f"ladder:{side.id.removeprefix('edge:')}:{number}"
    at, to = scene.at(rim_face, along_16), scene.at(joist_face, along_16)
    yield Placed(block_id, item, size, 1, "piece", at, "R26", why, side.id, to=to)
    nails, words = scene.practice.ladder_nails, "wood packer" if narrow else "ladder block"
    yield group(block_id, Item.BEARING_NAIL, nails, at, "R26", f"{words} to the rim")
    if narrow:
        return
    clip_id, size, why = f"clip:{block_id}", scene.size(joist), "ladder blocks to joists"
    yield Placed(clip_id, Item.CLIP_ANGLE, size, 1, "piece", to, "R26", why, block_id)
    screws = 2 * scene.screws(joist)
    yield group(clip_id, Item.STEEL_SCREW, screws, to, "R26", "ladder block clip, both legs")
