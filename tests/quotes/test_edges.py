"""Where a limit is met exactly: the margin's floor, a link's last moment."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from pytest_django.fixtures import Settings

from framing.common.actors import by_link, person
from framing.common.errors import NotThere
from framing.common.mail import mail_of_reply, reply_address
from quotes import services
from quotes.alternate_parts import pick_choices
from quotes.models import QuoteRevision, ThreadMessage
from quotes.selectors import approval_reasons, line_discounts
from tests.factories import quotes
from tests.factories.alternates import issued_with_one

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("cost", "asks"),
    [
        ("820.00", False),  # (1000 - 820) / 1000 = 18 % is the floor itself
        ("820.01", True),  # (1000 - 820.01) / 1000 = 17.999 %
        ("819.99", False),
    ],
)
def test_a_margin_at_its_floor_needs_no_word(cost: str, asks: bool) -> None:
    draft = quotes.draft()
    assert draft.price_book.margin_floor == Decimal("0.18")
    sums = {"goods": Decimal(900), "freight": Decimal(100), "tax": Decimal(0), "total": Decimal(1000)}
    QuoteRevision.objects.filter(pk=draft.pk).update(**sums, cost=Decimal(cost))
    reasons = approval_reasons(QuoteRevision.objects.get(pk=draft.pk))
    assert [reason.split()[0] for reason in reasons] == (["Margin"] if asks else [])


def test_a_pick_is_the_accepted_revisions_own_alternate() -> None:
    mine, of_others = issued_with_one(), issued_with_one()
    assert of_others.alternates.get().pk > mine.alternates.get().pk
    said = services.quote_accept(
        actor=quotes.builder(mine), revision=mine, name="Rae", key="k", at=quotes.AT, alternate="A"
    )
    assert said.alternate == mine.alternates.get()


def test_each_choice_says_its_own_total() -> None:
    revision = issued_with_one()
    other = revision.alternates.get()
    assert other.total != revision.total
    base, picked = pick_choices(revision)
    assert base[0] == "base"
    assert base[1].endswith(f"${revision.total:,.2f}")
    assert picked[0] == "A"
    assert picked[1].endswith(f"{other.label}, ${other.total:,.2f}")


def test_a_new_revision_keeps_the_discounts_of_lines() -> None:
    draft = quotes.draft()
    seller = person(draft.quote.owner)
    code = draft.lines.filter(group="members")[0].code
    given = {code: Decimal("0.0250")}
    services.revision_change(actor=seller, revision=draft, at=quotes.AT, line_discounts=given)
    first = services.revision_issue(actor=seller, revision=draft, key="k", at=quotes.AT)
    second = services.revision_revise(actor=seller, quote=first.quote, at=quotes.AT)
    assert line_discounts(second) == given
    assert second.total == first.total
    less = second.lines.get(code=f"less:{code}")
    assert less.extension < 0


def test_each_sign_of_a_reply_addresss_proof_counts(settings: Settings) -> None:
    settings.SPANYARD_MAIL_REPLY = "reply@larkmeadow.example"
    revision = quotes.issued()
    (mail,) = services.quote_send(
        actor=person(revision.quote.owner),
        revision=revision,
        people=[("Rae", "rae@builder.example")],
        key="k",
        at=quotes.AT,
    )
    local, _, domain = reply_address(mail).partition("@")
    assert mail_of_reply([f"{local}@{domain}"]) == mail
    for place in range(-32, 0):
        sign = "0" if local[place] != "0" else "1"
        forged = local[:place] + sign + (local[place + 1 :] if place < -1 else "")
        assert mail_of_reply([f"{forged}@{domain}"]) is None, place


def test_a_link_writes_until_its_last_moment_and_no_longer() -> None:
    revision = quotes.issued()
    link = quotes.link(revision)[0]
    over = link.expires_at
    with pytest.raises(NotThere):
        services.thread_ask(actor=by_link(link), revision=revision, text="Too late?", at=over)
    with pytest.raises(NotThere):
        services.quote_accept(actor=by_link(link), revision=revision, name="Rae", key="late", at=over)
    with pytest.raises(NotThere):
        services.quote_decline(
            actor=by_link(link), revision=revision, reason="price", why="Too dear.", at=over
        )
    services.thread_ask(
        actor=by_link(link), revision=revision, text="In time?", at=over - timedelta(microseconds=1)
    )
    assert [message.text for message in ThreadMessage.objects.all()] == ["In time?"]
