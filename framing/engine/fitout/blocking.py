"""Solid blocks on bridging lines (R25), ladder blocks and packers at parallel rims (R26)."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from framing.engine.fitout.bridging import crossed
from framing.engine.fitout.fasteners import group
from framing.engine.fitout.scene import Scene, high_face_16, low_face_16
from framing.engine.fitout.shape import FrameEdge, Interval, Number, between_evenly, clip, half_up, subtract
from framing.engine.members import EndKind, Member
from framing.engine.placement import BridgingLine, Item, Placed
from framing.engine.practice import Practice


@dataclass(frozen=True, slots=True)
class ClearSpace:
    """The gap between two neighbouring joists on a run."""

    before: Member
    low_16: Number
    high_16: Number


def solid_blocks(scene: Scene, lines: Sequence[BridgingLine]) -> Iterator[Placed]:
    """Blocks in the first and last space of each run and as few between as the rule allows."""
    for line in lines:
        for number, run in enumerate(line.runs):
            for index, space in enumerate(chosen_spaces(crossed(scene, run, line.along_16), scene.practice)):
                block_id = f"block:{line.id}:{number}:{index}"
                low = scene.at(space.low_16, line.along_16)
                yield Placed(
                    block_id,
                    Item.SOLID_BLOCK,
                    space.before.profile,
                    1,
                    "piece",
                    low,
                    "R25",
                    "bridging runs",
                    line.id,
                    to=scene.at(space.high_16, line.along_16),
                )
                screws = 2 * scene.practice.block_screws_per_end
                yield group(block_id, Item.STEEL_SCREW, screws, low, "R25", "solid block, both ends")


def chosen_spaces(joists: Sequence[Member], practice: Practice) -> tuple[ClearSpace, ...]:
    """First and last space of a run and the farthest ones within reach between; narrow ones do not count."""
    spaces = [
        ClearSpace(a, high_face_16(a), low_face_16(b))
        for a, b in pairwise(joists)
        if low_face_16(b) - high_face_16(a) >= practice.block_least_16
    ]
    if not spaces:
        return ()
    twice_centres = [space.low_16 + space.high_16 for space in spaces]
    chosen = [0]
    while chosen[-1] < len(spaces) - 1:
        here = chosen[-1]
        reach = bisect_right(twice_centres, twice_centres[here] + 2 * practice.bridging_most_16) - 1
        chosen.append(max(reach, here + 1))
    return tuple(spaces[i] for i in chosen)


def ladder_blocks(scene: Scene, lines: Sequence[BridgingLine]) -> Iterator[Placed]:
    """Ladder blocks, or wood packers in narrow spaces, between each parallel rim and the joist beside it."""
    for edge in scene.shape.parallel:
        on_lines, beside = lines_at(edge, lines), _beside(scene, edge)
        for number, along in enumerate(_ladder_positions(scene, edge, beside, on_lines)):
            why = "on bridging lines" if along in on_lines else "between bridging lines and bearings"
            joist = _joist_beside(scene, beside, along)
            if joist is not None:
                yield from _ladder_block(scene, edge, number, along, joist, why)


def lines_at(edge: FrameEdge, lines: Sequence[BridgingLine]) -> dict[int, str]:
    """Along-coordinates of the bridging lines that reach this rim, with the line's id."""
    return {
        line.along_16: line.id
        for line in lines
        for run in line.runs
        if edge.id in (run.low_stop, run.high_stop) and edge.low_16 <= line.along_16 < edge.high_16
    }


def _ladder_positions(
    scene: Scene, edge: FrameEdge, beside: Sequence[Member], on_lines: dict[int, str]
) -> list[int]:
    positions = set(on_lines)
    for low, high in _spans_beside(scene, edge, beside):
        fixed: list[Number] = [low, *sorted(p for p in on_lines if low < p < high), high]
        for a, b in pairwise(fixed):
            positions.update(half_up(p) for p in between_evenly(a, b, scene.practice.ladder_most_16))
    return sorted(positions)


def _spans_beside(scene: Scene, edge: FrameEdge, beside: Sequence[Member]) -> list[Interval]:
    """Clear spans of the joists beside a rim, nearest joist first, within the edge."""
    uncovered: tuple[Interval, ...] = ((edge.low_16, edge.high_16),)
    found: list[Interval] = []
    for member in beside:
        if not uncovered:
            break
        for low, high in clear_spans(member):
            found.extend(c for part in uncovered if (c := clip((low, high), part)) is not None)
        uncovered = tuple(left for part in uncovered for left in subtract(part, [_covers(scene, member)]))
    return sorted(found)


def _covers(scene: Scene, member: Member) -> Interval:
    """How far along a joist stands beside a rim: to the outline, or to the face of an interior bearing."""
    margin = scene.practice.rim_thickness_16 + scene.practice.end_clearance_16
    inside = (EndKind.LAP, EndKind.BUTT)
    low = member.low.face_16 if member.low.kind in inside else member.low_16 - margin
    high = member.high.face_16 if member.high.kind in inside else member.high_16 + margin
    return low, high


def clear_spans(member: Member) -> list[Interval]:
    """The spans of one member between the faces of what it bears on, low to high."""
    faces = [member.low.face_16]
    for crossing in member.crossings:
        faces += [crossing.low_face_16, crossing.high_face_16]
    faces.append(member.high.face_16)
    return list(zip(faces[::2], faces[1::2], strict=True))


def _beside(scene: Scene, edge: FrameEdge) -> list[Member]:
    inside = [m for m in scene.runners if (m.centre_16 - edge.at_16) * edge.inward > 0]
    return sorted(inside, key=lambda m: (abs(m.centre_16 - edge.at_16), m.low_16))


def _ladder_block(
    scene: Scene, edge: FrameEdge, number: int, along_16: int, joist: Member, why: str
) -> Iterator[Placed]:
    rim_face = edge.at_16 + edge.inward * scene.practice.rim_thickness_16
    joist_face = low_face_16(joist) if edge.inward > 0 else high_face_16(joist)
    narrow = (joist_face - rim_face) * edge.inward < scene.practice.block_least_16
    item, size = (Item.WOOD_PACKER, "") if narrow else (Item.LADDER_BLOCK, joist.profile)
    block_id = f"ladder:{edge.index}:{number}"
    at, to = scene.at(rim_face, along_16), scene.at(joist_face, along_16)
    yield Placed(block_id, item, size, 1, "piece", at, "R26", why, edge.id, to=to)
    yield group(
        block_id, Item.BEARING_NAIL, scene.practice.ladder_nails, at, "R26", f"{_words(item)} to the rim"
    )
    if narrow:
        return
    yield Placed(
        f"clip:{block_id}",
        Item.CLIP_ANGLE,
        scene.size(joist),
        1,
        "piece",
        to,
        "R26",
        "ladder blocks to joists",
        block_id,
    )
    screws = 2 * scene.screws(joist)
    yield group(f"clip:{block_id}", Item.STEEL_SCREW, screws, to, "R26", "ladder block clip, both legs")


def _joist_beside(scene: Scene, beside: Sequence[Member], along_16: int) -> Member | None:
    for member in beside:
        low, high = _covers(scene, member)
        if low <= along_16 <= high:
            return member
    return None


def _words(item: Item) -> str:
    return "ladder block" if item is Item.LADDER_BLOCK else "wood packer"
