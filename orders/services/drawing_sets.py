"""Sets of drawings: the one that waits for its answer, a new one, and when none is asked for any more (R44)."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db.models import Max

from framing.common.errors import Clash
from framing.common.zones import company_day, day_words
from orders.models import DrawingSet, Order
from orders.states import OrderStage


def check_unapproved(order: Order, stages: tuple[OrderStage, ...]) -> None:
    """Raise Clash where the drawings are settled, or the order is at none of these stages."""
    if order.stage not in stages:
        raise Clash(f"Order {order.number} is at “{order.stage}”; its drawings are settled before release.")
    if order.drawings_approved_at is not None:
        day = day_words(company_day(order.drawings_approved_at))
        raise Clash(
            f"The drawings of order {order.number} were approved by {order.drawings_approved_by} on {day}."
        )


def open_set(order: Order) -> DrawingSet | None:
    """The set that waits for its answer; the order's row is locked."""
    return order.drawing_sets.filter(answered_at=None).first()


def new_set(order: Order, at: datetime, **fields: Any) -> DrawingSet:
    """The next set of a locked order, of the offer that is booked now."""
    last = order.drawing_sets.aggregate(last=Max("number"))["last"] or 0
    return DrawingSet.objects.create(
        order=order, number=last + 1, revision=order.revision, created_at=at, **fields
    )
