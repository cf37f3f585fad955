"""Judges a truck plan from the rules of loading alone; shares no code with the planner or its check.

A thing is a box on a deck: it takes a stretch of the deck's length and a band of equal lanes. Rules (R47): each thing
once; payload; boxes on the deck apart from each other and within it; height and tiers with dunnage; longest down;
last stop loaded first; what bears nothing bears nothing.
"""

from __future__ import annotations

from fractions import Fraction

from framing.engine.trucks.facts import LoadTask, Thing, TruckKind
from framing.engine.trucks.plan import Stack, Truck, TrucksPlan


def check_plan(task: LoadTask, plan: TrucksPlan) -> None:
    """Asserts every rule."""
    things = {thing.id: thing for thing in task.things}
    carried = [thing for truck in plan.trucks for stack in truck.stacks for thing in stack.things]
    assert sorted([*carried, *plan.left]) == sorted(things)
    assert len({truck.number for truck in plan.trucks}) == len(plan.trucks)
    for kind in task.kinds:
        used = [truck for truck in plan.trucks if truck.kind == kind.name]
        assert kind.count is None or len(used) <= kind.count
    for truck in plan.trucks:
        kind = next(kind for kind in task.kinds if kind.name == truck.kind)
        _check_truck(task, things, kind, truck)


def _check_truck(task: LoadTask, things: dict[str, Thing], kind: TruckKind, truck: Truck) -> None:
    weights = [Fraction(str(things[thing].weight_lb)) for stack in truck.stacks for thing in stack.things]
    assert truck.stacks
    assert sum(weights) <= Fraction(str(kind.payload_lb))
    lanes = max(1, kind.deck_width_16 // _lane(task))
    taken: set[tuple[int, int]] = set()
    for stack in truck.stacks:
        members = [things[thing] for thing in stack.things]
        _check_stack(task, kind, members)
        taken_now = _on_deck(kind, lanes, stack, members)
        assert not taken & taken_now
        taken |= taken_now


def _lane(task: LoadTask) -> int:
    """What the task says, the widest bundle, or that pack's width by which all packs take the least of a deck."""
    bundles = [thing.width_16 for thing in task.things if not thing.pack]
    if task.lane_width_16 or bundles:
        return task.lane_width_16 or max(bundles)
    wide = task.kinds[0].deck_width_16
    takes: dict[int, Fraction] = {}
    for lane_16 in sorted({thing.width_16 for thing in task.things}, reverse=True):
        share = Fraction(1, max(1, wide // lane_16))
        takes[lane_16] = sum(
            (-(-Fraction(t.width_16, wide) // share) * share * t.length_16 for t in task.things), Fraction(0)
        )
    return min(takes, key=lambda lane_16: takes[lane_16])


def _on_deck(kind: TruckKind, lanes: int, stack: Stack, members: list[Thing]) -> set[tuple[int, int]]:
    """Sixteenths of each lane that a stack covers; it stands on lanes that are there, wide enough, and on the deck."""
    bottom = members[0]
    lane_16 = Fraction(kind.deck_width_16, lanes)
    assert stack.lane >= 1
    assert stack.lane + stack.lanes - 1 <= lanes
    assert all(thing.width_16 <= stack.lanes * lane_16 for thing in members)
    assert stack.x_16 >= 0
    end_16 = stack.x_16 + bottom.length_16
    if bottom.length_16 > kind.deck_length_16:
        assert stack.x_16 == 0
        assert end_16 <= kind.deck_length_16 + kind.overhang_16
    else:
        assert end_16 <= kind.deck_length_16
    stretch = range(stack.x_16, min(end_16, kind.deck_length_16))
    return {(lane, place) for lane in range(stack.lane, stack.lane + stack.lanes) for place in stretch}


def _check_stack(task: LoadTask, kind: TruckKind, members: list[Thing]) -> None:
    assert members
    assert sum(thing.height_16 + task.dunnage.height_16 for thing in members) <= kind.stack_height_16
    assert len(members) <= kind.tiers
    for place, thing in enumerate(members):
        above = members[place + 1 :]
        assert thing.bears is None or len(above) <= thing.bears
        for upper in above:
            assert not upper.own_place
            assert upper.length_16 <= thing.length_16
            assert upper.stop <= thing.stop
