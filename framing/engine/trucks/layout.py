"""Where stacks stand along the deck: towards the headboard, wide ones first, then long ones."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from framing.engine.trucks.model import Model
from framing.engine.trucks.packing import Load
from framing.engine.trucks.plan import Stack, Truck
from framing.engine.trucks.sideways import evened


def truck_of(model: Model, load: Load, number: int) -> Truck:
    """A load as a truck of the plan, leaning to no side."""
    frame = load.frame
    stacks = [
        Stack(
            pile.lane + 1, frame.needs[pile.things[0]], pile.x, tuple(model.things[i].id for i in pile.things)
        )
        for pile in load.piles
    ]
    lengths = {thing.id: frame.lengths[index] for index, thing in enumerate(model.things)}
    weights = {thing.id: model.weights[index] for index, thing in enumerate(model.things)}
    stacks = evened(stacks, frame.lanes, weights.__getitem__)
    return Truck(number, frame.kind.name, closed_up(stacks, lengths.__getitem__, frame.deck))


def closed_up(stacks: Iterable[Stack], length: Callable[[str], int], deck_16: int) -> tuple[Stack, ...]:
    """Stacks as far towards the headboard as their lanes allow; `length` is what a thing takes of the deck.

    Wide ones go before, then long ones; where the deck does not hold them so, those that stood before stay before: what
    fitted as it stood fits still.
    """
    many = list(stacks)
    long_first = _placed(sorted(many, key=_wide_then_long(length)), length)
    if _end(long_first, length) <= deck_16:
        return long_first
    as_stood = _placed(sorted(many, key=lambda s: (s.x_16, -length(s.things[0]), s.lane, s.things)), length)
    return as_stood if _end(as_stood, length) <= deck_16 else long_first


def _wide_then_long(length: Callable[[str], int]) -> Callable[[Stack], tuple[int, int, int, tuple[str, ...]]]:
    return lambda stack: (-stack.lanes, -length(stack.things[0]), stack.lane, stack.things)


def _end(stacks: Iterable[Stack], length: Callable[[str], int]) -> int:
    return max((stack.x_16 + length(stack.things[0]) for stack in stacks), default=0)


def _placed(stacks: Iterable[Stack], length: Callable[[str], int]) -> tuple[Stack, ...]:
    """Each stack, one after another, at the first place that is free on all its lanes, gaps with it."""
    taken: dict[int, list[tuple[int, int]]] = {}  # by lane: from and to
    placed = []
    for stack in stacks:
        lanes, size = range(stack.lane, stack.lane + stack.lanes), length(stack.things[0])
        x_16 = 0
        for low, high in sorted(part for lane in lanes for part in taken.get(lane, ())):
            if x_16 + size <= low:
                break
            x_16 = max(x_16, high)
        for lane in lanes:
            taken.setdefault(lane, []).append((x_16, x_16 + size))
        placed.append(replace(stack, x_16=x_16))
    return tuple(sorted(placed, key=lambda s: (s.lane, s.x_16, s.things)))
