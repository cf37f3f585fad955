"""Making a truck plan with the engine, and what is kept of it (R47)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, replace
from typing import Any, Final

from framing.engine.trucks import (
    Advance,
    Effort,
    GoOn,
    LoadTask,
    Outcome,
    TruckKind,
    TrucksPlan,
    TrucksRefused,
    lane_width_16,
    plan_trucks,
)
from orders.load_facts import (
    FORMAT,
    FURTHER,
    LoadRow,
    kind_of,
    kind_to_json,
    stacks_to_json,
    thing_of,
    things_of,
)
from orders.models import Delivery, LoadPlan, Trip, Truck

QUICK: Final = Effort(exact=0)
"""For plans with fewer hired trucks: without the exact model, of which each would ask seconds."""


def delivery_rows(plan: LoadPlan) -> tuple[list[Delivery], dict[str, LoadRow]]:
    """The deliveries of a plan in order of their stops, and what of them is on no locked or loaded truck."""
    ids = plan.asked["deliveries"]
    found = {row.public_id: row for row in Delivery.objects.filter(public_id__in=ids)}
    deliveries = [found[public_id] for public_id in ids if public_id in found]
    rows = {one.id: one for one in things_of(row.pk for row in deliveries) if not stays(one)}
    return deliveries, rows


def stays(one: LoadRow) -> bool:
    """Whether a thing stays where it is, on a load that is locked or loaded."""
    load = one.row.load
    return load is not None and (
        load.loaded_at is not None or bool(load.trip and (load.trip.locked or load.trip.left_at))
    )


def sign_of(one: LoadRow) -> str:
    """What a plan stands for; another sign is another thing under its number."""
    row = one.row
    return f"{row.pk} {one.delivery_id} {getattr(row, 'length_16', 0)} {row.weight_lb} {_pieces(one)}"


def _pieces(one: LoadRow) -> int:
    return int(getattr(one.row, "piece_count", 0))


def plan_task(plan: LoadPlan) -> tuple[LoadTask, dict[str, LoadRow]]:
    """The task of a plan that was made, as its things are now; empty where all of them went."""
    try:
        task, _, rows = _task(plan)
    except TrucksRefused:
        return LoadTask(()), {}
    return task, rows


def made_plan(plan: LoadPlan, go_on: GoOn) -> dict[str, Any]:
    """The engine's plan of the trucks that were asked for, as `LoadPlan.result` holds it.

    Raises TrucksRefused where no plan can be made.
    """
    task, trucks, rows = _task(plan)
    outcome = _fewest_then_ours(task, go_on)
    return _result(task, outcome, trucks) | {
        "stands_for": {name: sign_of(one) for name, one in rows.items()},
    }


def _fewest_then_ours(task: LoadTask, go_on: GoOn) -> Outcome:
    """The fewest trucks that the search finds (R47), and at that number as few hired ones as it finds.

    Where fewer hired ones would take more trucks, the plan says so: the dispatcher may choose that instead.
    """
    free = plan_trucks(task, go_on)
    hired = sum(truck.kind == FURTHER.name for truck in free.plan.trucks)
    ours = tuple(kind for kind in task.kinds if kind != FURTHER)
    if not ours or free.plan.left:
        return free

    def told(advance: Advance) -> bool:
        return go_on(replace(advance, stage="exact", done=advance.of))  # the bar is nearly full already

    words = free.words
    for count in range(hired):
        found = _with_hired(task, ours, count, told)
        if found is not None and len(found.trucks) <= len(free.plan.trucks):
            return replace(free, plan=found, words=words)
        if found is not None and count == 0:
            took = len(found.trucks)
            words = (
                f"{words} With none hired it would take {took} trucks; leave the hired ones out to plan so."
            )
    return replace(free, words=words)


def _with_hired(task: LoadTask, ours: tuple[TruckKind, ...], count: int, go_on: GoOn) -> TrucksPlan | None:
    """A plan with so many hired trucks at most; None where something stays here."""
    kinds = (*ours, replace(FURTHER, count=count))
    try:
        found = plan_trucks(replace(task, kinds=kinds, effort=QUICK), go_on).plan
    except TrucksRefused:  # something goes on none of ours
        return None
    return None if found.left else found


def _task(plan: LoadPlan) -> tuple[LoadTask, dict[str, str], dict[str, LoadRow]]:
    deliveries, rows = delivery_rows(plan)
    if not rows:
        raise TrucksRefused(
            "All of these deliveries is on locked or loaded trucks; unlock one to plan it anew."
        )
    stops = {row.pk: stop for stop, row in enumerate(deliveries, 1)}
    own = Truck.objects.filter(public_id__in=plan.asked["trucks"]).order_by("name")
    kinds: list[TruckKind] = [kind_of(truck) for truck in own]
    if plan.asked["further"]:
        kinds.append(FURTHER)
    things = tuple(thing_of(one.row, stops[one.delivery_id]) for one in rows.values())
    task = LoadTask(things, tuple(kinds), _lane_16(plan))
    task = replace(task, lane_width_16=lane_width_16(task))
    return task, {truck.name: truck.public_id for truck in own}, rows


def _lane_16(plan: LoadPlan) -> int:
    """Lanes of the day's other trucks, so that things can be moved between all of them; 0 where there are none."""
    ids = plan.asked["deliveries"]
    others = Trip.objects.filter(day=plan.day).exclude(
        loads__delivery__public_id__in=ids, locked=False, left_at=None, loads__loaded_at=None
    )
    return next((int(trip.plan["lane_16"]) for trip in others if trip.plan), 0)


def _result(task: LoadTask, outcome: Outcome, trucks: Mapping[str, str]) -> dict[str, Any]:
    kinds = {kind.name: kind for kind in task.kinds}
    return {
        "format": FORMAT,
        "lane_16": task.lane_width_16,
        "trucks": [
            {
                "number": truck.number,
                "truck": trucks.get(truck.kind, ""),
                "kind": kind_to_json(kinds[truck.kind]),
                "stacks": stacks_to_json(truck.stacks),
            }
            for truck in outcome.plan.trucks
        ],
        "left": list(outcome.plan.left),
        "bound": asdict(outcome.bound),
        "fewest": outcome.fewest,
        "words": outcome.words,
        "stopped": outcome.stopped,
    }
