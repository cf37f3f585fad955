"""Where stacks stand along the deck: end to end from the headboard, wide ones first, then long ones."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from framing.engine.trucks.model import Model
from framing.engine.trucks.packing import Load
from framing.engine.trucks.plan import Stack, Truck


def truck_of(model: Model, load: Load, number: int) -> Truck:
    """A load as a truck of the plan, with the heaviest lanes in the middle."""
    frame = load.frame
    stacks = [
        Stack(pile.lane + 1, frame.spans[pile.things[0]], 0, tuple(model.things[i].id for i in pile.things))
        for pile in load.piles
    ]
    lengths = {thing.id: frame.lengths[index] for index, thing in enumerate(model.things)}
    weights = {thing.id: model.weights[index] for index, thing in enumerate(model.things)}
    if all(stack.lanes == 1 for stack in stacks):
        stacks = _middle_heavy(stacks, frame.lanes, weights.__getitem__)
    return Truck(number, frame.kind.name, closed_up(stacks, lengths.__getitem__))


def closed_up(stacks: Iterable[Stack], length: Callable[[str], int]) -> tuple[Stack, ...]:
    """Stacks end to end from the headboard on their lanes; `length` is what a thing takes of the deck."""
    fronts: dict[int, int] = {}
    placed = []
    for stack in sorted(stacks, key=lambda s: (-s.lanes, -length(s.things[0]), s.lane, s.things)):
        lanes = range(stack.lane, stack.lane + stack.lanes)
        x_16 = max(fronts.get(lane, 0) for lane in lanes)
        for lane in lanes:
            fronts[lane] = x_16 + length(stack.things[0])
        placed.append(replace(stack, x_16=x_16))
    return tuple(sorted(placed, key=lambda s: (s.lane, s.x_16, s.things)))


def _middle_heavy(stacks: Sequence[Stack], lanes: int, weight: Callable[[str], int]) -> list[Stack]:
    """Whole lanes change places, so that a truck leans to no side: the heaviest in the middle, the next beside it."""
    loads = dict.fromkeys(range(1, lanes + 1), 0)
    for stack in stacks:
        loads[stack.lane] += sum(map(weight, stack.things))
    middle_out = sorted(loads, key=lambda lane: (abs(2 * lane - lanes - 1), lane))
    heavy_first = sorted(loads, key=lambda lane: (-loads[lane], lane))
    goes = dict(zip(heavy_first, middle_out, strict=True))
    return [replace(stack, lane=goes[stack.lane]) for stack in stacks]
