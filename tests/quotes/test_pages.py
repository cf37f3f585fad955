"""Staff pages: what each role sees, what each act does, and that a refusal stands beside its field."""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from framing.common.actors import person
from framing.common.models import AccessLink, OutboxEntry, Role
from framing.common.outbox import outbox_run
from quotes import selectors, services
from quotes.models import Quote, QuoteRevision
from tests.factories import people, projects, quotes

pytestmark = pytest.mark.django_db


def signed_in(user) -> Client:
    client = Client()
    client.force_login(user)
    return client


def page(revision) -> str:
    return reverse("quotes:revision_page", args=[revision.public_id])


def act(name: str, revision) -> str:
    return reverse(f"quotes:{name}", args=[revision.public_id])


def test_a_quote_is_drawn_up_from_a_project():
    quotes.price_book()
    home = quotes.project()
    client = signed_in(home.owner)
    form = client.get(reverse("quotes:quote_new"), {"project": home.public_id})
    assert f'value="{home.public_id}" selected' in form.content.decode()
    answer = client.post(reverse("quotes:quote_new"), {"project": home.public_id})
    revision = QuoteRevision.objects.get()
    assert answer.headers["Location"] == page(revision)
    shown = client.get(page(revision)).content.decode()
    assert "Issue quote" in shown
    assert f"${revision.total:,.2f}" in shown
    assert "17 × " in shown  # noqa: RUF001  # the derivation of the joists' length


def test_missing_prices_are_listed_on_the_form():
    document = quotes.price_document()
    quotes.price_book(items=[item for item in document["items"] if item["code"] != "strap"], number=5)
    home = quotes.project()
    answer = signed_in(home.owner).post(reverse("quotes:quote_new"), {"project": home.public_id})
    assert answer.status_code == 422
    assert "The price book lacks a price of strap." in answer.content.decode()
    assert not Quote.objects.exists()


def test_the_whole_way_of_an_offer_through_the_pages():
    draft = quotes.draft()
    client = signed_in(draft.quote.owner)
    changed = client.post(
        act("revision_change", draft), {"discount_percent": "2.5", "lead_time_days": "14", "terms": "Net 10."}
    )
    assert changed.status_code == 302
    shown = client.get(page(draft)).content.decode()
    assert "changed the draft: other terms, discount from 0.0 % to 2.5 %, lead time from" in shown
    draft.refresh_from_db()
    assert (draft.discount_share, draft.lead_time_days) == (Decimal("0.025"), 14)
    assert client.post(act("revision_issue", draft), {"idempotency_key": "k1"}).status_code == 302
    outbox_run(OutboxEntry.objects.get(kind="quote_paper").pk)
    paper = client.get(act("quote_paper", draft))
    assert paper.content.startswith(b"%PDF")
    made = client.post(act("quote_link_make", draft), {"for_name": "Rae Winter"}).content.decode()
    assert "/l/" in made
    link = AccessLink.objects.get()
    where = reverse("quotes:quote_link_withdraw", args=[draft.public_id, link.public_id])
    assert client.post(where).status_code == 302
    link.refresh_from_db()
    assert link.withdrawn_at is not None
    told = {"name": "Rae Winter", "title": "Owner", "why": "By phone.", "idempotency_key": "k2"}
    assert client.post(act("quote_accept", draft), told).status_code == 302
    shown = client.get(page(draft)).content.decode()
    assert "Rae Winter, Owner" in shown
    assert "The order is being booked." in shown  # the booking waits for the worker


def test_a_refused_act_keeps_what_was_typed_beside_its_reason():
    draft = quotes.draft()
    client = signed_in(draft.quote.owner)
    answer = client.post(
        act("revision_change", draft), {"discount_percent": "250", "lead_time_days": "0", "terms": "Mine."}
    )
    shown = answer.content.decode()
    assert answer.status_code == 422
    assert 'value="250"' in shown
    assert "Mine." in shown
    assert 'aria-invalid="true"' in shown


def test_approval_on_the_page():
    draft = quotes.draft(discount_share=Decimal("0.06"))
    seller, manager = signed_in(draft.quote.owner), signed_in(people.user(Role.MANAGER))
    refused = seller.post(act("revision_issue", draft), {"idempotency_key": "k"})
    assert refused.status_code == 422
    assert "over the seller" in refused.content.decode()
    seller.post(act("approval_ask", draft), {"reason": "Big builder"})
    assert "Decide on approval" in manager.get(page(draft)).content.decode()
    manager.post(act("approval_decide", draft), {"granted": "yes", "total_seen": str(draft.total)})
    assert "Issue quote" in seller.get(page(draft)).content.decode()


def test_declining_and_revising_on_the_page():
    revision = quotes.issued()
    client = signed_in(revision.quote.owner)
    assert (
        client.post(act("quote_decline", revision), {"reason": "date", "why": "Too late."}).status_code == 302
    )
    revise = reverse("quotes:revision_revise", args=[revision.quote.public_id])
    answer = client.post(revise, {"why": "Asked again."})
    second = selectors.revision_latest(revision.quote)
    assert (second.number, answer.headers["Location"]) == (2, page(second))
    assert "Not the newest." in client.get(page(revision)).content.decode()


