"""Two workers at the same round: fifty offers lapse once each, and nobody is reminded twice (R41)."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from threading import Barrier
from typing import Any

import pytest
from django.db import connection

from framing.common import mail_sending
from framing.common.actors import person
from framing.common.errors import ApplicationError
from framing.common.mail import SEND
from framing.common.models import AuditEntry, MailMessage, OutboxEntry, Role
from framing.common.outbox import outbox_run
from quotes import services
from quotes.mail_kinds import REMINDER
from quotes.models import Acceptance, LostOffer, Quote, QuoteMove, Reminder
from tests.factories import people, quotes

pytestmark = pytest.mark.django_db(transaction=True)
FIFTY = 50
THREE_DAYS_BEFORE = datetime(2026, 11, 30, 15, tzinfo=UTC)


def at_once(*acts: Callable[[], Any]) -> list[Any]:
    """What acts answer that are started together: a value, or the name of a refusal."""
    gate = Barrier(len(acts))

    def run(act: Callable[[], Any]) -> Any:
        try:
            connection.ensure_connection()
            gate.wait()
            return act()
        except ApplicationError as error:
            return type(error).__name__
        finally:
            connection.close()

    with ThreadPoolExecutor(len(acts)) as pool:
        return list(pool.map(run, acts))


def test_two_workers_let_fifty_offers_lapse_once_each_while_one_is_accepted() -> None:
    owner = people.user(Role.SELLER)
    rows = [quotes.issued(owner) for _ in range(FIFTY)]
    over = rows[0].valid_until
    assert over is not None

    def lapse() -> int:
        return services.quotes_lapse_due(at=over)

    def accept() -> None:
        services.quote_accept(
            actor=person(owner), revision=rows[25], name="Rae", key="k", why="By phone.",
            at=over - timedelta(seconds=1),
        )  # fmt: skip

    first, second, answer = at_once(lapse, lapse, accept)
    booked = Acceptance.objects.count()
    assert first + second == FIFTY - booked
    assert answer == (None if booked else "Clash")
    assert Quote.objects.filter(stage="lapsed").count() == FIFTY - booked
    assert QuoteMove.objects.filter(to_stage="lapsed").count() == FIFTY - booked
    assert AuditEntry.objects.filter(verb="quote_lapse").count() == FIFTY - booked


def test_two_workers_remind_each_person_once(monkeypatch: pytest.MonkeyPatch) -> None:
    owner = people.user(Role.SELLER)
    monkeypatch.setattr(mail_sending, "database_now", lambda: quotes.AT)
    for number in range(6):
        services.quote_send(
            actor=person(owner), revision=quotes.issued(owner), key=f"k{number}", at=quotes.AT,
            people=[("Rae Winter", "rae@winter.example"), ("Sam Winter", "sam@winter.example")],
        )  # fmt: skip
    for entry in OutboxEntry.objects.filter(kind=SEND, done_at=None):
        outbox_run(entry.pk)
    counts = at_once(*[lambda: services.reminders_due(at=THREE_DAYS_BEFORE)] * 4)
    assert sum(counts) == Reminder.objects.count() == MailMessage.objects.filter(kind=REMINDER).count() == 12


def test_a_reason_named_by_many_at_once_is_kept_once() -> None:
    revision = quotes.issued()
    over = revision.valid_until
    assert over is not None
    services.quotes_lapse_due(at=over)
    actor = person(revision.quote.owner)

    def name() -> None:
        services.lost_name(actor=actor, quote=revision.quote, at=over, reason="price")

    assert sorted(at_once(*[name] * 6), key=str) == ["Clash"] * 5 + [None]
    assert LostOffer.objects.count() == 1
