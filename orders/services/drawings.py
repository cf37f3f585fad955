"""Drawings for approval are sent to the builder, each person by a link of his own (R44)."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.idempotency import claim_key
from framing.common.links import link_make
from framing.common.mail import mail_queue, new_link_seed
from framing.common.mail_words import Recipient
from framing.common.models import LinkPurpose
from framing.common.outbox import outbox_add
from orders.models import DrawingSet, Order
from orders.services.drawing_sets import check_unapproved, new_set, open_set
from orders.services.moves import order_locked
from orders.services.notices import notice_ask
from orders.states import OrderStage
from quotes.mail_kinds import DRAWINGS, KINDS
from quotes.services.sending import quote_letter, read_people, read_word

PAPER = "order_drawings"
LINK_DAYS_LEAST = 60
LINK_DAYS_AFTER_DELIVERY = 30


def drawings_send(
    *, actor: Actor, at: datetime, order: Order, people: Sequence[tuple[str, str]], key: str, word: str = ""
) -> DrawingSet:
    """Send the drawings of an order to people of the builder, each with a link of his own; asks for their paper.

    While a set waits for its answer, sending again sends the same set to more people; after a no it makes a new one.

    Args:
        people: (name, mail address) of each; a new link ends an earlier one of the same name.
        word: what the sender adds; plain text.
        key: idempotency key; the same key again sends nothing more.

    Raises:
        Refused: nobody, too many, one twice, a name or an address that cannot be.
        Clash: not at “booked”, or approved already.
    """
    named, added = read_people(people), read_word(word)
    with transaction.atomic():
        body = {"order": order.pk, "people": [[p.name, p.address] for p in named], "word": added}
        claim = claim_key(actor=actor, verb="drawings_send", key=key, body=body)
        if claim.done:
            return DrawingSet.objects.select_related("order").get(pk=claim.result["set"])
        row = order_locked(order.pk)
        require(actor, "drawing_set", "send", owner=row.owner, owned=True)
        check_unapproved(row, (OrderStage.BOOKED,))
        drawing_set = open_set(row) or new_set(row, at, sent_by=actor.user)
        for to in named:
            _mail(actor, row, drawing_set, to, added, at)
        outbox_add(PAPER, str(drawing_set.pk), {"set": drawing_set.pk})
        change = {"set": drawing_set.number, "to": [f"{to.name} <{to.address}>" for to in named]}
        audit_record(actor, "drawings_send", row, at=at, change=change)
        notice_ask("drawings", row, at, about=drawing_set)
        claim.finish({"set": drawing_set.pk})
    return drawing_set


def _mail(
    actor: Actor, order: Order, drawing_set: DrawingSet, to: Recipient, word: str, at: datetime
) -> None:
    seed, secret = new_link_seed()
    link, _ = link_make(
        actor=actor,
        purpose=LinkPurpose.ORDER,
        subject=order,
        for_name=to.name,
        expires_at=_link_end(order, at),
        at=at,
        secret=secret,
    )
    mail_queue(
        actor=actor,
        kind=DRAWINGS,
        about=drawing_set,
        to=to,
        letter=quote_letter(KINDS[DRAWINGS], order.revision, to, {"order": order.number, "word": word}),
        link=link,
        link_seed=seed,
    )


def _link_end(order: Order, at: datetime) -> datetime:
    """30 days after the day on site, and 60 days from now at least."""
    days = (order.deliver_on - at.date()).days if order.deliver_on else 0
    return at + timedelta(days=max(LINK_DAYS_LEAST, days + LINK_DAYS_AFTER_DELIVERY))
