"""Orders at every stage for tests, made through the services."""

from __future__ import annotations

from datetime import timedelta

from framing.common.actors import SYSTEM
from framing.common.models import Role, User
from orders import services
from orders.models import Delivery, Order
from orders.selectors import order_get
from tests.factories import people, quotes
from tests.factories.kept import kept

AT = quotes.AT + timedelta(days=1)
PLANNED_FOR = (AT + timedelta(days=14)).date()


def fresh(order: Order) -> Order:
    """The order as it is stored now."""
    return order_get(order.public_id)


@kept
def booked(owner: User | None = None) -> Order:
    return services.order_book(actor=SYSTEM, at=AT, quote=quotes.accepted(owner).quote)


@kept
def approved(owner: User | None = None) -> Order:
    return services.drawings_approve(actor=people.actor(Role.PLANNER), at=AT, order=booked(owner))


@kept
def released(owner: User | None = None) -> Order:
    return services.order_release(actor=people.actor(Role.PLANNER), at=AT, order=approved(owner))


@kept
def rolling(owner: User | None = None) -> Order:
    return services.order_roll(actor=people.actor(Role.SHOP), at=AT, order=released(owner))


@kept
def bundled(owner: User | None = None) -> Order:
    return services.order_bundle(actor=people.actor(Role.SHOP), at=AT, order=rolling(owner))


@kept
def planned(order: Order | None = None) -> Delivery:
    """A delivery of everything on a bundled order."""
    return services.delivery_make(
        actor=people.actor(Role.DISPATCHER),
        at=AT,
        order=order or bundled(),
        planned_for=PLANNED_FOR,
        contact="Rae Winter, 555-0142",
        notes="Crane at the east gate.",
    )


@kept
def loaded() -> Delivery:
    return services.delivery_load(actor=people.actor(Role.DISPATCHER), at=AT, delivery=planned())


@kept
def delivered() -> Delivery:
    return services.delivery_deliver(
        actor=people.actor(Role.DISPATCHER), at=AT, delivery=loaded(), received_by="Rae Winter"
    )


@kept
def closed() -> Order:
    return services.order_close(actor=people.actor(Role.DISPATCHER), at=AT, order=delivered().order)
