"""An order on several deliveries for tests, made through the services."""

from __future__ import annotations

from datetime import datetime, time
from typing import Any

from framing.common.actors import Actor
from framing.common.models import Role
from orders import services
from orders.models import Bundle, Delivery, Order
from tests.factories import orders, people

AT = orders.AT


def dispatcher() -> Actor:
    return people.actor(Role.DISPATCHER)


def made(order: Order, *, at: datetime = AT, **more: Any) -> Delivery:
    """A delivery of all that is left, or of what `more` names."""
    values = {"planned_for": orders.PLANNED_FOR, "contact": "Rae Winter"} | more
    return services.delivery_make(actor=dispatcher(), at=at, order=order, **values)


def halves(order: Order | None = None) -> tuple[Order, Delivery, Delivery]:
    """An order with its first bundle and no carton on one delivery, and all else on another."""
    order = order or orders.bundled()
    first = order.bundles.order_by("number")[0]
    one = made(order, bundles=[first.public_id], cartons=[])
    return order, one, made(order)


def moved(delivery: Delivery, **more: Any) -> Delivery:
    """The delivery a day later at a morning's window."""
    values: dict[str, Any] = {
        "planned_for": orders.PLANNED_FOR.replace(day=28),
        "window_from": time(7, 30),
        "window_to": time(9),
        "why": "The crane is late.",
    }
    return services.delivery_reschedule(actor=dispatcher(), at=AT, delivery=delivery, **(values | more))


def finished(order: Order, bundle: Bundle) -> None:
    services.bundle_finish(actor=people.actor(Role.SHOP), at=AT, bundle=bundle)
