"""Many at once: one effect, however many ask (R41)."""

from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from django.db import connection

from framing.common.actors import person
from framing.common.errors import ApplicationError
from framing.common.models import OutboxEntry
from quotes import services
from quotes.models import Acceptance, QuoteMove
from tests.factories import quotes

pytestmark = pytest.mark.django_db(transaction=True)
MANY = 10


def at_once(*acts) -> Counter:
    """Run all acts in threads of their own, started together; counts "done" and the kinds of refusal."""
    gate = Barrier(len(acts))

    def run(act) -> str:
        gate.wait()
        try:
            act()
        except ApplicationError as error:
            return type(error).__name__
        finally:
            connection.close()
        return "done"

    with ThreadPoolExecutor(len(acts)) as pool:
        return Counter(pool.map(run, acts))


def test_ten_issues_at_once_are_one():
    draft = quotes.draft()
    actor = person(draft.quote.owner)

    def issue(key):
        return lambda: services.revision_issue(actor=actor, revision=draft, key=key, at=quotes.AT)

    assert at_once(*(issue(f"k{n}") for n in range(MANY))) == {"done": 1, "Clash": MANY - 1}
    assert OutboxEntry.objects.filter(kind="quote_paper").count() == 1
    assert QuoteMove.objects.filter(quote=draft.quote, to_stage="issued").count() == 1


def test_ten_equal_issues_at_once_have_one_answer():
    draft = quotes.draft()
    actor = person(draft.quote.owner)

    def issue():
        services.revision_issue(actor=actor, revision=draft, key="same", at=quotes.AT)

    assert at_once(*[issue] * MANY) == {"done": MANY}
    assert QuoteMove.objects.filter(quote=draft.quote, to_stage="issued").count() == 1


def test_ten_acceptances_at_once_by_link_and_phone_are_one():
    revision = quotes.issued()
    builder, seller = quotes.builder(revision), person(revision.quote.owner)

    def accept(actor, n):
        return lambda: services.quote_accept(
            actor=actor, revision=revision, name=f"Person {n}", key=f"k{n}", at=quotes.AT, why="by phone"
        )

    acts = [accept(builder if n % 2 else seller, n) for n in range(MANY)]
    assert at_once(*acts) == {"done": 1, "Clash": MANY - 1}
    assert Acceptance.objects.count() == 1
    assert OutboxEntry.objects.filter(kind="order_book").count() == 1


def test_accept_decline_and_lapse_at_once_have_one_outcome():
    revision = quotes.issued()
    builder = quotes.builder(revision)
    over = revision.valid_until

    def accept():
        services.quote_accept(actor=builder, revision=revision, name="Rae", key="k", at=quotes.AT)

    def decline():
        services.quote_decline(actor=builder, revision=revision, why="No.", at=quotes.AT)

    def lapse():
        services.quotes_lapse_due(at=over)

    at_once(accept, decline, lapse)
    moves = QuoteMove.objects.filter(quote=revision.quote).order_by("id")
    assert [move.to_stage for move in moves][:2] == ["bid", "issued"]
    assert moves.count() == 3
    assert Acceptance.objects.count() == (moves.last().to_stage == "booked")


def test_ten_quotes_at_once_have_ten_numbers_without_gap():
    quotes.price_book()
    homes = [quotes.project() for _ in range(MANY)]

    def create(home):
        return lambda: services.quote_create(actor=person(home.owner), project=home, at=quotes.AT)

    assert at_once(*(create(home) for home in homes)) == {"done": MANY}
    from quotes.models import Quote

    numbers = sorted(
        int(number.rsplit("-", 1)[1]) for number in Quote.objects.values_list("number", flat=True)
    )
    assert numbers == list(range(1, MANY + 1))
