"""Deposits before release: written down, and taken back with a reason; several add up (R44)."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, NotThere, Refused
from framing.common.idempotency import claim_key
from framing.common.templatetags.figures import money
from framing.common.zones import company_day, day_words
from orders.models import Deposit, Order
from orders.release_reads import accepted_total, deposit_received
from orders.services.moves import order_locked, reason_given
from orders.states import OrderStage

NOTE_MOST = 200
TAKEN_AT = (OrderStage.BOOKED, OrderStage.HELD)


def deposit_record(
    *, actor: Actor, at: datetime, order: Order, amount: Decimal, received_on: date, key: str, note: str = ""
) -> Deposit:
    """Write down money received on an order before release.

    Args:
        amount: in the offer's currency, to the cent.
        key: idempotency key; the same key again writes nothing more.

    Raises:
        Refused: no whole cents, nothing, more in all than the order comes to, a day to come, or a long note.
        Clash: the order is past booking.
    """
    words = note.strip()
    with transaction.atomic():
        body = {"order": order.pk, "amount": str(amount), "received_on": str(received_on), "note": words}
        claim = claim_key(actor=actor, verb="deposit_record", key=key, body=body)
        if claim.done:
            return Deposit.objects.get(pk=claim.result["deposit"])
        row = order_locked(order.pk)
        require(actor, "deposit", "record", owner=row.owner, owned=True)
        if actor.user is None:
            raise NotThere()
        if row.stage not in TAKEN_AT:
            raise Clash(f"Order {row.number} is at “{row.stage}”; a deposit is recorded before release.")
        _check(row, amount, received_on, words, at)
        deposit = Deposit.objects.create(
            order=row, amount=amount, received_on=received_on, note=words, by=actor.user, created_at=at
        )
        change = {"amount": str(amount), "received_on": str(received_on)}
        audit_record(actor, "deposit_record", row, at=at, change=change, why=words)
        claim.finish({"deposit": deposit.pk})
    return deposit


def _check(order: Order, amount: Decimal, received_on: date, note: str, at: datetime) -> None:
    currency, total = order.revision.currency, accepted_total(order)
    if not amount.is_finite() or amount <= 0 or amount != round(amount, 2):
        raise Refused("Give the amount in whole cents, more than nothing.", field="amount")
    together = deposit_received(order) + amount
    if together > total:
        raise Refused(
            f"With {money(amount, currency)} more, {money(together, currency)} would be received; the order comes to"
            f" {money(total, currency)}. Check the amount.",
            field="amount",
        )
    if received_on > company_day(at):
        raise Refused(
            f"{day_words(received_on)} is still to come; record the money when it is there.",
            field="received_on",
        )
    if len(note) > NOTE_MOST:
        raise Refused(f"A note has at most {NOTE_MOST} signs; this one has {len(note)}.", field="note")


def deposit_take_back(*, actor: Actor, at: datetime, deposit: Deposit, why: str) -> Deposit:
    """Strike a deposit with a reason: written down wrongly, not paid out by the bank, or given back.

    It stays in the list. A second time changes nothing. Raises Refused without a reason.
    """
    with transaction.atomic():
        order = order_locked(deposit.order_id)
        require(actor, "deposit", "take_back", owner=order.owner, owned=True)
        row = Deposit.objects.select_for_update(of=("self",)).get(pk=deposit.pk)
        if row.taken_back_at is not None:
            return row
        row.why = reason_given(why)
        row.taken_back_at, row.taken_back_by = at, actor.user
        row.save(update_fields=["taken_back_at", "taken_back_by", "why"])
        change = {"amount": str(row.amount), "received_on": str(row.received_on)}
        audit_record(actor, "deposit_take_back", order, at=at, change=change, why=row.why)
    return row
