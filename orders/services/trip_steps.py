"""The dispatcher's steps on the loads of a day (R47): move, swap, take off, each taken back again.

Each step names the state of the day that it was made on (`load_reads.day_version`, or a trip's edition), so that two
dispatchers never undo each other unseen. Locks go orders first, then trips, everywhere.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any, Final

from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, NotAllowed, NotThere, Refused
from framing.common.models import User
from framing.common.numbering import next_number
from framing.engine.trucks import LoadRefused, TrucksPlan, TrucksRefused, check, lane_width_16, move, swap
from framing.engine.trucks import Truck as Loaded
from orders.load_facts import (
    DayFacts,
    LoadRow,
    day_facts,
    stacks_of_json,
    stacks_to_json,
    thing_name,
    thing_of,
    trip_plan,
)
from orders.load_reads import day_deliveries, day_trips, day_version, spare_kinds, step_to_redo
from orders.load_ticks import loading_of
from orders.models import Trip, TripChange, Truck, TruckLoad
from orders.services.load_off import off
from orders.services.load_plans import SERIES
from orders.services.load_rows import (
    fill_load,
    last_stop,
    load_number,
    order_stops,
    orders_locked,
    settle_trip,
    take_off,
    trips_locked,
)
from orders.services.trips import open_trip, stale_day

MOVE, SWAP, OFF = "move", "swap", "off"
STEPS: Final = (MOVE, SWAP, OFF)


@dataclass(frozen=True, slots=True)
class TripStep:
    """What the dispatcher asks for; which fields count depends on `edit`.

    Attributes:
        edit: move, swap or off.
        thing: as papers name it, `SO-2026-0003-B4`.
        trip: public id of the trip it moves to; "" takes a further truck.
        kind: which truck that is, by name; "" the usual one that is hired.
        lane: a new stack on this lane.
        on: into the stack of this thing, as high as it can.
        other: the thing that it changes places with.
    """

    edit: str
    thing: str
    trip: str = ""
    kind: str = ""
    lane: int | None = None
    on: str = ""
    other: str = ""


def trips_edit(*, actor: Actor, at: datetime, day: date, version: str, step: TripStep) -> TripChange:
    """Do one step.

    Raises:
        StaleSave: the trucks of that day are not those that `version` names.
        Refused: the step breaks a rule; the words name thing, rule, value, limit, what to do.
    """
    with transaction.atomic():
        facts = _opened(actor, day, version)
        if step.edit not in STEPS:
            raise Refused(f"“{step.edit[:20]}” is no step on loads; it is move, swap or off.", field="edit")
        facts = _with_stops(facts, step)
        plan, words = _done(facts, step)
        before = {trip.number: _state(trip) for trip in facts.trips}
        trips = _write(facts, plan, at)
        after = {trip.number: _state(trip) for trip in trips}
        touched = [number for number in after if before.get(number) != after[number]]
        TripChange.objects.filter(day=day, undone_at__isnull=False, cleared=False).update(cleared=True)
        change = TripChange.objects.create(
            day=day,
            at=at,
            by=_person(actor),
            words=words[:200],
            before={number: before.get(number) for number in touched},
            after={number: after[number] for number in touched},
        )
        _record(actor, at, "trips_edit", touched, change.words)
    return change


def trips_undo(*, actor: Actor, at: datetime, day: date, version: str) -> TripChange:
    """Take back the last step of a day that stands.

    Raises StaleSave as `trips_edit`, Refused where there is none, Clash where the loads were planned anew since, or
    a truck that it touched is locked or loaded.
    """
    with transaction.atomic():
        facts = _opened(actor, day, version)
        change = TripChange.objects.filter(day=day, undone_at=None).last()
        if change is None:
            raise Refused("No step is left to take back.")
        _turn(facts, change, now=change.after, then=change.before, back=True)
        change.undone_at = at
        change.save(update_fields=["undone_at"])
        _record(actor, at, "trips_undo", list(change.after), f"Took back: {change.words}")
    return change


def trips_redo(*, actor: Actor, at: datetime, day: date, version: str) -> TripChange:
    """Do again the step that was taken back last, while no other was done since.

    Raises StaleSave as `trips_edit`, Refused where there is none or where it breaks a rule by now, Clash as
    `trips_undo`.
    """
    with transaction.atomic():
        facts = _opened(actor, day, version)
        change = step_to_redo(day)
        if change is None:
            raise Refused("No step was taken back that can be done again.")
        _turn(facts, change, now=change.before, then=change.after, back=False)
        change.undone_at = None
        change.save(update_fields=["undone_at"])
        _record(actor, at, "trips_redo", list(change.after), f"Did again: {change.words}")
    return change


def _turn(
    facts: DayFacts, change: TripChange, *, now: Mapping[str, Any], then: Mapping[str, Any], back: bool
) -> None:
    """Put the trucks of a step from how they are to how they stood on its other side."""
    trips = trips_locked(Trip.objects.filter(number__in=change.after).values_list("pk", flat=True))
    what = "The step can't be taken back." if back else "The step can't be done again."
    if len(trips) < len(change.after):
        raise Clash(f"One of its trucks gave way to others since that step. {what}")
    for trip in trips:
        open_trip(trip, what)
    if any(_known(_state(trip), facts) != _known(now[trip.number] or {}, facts) for trip in trips):
        raise Clash(f"These trucks were planned or loaded otherwise since that step. {what}")
    states = {trip.pk: _known(then[trip.number] or {}, facts) for trip in trips}
    _realise(trips, {pk: stacks_of_json(state["stacks"]) for pk, state in states.items()}, facts.rows)
    for trip in trips:
        _stops_back(trip, states[trip.pk]["stops"])
    _refuse_new_breaks(facts, [trip.pk for trip in trips])


def _known(state: Mapping[str, Any], facts: DayFacts) -> dict[str, Any]:
    """A trip as it was kept, without what is on no delivery of this day any more."""
    stacks = []
    for stack in state.get("stacks", ()):
        things = [thing for thing in stack["things"] if thing in facts.rows]
        if things:
            stacks.append({**stack, "things": things})
    return {"stacks": stacks, "stops": list(state.get("stops", ()))}


def _refuse_new_breaks(facts: DayFacts, pks: Sequence[int]) -> None:
    """Raises Refused where trucks break a rule that the day did not break before."""
    had = {(one.rule, one.thing) for one in check(facts.task, facts.plan)}
    now = day_facts(trips_locked(pks), ())
    for one in check(now.task, now.plan):
        if one.rule != "missing" and (one.rule, one.thing) not in had:
            raise Refused(one.words, field="thing")


def _stops_back(trip: Trip, deliveries: Sequence[int]) -> None:
    loads = {load.delivery_id: load.pk for load in TruckLoad.objects.filter(trip=trip)}
    order_stops([loads[pk] for pk in deliveries if pk in loads])


def _opened(actor: Actor, day: date, version: str) -> DayFacts:
    """The day's trips and what rides or could ride, locked, and those that the dispatcher saw."""
    deliveries = list(day_deliveries(day).values_list("pk", "order_id"))
    riding = TruckLoad.objects.filter(trip__day=day).values_list("delivery__order_id", flat=True)
    orders_locked([*(order for _, order in deliveries), *riding])
    trips_locked(Trip.objects.filter(day=day).values_list("pk", flat=True))
    require(actor, "trip", "change")
    trips = day_trips(day)
    if version != day_version(trips):
        raise stale_day(day)
    facts = day_facts(trips, [pk for pk, _ in deliveries])
    kinds = (*facts.task.kinds, *(kind for kind in spare_kinds(day) if kind not in facts.task.kinds))
    return replace(facts, task=replace(facts.task, kinds=kinds))


