"""Truck plans and trips for tests, made through the services."""

from __future__ import annotations

from collections.abc import Sequence

from framing.common.actors import SYSTEM
from framing.common.models import Role
from orders import load_reads
from orders.models import Delivery, LoadPlan, Trip, Truck
from orders.services import load_plans
from tests.factories import orders, people

AT = orders.AT
DAY = orders.PLANNED_FOR
FOOT = 192


def truck(name: str = "Old Blue", *, feet: int = 48, payload: int = 48_000) -> Truck:
    return Truck.objects.create(
        name=name,
        deck_length_16=feet * FOOT,
        deck_width_16=102 * 16,
        stack_height_16=84 * 16,
        payload_lb=payload,
        created_at=AT,
    )


def asked(deliveries: Sequence[Delivery], trucks: Sequence[Truck] = (), *, further: bool = True) -> LoadPlan:
    return load_plans.load_plan_ask(
        actor=people.actor(Role.DISPATCHER),
        at=AT,
        day=DAY,
        deliveries=[row.public_id for row in deliveries],
        trucks=[row.public_id for row in trucks],
        further=further,
    )


def proposed(
    deliveries: Sequence[Delivery], trucks: Sequence[Truck] = (), *, further: bool = True
) -> LoadPlan:
    """A plan as the worker makes it."""
    plan = asked(deliveries, trucks, further=further)
    return load_plans.load_plan_make(actor=SYSTEM, at=AT, plan=plan, go_on=lambda _: True)


def taken(
    deliveries: Sequence[Delivery], trucks: Sequence[Truck] = (), *, further: bool = True
) -> list[Trip]:
    """The day's trips after a plan was taken."""
    plan = proposed(deliveries, trucks, further=further)
    assert plan.state == "proposed", plan.words
    load_plans.load_plan_take(actor=people.actor(Role.DISPATCHER), at=AT, plan=plan)
    return load_reads.day_trips(DAY)
