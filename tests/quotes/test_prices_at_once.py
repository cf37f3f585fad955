"""Many managers at once: one book holds on every day, an approval is decided once, a draft is lost to nobody."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal

import pytest

from framing.common.actors import Actor
from framing.common.models import Role
from quotes import services
from quotes.models import Approval, ApprovalWord, PriceBook
from quotes.price_reads import document_data
from tests.factories import people, projects, quotes
from tests.quotes.test_at_once import at_once

pytestmark = pytest.mark.django_db(transaction=True)
MANY = 8
TODAY = projects.AT.date()


def review() -> PriceBook:
    draft = quotes.price_draft()
    return services.price_book_send(
        actor=people.actor(Role.MANAGER), book=draft, note="Up.", edit=1, at=projects.AT
    )


def force(actor: Actor, book: PriceBook, days: int) -> Callable[[], None]:
    def act() -> None:
        services.price_book_put_in_force(
            actor=actor, book=book, valid_from=TODAY + timedelta(days=days), edit=1, at=projects.AT
        )

    return act


def test_books_put_in_force_at_once_never_lie_over_one_another() -> None:
    books, boss = [review() for _ in range(MANY)], people.actor(Role.MANAGER)
    outcome = at_once(*(force(boss, book, n) for n, book in enumerate(books)))
    assert outcome["done"] >= 1
    assert sum(outcome.values()) == MANY
    assert set(outcome) <= {"done", "Clash"}
    first = min(book.valid_from for book in PriceBook.objects.filter(state="in_force"))
    for day in range(2 * MANY):
        held = [b for b in PriceBook.objects.all() if b.holds_on(first + timedelta(days=day))]
        assert len(held) == 1


def test_one_book_put_in_force_by_many_at_once_is_one() -> None:
    book, boss = review(), people.actor(Role.MANAGER)
    assert at_once(*[force(boss, book, 0)] * MANY) == {"done": 1, "Clash": MANY - 1}


def test_drafts_made_at_once_have_numbers_of_their_own() -> None:
    data, boss = quotes.price_document(), people.actor(Role.MANAGER)

    def make() -> None:
        services.price_book_draft(actor=boss, data=data, at=projects.AT)

    assert at_once(*[make] * MANY) == {"done": MANY}
    assert sorted(PriceBook.objects.values_list("version", flat=True)) == list(range(1, MANY + 1))


def test_a_draft_saved_by_many_at_once_is_saved_once_and_the_others_are_told() -> None:
    draft, boss = quotes.price_draft(), people.actor(Role.MANAGER)
    data = document_data(draft)

    def save(days: int) -> Callable[[], None]:
        def act() -> None:
            services.price_book_change(
                actor=boss, book=draft, data=data | {"valid_days": days}, edit=1, at=projects.AT
            )

        return act

    assert at_once(*(save(n + 1) for n in range(MANY))) == {"done": 1, "StaleSave": MANY - 1}
    draft.refresh_from_db()
    assert draft.edit == 2
    assert draft.items.count() == len(data["items"])


def test_an_approval_is_decided_once_and_asked_back_once() -> None:
    draft = quotes.draft(discount_share=Decimal("0.08"))
    boss = people.actor(Role.MANAGER)
    services.approval_ask(actor=boss, revision=draft, reason="Six follow.", at=quotes.AT)

    def ask() -> None:
        services.approval_question(actor=boss, revision=draft, text="Which?", at=quotes.AT)

    def decide(granted: bool) -> Callable[[], None]:
        def act() -> None:
            services.approval_decide(
                actor=boss,
                revision=draft,
                granted=granted,
                answer="So.",
                total_seen=draft.total,
                at=quotes.AT,
            )

        return act

    assert at_once(*[ask] * MANY) == {"done": 1, "Clash": MANY - 1}
    assert ApprovalWord.objects.count() == 1
    outcome = at_once(*(decide(n % 2 == 0) for n in range(MANY)))
    assert outcome == {"done": 1, "Clash": MANY - 1}
    assert Approval.objects.exclude(decided_at=None).count() == 1
