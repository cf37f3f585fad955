"""The demo company's trucks, and a day on which two of them go out."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Final

from framing.common.actors import SYSTEM, Actor
from orders import load_reads
from orders import services as orders
from orders.models import Delivery, Truck
from orders.services import load_plans, trip_steps, trips
from orders.states import LoadPlanState

TRUCKS: Final = (
    ("Long flatbed", "KRL 481", "48 ft", "8 ft 6 in", "8 ft", 4, 48_000),
    ("Short flatbed", "KRL 207", "32 ft", "8 ft 6 in", "7 ft", 4, 26_000),
    ("Crane truck", "KRL 633", "24 ft", "8 ft", "6 ft 6 in", 3, 18_000),
)
"""Invented, of the sizes that such trucks have."""


def tell_trucks(dispatcher: Actor, now: datetime) -> None:
    """Three trucks, entered long ago."""
    for name, plate, length, width, height, tiers, payload_lb in TRUCKS:
        orders.truck_save(
            actor=dispatcher,
            at=now - timedelta(days=90),
            truck=None,
            name=name,
            plate=plate,
            deck_length=length,
            deck_width=width,
            stack_height=height,
            tiers=tiers,
            payload_lb=payload_lb,
        )


def send_off(dispatcher: Actor, delivery: Delivery, at: datetime) -> None:
    """The delivery's truck is planned, gets its driver, is loaded and leaves, an hour later each."""
    _planned(dispatcher, at, delivery, TRUCKS[1][0])
    _drive(dispatcher, at, delivery.planned_for, "Wes Tarrant", "555-0183")
    hour = timedelta(hours=1)
    trip = load_reads.day_trips(delivery.planned_for)[0]
    trip = trips.trip_load(actor=dispatcher, at=at + hour, trip=trip, edition=trip.edition)
    trips.trip_leave(actor=dispatcher, at=at + 2 * hour, trip=trip)


def tell_trips(dispatcher: Actor, now: datetime) -> None:
    """The next delivery on a truck with its driver; its last carton goes ahead on another one."""
    delivery = Delivery.objects.filter(loaded_at=None, dropped_at=None).order_by("planned_for", "pk").first()
    if delivery is None or not _planned(dispatcher, now, delivery, TRUCKS[0][0]):
        return
    day = delivery.planned_for
    carton = delivery.cartons.order_by("-number").first()
    if carton is not None:
        version = load_reads.day_version(load_reads.day_trips(day))
        thing = f"{delivery.order.number}-C{carton.number}"
        step = trip_steps.TripStep("move", thing, kind=TRUCKS[2][0])
        trip_steps.trips_edit(actor=dispatcher, at=now, day=day, version=version, step=step)
    _drive(dispatcher, now, day, "Ned Harker", "555-0176")


def _planned(dispatcher: Actor, at: datetime, delivery: Delivery, truck: str) -> bool:
    """Plan a delivery's trucks with one of ours and take the plan; False where none could be made."""
    plan = load_plans.load_plan_ask(
        actor=dispatcher,
        at=at,
        day=delivery.planned_for,
        deliveries=[delivery.public_id],
        trucks=[Truck.objects.get(name=truck).public_id],
    )
    made = load_plans.load_plan_make(actor=SYSTEM, at=at, plan=plan, go_on=lambda _: True)
    if made.state != LoadPlanState.PROPOSED:
        return False
    load_plans.load_plan_take(actor=dispatcher, at=at, plan=made)
    return True


def _drive(dispatcher: Actor, at: datetime, day: date, driver: str, phone: str) -> None:
    """Name the driver of the day's first trip and give him his link."""
    trip = load_reads.day_trips(day)[0]
    trip = trips.trip_name(
        actor=dispatcher,
        at=at,
        trip=trip,
        edition=trip.edition,
        truck=trip.truck,
        driver=driver,
        driver_phone=phone,
    )
    orders.trip_link_make(actor=dispatcher, at=at, trip=trip, for_name=driver)
