"""Ply clips of built-up members (R22).

`clip_positions` is the rule on plain numbers; `ply_clips` places it on members.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from framing.engine.fitout.fasteners import group
from framing.engine.fitout.scene import Scene
from framing.engine.lean import Number, half_up, whole
from framing.engine.members import Member
from framing.engine.placement import Item, Placed
from framing.engine.practice import Practice


def clip_positions(length_16: int, carried_16: Sequence[int], practice: Practice) -> tuple[Number, ...]:
    """Ply clips of one interface, measured from the low end, low to high.

    Args:
        length_16: cut length of the member.
        carried_16: centre lines of the members it carries, from its low end.
        practice: end distance, largest gap and the distance to keep from carried members.
    """
    parts, regular = _regular(length_16, practice)
    carried, avoid = [parts * place for place in carried_16], parts * practice.ply_clip_avoid_16
    placed = sorted(_clear_of(place, carried, avoid) for place in regular)
    most = parts * practice.ply_clip_most_16
    added = [_clear_of((a + b) // 2, carried, avoid) for a, b in pairwise(placed) if b - a > most]
    return tuple(whole(Fraction(place, parts)) for place in sorted(placed + added))


def _regular(length_16: int, practice: Practice) -> tuple[int, list[int]]:
    """Clips before any moves, in so many parts of a sixteenth that places and middles between them are whole."""
    if length_16 < practice.ply_clip_most_16:
        return 8, [2 * length_16, 6 * length_16]
    end = practice.ply_clip_end_16
    between = length_16 - 2 * end
    spaces = -(-between // practice.ply_clip_most_16)
    return 2 * spaces, [2 * spaces * end + 2 * i * between for i in range(spaces + 1)]


def _clear_of(place: int, carried: Sequence[int], avoid: int) -> int:
    """The place itself, or `avoid` from the carried member that it stands too near."""
    near = [c for c in carried if -avoid < place - c < avoid]
    if not near:
        return place
    centre = min(near, key=lambda c: (abs(place - c), c))
    sides = [centre - avoid, centre + avoid]
    if place > centre:  # a tie goes to the low end
        sides.reverse()
    for side in sides:
        if not any(-avoid < side - c < avoid for c in carried):
            return side
    return sides[0]


def carried_by(scene: Scene, member: Member) -> tuple[int, ...]:
    """Centre lines of the members that end on this one, of whatever bay, from its low end."""
    return tuple(place - member.low_16 for place in scene.carried.get(member.id, ()))


def ply_clips(scene: Scene) -> Iterator[Placed]:
    """Ply clips with four screws each on every interface of every built-up member."""
    for member in scene.members:
        if member.plies < 2:
            continue
        positions = clip_positions(member.length_16, carried_by(scene, member), scene.practice)
        places = [member.low_16 + half_up(position) for position in positions]
        size, why = scene.size(member), _why(member)
        for interface in range(1, member.plies):
            beside = whole(Fraction(member.width_16 * (2 * interface - member.plies), 2 * member.plies))
            for number, place in enumerate(places):
                clip_id = f"ply:{member.id}:{interface}:{number}"
                at = scene.on_member(member, place, beside)
                yield Placed(clip_id, Item.PLY_CLIP, size, 1, "piece", at, "R22", why, member.id)
                yield group(clip_id, Item.STEEL_SCREW, scene.practice.ply_clip_screws, at, "R22", "ply clip")


def _why(member: Member) -> str:
    return {"T": "trimmers", "H": "headers", "B": "beams"}.get(member.kind.value, "built-up joists")
