"""Reminders on pages and by the API, what they ask of the database, and what it keeps."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

import pytest
from django.db import DatabaseError, IntegrityError, transaction
from django.test import Client
from django.urls import reverse

from framing.common.models import MailMessage
from quotes import selectors
from quotes.mail_kinds import REMINDER
from quotes.models import Reminder
from quotes.reminder_reads import people_mailed, reminder_part
from tests.factories import quotes
from tests.quotes.reminding import ONE, RAE, SAM, THREE, remind, sent, utc

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
HOUR = timedelta(hours=1)


def test_the_page_tells_the_day_of_the_next_one(clock: list[datetime]) -> None:
    revision = quotes.issued()
    sent(revision)
    days, words = [], set()
    for at in (quotes.AT, THREE - HOUR, THREE + HOUR, ONE + HOUR):
        if at.hour != 12:
            remind(at, clock)
        part = reminder_part(selectors.revision_get(revision.public_id), at)
        assert part is not None
        days.append(part.next_day)
        words.add(part.mark_words)
    assert days == [date(2026, 11, 30), date(2026, 11, 30), date(2026, 12, 2), None]
    assert words == {"3 days and 1 day"}
    assert reminder_part(revision, utc(4, 6, month=12)) is None


def test_a_seller_looks_at_a_reminder_sends_it_and_switches_them_off(
    client: Client, monkeypatch: Any
) -> None:
    from quotes import reminder_views, views

    for module in (reminder_views, views):
        monkeypatch.setattr(module, "database_now", lambda: quotes.AT)
    revision = quotes.issued()
    client.force_login(revision.quote.owner)
    page = reverse("quotes:revision_page", args=[revision.public_id])
    address = reverse("quotes:quote_remind", args=[revision.public_id])
    assert "Nobody was mailed this offer" in client.get(page).content.decode()
    assert "send the offer instead" in client.get(address).content.decode()
    sent(revision)
    shown = client.get(page).content.decode()
    assert "<strong>Nov 30, 2026</strong>, between 8:00 and 17:00 New York time" in shown
    assert address in shown
    look = client.post(address, {"step": "look", "word": "The crew waits.", "idempotency_key": "k"})
    assert (look.status_code, "The crew waits." in look.content.decode()) == (200, True)
    assert not MailMessage.objects.filter(kind=REMINDER).exists()
    wordy = client.post(address, {"step": "send", "word": "x" * 2001, "idempotency_key": "k"})
    assert (wordy.status_code, "x" * 2001 in wordy.content.decode()) == (422, True)
    assert client.post(address, {"step": "send", "word": "", "idempotency_key": "k"}).status_code == 302
    assert MailMessage.objects.filter(kind=REMINDER).count() == 1
    switch = reverse("quotes:reminders_switch", args=[revision.quote.public_id])
    assert client.post(switch, {"on": "no"}).status_code == 302
    assert "Switched off for this quote" in client.get(page).content.decode()


def test_reminders_by_the_api(client: Client, monkeypatch: Any) -> None:
    from quotes.api import reminders

    monkeypatch.setattr(reminders, "database_now", lambda: quotes.AT)
    revision = quotes.issued()
    sent(revision)
    client.force_login(revision.quote.owner)
    base = f"/api/v1/revisions/{revision.public_id}/remind/"
    as_json: dict[str, Any] = {"content_type": "application/json"}
    seen = client.post(base + "preview/", {"word": "Soon."}, **as_json).json()
    assert "Soon." in seen["text"]
    assert not MailMessage.objects.filter(kind=REMINDER).exists()
    assert client.post(base, {}, **as_json).status_code == 400  # no key
    made = client.post(base, {}, **as_json, headers={"Idempotency-Key": "k"})
    assert made.status_code == 201
    assert [row["kind"] for row in made.json()] == ["quote_reminder"]
    switch = f"/api/v1/quotes/{revision.quote.public_id}/reminders/"
    assert client.post(switch, {"on": False}, **as_json).json() == {
        "id": revision.quote.public_id,
        "on": False,
    }
    assert client.post(switch, {}, **as_json).status_code == 422


def test_whom_an_offer_reached_is_one_question_however_many(django_assert_num_queries: Any) -> None:
    revision = quotes.issued()
    sent(revision, RAE, SAM, ("Ann Winter", "ann@winter.example"))
    with django_assert_num_queries(1):
        found = people_mailed(revision, quotes.AT)
    assert [one.to.name for one in found] == ["Rae Winter", "Sam Löwe", "Ann Winter"]


def test_the_database_keeps_a_reminder_once_and_for_good(clock: list[datetime]) -> None:
    revision = quotes.issued()
    (first,) = sent(revision)
    remind(THREE, clock)
    row = Reminder.objects.get()
    with pytest.raises(DatabaseError), transaction.atomic():
        Reminder.objects.update(days=9)
    with pytest.raises(DatabaseError), transaction.atomic():
        Reminder.objects.filter(pk=row.pk).delete()
    again = {"revision": revision, "address": row.address, "days": 3, "mail": first, "at": THREE}
    for change in ({}, {"days": 5, "address": "RAE@winter.example"}, {"days": 5, "mail": row.mail}):
        with pytest.raises(IntegrityError), transaction.atomic():
            Reminder.objects.create(**again | change)
