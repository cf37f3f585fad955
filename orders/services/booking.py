"""Booking: the one order of an accepted quote."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, NotThere
from framing.common.idempotency import claim_key
from framing.common.numbering import next_number
from framing.common.zones import company_day
from orders.models import Order, OrderMove
from orders.services.invoices import invoice_deposit
from orders.services.notices import notice_ask
from orders.states import OrderStage
from quotes.models import Quote
from quotes.selectors import revision_accepted

SERIES = "SO"


def order_book(*, actor: Actor, at: datetime, quote: Quote, key: str = "") -> Order:
    """Book the accepted revision of a quote; asked again, the order that is there is returned.

    The quote's row is locked and the order is unique by quote, so two bookings at once make one order.

    Args:
        key: idempotency key; people need one, the system books by outbox row and needs none.

    Raises:
        Clash: the quote is not accepted.
        KeyMissing: a person without a key.
    """
    with transaction.atomic():
        claim = None
        if actor.kind != "system":
            claim = claim_key(actor=actor, verb="order_book", key=key, body={"quote": quote.pk})
        order = _book(actor, at, quote)
        if claim is not None and not claim.done:
            claim.finish({"order": order.pk})
    return order


def _book(actor: Actor, at: datetime, quote: Quote) -> Order:
    row = Quote.objects.select_for_update(of=("self",)).select_related("owner").get(pk=quote.pk)
    require(actor, "order", "book", owner=row.owner, owned=True)
    try:
        revision = revision_accepted(row)
    except NotThere:
        raise Clash(f"Quote {row.number} is not accepted; only an accepted quote can be booked.") from None
    known = Order.objects.filter(quote=row).first()
    if known is not None:
        return known
    order = Order.objects.create(
        number=next_number(SERIES, at),
        quote=row,
        revision=revision,
        owner=row.owner,
        deliver_on=company_day(at) + timedelta(days=revision.lead_time_days),
        created_at=at,
    )
    OrderMove.objects.create(order=order, at=at, to_stage=OrderStage.BOOKED, by=actor.name[:160])
    change = {"stage": ["", OrderStage.BOOKED.value], "revision": str(revision)}
    audit_record(actor, "order_book", order, at=at, change=change)
    invoice_deposit(at=at, order=order)
    notice_ask("booked", order, at)
    return order