def test_repricing_on_the_page():
    draft = quotes.draft()
    quotes.price_book(number=50, surcharge_per_lb="1.0000")
    client = signed_in(draft.quote.owner)
    assert "not in force any more" in client.get(page(draft)).content.decode()
    assert client.post(act("revision_reprice", draft)).status_code == 302
    fresh = selectors.revision_get(draft.public_id)
    assert fresh.total > draft.total


@pytest.mark.parametrize(
    ("role", "status"),
    [
        (Role.SELLER, 200),
        (Role.MANAGER, 200),
        (Role.ADMINISTRATOR, 200),
        (Role.PLANNER, 403),
        (Role.SHOP, 403),
        (Role.DISPATCHER, 403),
    ],
)
def test_who_reads_quotes(role, status):
    revision = quotes.issued()
    client = signed_in(people.user(role))
    for address in (page(revision), reverse("quotes:quote_list"), reverse("quotes:price_book")):
        assert client.get(address).status_code == status


ACTS = (
    "revision_change", "revision_reprice", "revision_issue", "approval_ask", "approval_decide",
    "quote_accept", "quote_decline", "quote_link_make", "lost_name",
)  # fmt: skip


@pytest.mark.parametrize("role", [Role.PLANNER, Role.SHOP, Role.DISPATCHER, Role.ADMINISTRATOR])
def test_other_roles_do_nothing_on_quotes(role):
    draft = quotes.draft()
    client = signed_in(people.user(role))
    told = {
        "idempotency_key": "k", "discount_percent": "1", "lead_time_days": "9", "reason": "x", "why": "x",
        "name": "x", "for_name": "x", "total_seen": "1", "granted": "yes",
    }  # fmt: skip
    for name in ACTS:
        assert client.post(act(name, draft), told).status_code == 403, name
    assert QuoteRevision.objects.get(pk=draft.pk).lead_time_days == draft.lead_time_days
    assert selectors.quote_get(draft.quote.public_id).stage == "bid"


def test_cost_is_shown_to_managers_and_the_sellers_own_team_only():
    owner = people.user(Role.SELLER, team="north")
    draft = quotes.draft(owner)
    words = "Margin before tax"
    assert words in signed_in(owner).get(page(draft)).content.decode()
    assert words in signed_in(people.user(Role.SELLER, team="north")).get(page(draft)).content.decode()
    assert words in signed_in(people.user(Role.MANAGER)).get(page(draft)).content.decode()
    for other in (people.user(Role.SELLER, team="south"), people.user(Role.ADMINISTRATOR)):
        shown = signed_in(other).get(page(draft)).content.decode()
        assert words not in shown
        assert f"{draft.cost:,.2f}" not in shown


def test_reading_changes_nothing():
    revision = quotes.issued()
    client = signed_in(revision.quote.owner)
    for name in ("revision_issue", "quote_accept", "quote_decline", "quote_link_make", "revision_change"):
        assert client.get(act(name, revision)).status_code == 405


def test_the_list_asks_the_database_as_often_for_many_quotes_as_for_one(django_assert_num_queries):
    owner = people.user(Role.SELLER)
    quotes.price_book()
    home = quotes.project(owner)

    def many(count: int) -> None:
        for _ in range(count):
            services.quote_create(actor=person(owner), project=home, at=quotes.AT)

    client = signed_in(owner)
    many(1)
    client.get(reverse("quotes:quote_list"))
    with django_assert_num_queries(6):  # session, reader, saved filters, sellers to choose from, count, rows
        client.get(reverse("quotes:quote_list"))
    many(4)
    with django_assert_num_queries(6):
        client.get(reverse("quotes:quote_list"))


def test_the_list_finds_by_number_project_and_builder():
    revision = quotes.issued()
    other = quotes.draft()
    client = signed_in(revision.quote.owner)
    for word in (revision.quote.number, revision.quote.project.name, revision.quote.project.builder.name):
        shown = client.get(reverse("quotes:quote_list"), {"search": word}).content.decode()
        assert page_of(revision.quote) in shown
        assert page_of(other.quote) not in shown
    shown = client.get(reverse("quotes:quote_list"), {"stage": "bid"}).content.decode()
    assert page_of(other.quote) in shown
    assert page_of(revision.quote) not in shown


def page_of(quote) -> str:
    return reverse("quotes:quote_page", args=[quote.public_id])


def test_only_ones_own_projects_with_floors_can_be_chosen():
    quotes.price_book()
    mine, empty, foreign = quotes.project(), projects.project(), quotes.project()
    shown = signed_in(mine.owner).get(reverse("quotes:quote_new")).content.decode()
    assert mine.public_id in shown
    assert empty.public_id not in shown
    assert foreign.public_id not in shown
