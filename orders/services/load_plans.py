"""Truck plans of a day (R47): asked for, made by the worker, taken or not. Trucks stay as they are until then."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from typing import Any, Final

from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, NotAllowed, Refused
from framing.common.models import User
from framing.common.numbering import next_number
from framing.common.outbox import outbox_add
from framing.engine.trucks import GoOn, TrucksRefused
from orders.load_changes import rest_of_day
from orders.load_facts import LoadRow, kind_of_json, trip_plan
from orders.load_making import delivery_rows, made_plan, sign_of
from orders.models import Delivery, LoadPlan, Trip, Truck, TruckLoad
from orders.selectors import missing
from orders.services.load_rows import clear_loads, fill_load, load_number, orders_locked, weigh_loads
from orders.services.plan_stops import given_up, stop_noted
from orders.states import LoadPlanState, OrderStage

KIND: Final = "load_plan"
SERIES: Final = "T"
OPEN: Final = (LoadPlanState.ASKED, LoadPlanState.MAKING)
NAMED_MOST: Final = 3
NO_TRUCKS_AT: Final = (OrderStage.CANCELLED, OrderStage.CLOSED)


def load_plan_ask(
    *,
    actor: Actor,
    at: datetime,
    day: date,
    deliveries: Sequence[str],
    trucks: Sequence[str] = (),
    further: bool = True,
) -> LoadPlan:
    """Ask the worker for the trucks of a day.

    Args:
        deliveries: public ids in the order of their stops.
        trucks: public ids of the company's trucks that may be used, each once.
        further: as many more of the usual size may be hired as are needed.

    Raises:
        Refused: no delivery or no truck; a delivery of another day, loaded, without a thing, or named twice.
        Clash: another plan of that day is being made.
    """
    with transaction.atomic():
        require(actor, "trip", "plan")
        rows = _deliveries(deliveries, day)
        allowed = _trucks(trucks)
        if not allowed and not further:
            raise Refused("Tick a truck, or let further ones be hired.", field="trucks")
        orders_locked(row.order_id for row in rows)
        _refuse_while_open(day, at)
        plan = LoadPlan.objects.create(
            day=day,
            asked_by=_person(actor),
            asked={
                "deliveries": [row.public_id for row in rows],
                "trucks": [truck.public_id for truck in allowed],
                "further": further,
            },
            created_at=at,
        )
        audit_record(actor, "load_plan_ask", plan, at=at, change=plan.asked)
        outbox_add(KIND, str(plan.pk), {"plan": plan.pk})
    return plan


def load_plan_anew(*, actor: Actor, at: datetime, day: date) -> LoadPlan:
    """Ask for the rest of a day anew: all that is on no locked or loaded truck, in the stops that it has now.

    The company's trucks that it rides on now may be used again, and further ones hired. What the plan changes is
    shown before it is taken. Raises Refused where nothing is left to plan, Clash as `load_plan_ask`.
    """
    require(actor, "trip", "plan")
    rest = rest_of_day(day)
    if not rest.deliveries:
        raise Refused("Every load of this day is locked or loaded; unlock one to plan it anew.")
    return load_plan_ask(
        actor=actor, at=at, day=day, deliveries=rest.deliveries, trucks=rest.trucks, further=True
    )


def _person(actor: Actor) -> User:
    if actor.user is None:
        raise NotAllowed("Trucks are planned by a person.")
    return actor.user


def _deliveries(ids: Sequence[str], day: date) -> list[Delivery]:
    if not ids:
        raise Refused("Tick a delivery that goes on the trucks.", field="deliveries")
    if len(set(ids)) < len(ids):
        raise Refused("A delivery is named twice; give each one stop.", field="deliveries")
    found = {row.public_id: row for row in Delivery.objects.filter(public_id__in=ids).select_related("order")}
    rows = [found.get(public_id) or missing() for public_id in ids]
    for row in rows:
        _check_delivery(row, day)
    return rows


def _check_delivery(row: Delivery, day: date) -> None:
    words = ""
    if row.planned_for != day:
        words = f"is planned for {row.planned_for:%b} {row.planned_for.day}; move it to this day first."
    elif row.loaded_at is not None:
        words = "is loaded; leave it out."
    elif row.order.stage in NO_TRUCKS_AT:
        words = f"is of order {row.order.number}, which is {row.order.stage}; leave it out."
    elif not row.bundles.exists() and not row.cartons.exists():
        words = "holds no bundle and no carton; put something on it first."
    if words:
        raise Refused(f"Delivery {row.number} {words}", field="deliveries")


def _trucks(ids: Sequence[str]) -> list[Truck]:
    found = {row.public_id: row for row in Truck.objects.filter(public_id__in=ids)}
    rows = [found.get(public_id) or missing() for public_id in dict.fromkeys(ids)]
    retired = next((row for row in rows if not row.active), None)
    if retired is not None:
        raise Refused(f"{retired.name} is retired; choose another truck.", field="trucks")
    return rows


def _refuse_while_open(day: date, at: datetime) -> None:
    """One plan of a day is made at a time; one whose work was given up is out of the way."""
    row = LoadPlan.objects.select_for_update().filter(day=day, state__in=OPEN).first()
    if row is None:
        return
    if not given_up(KIND, row):
        raise Clash(f"The {row} are being planned. Wait for that plan, or stop it.")
    _end(row, LoadPlanState.FAILED, at, "The work was tried several times and given up.")


def _end(plan: LoadPlan, state: LoadPlanState, at: datetime, words: str = "") -> None:
    plan.state, plan.ended_at, plan.words = state, at, words[:400]
    plan.save(update_fields=["state", "ended_at", "words"])


def load_plan_make(*, actor: Actor, at: datetime, plan: LoadPlan, go_on: GoOn) -> LoadPlan:
    """Make a plan that was asked for and put it to the dispatcher; what can't be planned is told in its `words`.

    Only the worker does this. A second time changes nothing.
    """
    require(actor, "trip", "make")
    if plan.state not in OPEN:
        return plan
    result, error = None, ""
    try:
        result = made_plan(plan, go_on)
    except TrucksRefused as refusal:
        error = refusal.message
    with transaction.atomic():
        row = LoadPlan.objects.select_for_update().get(pk=plan.pk)
        if row.state not in OPEN:  # stopped before it began
            return row
        if result is None:
            _end(row, LoadPlanState.FAILED, at, error)
            return row
        _lay_aside_older(row, actor, at)
        row.state, row.result, row.done_share, row.words = LoadPlanState.PROPOSED, result, 100, ""
        row.ended_at = at
        row.save()
        change = {"trucks": len(result["trucks"]), "bound": result["bound"]["trucks"]}
        audit_record(actor, "load_plan_made", row, at=at, change=change)
    return row


def _lay_aside_older(plan: LoadPlan, actor: Actor, at: datetime) -> None:
    older = LoadPlan.objects.select_for_update().filter(day=plan.day, state=LoadPlanState.PROPOSED)
    for row in older.exclude(pk=plan.pk):
        _end(row, LoadPlanState.REFUSED, at, "A newer plan was made after it.")
        audit_record(actor, "load_plan_refuse", row, at=at, why=row.words)


def load_plan_stop(*, actor: Actor, at: datetime, plan: LoadPlan) -> LoadPlan:
    """Stop a plan: before the worker began it ends, later the best one so far is put to the dispatcher.

    A second time changes nothing. Raises Clash where it isn't being made.
    """
    with transaction.atomic():
        row = LoadPlan.objects.select_for_update().get(pk=plan.pk)
        require(actor, "trip", "plan")
        if row.state not in OPEN:
            raise Clash(f"These {row} are not being planned; it is at “{row.get_state_display().lower()}”.")
        if not stop_noted(KIND, row):
            return row
        if row.state == LoadPlanState.ASKED or given_up(KIND, row):
            _end(row, LoadPlanState.STOPPED, at)
        audit_record(actor, "load_plan_stop", row, at=at)
    return row


def load_plan_refuse(*, actor: Actor, at: datetime, plan: LoadPlan) -> LoadPlan:
    """Lay a proposed plan aside; trucks stay as they are. A second time changes nothing."""
    with transaction.atomic():
        row = LoadPlan.objects.select_for_update().get(pk=plan.pk)
        require(actor, "trip", "plan")
        if row.state == LoadPlanState.REFUSED:
            return row
        if row.state != LoadPlanState.PROPOSED:
            raise Clash(_not_proposed(row, "laid aside"))
        _end(row, LoadPlanState.REFUSED, at)
        audit_record(actor, "load_plan_refuse", row, at=at)
    return row


def _not_proposed(plan: LoadPlan, verb: str) -> str:
    return f"This plan is at “{plan.get_state_display().lower()}”; only one to look at is {verb}."


def load_plan_take(*, actor: Actor, at: datetime, plan: LoadPlan) -> LoadPlan:
    """Make the proposed trucks true: trips with their stops, in place of what these deliveries had that is neither
    locked nor loaded. A second time changes nothing.

    Raises Clash where it isn't proposed, or what it was made from has changed since.
    """
    with transaction.atomic():
        ids = plan.asked["deliveries"]
        order_ids = Delivery.objects.filter(public_id__in=ids).values_list("order_id", flat=True)
        orders_locked(order_ids)
        row = LoadPlan.objects.select_for_update().get(pk=plan.pk)
        require(actor, "trip", "plan")
        if row.state == LoadPlanState.TAKEN:
            return row
        if row.state != LoadPlanState.PROPOSED:
            raise Clash(_not_proposed(row, "taken"))
        deliveries, rows = delivery_rows(row)
        changed = _changed_words(row, deliveries, rows)
        if changed:
            raise Clash(f"{changed} Plan the trucks again.")
        _make_trips(row, deliveries, rows, at)
        _end(row, LoadPlanState.TAKEN, at)
        audit_record(
            actor, "load_plan_take", row, at=at, change={"trucks": len((row.result or {})["trucks"])}
        )
    return row


def _changed_words(plan: LoadPlan, deliveries: Sequence[Delivery], rows: Mapping[str, LoadRow]) -> str:
    """Why a proposed plan no longer fits; "" where it does."""
    moved = next((one for one in deliveries if one.planned_for != plan.day), None)
    if moved is not None:
        return f"Delivery {moved.number} was put on another day since."
    stood: dict[str, str] = (plan.result or {})["stands_for"]
    now = {name: sign_of(one) for name, one in rows.items()}
    other = sorted(name for name in {*stood, *now} if stood.get(name) != now.get(name))
    if not other:
        return ""
    first = ", ".join(other[:NAMED_MOST])
    more = f" and {len(other) - NAMED_MOST} more" if len(other) > NAMED_MOST else ""
    return f"Since this plan was made, {first}{more} came, went, changed or was locked on a truck."


def _make_trips(
    plan: LoadPlan, deliveries: Sequence[Delivery], rows: Mapping[str, LoadRow], at: datetime
) -> None:
    result: dict[str, Any] = plan.result or {}
    clear_loads(deliveries, rows.values())
    own = {truck.public_id: truck for truck in Truck.objects.filter(public_id__in=plan.asked["trucks"])}
    for entry in result["trucks"]:
        truck = own.get(entry["truck"])
        kind = kind_of_json(entry["kind"])
        trip = Trip(
            number=next_number(SERIES, at),
            day=plan.day,
            truck=truck,
            truck_words="" if truck else kind.name,
            created_at=at,
        )
        trip.plan = trip_plan(kind, result["lane_16"], ()) | {"stacks": entry["stacks"]}
        trip.save()
        _stops(trip, deliveries, [rows[thing] for stack in entry["stacks"] for thing in stack["things"]])
        weigh_loads(trip.loads.all())


def _stops(trip: Trip, deliveries: Sequence[Delivery], things: Iterable[LoadRow]) -> None:
    """The trip's loads: its deliveries in the order of the plan's stops."""
    by_delivery: dict[int, list[LoadRow]] = {}
    for one in things:
        by_delivery.setdefault(one.delivery_id, []).append(one)
    order = [one for one in deliveries if one.pk in by_delivery]
    for stop, delivery in enumerate(order, 1):
        load = TruckLoad.objects.create(
            delivery=delivery, number=load_number(delivery.pk), trip=trip, stop=stop, weight_lb=0
        )
        fill_load(load, by_delivery[delivery.pk])
