"""The demo company's trucks, and a day on which two of them go out."""

from __future__ import annotations

from datetime import datetime, timedelta
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


def tell_trips(dispatcher: Actor, now: datetime) -> None:
    """The next delivery on a truck with its driver; its last carton goes ahead on another one."""
    delivery = Delivery.objects.filter(loaded_at=None, dropped_at=None).order_by("planned_for", "pk").first()
    if delivery is None:
        return
    day = delivery.planned_for
    plan = load_plans.load_plan_ask(
        actor=dispatcher,
        at=now,
        day=day,
        deliveries=[delivery.public_id],
        trucks=[Truck.objects.get(name=TRUCKS[0][0]).public_id],
    )
    made = load_plans.load_plan_make(actor=SYSTEM, at=now, plan=plan, go_on=lambda _: True)
    if made.state != LoadPlanState.PROPOSED:
        return
    load_plans.load_plan_take(actor=dispatcher, at=now, plan=made)
    carton = delivery.cartons.order_by("-number").first()
    if carton is not None:
        version = load_reads.day_version(load_reads.day_trips(day))
        thing = f"{delivery.order.number}-C{carton.number}"
        step = trip_steps.TripStep("move", thing, kind=TRUCKS[2][0])
        trip_steps.trips_edit(actor=dispatcher, at=now, day=day, version=version, step=step)
    trip = load_reads.day_trips(day)[0]
    trips.trip_name(
        actor=dispatcher,
        at=now,
        trip=trip,
        edition=trip.edition,
        truck=trip.truck,
        driver="Ned Harker",
        driver_phone="555-0176",
    )
