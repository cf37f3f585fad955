"""A manager's word holds for the price, the margin and the alternates that he saw, however many act at once (R39)."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from framing.common.actors import person
from framing.common.errors import Clash, Refused
from framing.common.models import Role
from orders.waiting import waiting_for
from quotes import selectors, services
from quotes.models import Approval, PriceBook, QuoteRevision
from tests.factories import people, quotes
from tests.factories.alternates import alternate
from tests.quotes.test_at_once import at_once

D = Decimal
AT = quotes.AT
ONLY = "bearing_clip:1200"


def owner(draft: QuoteRevision) -> Any:
    return person(draft.quote.owner)


def change(draft: QuoteRevision, **values: Any) -> QuoteRevision:
    return services.revision_change(actor=owner(draft), revision=draft, at=AT, **values)


def dearer_costs(factor: str = "1.30") -> PriceBook:
    """The next price book: every price as it was, every cost higher."""
    items = [
        item | {"cost": f"{D(item['cost']) * D(factor):.2f}"} for item in quotes.price_document()["items"]
    ]
    return quotes.price_book(items=items)


def ask(draft: QuoteRevision) -> None:
    services.approval_ask(actor=owner(draft), revision=draft, reason="Six follow.", at=AT)


def decide(draft: QuoteRevision, *, granted: bool = True, **seen: Any) -> Approval:
    boss = people.actor(Role.MANAGER)
    told = {"total_seen": draft.total} | seen
    return services.approval_decide(actor=boss, revision=draft, granted=granted, answer="So.", at=AT, **told)


def issue(draft: QuoteRevision) -> QuoteRevision:
    return services.revision_issue(actor=owner(draft), revision=draft, key=quotes.key(), at=AT)


# --- approvals hold for what was seen ---


@pytest.mark.django_db
def test_an_approval_ends_where_only_the_cost_and_with_it_the_margin_moved() -> None:
    draft = quotes.draft(discount_share=D("0.08"))
    total, margin = draft.total, draft.margin
    ask(draft)
    decide(draft)
    dearer_costs()
    draft = services.draft_reprice(actor=owner(draft), revision=draft, at=AT)
    assert draft.total == total
    assert draft.margin is not None
    assert margin is not None
    assert draft.margin < margin
    assert not selectors.approval_holds(draft)
    with pytest.raises(Refused, match="A manager must approve"):
        issue(draft)


@pytest.mark.django_db
def test_a_manager_who_saw_another_margin_is_told_both() -> None:
    draft = quotes.draft(discount_share=D("0.08"))
    ask(draft)
    seen = selectors.approval_open(draft)
    assert seen is not None
    dearer_costs()
    draft = services.draft_reprice(actor=owner(draft), revision=draft, at=AT)
    with pytest.raises(Clash, match=r"The margin of .* moved from [\d.]+ % to -?[\d.]+ % meanwhile"):
        decide(draft)
    with pytest.raises(Clash, match="The margin of"):
        decide(draft, margin_seen=seen.margin_after)
    boss = people.client_of(Role.MANAGER)
    page = boss.get(reverse("quotes:approval_list")).content.decode()
    assert "The margin moved" in page
    body = {"granted": True, "total_seen": str(draft.total), "margin_seen": f"{draft.margin:.4f}"}
    answer = boss.post(
        reverse("api:quotes_api:approval_decide", args=[draft.public_id]), body, "application/json"
    )
    assert answer.status_code == 200
    assert selectors.approval_holds(draft)


@pytest.mark.django_db
def test_an_alternates_margin_counts_too() -> None:
    draft = quotes.draft(discount_share=D("0.08"))
    alternate(draft, profile="1200S162-97", spacing="12")
    ask(draft)
    decide(draft)
    items = [
        item | {"cost": "3.00"} if item["code"] == ONLY else item for item in quotes.price_document()["items"]
    ]
    assert ONLY not in {line.code for line in draft.lines.all()}
    quotes.price_book(items=items)
    before = draft.total, draft.margin
    draft = services.draft_reprice(actor=owner(draft), revision=draft, at=AT)
    assert (draft.total, draft.margin) == before
    assert not selectors.approval_holds(draft)


@pytest.mark.django_db
def test_what_was_issued_after_all_waits_for_nobody() -> None:
    """Asked for at 8 %, then brought within the limits and issued: it stood in the queue for ever."""
    draft = quotes.draft(discount_share=D("0.08"))
    ask(draft)
    draft = change(draft, discount_share=D("0.03"))
    issue(draft)
    assert list(selectors.approvals_waiting()) == []
    boss = people.user(Role.MANAGER)
    assert not [row for part in waiting_for(boss, at=AT) for row in part.rows if "asked by" in row.words]
    with pytest.raises(Clash, match="was issued"):
        decide(draft)


@pytest.mark.django_db
def test_a_margin_under_the_floor_never_reads_as_the_floor() -> None:
    draft = quotes.draft()
    assert draft.margin is not None
    book = draft.price_book
    book.margin_floor = draft.margin + D("0.00001")
    (words,) = selectors.approval_reasons(draft)
    shown, floor = words.removeprefix("Margin ").split(" % is under the floor of ")
    assert D(shown) <= draft.margin * 100
    assert D(floor.removesuffix(" %.")) >= D(shown)


@pytest.mark.django_db
def test_the_queue_asks_the_database_as_often_for_many_as_for_few() -> None:
    boss = people.client_of(Role.MANAGER)
    seller = people.user(Role.SELLER)

    def more(number: int) -> None:
        for n in range(number):
            draft = quotes.draft(seller, discount_share=D("0.08"))
            if n == 0:
                alternate(draft)
                draft = change(draft, line_discounts={"strap": D("0.02")})
            ask(draft)

    def questions(address: str) -> int:
        boss.get(address)
        with CaptureQueriesContext(
            connection,
        ) as asked:
            assert boss.get(address).status_code == 200
        return len(asked)

    more(2)
    pages = [reverse("quotes:approval_list"), reverse("api:quotes_api:approval_list")]
    few = [questions(page) for page in pages]
    more(4)
    assert [questions(page) for page in pages] == few


# --- many at once ---


@pytest.mark.django_db(transaction=True)
def test_approve_and_refuse_at_once_is_one_word_and_the_other_is_told() -> None:
    draft = quotes.draft(discount_share=D("0.08"))
    ask(draft)
    bosses = [people.actor(Role.MANAGER) for _ in range(4)]

    def word(number: int) -> Callable[[], None]:
        def act() -> None:
            services.approval_decide(
                actor=bosses[number],
                revision=draft,
                granted=number % 2 == 0,
                answer="So.",
                total_seen=draft.total,
                at=AT,
            )

        return act

    assert at_once(*map(word, range(4))) == {"done": 1, "Clash": 3}
    approval = Approval.objects.get()
    assert approval.granted in (True, False)
    assert selectors.approval_holds(draft) == approval.granted


@pytest.mark.django_db(transaction=True)
def test_approving_while_the_draft_is_edited_never_lets_an_unseen_price_out() -> None:
    draft = quotes.draft(discount_share=D("0.08"))
    ask(draft)
    boss, seller = people.actor(Role.MANAGER), owner(draft)

    def approve() -> None:
        services.approval_decide(
            actor=boss, revision=draft, granted=True, answer="", total_seen=draft.total, at=AT
        )

    def edit() -> None:
        services.revision_change(actor=seller, revision=draft, at=AT, discount_share=D("0.20"))

    def out() -> None:
        services.revision_issue(actor=seller, revision=draft, key=quotes.key(), at=AT)

    outcome = at_once(approve, edit, out)
    fresh = QuoteRevision.objects.get(pk=draft.pk)
    assert sum(outcome.values()) == 3
    if fresh.issued_at is not None:
        assert fresh.total == draft.total  # what the manager saw
    else:
        assert fresh.discount_share == D("0.20")
        with pytest.raises(Refused, match="must approve"):
            issue(fresh)


@pytest.mark.django_db(transaction=True)
def test_a_price_book_changed_between_approval_and_issue() -> None:
    """The draft keeps its book, so the word holds; once priced anew by the next one it does not."""
    draft = quotes.draft(discount_share=D("0.08"))
    ask(draft)
    decide(draft)
    dearer_costs()
    assert selectors.approval_holds(draft)
    seller = owner(draft)

    def reprice() -> None:
        services.draft_reprice(actor=seller, revision=draft, at=AT)

    def out() -> None:
        services.revision_issue(actor=seller, revision=draft, key=quotes.key(), at=AT)

    outcome = at_once(reprice, out)
    fresh = QuoteRevision.objects.get(pk=draft.pk)
    if fresh.issued_at is not None:  # it went out as it was approved, and the repricing was told so
        assert (fresh.price_book_id, outcome["Clash"]) == (draft.price_book_id, 1)
    else:
        assert (outcome["done"], outcome["Refused"]) == (1, 1)
        assert not selectors.approval_holds(fresh)


@pytest.mark.django_db(transaction=True)
def test_alternates_changed_after_approval_want_another_word() -> None:
    draft = quotes.draft(discount_share=D("0.08"))
    ask(draft)
    decide(draft)
    made = alternate(draft)
    with pytest.raises(Refused, match="A manager must approve"):
        issue(draft)
    ask(draft)
    decide(draft)
    services.alternate_rename(actor=owner(draft), revision=draft, letter="A", label="Another name", at=AT)
    assert selectors.approval_holds(draft), "a name is no price"
    services.alternate_remove(actor=owner(draft), revision=draft, letter=made.letter, at=AT)
    assert selectors.approval_holds(draft), "the first word was about just this"
