"""Rolling and finishing: what the shop does between release and the last bundle."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from orders.models import Bundle, Order
from orders.services.moves import move_order, next_stage, order_locked


def order_roll(*, actor: Actor, at: datetime, order: Order) -> Order:
    """Start rolling. Raises Clash where the order is not at “released”."""
    with transaction.atomic():
        row = order_locked(order.pk)
        require(actor, "bundle", "roll")
        move_order(row, next_stage(row, "roll"), actor=actor, at=at, verb="order_roll")
    return row


def bundle_finish(*, actor: Actor, at: datetime, bundle: Bundle) -> Bundle:
    """Mark one bundle finished; the last one moves the order to “bundled”. A second time changes nothing.

    Raises Clash where the order is not at “rolling”.
    """
    with transaction.atomic():
        order = order_locked(bundle.order_id)
        require(actor, "bundle", "finish")
        row = Bundle.objects.select_for_update().get(pk=bundle.pk)
        if row.finished_at is not None:
            return row
        stage = next_stage(order, "bundle")
        row.started_at, row.finished_at = row.started_at or at, at
        row.started_by, row.finished_by = row.started_by or actor.name[:160], actor.name[:160]
        row.save(update_fields=["started_at", "started_by", "finished_at", "finished_by"])
        audit_record(actor, "bundle_finish", row, at=at)
        if not order.bundles.filter(finished_at=None).exists():
            move_order(order, stage, actor=actor, at=at, verb="order_bundle")
    return row


def order_bundle(*, actor: Actor, at: datetime, order: Order) -> Order:
    """Mark all bundles finished that are not yet. Raises Clash where the order is not at “rolling”."""
    with transaction.atomic():
        row = order_locked(order.pk)
        require(actor, "bundle", "finish")
        stage = next_stage(row, "bundle")
        left = row.bundles.filter(finished_at=None)
        left.filter(started_at=None).update(started_at=at, started_by=actor.name[:160])
        left.update(finished_at=at, finished_by=actor.name[:160])
        move_order(row, stage, actor=actor, at=at, verb="order_bundle")
    return row
