"""Openings of a bay, each framed within one span (R7)."""

from __future__ import annotations

from collections.abc import Mapping

from framing.engine.catalogue import JoistProfile
from framing.engine.floor import FloorPlan, Opening
from framing.engine.layout.frame_maker import FrameMaker, reach_of
from framing.engine.layout.framed_set import FramedSet
from framing.engine.layout.ground import Ground


def frame_openings(
    plan: FloorPlan, ground: Ground, profile: JoistProfile, plies: Mapping[str, int]
) -> tuple[FramedSet, ...]:
    """All openings of the bay. `plies` by `<opening id>:<part>`; others take the default of R7.

    The widest come first: narrower ones in line hang on them. Raises FloorRefused where an opening can't be framed
    within one span.
    """
    maker = FrameMaker(ground, profile, plies)
    frames: list[FramedSet] = []
    numbered = [(opening, f"openings.{index}") for index, opening in enumerate(plan.openings)]
    own = [one for one in numbered if len(plan.bays) == 1 or _lies_in(one[0], ground)]
    for opening, place in sorted(own, key=lambda one: -_width_16(one[0], ground)):
        frames.append(maker.frame(opening, place, frames))
    order = [opening.id for opening, _ in own]
    return tuple(sorted(frames, key=lambda frame: order.index(frame.opening.id)))


def _width_16(opening: Opening, ground: Ground) -> int:
    (low, high), _ = reach_of(opening, ground)
    return high - low


def _lies_in(opening: Opening, ground: Ground) -> bool:
    """Whether the middle of an opening lies in the bay."""
    across, along = reach_of(opening, ground)
    middle = (along[0] + along[1]) // 2
    return any(
        reach.low_16 <= middle < reach.high_16 for reach in ground.reaches((across[0] + across[1]) // 2)
    )
