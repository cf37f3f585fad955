"""Solid blocks on bridging lines (R25)."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from framing.engine.fitout.bridging import Passing
from framing.engine.fitout.fasteners import group
from framing.engine.fitout.scene import Scene, high_face_16, low_face_16
from framing.engine.lean import Number
from framing.engine.members import Member
from framing.engine.placement import Item, Placed
from framing.engine.practice import Practice


@dataclass(frozen=True, slots=True)
class ClearSpace:
    """The gap between two neighbouring joists on a run."""

    before: Member
    low_16: Number
    high_16: Number


def solid_blocks(scene: Scene, passings: Sequence[Passing]) -> Iterator[Placed]:
    """Blocks in the first and last space of each run and as few between as the rule allows."""
    for passing in passings:
        line = passing.line
        for index, space in enumerate(chosen_spaces(passing.members, scene.practice)):
            block_id = f"block:{line.id}:{passing.number}:{index}"
            low, high = scene.at(space.low_16, line.along_16), scene.at(space.high_16, line.along_16)
            size, why = space.before.profile, "bridging runs"
            yield Placed(block_id, Item.SOLID_BLOCK, size, 1, "piece", low, "R25", why, line.id, to=high)
            screws = 2 * scene.practice.block_screws_per_end
            yield group(block_id, Item.STEEL_SCREW, screws, low, "R25", "solid block, both ends")


def chosen_spaces(joists: Sequence[Member], practice: Practice) -> tuple[ClearSpace, ...]:
    """First and last space of a run and the farthest ones within reach between; narrow ones do not count."""
    spaces = [
        ClearSpace(a, low, high)
        for a, b in pairwise(joists)
        if (high := low_face_16(b)) - (low := high_face_16(a)) >= practice.block_least_16
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
