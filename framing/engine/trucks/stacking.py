"""Whole stacks first, then lanes, then trucks: what serves loads that room decides, not weight.

Each stack begins with the longest thing left and takes of the next ones what wastes the least of its height; each
lane begins with the longest stack left and takes what fills the deck best; lanes go on trucks by weight. For one kind
of truck.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from heapq import nlargest
from typing import Final

from framing.engine.trucks.model import Frame, Model
from framing.engine.trucks.packing import Load, Packing, Pile, new_load, pack, stood

WAYS: Final = ((False, 12), (True, 12), (False, 30), (True, 30))
"""Whether what comes off last begins the stacks, and how many things are looked at for each."""
STATES_MOST: Final = 400
"""So many ways to fill a stack are followed at once, those that are worth the most; few heights make fewer."""
_Fill = tuple[int, tuple[int, ...]]  # what it is worth, and what it takes


def by_stacks(model: Model) -> Iterator[Packing]:
    """A packing for each way; none with several kinds of truck, or where there are too few trucks."""
    if len(model.frames) != 1:
        return
    frame = model.frames[0]
    for late_first, window in WAYS:
        plain = [index for index in range(len(model.things)) if _is_plain(model, frame, index)]
        plain.sort(
            key=lambda i: (-model.stops[i] if late_first else 0, -model.lengths[i], -model.stops[i], i)
        )
        stacks = list(_stacks(model, frame, plain, window))
        rest = _not_in(model, stacks)
        loads = _loads(model, frame, _lanes(frame, stacks))
        if len(loads) <= frame.count:
            yield pack(model, rest, loads)
        if max(frame.needs) > 1:
            yield _wide_first(model, frame, stacks, rest, window)


def _not_in(model: Model, stacks: Iterable[Sequence[int]]) -> list[int]:
    taken = {index for stack in stacks for index in stack}
    return [index for index in range(len(model.things)) if index not in taken]


def _wide_first(
    model: Model, frame: Frame, stacks: Sequence[tuple[int, ...]], rest: Sequence[int], window: int
) -> Packing:
    """What takes several lanes, stacks of its like first, then the stacks beside and behind it, then what is small."""
    packing = Packing()
    wide = [index for index in rest if frame.needs[index] > 1]
    for needs in sorted({frame.needs[index] for index in wide}, reverse=True):
        bearing = [i for i in wide if frame.needs[i] == needs and _bears_all(model, frame, i)]
        alike = list(_stacks(model, frame, bearing, window))
        _stand(model, frame, packing, alike)
        gone = {index for stack in alike for index in stack}
        _then(model, packing, [i for i in wide if frame.needs[i] == needs and i not in gone])
    _stand(model, frame, packing, sorted(stacks, key=lambda stack: (-frame.lengths[stack[0]], stack)))
    _then(model, packing, [index for index in rest if frame.needs[index] == 1])
    return packing


def _then(model: Model, packing: Packing, things: Sequence[int]) -> None:
    """Things one by one onto what is loaded already."""
    more = pack(model, things, packing.loads)
    packing.loads, packing.left = more.loads, packing.left + more.left


def _stand(model: Model, frame: Frame, packing: Packing, stacks: Iterable[tuple[int, ...]]) -> None:
    """Whole stacks on the first truck with payload and lanes for them, else on a further one."""
    for things in stacks:
        span, length, weight = frame.needs[things[0]], frame.lengths[things[0]], _weight(model, things)
        further = [new_load(frame)] if len(packing.loads) < frame.count else []
        for load in (*packing.loads, *further):
            lane, x = stood(load, span, length) if weight <= load.payload else (-1, 0)
            if lane >= 0:
                packing.loads += further if load.piles == [] else []
                _pile(model, load, lane, x, things)
                break
        else:
            packing.left += things


def _is_plain(model: Model, frame: Frame, index: int) -> bool:
    """Whether a thing is a bundle like others: one lane, any number on it, on any other."""
    return frame.needs[index] == 1 and _bears_all(model, frame, index)


def _bears_all(model: Model, frame: Frame, index: int) -> bool:
    return model.bears[index] >= frame.kind.tiers and not model.things[index].own_place


def _weight(model: Model, things: Sequence[int]) -> int:
    return sum(model.weights[index] for index in things)


def _stacks(model: Model, frame: Frame, plain: Sequence[int], window: int) -> Iterator[tuple[int, ...]]:
    """Stacks from the bottom up, of things in this order; without those over the payload."""
    left = list(plain)
    while left:
        bottom = left.pop(0)
        stack = (bottom, *_filling(model, frame, bottom, left, window))
        for index in stack[1:]:
            left.remove(index)
        if _weight(model, stack) <= frame.payload_100:
            yield stack


def _filling(model: Model, frame: Frame, bottom: int, left: Sequence[int], window: int) -> tuple[int, ...]:
    """What to lay on a bottom: of the next things that may, those that use the most of length times height."""
    room, tiers = frame.kind.stack_height_16 - model.heights[bottom], frame.kind.tiers - 1
    lengths, heights, stops = model.lengths, model.heights, model.stops
    may = (
        i for i in left if lengths[i] <= lengths[bottom] and stops[i] <= stops[bottom] and heights[i] <= room
    )
    chosen = sorted(
        (i for i, _ in zip(may, range(window), strict=False)), key=lambda i: (-lengths[i], -stops[i], i)
    )
    # height used, tiers used, stop on top -> the best filling that comes to that
    states: dict[tuple[int, int, int], _Fill] = {(0, 0, stops[bottom]): (0, ())}
    for index in chosen:
        for (used, count, stop), (worth, taken) in list(states.items()):
            height = used + heights[index]
            if count < tiers and height <= room and stops[index] <= stop:
                key = (height, count + 1, stops[index])
                more = worth + lengths[index] * heights[index]
                if more > states.get(key, (-1,))[0]:
                    states[key] = (more, (*taken, index))
        if len(states) > STATES_MOST:
            states = dict(nlargest(STATES_MOST, states.items(), key=lambda state: state[1][0]))
    return max(states.values(), key=lambda fill: fill[0])[1]


def _lanes(frame: Frame, stacks: Sequence[tuple[int, ...]]) -> list[list[tuple[int, ...]]]:
    """Stacks by lane, end to end: the longest that is left, then what fills the deck best."""
    left = sorted(stacks, key=lambda stack: (-frame.lengths[stack[0]], stack))
    lanes = []
    while left:
        first = left.pop(0)
        lane = [first, *_fitting(frame, frame.deck - frame.lengths[first[0]], left)]
        left = [stack for stack in left if stack not in lane]
        lanes.append(lane)
    return lanes


def _fitting(frame: Frame, room: int, stacks: Sequence[tuple[int, ...]]) -> list[tuple[int, ...]]:
    """Stacks whose lengths add up to the most that is not over the room."""
    reached, mask = [1], (1 << (room + 1)) - 1  # bit n: the stacks so far can add up to n
    for stack in stacks:
        reached.append(reached[-1] | (reached[-1] << frame.lengths[stack[0]]) & mask)
    total, taken = reached[-1].bit_length() - 1, []
    for place in range(len(stacks) - 1, -1, -1):
        if not reached[place] >> total & 1:
            taken.append(stacks[place])
            total -= frame.lengths[stacks[place][0]]
    return taken


def _loads(model: Model, frame: Frame, lanes: Sequence[Sequence[tuple[int, ...]]]) -> list[Load]:
    """Lanes on trucks, the heaviest first, each on the first truck that has a lane and payload for it.

    A lane heavier than that goes stack by stack.
    """
    loads: list[Load] = []
    free: list[int] = []  # lanes left on each truck
    whole = [lane for lane in lanes if sum(_weight(model, stack) for stack in lane) <= frame.payload_100]
    single = [[stack] for lane in lanes if lane not in whole for stack in lane]
    for lane in sorted(
        (*whole, *single), key=lambda lane: (-sum(_weight(model, stack) for stack in lane), lane)
    ):
        weight = sum(_weight(model, stack) for stack in lane)
        fits = (n for n, load in enumerate(loads) if free[n] and weight <= load.payload)
        place = next(fits, len(loads))
        if place == len(loads):
            loads.append(new_load(frame))
            free.append(frame.lanes)
        free[place] -= 1
        _put_lane(model, loads[place], frame.lanes - free[place] - 1, lane)
    return loads


def _put_lane(model: Model, load: Load, lane: int, stacks: Sequence[tuple[int, ...]]) -> None:
    for things in stacks:
        load.lanes[lane] -= load.frame.lengths[things[0]]
        _pile(model, load, lane, load.frame.deck, things)


def _pile(model: Model, load: Load, lane: int, x: int, things: tuple[int, ...]) -> None:
    """A whole stack on lanes that have the room for it."""
    frame, top = load.frame, things[-1]
    height = frame.kind.stack_height_16 - sum(model.heights[index] for index in things)
    room = frame.kind.tiers - len(things)
    pile = Pile(things[0], lane, frame.needs[top], model.lengths[top], model.stops[top], height, room, x)
    pile.things += things[1:]
    load.piles.append(pile)
    load.payload -= _weight(model, things)
