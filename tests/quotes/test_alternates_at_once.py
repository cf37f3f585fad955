"""Alternates when many act at once: letters stay apart, four stay four, and one pick counts."""

import pytest

from framing.common.actors import person
from quotes import services
from quotes.models import Acceptance, Alternate
from tests.factories import quotes
from tests.factories.alternates import DEEP, alternate, choice, issued_with_one
from tests.quotes.test_at_once import at_once

pytestmark = pytest.mark.django_db(transaction=True)
OPTIONS = (
    (DEEP, "12"),
    (DEEP, "19.2"),
    (DEEP, "24"),
    ("1200S162-54", "16"),
    ("1200S162-54", "19.2"),
    ("1200S162-54", "24"),
)


def test_six_alternates_at_once_leave_four_with_letters_of_their_own():
    draft = quotes.draft()
    actor = person(draft.quote.owner)

    def add(profile, spacing):
        picked = [choice(draft, profile, spacing)]
        return lambda: services.alternate_add(
            actor=actor, revision=draft, label=f"{profile} at {spacing}", choices=picked, at=quotes.AT
        )

    assert at_once(*(add(*option) for option in OPTIONS)) == {"done": 4, "Clash": 2}
    assert sorted(Alternate.objects.values_list("letter", flat=True)) == ["A", "B", "C", "D"]


def test_acceptances_of_different_offers_at_once_are_one():
    revision = issued_with_one()
    builder = quotes.builder(revision)

    def accept(n):
        return lambda: services.quote_accept(
            actor=builder,
            revision=revision,
            name="Rae",
            key=f"k{n}",
            at=quotes.AT,
            alternate="A" if n % 2 else "",
        )

    assert at_once(*(accept(n) for n in range(10))) == {"done": 1, "Clash": 9}
    assert Acceptance.objects.count() == 1


def test_an_alternate_added_while_the_draft_is_issued_is_in_the_offer_or_refused():
    draft = quotes.draft()
    actor = person(draft.quote.owner)

    def issue():
        services.revision_issue(actor=actor, revision=draft, key="k", at=quotes.AT)

    outcome = at_once(issue, lambda: alternate(draft))
    draft.refresh_from_db()
    assert draft.issued_at is not None
    assert draft.alternates.count() == (1 if outcome == {"done": 2} else 0)
