"""Taking a thing off a truck and finding it a place on one, for the dispatcher's steps."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from framing.engine.errors import EngineError
from framing.engine.trucks.check import truck_breaks
from framing.engine.trucks.hold import Hold
from framing.engine.trucks.layout import closed_up
from framing.engine.trucks.plan import Broken, Stack, Truck, TrucksPlan


class LoadRefused(EngineError):
    """A step that would break a rule; nothing was changed. The message names thing, rule, value, limit, what to do.

    `broken` holds the rules, where it was one of `check`.
    """

    def __init__(self, message: str, broken: tuple[Broken, ...] = ()) -> None:
        super().__init__(message)
        self.broken = broken


def open_for(hold: Hold, plan: TrucksPlan, thing: str) -> None:
    """Raises LoadRefused unless a thing is there and, if it is on a truck, may leave it."""
    if thing not in hold.things:
        raise LoadRefused(
            f"{thing} is not among what is to be loaded; choose a bundle or pack of this delivery."
        )
    truck = next((truck for truck in plan.trucks if thing in truck.things), None)
    if truck is not None and truck.locked:
        raise LoadRefused(f"Truck {truck.number} with {hold.name(thing)} is locked; unlock it first.")
    if truck is not None:
        _sound(hold, truck)


def without(hold: Hold, plan: TrucksPlan, thing: str) -> TrucksPlan:
    """The plan without a thing; a truck that it alone was on is gone."""
    trucks = []
    for truck in plan.trucks:
        if thing in truck.things:
            stacks = [replace(s, things=tuple(t for t in s.things if t != thing)) for s in truck.stacks]
            truck = laid(hold, truck, [stack for stack in stacks if stack.things])
            if not truck.stacks:
                continue
        trucks.append(truck)
    return TrucksPlan(tuple(trucks), tuple(other for other in plan.left if other != thing))


def laid(hold: Hold, truck: Truck, stacks: Iterable[Stack]) -> Truck:
    """A truck with these stacks, closed up towards the headboard, each on as many lanes as its bottom needs."""
    fitted = [replace(stack, lanes=hold.span(truck, stack.things[0])) for stack in stacks]
    return replace(
        truck, stacks=closed_up(fitted, lambda thing: hold.on_deck(truck, thing), hold.frame(truck).deck)
    )


def free_place(hold: Hold, truck: Truck, thing: str, *, lane: int | None, on: str) -> Truck:
    """A truck with a thing on it at the first place that breaks no rule which held before.

    Raises LoadRefused with what the first place breaks, where the dispatcher named it.
    """
    _sound(hold, truck)
    had = tuple(truck_breaks(hold, truck))
    refused: list[tuple[Broken, ...]] = []
    for stacks in _places(hold, truck, thing, lane, on):
        placed = laid(hold, truck, stacks)
        broken = tuple(one for one in truck_breaks(hold, placed) if one not in had)
        if not broken:
            return placed
        refused.append(broken)
    first = refused[0]
    whole = next((one for one in first if one.rule in ("payload", "kind")), None)
    if whole is None and lane is None and not on:
        size = hold.size(hold.things[thing].length_16)
        raise LoadRefused(
            f"Truck {truck.number} has no free place for {hold.name(thing)}, {size} long: no stack is long enough "
            "and low enough, no lane has so much deck left. Choose another truck, or take something off.",
            first,
        )
    raise LoadRefused((whole or first[0]).words, first)


def _places(hold: Hold, truck: Truck, thing: str, lane: int | None, on: str) -> Iterator[Sequence[Stack]]:
    """The truck's stacks with the thing at each place that is asked for."""
    stacks = truck.stacks
    if on:
        found = next((stack for stack in stacks if on in stack.things), None)
        if found is None:
            raise LoadRefused(
                f"{hold.name(on)} does not lie on truck {truck.number}; choose a thing that does, or a lane."
            )
        yield from _in_stack(stacks, found, thing, found.things.index(on) + 1)
    elif lane is not None:
        yield (*stacks, Stack(lane, 1, hold.frame(truck).deck, (thing,)))
    else:
        by_top = sorted(stacks, key=lambda s: (hold.things[s.things[-1]].length_16, s.lane, s.x_16))
        for stack in by_top:
            yield from _in_stack(stacks, stack, thing, 0)
        for first in range(1, hold.frame(truck).lanes + 1):
            yield (*stacks, Stack(first, 1, hold.frame(truck).deck, (thing,)))


def _in_stack(stacks: Sequence[Stack], into: Stack, thing: str, lowest: int) -> Iterator[Sequence[Stack]]:
    """A stack with the thing in it, at the top first, no lower than `lowest`."""
    for place in range(len(into.things), lowest - 1, -1):
        grown = replace(into, things=(*into.things[:place], thing, *into.things[place:]))
        yield [grown if stack is into else stack for stack in stacks]


def _sound(hold: Hold, truck: Truck) -> None:
    """Raises LoadRefused for a truck whose kind or things are not in the task any more."""
    for broken in truck_breaks(hold, truck):
        if broken.rule == "unknown" or (broken.rule == "kind" and not broken.thing):
            raise LoadRefused(broken.words, (broken,))
