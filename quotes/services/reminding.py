"""Reminders of offers that end soon: by themselves in the daytime of the site, or by a seller's hand (R41)."""

from __future__ import annotations

import logging
from datetime import datetime

from django.db import transaction

from framing.common.access import require
from framing.common.actors import SYSTEM, Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash
from framing.common.mail_letter import Letter
from framing.common.mail_sending import mail_guard
from framing.common.models import MailMessage
from quotes.mail_kinds import REMINDER
from quotes.models import Quote, QuoteRevision, Reminder
from quotes.reminder_reads import (
    Reached,
    days_left,
    is_open,
    is_waking,
    mark_due,
    people_mailed,
    quotes_to_remind,
    reminded,
    reminder_marks,
)
from quotes.selectors import revision_offered
from quotes.services.links import link_end
from quotes.services.rows import lock_quote
from quotes.services.sending import PEOPLE_MOST, quote_preview, quote_send, send_one

logger = logging.getLogger(__name__)


def reminders_due(*, at: datetime, actor: Actor = SYSTEM) -> int:
    """Write the reminders that are due, each quote in its own transaction. Returns how many.

    `at` is the database's time. What fails is logged, tried again at the next round, and stops no other.
    """
    return sum(_tried(pk, at, actor) for pk in quotes_to_remind(at))


def _tried(pk: int, at: datetime, actor: Actor) -> int:
    try:
        return _remind(pk, at, actor)
    except Exception:
        logger.exception("quote %s could not be reminded of", pk)
        return 0


def _remind(pk: int, at: datetime, actor: Actor) -> int:
    with transaction.atomic():
        quote = lock_quote(pk)
        revision = revision_offered(quote)
        if revision is None or not quote.reminders or not is_open(quote, revision, at):
            return 0  # answered, revised or switched off while we came
        if not is_waking(at, revision.valid_zone):
            return 0
        revision.quote = quote
        found = [(one, mark) for one in people_mailed(revision, at) for mark in _marks(revision, one, at)]
        for one, mark in found:
            mail = send_one(actor, revision, one.to, "", REMINDER, link_end(revision, at), at)
            Reminder.objects.create(
                revision=revision, address=one.to.address.lower(), days=mark, mail=mail, at=at
            )
        if found:
            to = [f"{one.to.name} <{one.to.address}>" for one, _ in found]
            left = days_left(revision, at)
            change = {"revision": revision.number, "to": to, "kind": REMINDER, "days": left}
            audit_record(actor, "quote_send", quote, at=at, change=change)
        return len(found)


def _marks(revision: QuoteRevision, one: Reached, at: datetime) -> list[int]:
    """The reminder that is due to a person today: one or none."""
    done = reminded(revision).get(one.to.address.lower(), ())
    left, held = days_left(revision, at), days_left(revision, one.mailed_at)
    mark = mark_due(left, held, reminder_marks(), done)
    return [] if mark is None else [mark]


def quote_remind(
    *, actor: Actor, revision: QuoteRevision, key: str, at: datetime, word: str = ""
) -> list[MailMessage]:
    """Remind everybody now who was mailed the offer and can open it.

    One by itself that would have gone the same day is left out then. Raises Clash where nobody can be reminded, and
    as `quote_send`.
    """
    require(actor, "quote", "send", owner=revision.quote.owner, owned=True)
    people = sorted(((one.to.name, one.to.address) for one in _people(revision, at)), key=lambda one: one[1])
    with transaction.atomic():
        mails = []
        for first in range(0, len(people), PEOPLE_MOST):
            mails += quote_send(
                actor=actor,
                revision=revision,
                people=people[first : first + PEOPLE_MOST],
                key=f"{key}.{first}" if first else key,
                at=at,
                word=word,
                kind=REMINDER,
            )
    return mails


def quote_remind_preview(*, actor: Actor, revision: QuoteRevision, at: datetime, word: str = "") -> Letter:
    """The reminder as its first reader would get it; writes nothing. Raises as `quote_remind`."""
    require(actor, "quote", "send", owner=revision.quote.owner, owned=True)
    first = _people(revision, at)[0]
    return quote_preview(actor=actor, revision=revision, to=first.to, word=word, kind=REMINDER)


def _people(revision: QuoteRevision, at: datetime) -> list[Reached]:
    offered = revision_offered(revision.quote)
    if offered is None or offered.pk != revision.pk or not is_open(revision.quote, revision, at):
        raise Clash(f"{revision} is not open any more, so there is nothing to remind of.")
    found = people_mailed(revision, at)
    if not found:
        raise Clash(f"Nobody was mailed {revision} by a link that still opens; send the offer instead.")
    return found


def reminders_switch(*, actor: Actor, quote: Quote, on: bool, at: datetime) -> Quote:
    """Let reminders of a quote go by themselves, or not. Twice does no harm."""
    with transaction.atomic():
        quote = lock_quote(quote.pk)
        require(actor, "quote", "send", owner=quote.owner, owned=True)
        if quote.reminders != on:
            quote.reminders = on
            quote.save(update_fields=["reminders"])
            audit_record(actor, "reminders_switch", quote, at=at, change={"on": on})
    return quote


@mail_guard(REMINDER)
def reminder_held_back(mail: MailMessage, at: datetime) -> str:
    """Why a reminder must not go out any more, asked when the worker comes to it; “” where it may."""
    link = mail.link
    revision = (
        QuoteRevision.objects.defer("floors", "result").filter(pk=link.subject_id if link else 0).first()
    )
    if revision is None:
        return "Its link is gone."
    quote = revision.quote
    offered = revision_offered(quote)
    if offered is None or offered.pk != revision.pk or not is_open(quote, revision, at):
        return f"Held back: {quote.number} was answered, revised or over before it went out."
    by_itself = Reminder.objects.filter(mail=mail).exists()
    if by_itself and not quote.reminders:
        return "Held back: reminders of this quote were switched off before it went out."
    if by_itself and not is_waking(at, revision.valid_zone):
        return "Held back: it was night at the site when it could go out."
    return ""
