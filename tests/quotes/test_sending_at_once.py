"""Fifty at once on PostgreSQL: one order, one stored paper, one mail a person, and a clear answer to everyone (R41)."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import Any

import pytest
from django.db import connection

from framing.common.actors import by_link, person
from framing.common.errors import ApplicationError
from framing.common.mail import SEND
from framing.common.models import AccessLink, MailMessage, OutboxEntry, StoredPaper
from framing.common.outbox import outbox_run
from orders.models import Order
from quotes import services
from quotes.models import Acceptance, QuoteMove
from tests.factories import quotes

pytestmark = pytest.mark.django_db(transaction=True)
FIFTY = 50


def at_once(*acts: Callable[[], Any]) -> list[str]:
    """Run all acts in threads started together: "done", or the refusal's own words."""
    gate = Barrier(len(acts))

    def run(act: Callable[[], Any]) -> str:
        try:
            connection.ensure_connection()
            gate.wait()
            act()
        except ApplicationError as error:
            return error.message
        finally:
            connection.close()
        return "done"

    with ThreadPoolExecutor(len(acts)) as pool:
        return list(pool.map(run, acts))


def test_fifty_issues_give_one_offer_and_one_stored_paper():
    draft = quotes.draft()
    actor = person(draft.quote.owner)

    def issue(key: str) -> Callable[[], Any]:
        return lambda: services.revision_issue(actor=actor, revision=draft, key=key, at=quotes.AT)

    said = Counter(at_once(*(issue(f"k{number}") for number in range(FIFTY))))
    assert said.pop("done") == 1
    assert sum(said.values()) == FIFTY - 1
    assert all(re.search(r"was issued and never changes", words) for words in said)
    entry = OutboxEntry.objects.get(kind="quote_paper")
    at_once(*[lambda: outbox_run(entry.pk)] * 4)
    assert StoredPaper.objects.filter(subject_type="quotes.quoterevision", subject_id=draft.pk).count() == 1
    assert QuoteMove.objects.filter(quote=draft.quote, to_stage="issued").count() == 1


def test_fifty_acceptances_by_as_many_links_and_the_telephone_give_one_order():
    revision = quotes.issued()
    seller = person(revision.quote.owner)
    links = [by_link(quotes.link(revision, f"Reader {number}")[0]) for number in range(FIFTY // 2)]

    def accept(number: int) -> Callable[[], Any]:
        by_phone = number % 2 == 0
        return lambda: services.quote_accept(
            actor=seller if by_phone else links[number // 2],
            revision=revision,
            name=f"Reader {number}",
            key=f"k{number}",
            at=quotes.AT,
            why="told by telephone" if by_phone else "",
        )

    said = Counter(at_once(*(accept(number) for number in range(FIFTY))))
    assert said.pop("done") == 1
    acceptance = Acceptance.objects.get(quote=revision.quote)
    assert set(said) == {f"{revision} was accepted by {acceptance.name} on {quotes.AT:%b %d, %Y} already."}
    entry = OutboxEntry.objects.get(kind="order_book")
    at_once(*[lambda: outbox_run(entry.pk)] * 8)
    assert Order.objects.filter(revision=revision).count() == 1


def test_fifty_equal_sendings_mail_each_person_once():
    revision = quotes.issued()
    people = [("Rae Winter", "rae@winter.example"), ("Sam Winter", "sam@winter.example")]

    def send() -> Any:
        return services.quote_send(
            actor=person(revision.quote.owner), revision=revision, people=people, key="same", at=quotes.AT
        )

    assert at_once(*[send] * FIFTY) == ["done"] * FIFTY
    assert sorted(MailMessage.objects.values_list("to_address", flat=True)) == [one[1] for one in people]
    assert AccessLink.objects.filter(withdrawn_at=None).count() == 2
    assert OutboxEntry.objects.filter(kind=SEND).count() == 2
