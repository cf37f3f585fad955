"""Weights, order of unloading, tie-downs and dunnage of a truck plan (R47)."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from framing.engine.trucks.bound import bound_of
from framing.engine.trucks.facts import INCH, LoadTask
from framing.engine.trucks.figures import Overhang, PlanFigures, StackFigures, Sticks, Tier, TruckFigures
from framing.engine.trucks.hold import Hold
from framing.engine.trucks.plan import Stack, Truck, TrucksPlan
from framing.engine.trucks.rows import rows_for
from framing.engine.trucks.tie_downs import credit_lb, least_wll_lb, tie_downs, tie_downs_by_weight
from framing.engine.trucks.weights import press_of, sides_lb

_LIFT_SHARE = 5


def figures_of(task: LoadTask, plan: TrucksPlan) -> PlanFigures:
    """All figures of a plan that breaks no rule (`check`).

    Raises:
        TrucksRefused: facts that no plan can be made from.
        ValueError: a truck holds what is not in the task, or is of no kind of it.
    """
    hold = Hold(task)
    for truck in plan.trucks:
        if truck.kind not in hold.frames or not set(truck.things) <= hold.things.keys():
            raise ValueError(f"truck {truck.number} does not belong to this task; check the plan first")
    bound = bound_of(hold.model)
    trucks = tuple(_truck(hold, truck) for truck in plan.trucks)
    count = len(trucks)
    term = f" ({bound.binding})" if bound.binding else ""
    words = f"{count} truck{'' if count == 1 else 's'}; no plan takes fewer than {bound.trucks}{term}."
    return PlanFigures(trucks, bound, words)


def _truck(hold: Hold, truck: Truck) -> TruckFigures:
    frame, securing = hold.frame(truck), hold.task.securing
    order = _unloading(hold, truck)
    turns = {thing: turn for turn, thing in enumerate(order, start=1)}
    stacks = tuple(_stack(hold, truck, stack, turns) for stack in truck.stacks)
    weight_lb = hold.weight_lb(truck.things)
    parts = [(s.stack.x_16, tier.length_16, tier.weight_lb) for s in stacks for tier in s.tiers]
    press = press_of(parts, frame.deck)
    rows = _rows(hold, truck, stacks, weight_lb)
    return TruckFigures(
        number=truck.number,
        kind=truck.kind,
        locked=truck.locked,
        deck_length_16=frame.deck,
        deck_width_16=frame.kind.deck_width_16,
        lanes=frame.lanes,
        lane_16=frame.kind.deck_width_16 / frame.lanes,
        weight_lb=weight_lb,
        payload_lb=frame.payload_100 / 100,
        stacks=stacks,
        unloading=order,
        centre_16=press.centre_16,
        centre_share=press.centre_16 / frame.deck,
        quarters_lb=press.quarters_lb,
        feet_lb=press.feet_lb,
        behind_lb=press.behind_lb,
        sides_lb=sides_lb([(s.stack.lane, s.stack.lanes, s.weight_lb) for s in stacks], frame.lanes),
        rows_16=rows,
        tie_downs=len(rows),
        least_wll_lb=least_wll_lb(weight_lb),
        credit_lb=len(rows) * credit_lb(securing.strap_wll_lb, to_cargo=securing.to_cargo),
        dunnage=_dunnage(stacks),
        overhangs=_overhangs(hold, truck),
    )


def _rows(hold: Hold, truck: Truck, stacks: Sequence[StackFigures], weight_lb: float) -> tuple[int, ...]:
    """Rows of tie-downs across the deck: each stack's count, and what the whole weight asks for."""
    securing = hold.task.securing
    least = tie_downs_by_weight(weight_lb, securing.strap_wll_lb, to_cargo=securing.to_cargo)
    ends = ((s.stack.x_16, hold.on_deck(truck, s.tiers[0].thing), s.tie_downs) for s in stacks)
    return rows_for([(x_16, x_16 + length_16, count) for x_16, length_16, count in ends], least)


