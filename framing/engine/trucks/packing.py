"""Things onto trucks, one after another: the first truck with payload, the best fitting stack top, else the best lane.

A packing is made from an order of the things; which order is the search's affair. Whole numbers throughout.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from framing.engine.trucks.model import Frame, Model


class Pile:
    """A stack while it grows: its things, and what still may come on top."""

    __slots__ = ("height", "lane", "length", "needs", "room", "stop", "things", "x")

    def __init__(
        self, index: int, lane: int, needs: int, length: int, stop: int, height: int, room: int, x: int
    ) -> None:
        self.things = [index]
        self.lane, self.x = (
            lane,
            x,
        )  # x: where it may stand, from the headboard; what takes one lane comes last
        self.needs, self.length, self.stop = needs, length, stop  # of the top
        self.height, self.room = height, room  # what is left of height and tiers


@dataclass(slots=True)
class Load:
    """A truck while it is loaded: payload left, length left by lane, stacks.

    What takes several lanes stands before all that takes one: `fronts` tells by lane where the wide ones end.
    """

    frame: Frame
    payload: int
    lanes: list[int]
    fronts: list[int]
    piles: list[Pile] = field(default_factory=list)


@dataclass(slots=True)
class Packing:
    """Trucks in the order in which they were begun, and the things that found no place."""

    loads: list[Load] = field(default_factory=list)
    left: list[int] = field(default_factory=list)

    @property
    def score(self) -> tuple[int, int]:
        return len(self.left), len(self.loads)


def new_load(frame: Frame) -> Load:
    return Load(frame, frame.payload_100, [frame.deck] * frame.lanes, [0] * frame.lanes)


def pack(model: Model, order: Sequence[int], begun: Sequence[Load] = ()) -> Packing:
    """All things in this order, with a further truck, large ones first, whenever none that is begun has a place."""
    packing = Packing(list(begun))
    counts = [frame.count - sum(load.frame is frame for load in begun) for frame in model.frames]
    for index in order:
        if any(put(model, load, index) for load in packing.loads):
            continue
        for which, frame in enumerate(model.frames):
            if counts[which] and frame.carries[index]:
                counts[which] -= 1
                load = new_load(frame)
                put(model, load, index)
                packing.loads.append(load)
                break
        else:
            packing.left.append(index)
    return packing


def put(model: Model, load: Load, index: int) -> bool:
    """Lay a thing on a truck if there is a place for it."""
    weight = model.weights[index]
    frame = load.frame
    if weight > load.payload or not frame.carries[index]:
        return False
    if not model.things[index].own_place and _put_on(model, load, index):
        load.payload -= weight
        return True
    span, length = frame.needs[index], frame.lengths[index]
    lane, x = stood(load, span, length)
    if lane < 0:
        return False
    height = frame.kind.stack_height_16 - model.heights[index]
    room = min(frame.kind.tiers - 1, model.bears[index])
    load.piles.append(Pile(index, lane, span, model.lengths[index], model.stops[index], height, room, x))
    load.payload -= weight
    return True


def _put_on(model: Model, load: Load, index: int) -> bool:
    """Lay it on the stack whose top it fits best: the shortest that is long enough."""
    length, height = model.lengths[index], model.heights[index]
    stop, needs = model.stops[index], load.frame.needs[index]
    best: Pile | None = None
    for pile in load.piles:
        if (
            length <= pile.length
            and (best is None or pile.length < best.length)
            and pile.room
            and height <= pile.height
            and stop <= pile.stop
            and needs <= pile.needs
        ):
            best = pile
    if best is None:
        return False
    best.things.append(index)
    best.length, best.stop, best.needs = length, stop, needs
    best.height -= height
    best.room = min(best.room - 1, model.bears[index])
    return True


def stood(load: Load, span: int, length: int) -> tuple[int, int]:
    """Take room on the deck: first lane, -1 where there is none, and how far from the headboard it may stand."""
    if span > 1:
        return _stood_wide(load, span, length)
    lane = _tightest(load.lanes, length)
    if lane >= 0:
        load.lanes[lane] -= length
    return lane, load.frame.deck


def _stood_wide(load: Load, span: int, length: int) -> tuple[int, int]:
    """Stand something wide on lanes side by side: first of them, and how far from the headboard; -1 where none have
    room.

    Those where it leaves the least deck unused beside what stands before it, then those with the least room.
    """
    fronts, lanes = load.fronts, load.lanes
    best, lane, x = (0, 0), -1, 0
    for first in range(len(lanes) - span + 1):
        stands = fronts[first : first + span]
        front = max(stands)
        left = min(map(int.__add__, lanes[first : first + span], stands)) - front
        key = (front * span - sum(stands), left)
        if left >= length and (lane < 0 or key < best):
            best, lane, x = key, first, front
    if lane >= 0:
        for taken in range(lane, lane + span):
            lanes[taken] -= x + length - fronts[taken]
            fronts[taken] = x + length
    return lane, x


def _tightest(room: Sequence[int], length: int) -> int:
    """The place with the least room that is enough; the first of equal ones; -1 if none is."""
    best, least = -1, 0
    for place, left in enumerate(room):
        if left >= length and (best < 0 or left < least):
            best, least = place, left
    return best
