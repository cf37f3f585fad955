"""Ply clips of built-up members (R22).

`clip_positions` is the rule on plain numbers; `ply_clips` places it on members.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from framing.engine.fitout.fasteners import group
from framing.engine.fitout.intervals import Number, half_up
from framing.engine.fitout.scene import Scene
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
    placed = [_clear_of(p, carried_16, practice.ply_clip_avoid_16) for p in _regular(length_16, practice)]
    placed.sort()
    added = [
        _clear_of(Fraction(a + b) / 2, carried_16, practice.ply_clip_avoid_16)
        for a, b in pairwise(placed)
        if b - a > practice.ply_clip_most_16
    ]
    return tuple(sorted(placed + added))


def _regular(length_16: int, practice: Practice) -> tuple[Number, ...]:
    if length_16 < practice.ply_clip_most_16:
        return Fraction(length_16, 4), Fraction(3 * length_16, 4)
    end = practice.ply_clip_end_16
    between = length_16 - 2 * end
    spaces = -(-between // practice.ply_clip_most_16)
    return tuple(end + Fraction(i * between, spaces) for i in range(spaces + 1))


def _clear_of(position_16: Number, carried_16: Sequence[int], avoid_16: int) -> Number:
    """The position itself, or `avoid_16` from the carried member that it stands too near."""
    near = [c for c in carried_16 if -avoid_16 < position_16 - c < avoid_16]
    if not near:
        return position_16
    centre = min(near, key=lambda c: (abs(Fraction(position_16 - c)), c))
    sides: list[Number] = [centre - avoid_16, centre + avoid_16]
    if position_16 > centre:  # a tie goes to the low end
        sides.reverse()
    for side in sides:
        if not any(-avoid_16 < side - c < avoid_16 for c in carried_16):
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
        flange = Fraction(member.width_16, member.plies)
        for interface in range(1, member.plies):
            beside = flange * interface - Fraction(member.width_16, 2)
            for number, position in enumerate(positions):
                clip_id = f"ply:{member.id}:{interface}:{number}"
                at = scene.on_member(member, member.low_16 + half_up(position), beside)
                yield Placed(
                    clip_id, Item.PLY_CLIP, scene.size(member), 1, "piece", at, "R22", _why(member), member.id
                )
                yield group(clip_id, Item.STEEL_SCREW, scene.practice.ply_clip_screws, at, "R22", "ply clip")


def _why(member: Member) -> str:
    return {"T": "trimmers", "H": "headers", "B": "beams"}.get(member.kind.value, "built-up joists")
