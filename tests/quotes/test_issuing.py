"""Approval, issue, revisions: what becomes an offer, and that an offer never changes."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from django.db import DatabaseError, connection, transaction

from framing.common.actors import person
from framing.common.audit import audit_list
from framing.common.errors import Clash, KeyMissing, NotAllowed, Refused
from framing.common.models import OutboxEntry, Role
from quotes import selectors, services
from quotes.models import QuoteLine, QuoteRevision
from tests.factories import people, quotes

pytestmark = pytest.mark.django_db


def issue(revision, key=None, **more):
    return services.revision_issue(
        actor=person(revision.quote.owner), revision=revision, key=key or quotes.key(), at=quotes.AT, **more
    )


def ask(revision, reason="Long-standing builder"):
    return services.approval_ask(
        actor=person(revision.quote.owner), revision=revision, reason=reason, at=quotes.AT
    )


def decide(revision, *, granted=True, answer="", total=None):
    return services.approval_decide(
        actor=people.actor(Role.MANAGER),
        revision=revision,
        granted=granted,
        answer=answer,
        total_seen=revision.total if total is None else total,
        at=quotes.AT,
    )


def test_issue_fixes_the_offer_and_asks_for_its_paper():
    revision = issue(quotes.draft())
    assert revision.issued_at == quotes.AT
    assert (revision.valid_day, revision.valid_zone) == (date(2026, 12, 3), "America/New_York")
    assert revision.valid_until == datetime(2026, 12, 4, 5, 0, tzinfo=UTC)  # midnight of New York in winter
    assert revision.quote.stage == "issued"
    entry = OutboxEntry.objects.get(kind="quote_paper")
    assert (entry.key, entry.payload) == (str(revision.pk), {"revision": revision.pk})
    moves = [(move.from_stage, move.to_stage) for move in selectors.quote_moves(revision.quote)]
    assert moves == [("", "bid"), ("bid", "issued")]
    assert audit_list(revision.quote).last().verb == "revision_issue"


def test_the_same_key_gives_the_same_answer_and_another_key_clashes():
    draft = quotes.draft()
    first = issue(draft, "one")
    assert issue(draft, "one").pk == first.pk
    with pytest.raises(Clash):
        issue(draft, "two")
    assert OutboxEntry.objects.filter(kind="quote_paper").count() == 1
    with pytest.raises(KeyMissing):
        services.revision_issue(actor=person(draft.quote.owner), revision=draft, key="", at=quotes.AT)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE quotes_quoterevision SET total = total + 1, goods = goods + 1 WHERE id = %s",
        "UPDATE quotes_quoterevision SET issued_at = NULL WHERE id = %s",
        "DELETE FROM quotes_quoterevision WHERE id = %s",
        "UPDATE quotes_quoteline SET unit_price = 1 WHERE revision_id = %s",
        "DELETE FROM quotes_quoteline WHERE revision_id = %s",
    ],
)
def test_the_database_refuses_to_change_what_was_issued(statement):
    revision = quotes.issued()
    with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement, [revision.pk])
    assert QuoteRevision.objects.get(pk=revision.pk).total == revision.total


def test_the_database_refuses_a_new_line_of_an_issued_revision():
    revision = quotes.issued()
    line = revision.lines.first()
    line.pk, line.position = None, 999
    with pytest.raises(DatabaseError), transaction.atomic():
        QuoteLine.objects.bulk_create([line])


def test_moves_cannot_be_rewritten():
    revision = quotes.issued()
    with pytest.raises(DatabaseError), transaction.atomic():
        selectors.quote_moves(revision.quote).update(why="never happened")


def test_a_discount_over_the_limit_needs_a_managers_word():
    draft = quotes.draft(discount_share=Decimal("0.06"))
    with pytest.raises(Refused, match=r"Discount 6\.00 % is over"):
        issue(draft)
    ask(draft)
    with pytest.raises(Refused):
        issue(draft)
    approval = decide(draft, answer="Fine for this one.")
    assert approval.total_seen == draft.total
    assert issue(draft).issued_at == quotes.AT


def test_a_margin_under_the_floor_needs_a_managers_word():
    quotes.price_book(margin_floor="0.90")
    draft = quotes.draft()
    assert [reason.split()[0] for reason in selectors.approval_reasons(draft)] == ["Margin"]
    with pytest.raises(Refused, match=r"under the floor of 90\.00 %"):
        issue(draft)


def test_an_approval_holds_only_for_the_total_it_has_seen():
    draft = quotes.draft(discount_share=Decimal("0.06"))
    ask(draft)
    decide(draft)
    changed = services.revision_change(
        actor=person(draft.quote.owner), revision=draft, at=quotes.AT, discount_share=Decimal("0.09")
    )
    with pytest.raises(Refused, match=f"at its total of {changed.total}"):
        issue(changed)
    ask(changed)
    decide(changed)
    assert issue(changed).issued_at


def test_a_manager_decides_on_what_he_sees():
    draft = quotes.draft(discount_share=Decimal("0.06"))
    ask(draft)
    with pytest.raises(Clash, match="moved"):
        decide(draft, total=draft.total - 1)
    with pytest.raises(Refused):
        decide(draft, granted=False)
    refused = decide(draft, granted=False, answer="Too low.")
    assert (refused.granted, refused.answer) == (False, "Too low.")
    with pytest.raises(Refused):
        issue(draft)
    with pytest.raises(Clash):
        decide(draft)


def test_approval_is_asked_once_and_only_where_it_is_needed():
    within = quotes.draft()
    with pytest.raises(Refused, match="needs no approval"):
        ask(within)
    over = quotes.draft(discount_share=Decimal("0.06"))
    with pytest.raises(Refused):
        ask(over, "  ")
    ask(over)
    with pytest.raises(Clash, match="waiting"):
        ask(over)
    decide(over)
    with pytest.raises(Clash, match="approved already"):
        ask(over)


def test_failing_members_need_the_engineers_recorded_release():
    draft = quotes.draft()
    QuoteRevision.objects.filter(pk=draft.pk).update(fits=False)
    with pytest.raises(Refused) as caught:
        issue(draft)
    assert caught.value.field == "release_reason"
    released = issue(draft, release_reason="Sealed calculation 114 of Nov 20.")
    assert released.release_reason.startswith("Sealed")
    assert selectors.quote_moves(released.quote).last().why == released.release_reason


def test_a_revision_is_numbered_on_and_keeps_the_old_one():
    first = quotes.issued(discount_share=Decimal("0.02"))
    second = services.revision_revise(
        actor=person(first.quote.owner), quote=first.quote, at=quotes.AT, why="wider stair"
    )
    assert (second.number, second.discount_share, second.issued_at) == (2, Decimal("0.02"), None)
    assert selectors.quote_get(first.quote.public_id).stage == "bid"
    assert QuoteRevision.objects.get(pk=first.pk).issued_at == quotes.AT
    with pytest.raises(Clash):
        services.revision_revise(actor=person(first.quote.owner), quote=first.quote, at=quotes.AT)
    assert issue(second).quote.stage == "issued"


def test_sellers_issue_and_revise_only_their_own():
    draft = quotes.draft(people.user(Role.SELLER, team="north"))
    stranger = people.actor(Role.SELLER, team="south")
    with pytest.raises(NotAllowed):
        services.revision_issue(actor=stranger, revision=draft, key="k", at=quotes.AT)
    issue(draft)
    with pytest.raises(NotAllowed):
        services.revision_revise(
            actor=stranger, quote=selectors.quote_get(draft.quote.public_id), at=quotes.AT
        )
    with pytest.raises(NotAllowed):
        services.approval_decide(
            actor=stranger,
            revision=quotes.draft(),
            granted=True,
            answer="",
            total_seen=Decimal(1),
            at=quotes.AT,
        )
