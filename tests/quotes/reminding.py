"""Mailing and reminding in tests: the people, the days of the factories' offer, and a round of beat and worker."""

from __future__ import annotations

from datetime import UTC, datetime

from django.core import mail as outbox

from framing.common.actors import person
from framing.common.mail import SEND
from framing.common.models import MailMessage, OutboxEntry
from framing.common.outbox import outbox_run
from quotes import services
from quotes.models import QuoteRevision
from tests.factories import quotes

RAE, SAM = ("Rae Winter", "Rae@winter.example"), ("Sam Löwe", "sam@winter.example")


def utc(day: int, hour: int, minute: int = 0, month: int = 11) -> datetime:
    return datetime(2026, month, day, hour, minute, tzinfo=UTC)


# The factories' offer: issued on November 3, 2026, in New York, valid to the end of December 3; winter there is -5,
# so 8 to 17 o'clock is 13 to 22 of UTC. Three days before the end is November 30, one day is December 2.
THREE, ONE = utc(30, 13), utc(2, 13, month=12)


def work() -> None:
    for entry in OutboxEntry.objects.filter(kind=SEND, done_at=None).order_by("id"):
        outbox_run(entry.pk)


def sent(revision: QuoteRevision, *to: tuple[str, str], at: datetime = quotes.AT) -> list[MailMessage]:
    mails = services.quote_send(
        actor=person(revision.quote.owner), revision=revision, people=to or (RAE,), key=quotes.key(), at=at
    )
    work()
    return mails


def remind(at: datetime, clock: list[datetime]) -> list[str]:
    """One round of the beat and of the worker; whom it mailed."""
    clock[0] = at
    before = len(outbox.outbox)
    services.reminders_due(at=at)
    work()
    return [one.to[0] for one in outbox.outbox[before:]]
