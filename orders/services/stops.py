"""Holding, resuming, cancelling and closing an order."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import Q

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.errors import Clash
from framing.common.links import link_withdraw
from framing.common.models import AccessLink
from orders.models import Delivery, Order
from orders.release_reads import order_made
from orders.services.changes import changes_end
from orders.services.claim_ends import check_no_open_claim
from orders.services.delivery_stage import check_cancels
from orders.services.invoices import invoice_cancelled
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


def order_resume(*, actor: Actor, at: datetime, order: Order, why: str) -> Order:
    """Go on at the stage that was held. Raises Clash where the order is not held, Refused without a reason."""
    with transaction.atomic():
        row = order_locked(order.pk)
        require(actor, "order", "hold")
        if row.stage != OrderStage.HELD:
            raise Clash(f"Order {row.number} is at “{row.stage}”; only a held order is resumed.")
        reason = reason_given(why)
        stage, row.held_from = row.held_from, ""
        move_order(row, stage, actor=actor, at=at, verb="order_resume", why=reason)
    return row


def order_cancel(*, actor: Actor, at: datetime, order: Order, why: str) -> Order:
    """Cancel an order before loading, for good; its builder's links are withdrawn.

    The trail keeps what the shop had made by then.

    Raises Clash where it is loaded or cancelled already, Refused without a reason.
    """
    with transaction.atomic():
        row = order_locked(order.pk)
        require(actor, "order", "cancel")
        stage = next_stage(row, "cancel")
        check_cancels(row)
        reason = reason_given(why)
        row.held_from = ""
        made = order_made(row)
        told = {"made": made.as_json} if made.started else {}
        changes_end(actor=actor, at=at, order=row, why=reason)
        move_order(row, stage, actor=actor, at=at, verb="order_cancel", why=reason, more=told)
        invoice_cancelled(at=at, order=row)
        for link in _links(row):
            link_withdraw(actor=actor, link=link, at=at)
    return row


def order_close(*, actor: Actor, at: datetime, order: Order) -> Order:
    """Close a delivered order; builders' links end 30 days later.

    Raises Clash where it is not delivered, or a claim is open (R49).
    """
    with transaction.atomic():
        row = order_locked(order.pk)
        require(actor, "order", "close")
        stage = next_stage(row, "close")
        check_no_open_claim(row)
        move_order(row, stage, actor=actor, at=at, verb="order_close")
        end = at + timedelta(days=LINK_DAYS_AFTER_CLOSE)
        for link in _links(row):
            AccessLink.objects.filter(pk=link.pk).update(expires_at=end)
    return row


def _links(order: Order) -> list[AccessLink]:
    """Links to the order and to its deliveries that are not withdrawn."""
    loads = Q(subject_type=Delivery._meta.label_lower, subject_id__in=order.deliveries.values("pk"))
    own = Q(subject_type=Order._meta.label_lower, subject_id=order.pk)
    return list(AccessLink.objects.filter(loads | own, withdrawn_at=None).order_by("pk"))