def _person(actor: Actor) -> User:
    if actor.user is None:
        raise NotAllowed("Loads are moved by a person.")
    return actor.user


def _with_stops(facts: DayFacts, step: TripStep) -> DayFacts:
    """The same with the stops that things get where they go: those of the trip, a further one as the last."""
    goals: dict[str, Trip | None] = {}
    if step.edit == MOVE:
        goals[step.thing] = _trip(facts, step.trip) if step.trip else None
    elif step.edit == SWAP:
        goals = {step.thing: _under(facts, step.other), step.other: _under(facts, step.thing)}
    things = tuple(
        thing_of(facts.rows[one.id].row, _stop_on(facts, goals[one.id], facts.rows[one.id]))
        if one.id in goals
        else one
        for one in facts.task.things
    )
    return replace(facts, task=replace(facts.task, things=things))


def _trip(facts: DayFacts, public_id: str) -> Trip:
    found = next((trip for trip in facts.trips if trip.public_id == public_id), None)
    if found is None:
        raise NotThere("That truck is not on this day.")
    return found


def _under(facts: DayFacts, thing: str) -> Trip | None:
    number = facts.truck_of(thing)
    return facts.trips[number - 1] if number else None


def _stop_on(facts: DayFacts, trip: Trip | None, one: LoadRow) -> int:
    if trip is None:
        return 1
    return facts.stops.get((trip.pk, one.delivery_id)) or last_stop(trip) + 1


