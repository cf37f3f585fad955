"""What the builder says to his drawings: by his link, as staff heard it, or unasked (R44)."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, NotThere, Refused
from framing.common.mail_words import plain_text
from framing.common.models import AccessLink, LinkPurpose
from framing.common.outbox import outbox_add
from orders.markup_store import MARKUPS, check_markup
from orders.models import DrawingSet, Order
from orders.services.drawing_sets import check_unapproved, new_set, open_set
from orders.services.moves import order_locked
from orders.states import OrderStage

MARKUP = "drawing_markup"
NAME_MOST = 160
HEARD_MOST = 400
WORDS_MOST = 4000
ANSWERED_AT = (OrderStage.BOOKED, OrderStage.HELD)

File = tuple[str, bytes]


def drawings_answer(
    *,
    actor: Actor,
    at: datetime,
    drawing_set: DrawingSet,
    approved: bool,
    name: str,
    words: str = "",
    file: File | None = None,
) -> DrawingSet:
    """The builder's answer by his link: the drawings are right, or what must change. Sent twice it counts once.

    Args:
        file: name and bytes of a marked-up PDF, PNG or JPEG; the worker makes pictures of it.

    Raises:
        Refused: no name, a no without words, or a file that can't be read here.
        TooBig: a file of over 10,000,000 bytes.
        Clash: answered otherwise before, or the order is past that.
        NotThere: the link is over or belongs to another order.
    """
    with transaction.atomic():
        row = order_locked(drawing_set.order_id)
        require(actor, "order", "answer")
        _check_link(actor, row, at)
        asked = DrawingSet.objects.select_for_update(of=("self",)).get(pk=drawing_set.pk)
        asked.order = row
        if asked.answered_at is not None:
            if asked.link_id == (actor.link and actor.link.pk) and asked.approved == approved:
                return asked
            told = "are right" if asked.approved else "must change"
            raise Clash(
                f"{asked.name} answered already that these drawings {told}. Call us if you think otherwise."
            )
        check_unapproved(row, ANSWERED_AT)
        said = _Said(approved, name, words, file)
        return _answer(actor, row, asked, at, said, link=actor.link)


def drawings_record(
    *,
    actor: Actor,
    at: datetime,
    order: Order,
    approved: bool,
    name: str,
    heard: str,
    words: str = "",
    file: File | None = None,
) -> DrawingSet:
    """Record the builder's yes or no as staff heard it, on the set that waits or on a set of its own.

    Args:
        name: who said it.
        heard: how: a call, a signed paper.
        file: as in `drawings_answer`.

    Raises:
        Refused: no name, no word on how it was heard, or a no that does not say what must change.
        Clash: approved already, or the order is past booking.
    """
    with transaction.atomic():
        row = order_locked(order.pk)
        require(actor, "order", "approve", owner=row.owner, owned=True)
        if actor.user is None:
            raise NotThere()
        check_unapproved(row, ANSWERED_AT)
        how = _read(
            heard, "heard", "Say how you heard it, such as by a call or on a signed paper.", HEARD_MOST
        )
        asked = open_set(row) or new_set(row, at)
        said = _Said(approved, name, words, file)
        return _answer(actor, row, asked, at, said, recorded_by=actor.user, heard=how)


def drawings_approve(*, actor: Actor, at: datetime, order: Order) -> Order:
    """Approve drawings that were not sent to the builder; a second time changes nothing.

    Raises Clash after release, and where the builder was asked: then his answer counts.
    """
    with transaction.atomic():
        row = order_locked(order.pk)
        require(actor, "order", "approve", owner=row.owner, owned=True)
        if row.drawings_approved_at is not None:
            return row
        if row.stage != OrderStage.BOOKED:
            raise Clash(
                f"Order {row.number} is at “{row.stage}”; drawings are approved while it is at “booked”."
            )
        asked = row.drawing_sets.order_by("-number").first()
        if asked is not None:
            raise Clash(
                f"Drawings {asked.number} of order {row.number} went to the builder. Record what he says, and how you"
                " heard it."
            )
        _approve(row, at, actor.name)
        audit_record(actor, "drawings_approve", row, at=at)
    return row


def _check_link(actor: Actor, order: Order, at: datetime) -> None:
    """A link answers for its own order only, and only while it lives; read afresh in the transaction."""
    if actor.link is None:
        raise NotThere()
    live = AccessLink.objects.filter(
        pk=actor.link.pk, purpose=LinkPurpose.ORDER, withdrawn_at=None, expires_at__gt=at,
        subject_type=Order._meta.label_lower, subject_id=order.pk,
    )  # fmt: skip
    if not live.exists():
        raise NotThere()


@dataclass(frozen=True, slots=True)
class _Said:
    """An answer as it came."""

    approved: bool
    name: str
    words: str
    file: File | None


def _answer(
    actor: Actor, order: Order, asked: DrawingSet, at: datetime, said: _Said, **more: Any
) -> DrawingSet:
    """Write the answer on a locked order's set; a yes approves the order's drawings."""
    asked.name = _read(said.name, "name", "Name who says so.", NAME_MOST)
    asked.words = _read_words(said.words, approved=said.approved)
    asked.approved, asked.answered_at = said.approved, at
    if said.file is not None:
        more |= _keep(asked, said.file)
    for field, value in more.items():
        setattr(asked, field, value)
    asked.save(update_fields=["name", "words", "approved", "answered_at", *more])
    if said.approved:
        _approve(order, at, asked.name)
    verb = "drawings_approve" if said.approved else "drawings_refuse"
    change = {"set": asked.number, "name": asked.name}
    audit_record(actor, verb, order, at=at, change=change, why=asked.heard or asked.words)
    return asked


def _keep(asked: DrawingSet, file: File) -> dict[str, str]:
    """Keep a marked-up file and ask for pictures of it. Returns the fields that name it."""
    name = check_markup(*file)
    MARKUPS.hold()
    outbox_add(MARKUP, str(asked.pk), {"set": asked.pk})
    return {"markup_name": name, "markup_sha256": MARKUPS.write(file[1])}


def _approve(order: Order, at: datetime, name: str) -> None:
    order.drawings_approved_at, order.drawings_approved_by = at, name[:160]
    order.save(update_fields=["drawings_approved_at", "drawings_approved_by"])


def _read_words(words: str, *, approved: bool) -> str:
    text = plain_text(words, WORDS_MOST + 1)
    if not approved and not text:
        raise Refused("Say what must change, so that we can draw it.", field="words")
    if len(text) > WORDS_MOST:
        raise Refused(f"At most {WORDS_MOST:,} signs; these are more.", field="words")
    return text


def _read(text: str, field: str, missing: str, most: int) -> str:
    words = " ".join(text.split())
    if not words:
        raise Refused(missing, field=field)
    if len(words) > most:
        raise Refused(f"At most {most} signs here; these are {len(words)}.", field=field)
    return words
