"""Trucks of a day (R47): locked, named, their stops in order, loaded, left, back.

Each verb names the edition of the trip that it was asked on, so that two dispatchers never undo each other unseen.
Locks go orders first, then trips, everywhere.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, datetime
from typing import Final

from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, NotThere, Refused, StaleSave
from framing.engine.trucks import TrucksRefused, check
from orders.load_facts import DayFacts, day_facts, kind_of, kind_to_json
from orders.models import Trip, TripChange, Truck, TruckLoad
from orders.services.deliveries import load_loaded
from orders.services.load_rows import order_stops, orders_locked, trips_locked

DRIVER_MOST: Final = 120
PHONE_MOST: Final = 40


def trip_lock(*, actor: Actor, at: datetime, trip: Trip, edition: int, locked: bool) -> Trip:
    """Keep a truck's load as it is when the rest is planned anew, or let it go again. A second time changes nothing.

    Raises StaleSave, Clash once it is loaded.
    """
    with transaction.atomic():
        row = _one(actor, trip, edition, same=lambda now: now.locked == locked)
        if row.locked == locked:
            return row
        not_loaded(row, "It stays locked." if row.locked else "It stays as it is.")
        row.locked = locked
        row.edition += 1
        row.save(update_fields=["locked", "edition"])
        audit_record(actor, "trip_lock" if locked else "trip_unlock", row, at=at)
    return row


def trip_name(
    *,
    actor: Actor,
    at: datetime,
    trip: Trip,
    edition: int,
    truck: Truck | None,
    driver: str = "",
    driver_phone: str = "",
    blocked_forward: bool = False,
) -> Trip:
    """Name truck and driver, and whether the load stands against a headboard.

    Raises StaleSave; Clash once the truck has left; Refused where the load doesn't go on that truck, in the rule's
    words, or the truck is retired.
    """
    with transaction.atomic():
        row = _one(actor, trip, edition)
        if row.left_at is not None:
            raise Clash(f"{row} has left; its truck and driver stay as they were.")
        _short(driver, "driver", DRIVER_MOST)
        _short(driver_phone, "driver_phone", PHONE_MOST)
        if truck != row.truck:
            _change_truck(row, truck)
        row.driver, row.driver_phone, row.blocked_forward = (
            driver.strip(),
            driver_phone.strip(),
            blocked_forward,
        )
        row.edition += 1
        row.save()
        audit_record(actor, "trip_name", row, at=at, change={"truck": str(truck or ""), "driver": row.driver})
    return row


def _short(words: str, field: str, most: int) -> None:
    if len(words.strip()) > most:
        raise Refused(f"At most {most} signs here; these are {len(words.strip())}.", field=field)


def _change_truck(trip: Trip, truck: Truck | None) -> None:
    """Put the same load on another truck, if it goes on it."""
    not_loaded(trip, "Its truck stays.")
    if truck is not None and not truck.active:
        raise Refused(f"{truck.name} is retired; choose another truck.", field="truck")
    if truck is not None:
        trip.plan = trip.plan | {"kind": kind_to_json(kind_of(truck))}
        _refuse_broken(day_facts([trip], ()), field="truck")
    trip.truck, trip.truck_words = truck, "" if truck else str(trip.plan.get("kind", {}).get("name", ""))[:80]


def _refuse_broken(facts: DayFacts, *, field: str = "") -> None:
    try:
        broken = [one for one in check(facts.task, facts.plan) if one.rule != "missing"]
    except TrucksRefused as refusal:
        raise Refused(refusal.message, field=field) from refusal
    if broken:
        raise Refused(broken[0].words, field=field)


def trip_stops(*, actor: Actor, at: datetime, trip: Trip, edition: int, deliveries: Sequence[str]) -> Trip:
    """Put the stops of a trip in another order.

    Raises StaleSave, Clash once it is loaded, Refused where a delivery is missing or named twice, or what comes off
    first would lie under what comes off later.
    """
    with transaction.atomic():
        row = _one(actor, trip, edition)
        not_loaded(row, "Its stops stay.")
        loads = {load.delivery.public_id: load for load in row.loads.all()}
        if sorted(deliveries) != sorted(loads):
            raise Refused(
                "Name each delivery of this trip once, in the order of its stops.", field="deliveries"
            )
        order_stops([loads[public_id].pk for public_id in deliveries])
        fresh = trips_locked([row.pk])[0]
        _refuse_broken(day_facts([fresh], ()), field="deliveries")
        fresh.edition += 1
        fresh.save(update_fields=["edition"])
        audit_record(actor, "trip_stops", fresh, at=at, change={"stops": list(deliveries)})
    return fresh


def trip_load(*, actor: Actor, at: datetime, trip: Trip, edition: int, why: str = "") -> Trip:
    """All of a trip is on its truck: each load is loaded, its manifest stored. A second time changes nothing.

    `why` is kept where nobody pressed the button.

    Raises StaleSave; Clash where a bundle is not finished or an order is held; Refused where a rule is broken or
    nothing rides.
    """
    with transaction.atomic():
        row = _one(actor, trip, edition, verb="load", same=all_loaded)
        if all_loaded(row):
            return row
        loads = list(row.loads.all())
        if not loads:
            raise Refused(f"Nothing rides on {row}; put a bundle or carton on it first.")
        _refuse_broken(day_facts([row], ()))
        for load in loads:
            if load.loaded_at is None:
                load_loaded(actor=actor, at=at, load=load)
        row.locked = True
        row.edition += 1
        row.save(update_fields=["locked", "edition"])
        audit_record(actor, "trip_load", row, at=at, change={"loads": [str(load) for load in loads]}, why=why)
    return row


def all_loaded(trip: Trip) -> bool:
    loads = list(trip.loads.all())
    return bool(loads) and all(load.loaded_at is not None for load in loads)


def trip_leave(*, actor: Actor, at: datetime, trip: Trip) -> Trip:
    """The truck leaves the yard. A second time changes nothing. Raises Clash while something is not loaded."""
    with transaction.atomic():
        row = _one(actor, trip, None, verb="load")
        if row.left_at is not None:
            return row
        if not all_loaded(row):
            raise Clash(f"{row} is not loaded; mark it loaded before it leaves.")
        row.left_at = at
        row.edition += 1
        row.save(update_fields=["left_at", "edition"])
        audit_record(actor, "trip_leave", row, at=at)
    return row


def trip_back(*, actor: Actor, at: datetime, trip: Trip) -> Trip:
    """The truck is back in the yard. A second time changes nothing. Raises Clash before it left."""
    with transaction.atomic():
        row = _one(actor, trip, None, verb="load")
        if row.back_at is not None:
            return row
        if row.left_at is None:
            raise Clash(f"{row} has not left; say first that it left.")
        row.back_at = at
        row.edition += 1
        row.save(update_fields=["back_at", "edition"])
        audit_record(actor, "trip_back", row, at=at)
    return row


def _one(
    actor: Actor,
    trip: Trip,
    edition: int | None,
    *,
    verb: str = "change",
    same: Callable[[Trip], bool] | None = None,
) -> Trip:
    """A trip locked after its orders, as the dispatcher saw it; `same` passes what stands as asked already.

    Without an edition it is taken as it is.
    """
    orders_locked(TruckLoad.objects.filter(trip=trip).values_list("delivery__order_id", flat=True))
    found = trips_locked([trip.pk])
    require(actor, "trip", verb)
    if not found:
        raise NotThere()
    row = found[0]
    if edition is not None and row.edition != edition and not (same and same(row)):
        raise stale_day(row.day)
    return row


def not_loaded(trip: Trip, what: str) -> None:
    if any(load.loaded_at is not None for load in trip.loads.all()):
        raise Clash(f"{trip} is loaded. {what}")


def open_trip(trip: Trip, what: str) -> None:
    not_loaded(trip, what)
    if trip.locked:
        raise Clash(f"{trip} is locked. {what} Unlock it first.")


def stale_day(day: date) -> StaleSave:
    last = TripChange.objects.filter(day=day).select_related("by").last()
    who = f"{last.by.name}: {last.words} " if last else ""
    return StaleSave(
        f"The trucks were changed while you looked at them. {who}Look at them as they are now, then do it again."
    )
