"""Web backing strips along stair openings and the plywood sheets they are ripped from (R29).

A side without a trimmer or header, at a wall or on a bearing, has no web to back.

Strips run along the 8 ft way of a sheet: a sheet is ripped into widths of the strip's height, each rip is cut
into strips. Both steps are cut exactly; a strip longer than a sheet is made of whole lengths and a rest.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import floor

from framing.engine.catalogue import JoistProfile
from framing.engine.fitout.bridging import trimmers_of
from framing.engine.fitout.cutting import cut_from
from framing.engine.fitout.scene import Scene, high_face_16, low_face_16
from framing.engine.members import FramedOpening, Member
from framing.engine.placement import Item, Placed
from framing.engine.practice import Practice


@dataclass(frozen=True, slots=True)
class _Strip:
    placed: Placed
    height_16: int


def web_backing(scenes: Sequence[Scene], practice: Practice) -> Iterator[Placed]:
    """Strips of a floor, then the sheets bought for them. Bays of one floor share sheets."""
    strips = [
        strip for scene in scenes for opening in scene.stair_openings() for strip in _strips(scene, opening)
    ]
    yield from (strip.placed for strip in strips)
    rips: list[tuple[int, tuple[int, ...]]] = []
    for height in sorted({strip.height_16 for strip in strips}, reverse=True):
        chosen = [i for i, strip in enumerate(strips) if strip.height_16 == height]
        plan = cut_from([strips[i].placed.quantity for i in chosen], [practice.panel_long_16])
        rips += [(height, tuple(chosen[i] for i in rip.pieces)) for rip in plan.sticks]
    sheets = cut_from([height for height, _ in rips], [practice.panel_short_16])
    for number, sheet in enumerate(sheets.sticks):
        inside = sorted(i for rip in sheet.pieces for i in rips[rip][1])
        first = strips[inside[0]].placed
        hosts = ",".join(strips[i].placed.id for i in inside)
        why = "ripped from whole sheets"
        yield Placed(
            f"backing-sheet:{number}", Item.BACKING_SHEET, "", 1, "piece", first.at, "R29", why, hosts
        )


def strip_height_16(profile: JoistProfile, practice: Practice) -> int:
    """Depth less both flanges' thickness less the gap, rounded down to a sixteenth."""
    return _height_16(profile.depth_16, profile.design_thickness_in, practice.backing_gap_16)


@lru_cache(maxsize=64)
def _height_16(depth_16: int, thickness_in: float, gap_16: int) -> int:
    return floor(depth_16 - 32 * Fraction(str(thickness_in)) - gap_16)


def _strips(scene: Scene, opening: FramedOpening) -> Iterator[_Strip]:
    a_low, a_high = opening.across_low_16, opening.across_high_16
    l_low, l_high = opening.along_low_16, opening.along_high_16
    for side, trimmer in zip(("low", "high"), trimmers_of(scene, opening), strict=True):
        if trimmer is not None:
            yield from _on(scene, opening, trimmer, side, l_low, l_high, "trimmers at stair openings")
    for side, header_id in (("low", opening.header_low), ("high", opening.header_high)):
        if header_id is not None:
            member = scene.member(header_id)
            yield from _on(scene, opening, member, side, a_low, a_high, "headers at stair openings")


def _on(
    scene: Scene, opening: FramedOpening, member: Member, side: str, low_16: int, high_16: int, why: str
) -> Iterator[_Strip]:
    face = high_face_16(member) if side == "low" else low_face_16(member)
    height = strip_height_16(scene.profile(member), scene.practice)
    position, number = low_16, 0
    while position < high_16:
        length = min(scene.practice.panel_long_16, high_16 - position)
        beside = face - member.centre_16
        placed = Placed(
            id=f"backing:{opening.opening}:{member.id}:{side}:{number}",
            item=Item.WEB_BACKING,
            size=str(scene.profile(member).depth_code),
            quantity=length,
            unit="length_16",
            at=scene.on_member(member, position, beside),
            rule="R29",
            why=why,
            host=member.id,
            to=scene.on_member(member, position + length, beside),
        )
        yield _Strip(placed, height)
        position, number = position + length, number + 1
