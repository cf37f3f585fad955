"""The dispatcher's steps on a truck plan: move, swap, lock, plan the rest anew (R47).

Each takes a plan and returns the plan after the step, or refuses and changes nothing. Stacks of trucks that a step
touches close up towards the headboard.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import count

from framing.engine.trucks.check import check
from framing.engine.trucks.facts import GoOn, LoadTask, always
from framing.engine.trucks.hold import Hold
from framing.engine.trucks.places import LoadRefused, free_place, laid, open_for, without
from framing.engine.trucks.plan import Edited, Truck, TrucksPlan
from framing.engine.trucks.planner import plan_trucks


def move(
    task: LoadTask,
    plan: TrucksPlan,
    *,
    thing: str,
    truck: int | None,
    kind: str = "",
    lane: int | None = None,
    on: str = "",
) -> Edited:
    """Move a thing to a truck (None: a further one, of `kind`, "" the first kind), from another or from `left`.

    `on` is a thing of the goal's stack, into which it goes where length and stop allow, as high as it can;
    `lane` makes a new stack on that lane; neither takes the first place that is free, stacks before lanes. An emptied
    truck is gone.

    Raises:
        LoadRefused: a locked truck, a thing or truck that is not there, or a rule that the place would break.
    """
    hold = Hold(task)
    open_for(hold, plan, thing)
    lifted = without(hold, plan, thing)
    goal = _further(hold, plan, kind) if truck is None else _goal(hold, plan, lifted, truck, thing)
    placed = free_place(hold, goal, thing, lane=lane, on=on)
    trucks = {**{t.number: t for t in lifted.trucks}, placed.number: placed}
    where = "a further truck, " if truck is None else "truck "
    words = f"Moved {hold.name(thing)} to {where}{placed.number}."
    return _edited(hold, plan, TrucksPlan(tuple(trucks.values()), lifted.left), words)


def swap(task: LoadTask, plan: TrucksPlan, *, thing: str, other: str) -> Edited:
    """Let two things change places; one of them may have none yet.

    Raises:
        LoadRefused: a locked truck, a thing that is not there, or a rule that either place would break.
    """
    hold = Hold(task)
    open_for(hold, plan, thing)
    open_for(hold, plan, other)
    if thing == other:
        raise LoadRefused(f"{hold.name(thing)} can't change places with itself; choose another thing.")
    goes = {thing: other, other: thing}
    trucks = []
    for truck in plan.trucks:
        if goes.keys() & set(truck.things):
            stacks = [replace(s, things=tuple(goes.get(t, t) for t in s.things)) for s in truck.stacks]
            truck = laid(hold, truck, stacks)
        trucks.append(truck)
    left = tuple(goes.get(t, t) for t in plan.left)
    words = f"{hold.name(thing)} and {hold.name(other)} changed places."
    return _edited(hold, plan, TrucksPlan(tuple(trucks), left), words)


def lock(plan: TrucksPlan, *, truck: int, locked: bool) -> Edited:
    """Keep a truck's load as it is when the rest is planned anew, or let it go again.

    Raises:
        LoadRefused: no such truck, or it is so already.
    """
    found = next((t for t in plan.trucks if t.number == truck), None)
    if found is None:
        raise LoadRefused(f"There is no truck {truck} in this plan; choose one that is there.")
    if found.locked == locked:
        raise LoadRefused(f"Truck {truck} is {'locked already' if locked else 'not locked'}.")
    trucks = tuple(replace(t, locked=locked) if t is found else t for t in plan.trucks)
    return Edited(replace(plan, trucks=trucks), f"{'Locked' if locked else 'Unlocked'} truck {truck}.")


def again(task: LoadTask, plan: TrucksPlan, go_on: GoOn = always) -> Edited:
    """Plan anew all that is not on a locked truck, what was left too; new trucks take the numbers that are free.

    Raises:
        LoadRefused: every truck is locked and nothing is left over, or no truck is left for the rest.
        TrucksRefused: facts that no plan can be made from.
    """
    hold = Hold(task)
    kept = [truck for truck in plan.trucks if truck.locked]
    held = {thing for truck in kept for thing in truck.things}
    free = tuple(thing for thing in task.things if thing.id not in held)
    if not free:
        raise LoadRefused("Every load is locked; unlock one first.")
    kinds = tuple(
        kind if kind.count is None else replace(kind, count=max(0, kind.count - _of_kind(kept, kind.name)))
        for kind in task.kinds
    )
    if all(kind.count == 0 for kind in kinds):
        raise LoadRefused("Every truck that there is is locked; add a truck, or unlock one.")
    rest = replace(task, things=free, kinds=kinds, lane_width_16=hold.model.lane_16)
    outcome = plan_trucks(rest, go_on)
    numbers = _free_numbers({truck.number for truck in kept})
    made = [replace(truck, number=next(numbers)) for truck in outcome.plan.trucks]
    trucks = tuple(sorted((*kept, *made), key=lambda truck: truck.number))
    locked = f" around {len(kept)} locked" if kept else ""
    return Edited(TrucksPlan(trucks, outcome.plan.left), f"Planned anew{locked}: {outcome.words}")


def _of_kind(trucks: Iterable[Truck], name: str) -> int:
    return sum(truck.kind == name for truck in trucks)


def _free_numbers(taken: set[int]) -> Iterator[int]:
    return (number for number in count(1) if number not in taken)


def _goal(hold: Hold, plan: TrucksPlan, lifted: TrucksPlan, number: int, thing: str) -> Truck:
    """The truck to put a thing on, without the thing."""
    stood = next((truck for truck in plan.trucks if truck.number == number), None)
    if stood is None:
        raise LoadRefused(f"There is no truck {number} in this plan; choose one that is there.")
    if stood.locked:
        raise LoadRefused(f"Truck {number} is locked; unlock it to put {hold.name(thing)} on it.")
    return next((truck for truck in lifted.trucks if truck.number == number), replace(stood, stacks=()))


def _further(hold: Hold, plan: TrucksPlan, kind: str) -> Truck:
    name = kind or hold.model.task.kinds[0].name
    if name not in hold.frames:
        raise LoadRefused(f"There is no truck of the kind {name}; choose one of: {', '.join(hold.frames)}.")
    return Truck(next(_free_numbers({truck.number for truck in plan.trucks})), name)


def _edited(hold: Hold, before: TrucksPlan, after: TrucksPlan, words: str) -> Edited:
    """The plan in order of numbers, if the step broke no rule that held before it."""
    after = replace(after, trucks=tuple(sorted(after.trucks, key=lambda truck: truck.number)))
    had = check(hold.task, before)
    broken = tuple(one for one in check(hold.task, after) if one not in had)
    if broken:
        raise LoadRefused(broken[0].words, broken)
    return Edited(after, words)
