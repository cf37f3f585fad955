"""Drawings for approval: sent to the builder, answered by his link or as staff heard it (R44)."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash
from orders.models import Order
from orders.services.moves import order_locked
from orders.states import OrderStage


def drawings_approve(*, actor: Actor, at: datetime, order: Order) -> Order:
    """Record that the drawings are approved; a second time changes nothing. Raises Clash after release."""
    with transaction.atomic():
        row = order_locked(order.pk)
        require(actor, "order", "approve", owner=row.owner, owned=True)
        if row.drawings_approved_at is not None:
            return row
        if row.stage != OrderStage.BOOKED:
            raise Clash(
                f"Order {row.number} is at “{row.stage}”; drawings are approved while it is at “booked”."
            )
        row.drawings_approved_at = at
        row.drawings_approved_by = actor.name[:160]
        row.save(update_fields=["drawings_approved_at", "drawings_approved_by"])
        audit_record(actor, "drawings_approve", row, at=at)
    return row