def _dunnage(stacks: Sequence[StackFigures]) -> tuple[Sticks, ...]:
    """Sticks by length, the longest first."""
    counts = Counter[int]()
    for stack in stacks:
        counts[stack.stick_16] += sum(tier.sticks for tier in stack.tiers)
    return tuple(Sticks(length, counts[length]) for length in sorted(counts, reverse=True))


def _unloading(hold: Hold, truck: Truck) -> tuple[str, ...]:
    """By stop; within one from the top down, the rear first."""
    places = [
        (hold.things[thing].stop, -tier, -stack.x_16, stack.lane, thing)
        for stack in truck.stacks
        for tier, thing in enumerate(stack.things)
    ]
    return tuple(place[-1] for place in sorted(places))


def _stack(hold: Hold, truck: Truck, stack: Stack, turns: dict[str, int]) -> StackFigures:
    frame, securing = hold.frame(truck), hold.task.securing
    bottom = hold.things[stack.things[0]]
    weight_lb = hold.weight_lb(stack.things)
    blocked = securing.blocked and _blocked(hold, truck, stack)
    by_weight = tie_downs_by_weight(weight_lb, securing.strap_wll_lb, to_cargo=securing.to_cargo)
    return StackFigures(
        stack=stack,
        tiers=_tiers(hold, stack, turns),
        length_16=bottom.length_16,
        height_16=hold.height_16(stack.things),
        weight_lb=weight_lb,
        blocked=blocked,
        tie_downs=max(tie_downs(bottom.length_16, weight_lb, blocked=blocked), by_weight),
        stick_16=max(1, frame.kind.deck_width_16 * stack.lanes // frame.lanes // INCH) * INCH,
    )


def _blocked(hold: Hold, truck: Truck, stack: Stack) -> bool:
    """It stands at the headboard, or on each of its lanes close behind another stack that is no lower."""
    if stack.x_16 == 0:
        return True
    height_16 = hold.height_16(stack.things)
    before = {
        lane
        for other in truck.stacks
        if other.x_16 + hold.on_deck(truck, other.things[0]) == stack.x_16
        and hold.height_16(other.things) >= height_16
        for lane in range(other.lane, other.lane + other.lanes)
    }
    return before.issuperset(range(stack.lane, stack.lane + stack.lanes))


def _tiers(hold: Hold, stack: Stack, turns: dict[str, int]) -> tuple[Tier, ...]:
    tiers, at_16, dunnage = [], 0, hold.task.dunnage
    for number, thing in enumerate(map(hold.things.__getitem__, stack.things), start=1):
        bottom_16 = at_16 + dunnage.height_16
        at_16 = bottom_16 + thing.height_16
        lift_16 = thing.length_16 // _LIFT_SHARE
        tiers.append(
            Tier(
                thing=thing.id,
                name=thing.name,
                tier=number,
                bottom_16=bottom_16,
                top_16=at_16,
                length_16=thing.length_16,
                weight_lb=thing.weight_100 / 100,
                stop=thing.stop,
                order=turns[thing.id],
                lift_16=(lift_16, thing.length_16 - lift_16),
                sticks_16=_sticks(thing.length_16, dunnage.apart_16, dunnage.end_16),
            )
        )
    return tuple(tiers)


def _sticks(length_16: int, apart_16: int, end_16: int) -> tuple[int, ...]:
    """Places of dunnage under a thing: so far from its ends (a quarter of a short one), and two at least."""
    end_16 = min(end_16, length_16 // 4)
    spaces = max(1, -(-(length_16 - 2 * end_16) // apart_16))
    return tuple(end_16 + (length_16 - 2 * end_16) * n // spaces for n in range(spaces + 1))


def _overhangs(hold: Hold, truck: Truck) -> tuple[Overhang, ...]:
    deck_16 = hold.frame(truck).deck
    found = []
    for stack in truck.stacks:
        for thing in map(hold.things.__getitem__, stack.things):
            by_16 = stack.x_16 + thing.length_16 - deck_16
            if by_16 > 0:
                words = (
                    f"{thing.name} stands {hold.size(by_16)} out over the rear end of truck {truck.number}. Whether "
                    "and with which marks it may go on the road is for the driver and local law to say."
                )
                found.append(Overhang(truck.number, thing.id, by_16, words))
    return tuple(found)
