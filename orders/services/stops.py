"""Holding, resuming, cancelling and closing an order."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.errors import Clash
from framing.common.links import link_withdraw
from framing.common.models import AccessLink
from orders.models import Delivery, Order
from orders.services.moves import move_order, next_stage, order_locked, reason_given
from orders.states import OrderStage

LINK_DAYS_AFTER_CLOSE = 30


def order_hold(*, actor: Actor, at: datetime, order: Order, why: str) -> Order:
    """Hold an order before loading. Raises Clash where it is held or loaded, Refused without a reason."""
    with transaction.atomic():
        row = order_locked(order.pk)
        require(actor, "order", "hold")
        stage = next_stage(row, "hold")
        reason = reason_given(why)
        row.held_from = row.stage
        move_order(row, stage, actor=actor, at=at, verb="order_hold", why=reason)
    return row


def order_resume(*, actor: Actor, at: datetime, order: Order, why: str = "") -> Order:
    """Go on at the stage that was held. Raises Clash where the order is not held."""
    with transaction.atomic():
        row = order_locked(order.pk)
        require(actor, "order", "hold")
        if row.stage != OrderStage.HELD:
            raise Clash(f"Order {row.number} is at “{row.stage}”; only a held order is resumed.")
        stage, row.held_from = row.held_from, ""
        move_order(row, stage, actor=actor, at=at, verb="order_resume", why=why.strip()[:400])
    return row


def order_cancel(*, actor: Actor, at: datetime, order: Order, why: str) -> Order:
    """Cancel an order before loading, for good; links to its deliveries are withdrawn.

    Raises Clash where it is loaded or cancelled already, Refused without a reason.
    """
    with transaction.atomic():
        row = order_locked(order.pk)
        require(actor, "order", "cancel")
        stage = next_stage(row, "cancel")
        reason = reason_given(why)
        row.held_from = ""
        move_order(row, stage, actor=actor, at=at, verb="order_cancel", why=reason)
        for link in _delivery_links(row):
            link_withdraw(actor=actor, link=link, at=at)
    return row


def order_close(*, actor: Actor, at: datetime, order: Order) -> Order:
    """Close a delivered order; builders' links end 30 days later. Raises Clash where it is not delivered."""
    with transaction.atomic():
        row = order_locked(order.pk)
        require(actor, "order", "close")
        move_order(row, next_stage(row, "close"), actor=actor, at=at, verb="order_close")
        end = at + timedelta(days=LINK_DAYS_AFTER_CLOSE)
        for link in _delivery_links(row):
            AccessLink.objects.filter(pk=link.pk).update(expires_at=end)
    return row


def _delivery_links(order: Order) -> list[AccessLink]:
    """Links to the order's deliveries that are not withdrawn."""
    label = Delivery._meta.label_lower
    rows = AccessLink.objects.filter(
        subject_type=label, subject_id__in=order.deliveries.values("pk"), withdrawn_at=None
    )
    return list(rows.order_by("pk"))
