"""The builder's pages: the right link only, a second look, no cost, nothing changed by reading (C2-C6)."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from framing.common.actors import by_link, person
from framing.common.links import link_make
from framing.common.models import AccessLink, AuditEntry, LinkPurpose, OutboxEntry
from framing.common.outbox import outbox_run
from quotes import selectors, services
from quotes.models import Acceptance
from tests.factories import quotes

pytestmark = pytest.mark.django_db
GONE = 404


@pytest.fixture
def clocked(monkeypatch):
    """The database's clock as the views see it, standing at the factories' day."""
    from quotes import builder_views

    for module in (builder_views, __import__("framing.common.views", fromlist=["views"])):
        monkeypatch.setattr(module, "database_now", lambda: quotes.AT)


def opened(secret: str) -> tuple[Client, str]:
    """A browser that came by the link, and where it was sent."""
    client = Client()
    answer = client.get(f"/l/{secret}/")
    assert answer.status_code == 302
    return client, answer.headers["Location"]


@pytest.fixture
def offer(clocked):
    """An issued revision with its builder's browser and page."""
    revision = quotes.issued()
    link, secret = quotes.link(revision)
    client, page = opened(secret)
    return revision, link, client, page


def test_the_offer_in_plain_words_without_cost_or_staff_figures(offer):
    revision, link, client, page = offer
    assert page == reverse("quotes:your_quote", args=[link.public_id])
    shown = client.get(page).content.decode()
    assert f"${revision.total:,.2f}" in shown
    assert "engineer" in shown
    assert "Go on to accept" in shown
    for hidden in (f"{revision.cost:,.2f}", str(revision.cost), "argin", "Unit price"):
        assert hidden not in shown
    for line in revision.lines.all():
        if line.unit_cost:
            assert f"{line.unit_cost:.4f}" not in shown


def test_accepting_takes_a_second_look(offer):
    revision, _, client, page = offer
    typed = {"name": "Rae Winter", "title": "Owner", "idempotency_key": "k"}
    look = client.post(page + "accept/", typed)
    assert "Accept this quote?" in look.content.decode()
    assert not Acceptance.objects.exists()
    done = client.post(page + "accept/", typed | {"sure": "yes"})
    assert done.headers["Location"] == page
    again = client.post(page + "accept/", typed | {"sure": "yes"})
    assert again.status_code == 302
    accepted = Acceptance.objects.get()
    assert (accepted.name, accepted.title, accepted.revision) == ("Rae Winter", "Owner", revision)
    shown = client.get(page).content.decode()
    assert "Thank you." in shown
    assert "Go on to accept" not in shown
    late = client.post(page + "accept/", typed | {"sure": "yes", "idempotency_key": "other"})
    assert late.status_code == 409


def test_the_order_number_takes_the_place_of_the_wait(offer):
    revision, _, client, page = offer
    client.post(page + "accept/", {"name": "Rae Winter", "idempotency_key": "k", "sure": "yes"})
    waiting = client.get(page).content.decode()
    assert "Your order is being booked" in waiting
    assert f'hx-get="{page}" hx-trigger="every 1s" hx-select="#answer-state"' in waiting
    outbox_run(OutboxEntry.objects.get(kind="order_book").pk)
    outbox_run(OutboxEntry.objects.get(kind="quote_paper").pk)
    booked = client.get(page).content.decode()
    assert revision.quote.project.name in booked
    assert 'Your order is <span class="fig">SO-' in booked
    assert "hx-trigger" not in booked, "nothing is left to wait for"


def test_a_name_is_needed(offer):
    _, _, client, page = offer
    answer = client.post(page + "accept/", {"name": "", "idempotency_key": "k", "sure": "yes"})
    assert answer.status_code == 422
    assert not Acceptance.objects.exists()


