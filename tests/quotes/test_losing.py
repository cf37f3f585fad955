"""Why offers are lost: told once, kept for good, named later where nobody answered, counted for figures."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import DatabaseError, IntegrityError, transaction
from django.test import Client
from django.urls import reverse

from framing.common.actors import by_link, person
from framing.common.audit import audit_list
from framing.common.errors import Clash, NotAllowed, NotThere, Refused
from framing.common.models import Role
from quotes import selectors, services
from quotes.history import history
from quotes.lost_models import LostOffer, LostReason
from quotes.lost_reads import LostCount, lost_offer_of, lost_quotes, lost_reasons
from quotes.models import QuoteRevision
from tests.factories import people, quotes

pytestmark = pytest.mark.django_db
SECOND = timedelta(seconds=1)


def decline(revision: QuoteRevision, reason: str, why: str = "", **more: Any) -> LostOffer:
    fields: dict[str, Any] = {"actor": person(revision.quote.owner), "at": quotes.AT} | more
    services.quote_decline(revision=revision, reason=reason, why=why, **fields)
    return LostOffer.objects.get(revision=revision)


def lapsed(revision: QuoteRevision | None = None) -> QuoteRevision:
    offer = revision or quotes.issued()
    assert offer.valid_until is not None
    services.quotes_lapse_due(at=offer.valid_until)
    return offer


def name(revision: QuoteRevision, reason: str, why: str = "", **more: Any) -> LostOffer:
    fields = {"actor": person(revision.quote.owner), "at": revision.valid_until} | more
    return services.lost_name(quote=revision.quote, reason=reason, why=why, **fields)


def test_a_builder_names_the_reason_with_or_without_words() -> None:
    revision = quotes.issued()
    builder = quotes.builder(revision)
    row = decline(revision, "price", actor=builder)
    assert (row.reason, row.words, row.ended) == ("price", "", "declined")
    assert (row.link, row.recorded_by, row.at) == (builder.link, None, quotes.AT)
    assert selectors.quote_moves(revision.quote).last().why == "The price"  # type: ignore[union-attr]
    (line, *_) = history(revision.quote, list(selectors.revision_list(revision.quote)))
    assert line.words == "Rae Winter declined revision 1: the price"


def test_words_stand_with_the_reason_and_speak_alone_for_another_one() -> None:
    first, second = quotes.issued(), quotes.issued()
    decline(first, "date", "Needs them by March.")
    decline(second, "other", "Went with wood.")
    moves = [selectors.quote_moves(each.quote).last() for each in (first, second)]
    assert [move.why for move in moves if move] == [
        "Lead time or delivery date: Needs them by March.", "Went with wood.",
    ]  # fmt: skip
    entry = audit_list(second.quote).get(verb="quote_decline")
    assert (entry.change, entry.why) == ({"revision": 1, "reason": "other"}, "Went with wood.")


@pytest.mark.parametrize(
    ("reason", "why", "field"),
    [("", "x", "reason"), ("dear", "x", "reason"), ("other", " ", "why"), ("price", "x" * 401, "why")],
)
def test_what_cannot_be_kept_is_refused_at_its_field(reason: str, why: str, field: str) -> None:
    revision = quotes.issued()
    with pytest.raises(Refused) as caught:
        decline(revision, reason, why)
    assert caught.value.field == field
    assert selectors.quote_get(revision.quote.public_id).stage == "issued"


def test_only_staff_say_that_nobody_answered() -> None:
    revision = quotes.issued()
    with pytest.raises(Refused) as caught:
        decline(revision, "silent", actor=quotes.builder(revision))
    assert caught.value.field == "reason"
    assert decline(revision, "silent").reason == LostReason.SILENT


def test_a_lapse_counts_as_no_answer_until_staff_name_the_reason_once() -> None:
    revision = lapsed()
    assert lost_offer_of(revision) is None
    assert [quote.lost_reason for quote in lost_quotes()] == ["silent"]  # type: ignore[attr-defined]
    row = name(revision, "put_off", "Starts next spring.")
    assert (row.ended, row.recorded_by) == ("lapsed", revision.quote.owner)
    assert [(q.lost_reason, q.lost_words) for q in lost_quotes()] == [  # type: ignore[attr-defined]
        ("put_off", "Starts next spring.")
    ]
    with pytest.raises(Clash, match="project put off or cancelled"):
        name(revision, "price")
    (line, *_) = history(revision.quote, list(selectors.revision_list(revision.quote)))
    assert (line.words, line.why) == (
        f"{revision.quote.owner.name} named why revision 1 was lost: project put off or cancelled",
        "Starts next spring.",
    )


def test_a_reason_is_named_for_what_lapsed_only() -> None:
    for revision in (quotes.draft(), quotes.issued(), quotes.accepted().revision):
        with pytest.raises(Clash, match="only a lapsed offer"):
            name(revision, "price", at=quotes.AT)
    declined = quotes.issued()
    decline(declined, "price")
    with pytest.raises(Clash, match="is declined"):
        name(declined, "date", at=quotes.AT)


@pytest.mark.parametrize("role", [Role.PLANNER, Role.SHOP, Role.DISPATCHER, Role.ADMINISTRATOR])
def test_other_roles_name_nothing(role: Role) -> None:
    revision = lapsed()
    with pytest.raises(NotAllowed):
        name(revision, "price", actor=people.actor(role))


def test_sellers_of_other_teams_and_builders_name_nothing_but_managers_do() -> None:
    revision = lapsed()
    with pytest.raises(NotAllowed):
        name(revision, "price", actor=people.actor(Role.SELLER))
    link, _ = quotes.link(revision)
    with pytest.raises(NotThere):
        name(revision, "price", actor=by_link(link))
    assert name(revision, "price", actor=people.actor(Role.MANAGER)).reason == "price"


def test_a_revised_quote_is_lost_no_more_and_each_revision_keeps_its_own_reason() -> None:
    first = quotes.issued()
    owner = person(first.quote.owner)
    decline(first, "price")
    second = services.revision_revise(actor=owner, quote=first.quote, at=quotes.AT)
    assert list(lost_quotes()) == []
    issued = services.revision_issue(actor=owner, revision=second, key=quotes.key(), at=quotes.AT)
    decline(issued, "supplier", "Elm Steel.")
    (quote,) = lost_quotes()
    assert (quote.lost_reason, quote.lost_words) == ("supplier", "Elm Steel.")  # type: ignore[attr-defined]
    assert list(LostOffer.objects.order_by("id").values_list("reason", flat=True)) == ["price", "supplier"]


def test_reasons_are_counted_with_what_they_cost_by_currency() -> None:
    # Three of one floor each, so all totals are one T: two for the price, one lapsed and silent; one was revised.
    owner = people.user(Role.SELLER)
    rows = [quotes.issued(owner) for _ in range(4)]
    total = rows[0].total
    assert {row.total for row in rows} == {total}
    for row in (rows[0], rows[1], rows[3]):
        decline(row, "price")
    lapsed(rows[2])
    services.revision_revise(actor=person(owner), quote=rows[3].quote, at=quotes.AT)
    assert lost_reasons() == [
        LostCount(LostReason.PRICE, "USD", 2, 2 * total), LostCount(LostReason.SILENT, "USD", 1, total),
    ]  # fmt: skip
    assert [row.at for row in LostOffer.objects.all()] == [quotes.AT] * 3
    when = {quote.pk: quote.lost_at for quote in lost_quotes()}  # type: ignore[attr-defined]
    assert when == {
        rows[0].quote_id: quotes.AT,
        rows[1].quote_id: quotes.AT,
        rows[2].quote_id: rows[2].valid_until,
    }
    of_late = lost_quotes().filter(lost_at__gt=quotes.AT)  # type: ignore[misc]
    assert lost_reasons(of_late) == [LostCount(LostReason.SILENT, "USD", 1, total)]
    assert lost_reasons(lost_quotes().exclude(owner=owner)) == []
    assert isinstance(lost_reasons()[0].value, Decimal)


def test_counting_is_one_question_however_many_quotes(django_assert_num_queries: Any) -> None:
    for _ in range(3):
        decline(quotes.issued(), "price")
    with django_assert_num_queries(1):
        assert lost_reasons()[0].count == 3


def test_the_database_keeps_a_reason_for_good_and_only_whole_ones() -> None:
    revision, other = quotes.issued(), quotes.issued()
    row = decline(revision, "price")
    for change in ({"reason": "date"}, {"words": "Nothing."}):
        with pytest.raises(DatabaseError), transaction.atomic():
            LostOffer.objects.filter(pk=row.pk).update(**change)
    with pytest.raises(DatabaseError), transaction.atomic():
        LostOffer.objects.filter(pk=row.pk).delete()
    whole: dict[str, Any] = {
        "quote": other.quote, "revision": other, "ended": "declined", "reason": "price",
        "at": quotes.AT, "recorded_by": other.quote.owner,
    }  # fmt: skip
    wrong: list[dict[str, Any]] = [
        {"reason": "dear"}, {"ended": "booked"}, {"reason": "other"}, {"recorded_by": None},
        {"link": quotes.link(other)[0]},
        {"link": quotes.link(other)[0], "recorded_by": None, "reason": "silent"},
    ]  # fmt: skip
    for part in wrong:
        with pytest.raises(IntegrityError), transaction.atomic():
            LostOffer.objects.create(**whole | part)
    with pytest.raises(DatabaseError, match="only an issued revision"), transaction.atomic():
        LostOffer.objects.create(**whole | {"quote": revision.quote})
    with pytest.raises(DatabaseError, match="only an issued revision"), transaction.atomic():
        LostOffer.objects.create(**whole | {"revision": (draft := quotes.draft()), "quote": draft.quote})
    done = quotes.accepted()
    with pytest.raises(DatabaseError, match="was accepted"), transaction.atomic():
        LostOffer.objects.create(**whole | {"revision": done.revision, "quote": done.quote})
    LostOffer.objects.create(**whole)


def test_staff_name_a_reason_on_the_page_and_nothing_typed_is_lost(client: Client) -> None:
    revision = lapsed()
    client.force_login(revision.quote.owner)
    address = reverse("quotes:lost_name", args=[revision.public_id])
    asked = client.post(address, {"reason": "other", "why": ""})
    assert (asked.status_code, "Say in a word why" in asked.content.decode()) == (422, True)
    wordy = client.post(address, {"why": "Waits for his bank."})
    assert (wordy.status_code, "Waits for his bank." in wordy.content.decode()) == (422, True)
    assert client.post(address, {"reason": "put_off", "why": "Waits for his bank."}).status_code == 302
    shown = client.get(reverse("quotes:revision_page", args=[revision.public_id])).content.decode()
    assert "<strong>Project put off or cancelled.</strong> “Waits for his bank.”" in shown
    assert address not in shown
