"""The history of a quote in words that people say."""

from decimal import Decimal

import pytest

from framing.common.actors import person
from framing.common.models import AuditEntry
from quotes import services
from quotes.history import deed_words, history
from tests.factories import quotes

pytestmark = pytest.mark.django_db


def words_of(revision) -> list[str]:
    return [line.words for line in history(revision.quote, [revision])]


def test_an_offer_tells_amounts_days_and_who_accepted():
    acceptance = quotes.accepted()
    revision = acceptance.revision
    owner, total = revision.quote.owner.name, f"${revision.total:,.2f}"
    assert words_of(revision) == [
        f"Rae Winter accepted revision 1 at {total}",
        f"{owner} issued revision 1 at {total}, valid to the end of December 3, 2026",
        f"{owner} drew up the quote at {total}",
    ]


def test_an_acceptance_by_phone_says_who_wrote_it_down():
    revision = quotes.issued()
    seller = revision.quote.owner
    services.quote_accept(
        actor=person(seller),
        revision=revision,
        name="Rae Winter",
        title="",
        key="k",
        at=quotes.AT,
        why="By phone.",
    )
    assert words_of(revision)[0].startswith(
        f"{seller.name} recorded that Rae Winter accepted revision 1 at $"
    )


def test_a_changed_draft_tells_from_and_to_but_not_the_terms_themselves():
    draft = quotes.draft()
    before = draft.total
    services.revision_change(
        actor=person(draft.quote.owner),
        revision=draft,
        at=quotes.AT,
        discount_share=Decimal("0.02"),
        terms="Net 10.",
    )
    draft.refresh_from_db()
    said = words_of(draft)[0]
    assert said.endswith(
        "changed the draft: other terms, discount from 0.0 % to 2.0 %, "
        f"total from ${before:,.2f} to ${draft.total:,.2f}"
    )
    assert "Net 10" not in said


def test_a_deed_without_words_of_its_own_is_still_told():
    assert deed_words(AuditEntry(verb="paper_lost"), "USD") == "paper lost"