def _done(facts: DayFacts, step: TripStep) -> tuple[TrucksPlan, str]:
    """The step on the engine's plan; what it refuses comes back in its words at the thing."""
    for name, thing in (("thing", step.thing), ("other", step.other if step.edit == SWAP else "")):
        if thing and thing not in facts.rows:
            raise Refused(f"{thing[:40]} goes with no delivery of this day.", field=name)
        if thing:
            _refuse_ticked(facts, thing)
    try:
        if step.edit == OFF:
            edited = off(facts.task, facts.plan, thing=step.thing)
        elif step.edit == SWAP:
            edited = swap(facts.task, facts.plan, thing=step.thing, other=step.other)
        else:
            number = facts.trips.index(_trip(facts, step.trip)) + 1 if step.trip else None
            kind = step.kind or facts.task.kinds[-1].name
            edited = move(
                facts.task, facts.plan, thing=step.thing, truck=number, kind=kind, lane=step.lane, on=step.on
            )
    except (LoadRefused, TrucksRefused) as refusal:
        raise Refused(refusal.message, field="thing") from refusal
    return edited.plan, edited.words


def _refuse_ticked(facts: DayFacts, thing: str) -> None:
    """What the yard put on a truck is there, whatever a plan says."""
    trip = _under(facts, thing)
    tick = loading_of(trip).on.get(thing) if trip is not None else None
    if tick is not None:
        raise Refused(
            f"{thing_name(facts.rows[thing].row)} is on the truck already, ticked by {tick.by.name}. Take its tick "
            "back on the truck's loading page first.",
            field="thing",
        )


def _state(trip: Trip) -> dict[str, Any]:
    """What undo needs of a trip: stacks, and its deliveries in order of their stops."""
    loads = TruckLoad.objects.filter(trip=trip).order_by("stop")
    stops = list(loads.values_list("delivery_id", flat=True))
    return {"stacks": list(trip.plan.get("stacks", ())), "stops": stops}


def _write(facts: DayFacts, plan: TrucksPlan, at: datetime) -> list[Trip]:
    """Make the rows say what the plan says: all trips of the day that may change, and new ones."""
    before = {truck.number: truck.stacks for truck in facts.plan.trucks}
    after: dict[int, Loaded] = {truck.number: truck for truck in plan.trucks}
    trips, stacks = [], {}
    for number, trip in enumerate(facts.trips, 1):
        truck = after.pop(number, None)
        now = truck.stacks if truck else ()
        if now != before[number]:
            trips.append(trip)
            stacks[trip.pk] = now
    for truck in after.values():
        trip = _new_trip(facts, truck, at)
        trips.append(trip)
        stacks[trip.pk] = truck.stacks
    _realise(trips, stacks, facts.rows)
    return trips


def _new_trip(facts: DayFacts, truck: Loaded, at: datetime) -> Trip:
    kind = next(kind for kind in facts.task.kinds if kind.name == truck.kind)
    own = Truck.objects.filter(name=kind.name, active=True).first() if kind.count is not None else None
    lane_16 = lane_width_16(facts.task)
    day = facts.trips[0].day if facts.trips else next(iter(facts.rows.values())).row.delivery.planned_for  # type: ignore[union-attr]
    return Trip.objects.create(
        number=next_number(SERIES, at),
        day=day,
        truck=own,
        truck_words="" if own else kind.name,
        plan=trip_plan(kind, lane_16, ()),
        created_at=at,
    )


def _realise(trips: Sequence[Trip], stacks: Mapping[int, Iterable[Any]], rows: Mapping[str, LoadRow]) -> None:
    """Loads, stops and weights of some trips from where things lie now; what lies on none of them comes off."""
    on = {trip.pk: {thing for stack in stacks[trip.pk] for thing in stack.things} for trip in trips}
    placed = set().union(*on.values()) if on else set()
    pks = {trip.pk for trip in trips}
    take_off(
        one
        for one in rows.values()
        if one.id not in placed and one.row.load is not None and one.row.load.trip_id in pks
    )
    for trip in trips:
        trip.plan = trip.plan | {"stacks": stacks_to_json(stacks[trip.pk])}
        by_delivery: dict[int, list[LoadRow]] = {}
        for thing in sorted(on[trip.pk]):
            by_delivery.setdefault(rows[thing].delivery_id, []).append(rows[thing])
        for delivery, things in by_delivery.items():
            fill_load(_load(trip, delivery), things)
    for trip in trips:
        settle_trip(trip)


def _load(trip: Trip, delivery: int) -> TruckLoad:
    """The trip's load of a delivery; a further stop comes last."""
    found = TruckLoad.objects.filter(trip=trip, delivery=delivery).first()
    return found or TruckLoad.objects.create(
        trip=trip, delivery_id=delivery, number=load_number(delivery), stop=last_stop(trip) + 1, weight_lb=0
    )


def _record(actor: Actor, at: datetime, verb: str, numbers: Sequence[str], words: str) -> None:
    for trip in Trip.objects.filter(number__in=numbers).order_by("number"):
        audit_record(actor, verb, trip, at=at, change={"words": words, "trips": list(numbers)})
