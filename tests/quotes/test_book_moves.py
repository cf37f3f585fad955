"""What the book in force now changes in an offer, said before one revises it."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from framing.common.models import Role
from quotes import services, views
from quotes.book_moves import book_move, touches
from quotes.models import PriceBook, QuoteRevision
from quotes.price_changes import Change, Moved
from tests.factories import people, projects, quotes

DAY = timedelta(days=1)


def test_only_what_an_offer_holds_touches_it() -> None:
    # One change of each part that it feels, one that it does not; the book's terms it always feels.
    rows = [
        ("items", "J-1", True), ("items", "J-2", False), ("tiers", "gold", True), ("tiers", "silver", False),
        ("taxes", "OH, material", True), ("taxes", "OHX, material", False), ("freight", "near", True),
        ("freight", "near, pup", True), ("freight", "nearby", False), ("terms", "Steel surcharge per lb", True),
    ]  # fmt: skip
    changes = [
        Change(part, "changed", key, key, (Moved("price", Decimal(1), Decimal(2)),)) for part, key, _ in rows
    ]
    found = touches(changes, codes=frozenset({"J-1"}), tier="gold", zones=("near", "near"), place="OH")
    assert [(change.part, change.key) for change in found] == [
        (part, key) for part, key, felt in rows if felt
    ]


def offer_and_dearer_book() -> tuple[QuoteRevision, PriceBook, str]:
    """An offer, and a book of the day after that asks a tenth more for one item of it and of one foreign one."""
    revision = quotes.issued()
    codes = set(revision.lines.values_list("code", flat=True))
    data = quotes.price_document(number=9000)
    own = next(item for item in data["items"] if item["code"] in codes)
    foreign = next(item for item in data["items"] if item["code"] not in codes)
    for item in (own, foreign):
        item["price"] = str(Decimal(item["price"]) * Decimal("1.1"))
    data["valid_from"] = str((quotes.AT + DAY).date())
    book = services.price_book_import(actor=people.actor(Role.MANAGER), data=data, at=quotes.AT + DAY)
    return revision, book, own["code"]


@pytest.mark.django_db
def test_a_revision_by_another_book_tells_what_moved_and_by_how_much() -> None:
    revision, book, code = offer_and_dearer_book()
    assert book_move(revision, quotes.AT.date()).same
    move = book_move(revision, (quotes.AT + DAY).date())
    assert (move.holding, move.same, move.others) == (book, False, 1)
    (change,) = move.changes
    assert (change.part, change.key) == ("items", code)
    assert [(value.field, value.percent) for value in change.moved] == [("price", Decimal(10))]


@pytest.mark.django_db
def test_without_a_book_in_force_it_says_so() -> None:
    revision = quotes.issued()
    early = projects.AT.date() - 400 * DAY
    assert book_move(revision, early).holding is None


@pytest.mark.django_db
def test_the_page_of_a_lapsed_offer_offers_to_revise_by_the_book_in_force(
    client: Client, monkeypatch: Any
) -> None:
    revision, book, _ = offer_and_dearer_book()
    ends = revision.valid_until
    assert ends is not None
    services.quotes_lapse_due(at=ends)
    monkeypatch.setattr(views, "database_now", lambda: ends)
    client.force_login(revision.quote.owner)
    page = client.get(reverse("quotes:revision_page", args=[revision.public_id])).content.decode()
    assert f"<strong>{book}</strong> is in force and prices the draft" in page
    assert "Of what this offer holds, 1 row changed; 1 other does not touch it." in page
    assert "+10 %" in page
    assert reverse("quotes:revision_revise", args=[revision.quote.public_id]) in page
    reader = Client()
    reader.force_login(people.user(Role.ADMINISTRATOR))
    assert (
        "prices the draft"
        not in reader.get(reverse("quotes:revision_page", args=[revision.public_id])).content.decode()
    )
