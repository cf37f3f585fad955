"""Every rule that a truck plan breaks, whoever made it (R47)."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import combinations

from framing.engine.trucks.check_stack import stack_breaks
from framing.engine.trucks.facts import LoadTask
from framing.engine.trucks.hold import Hold
from framing.engine.trucks.plan import Broken, Stack, Truck, TrucksPlan


def check(task: LoadTask, plan: TrucksPlan) -> tuple[Broken, ...]:
    """All broken rules, by truck; none for a plan that may be stored. What overhangs within the limit is no break.

    Raises:
        TrucksRefused: facts that no plan can be made from.
    """
    hold = Hold(task)
    broken = [*_whole_plan(hold, plan)]
    for truck in plan.trucks:
        broken += truck_breaks(hold, truck)
    return tuple(broken)


def truck_breaks(hold: Hold, truck: Truck) -> Iterator[Broken]:
    """What a truck by itself breaks; of things that are not in the task only that."""
    name = f"Truck {truck.number}"
    if truck.kind not in hold.frames:
        yield Broken(
            "kind", truck.number, "", f"{name} is a {truck.kind}, which is no kind here; choose one that is."
        )
        return
    unknown = [thing for thing in truck.things if thing not in hold.things]
    for thing in unknown:
        yield Broken(
            "unknown", truck.number, thing, f"{name} carries {thing}, which is not to be loaded; take it off."
        )
    if not unknown:
        yield from _payload(hold, truck)
        for stack in truck.stacks:
            yield from stack_breaks(hold, truck, stack)
        yield from _overlaps(hold, truck)


def _whole_plan(hold: Hold, plan: TrucksPlan) -> Iterator[Broken]:
    """Each thing once, each number once, no more trucks of a kind than there are."""
    counts = Counter([*(thing for _, _, thing in plan.places), *plan.left])
    for thing, count in counts.items():
        if count > 1:
            name = hold.name(thing)
            yield Broken("twice", 0, thing, f"{name} is loaded {count} times; leave it on one truck.")
    for thing in hold.things:
        if thing not in counts:
            yield Broken("missing", 0, thing, f"{hold.name(thing)} is on no truck; load it or set it aside.")
    for number, count in Counter(truck.number for truck in plan.trucks).items():
        if count > 1:
            yield Broken(
                "twice", number, "", f"There are {count} trucks with number {number}; number each its own."
            )
    for name, count in Counter(truck.kind for truck in plan.trucks).items():
        most = hold.frames[name].count if name in hold.frames else count
        if count > most:
            words = (
                f"The plan takes {count} of {name}, and there are {most}; choose another kind for the rest."
            )
            yield Broken("count", 0, "", words)


def _payload(hold: Hold, truck: Truck) -> Iterator[Broken]:
    weight_100 = sum(hold.things[thing].weight_100 for thing in truck.things)
    most_100 = hold.frames[truck.kind].payload_100
    if weight_100 > most_100:
        over = f"{(weight_100 - most_100) / 100:,.0f} lb over the {most_100 / 100:,.0f} lb of a {truck.kind}"
        words = f"Truck {truck.number} would carry {weight_100 / 100:,.0f} lb, {over}; take something off."
        yield Broken("payload", truck.number, "", words)


def _overlaps(hold: Hold, truck: Truck) -> Iterator[Broken]:
    """Stacks on the same part of a lane."""
    for one, other in combinations((stack for stack in truck.stacks if stack.things), 2):
        if _meet(hold, truck, one, other):
            names = f"{hold.name(one.things[0])} and {hold.name(other.things[0])}"
            lane = max(one.lane, other.lane)
            yield Broken(
                "deck",
                truck.number,
                other.things[0],
                f"On truck {truck.number} {names} stand on the same part of lane {lane}; move one of them.",
            )


def _meet(hold: Hold, truck: Truck, one: Stack, other: Stack) -> bool:
    across = one.lane < other.lane + other.lanes and other.lane < one.lane + one.lanes
    ends = [stack.x_16 + hold.on_deck(truck, stack.things[0]) for stack in (one, other)]
    return across and one.x_16 < ends[1] and other.x_16 < ends[0]