def test_declining_with_a_reason(offer):
    revision, _, client, page = offer
    asked = client.post(page + "decline/", {"why": "Too dear, by far."})
    assert asked.status_code == 422
    assert "Choose what decided against the offer." in asked.content.decode()
    assert "Too dear, by far." in asked.content.decode()  # nothing typed is lost
    wordless = client.post(page + "decline/", {"reason": "other", "why": " "})
    assert (wordless.status_code, "Say in a word why" in wordless.content.decode()) == (422, True)
    assert 'value="other" required id="builderdeclineform_reason_6" checked' in wordless.content.decode()
    assert client.post(page + "decline/", {"reason": "price", "why": ""}).status_code == 302
    assert "What we noted: the price." in client.get(page).content.decode()
    assert "was declined" in client.get(page).content.decode()
    assert selectors.quote_moves(revision.quote).last().by == "Rae Winter"


def test_the_paper_is_the_stored_one(offer):
    _, _, client, page = offer
    assert client.get(page + "paper/").status_code == GONE
    outbox_run(OutboxEntry.objects.get(kind="quote_paper").pk)
    answer = client.get(page + "paper/")
    assert answer.content.startswith(b"%PDF")
    assert "attachment" in answer.headers["Content-Disposition"]


def test_without_the_link_there_is_nothing(offer):
    _, link, _, page = offer
    stranger = Client()
    for address in (page, page + "paper/", "/l/not-a-secret/"):
        assert stranger.get(address).status_code == GONE
    for address in (page + "accept/", page + "decline/"):
        assert stranger.post(address, {"name": "x", "why": "x"}).status_code == GONE
    assert AccessLink.objects.get(pk=link.pk).withdrawn_at is None


def test_one_link_does_not_open_another_quote(offer):
    _, _, client, _ = offer
    other, _ = quotes.link(quotes.issued())
    page = reverse("quotes:your_quote", args=[other.public_id])
    assert client.get(page).status_code == GONE


def test_a_delivery_link_opens_no_quote(clocked):
    revision = quotes.issued()
    link, _ = link_make(
        actor=person(revision.quote.owner),
        purpose=LinkPurpose.DELIVERY,
        subject=revision,
        for_name="Rae",
        expires_at=quotes.AT + timedelta(days=9),
        at=quotes.AT,
    )
    assert Client().get(reverse("quotes:your_quote", args=[link.public_id])).status_code == GONE


def test_a_link_withdrawn_while_the_page_is_open_ends_the_next_act(offer):
    revision, link, client, page = offer
    services.quote_link_withdraw(
        actor=person(revision.quote.owner), revision=revision, link=link, at=quotes.AT
    )
    typed = {"name": "Rae", "idempotency_key": "k", "sure": "yes"}
    assert client.post(page + "accept/", typed).status_code == GONE
    assert not Acceptance.objects.exists()


def test_a_replaced_offer_says_so(offer):
    revision, _, client, page = offer
    owner = person(revision.quote.owner)
    second = services.revision_revise(actor=owner, quote=revision.quote, at=quotes.AT)
    assert "We are changing this quote." in client.get(page).content.decode()
    services.revision_issue(actor=owner, revision=second, key="n", at=quotes.AT)
    assert "A newer quote replaced this one." in client.get(page).content.decode()
    services.quote_accept(
        actor=by_link(quotes.link(second)[0]), revision=second, name="Rae", key="z", at=quotes.AT
    )
    shown = client.get(page).content.decode()
    assert "A newer quote replaced this one." in shown
    assert f"${second.total:,.2f}" not in shown or second.total == revision.total


def test_reading_changes_nothing(offer):
    revision, _, client, page = offer
    before = (
        AuditEntry.objects.count(),
        OutboxEntry.objects.count(),
        selectors.quote_get(revision.quote.public_id).stage,
    )
    for address in (page, page + "accept/", page + "decline/", page + "paper/"):
        client.get(address)
        client.head(address)
    after = (
        AuditEntry.objects.count(),
        OutboxEntry.objects.count(),
        selectors.quote_get(revision.quote.public_id).stage,
    )
    assert after == before
    assert client.get(page + "accept/").status_code == 405
