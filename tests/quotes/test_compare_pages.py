"""The comparison on the pages and by the API: any two offers for staff, the last two for the builder, without cost."""

from dataclasses import replace
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from framing.common.actors import person
from framing.common.models import Role
from framing.projects import services as projects_services
from quotes import services
from quotes.compare import compare
from quotes.compare_reads import offer_named, offer_names, offer_of
from tests.factories import people, projects, quotes
from tests.factories.alternates import alternate, issued_with_one

pytestmark = pytest.mark.django_db


def signed_in(user):
    client = Client()
    client.force_login(user)
    return client


def page(quote, **query):
    return reverse("quotes:quote_compare", args=[quote.public_id], query=query)


def revised(first):
    """The quote's next revision, a draft: joists at 12 in instead of 16, and other terms."""
    owner = person(first.quote.owner)
    floor = first.quote.project.floors.get()
    document = projects.document(name="Renamed floor", spacing="12")
    projects_services.floor_save(
        actor=owner, at=quotes.AT, floor=floor, document=document, base_version=floor.version
    )
    second = services.revision_revise(actor=owner, quote=first.quote, at=quotes.AT, why="Closer joists")
    return services.revision_change(
        actor=owner, revision=second, at=quotes.AT, terms="Net 10.", lead_time_days=14
    )


def issue(draft):
    return services.revision_issue(
        actor=person(draft.quote.owner), revision=draft, key=quotes.key(), at=quotes.AT
    )


def test_the_draft_is_compared_with_the_offer_before_it():
    first = quotes.issued()
    second = revised(first)
    shown = signed_in(first.quote.owner).get(page(first.quote)).content.decode()
    assert f"${first.total:,.2f}" in shown
    assert f"${second.total:,.2f}" in shown
    for words in (
        "renamed",
        "changed</span>",
        "Bay A, spacing",
        "Net 10.",
        "14 days",
        "set when issued",
        "Line by line",
    ):
        assert words in shown
    assert 'class="dw-sketch dw-compare"' in shown
    assert f"${second.cost:,.2f}" in shown, "the owner sees cost"
    found = compare(offer_of(first), offer_of(second))
    assert sum(row.difference for row in found.money) == second.total - first.total
    (change,) = found.floors
    assert change.kinds == ("renamed", "changed")
    assert ("Bay A, spacing", "16", "12") in {(m.name, m.was, m.now) for m in change.moved}
    assert {fact.name for fact in found.facts} == {"Terms", "Lead time", "Valid until"}


def test_the_same_offer_twice_says_that_nothing_differs():
    first = quotes.issued()
    revised(first)
    shown = signed_in(first.quote.owner).get(page(first.quote, was="1", now="1")).content.decode()
    assert "Nothing differs" in shown
    found = compare(offer_named(first.quote, "1"), offer_named(first.quote, "1"))
    assert found.is_empty


def test_an_alternate_is_compared_with_the_base():
    draft = quotes.draft()
    made = alternate(draft)
    assert offer_names(draft.quote) == [
        ("1", "R1, draft"),
        ("1A", "R1, draft, alternate A: Deeper joist at 24 in"),
    ]
    shown = signed_in(draft.quote.owner).get(page(draft.quote)).content.decode()
    assert '<option value="1A" selected>' in shown
    assert f"${made.total:,.2f}" in shown
    assert "Bay A, spacing" in shown


def test_one_offer_alone_says_what_will_be_here():
    draft = quotes.draft()
    client = signed_in(draft.quote.owner)
    answer = client.get(page(draft.quote))
    assert answer.status_code == 200
    assert "Only one offer so far" in answer.content.decode()
    assert client.get(f"/api/v1/quotes/{draft.quote.public_id}/compare/").status_code == 404


@pytest.mark.parametrize("name", ["7", "A", "1B", "x1", "-1", "99999999999", "²"])
def test_an_offer_that_is_not_there(name):
    draft = quotes.draft()
    alternate(draft)
    client = signed_in(draft.quote.owner)
    assert client.get(page(draft.quote, was=name, now="1")).status_code == 404
    assert client.get(f"/api/v1/quotes/{draft.quote.public_id}/compare/", {"was": name}).status_code == 404


@pytest.mark.parametrize("role", Role.values)
def test_each_role_sees_what_it_may(role):
    first = quotes.issued()
    second = revised(first)
    client = signed_in(people.user(role))
    may_read, may_cost = role in ("seller", "manager", "administrator"), role == "manager"
    shown = client.get(page(first.quote))
    assert shown.status_code == (200 if may_read else 403)
    assert (f"${second.cost:,.2f}" in shown.content.decode()) == may_cost
    answer = client.get(f"/api/v1/quotes/{first.quote.public_id}/compare/")
    assert answer.status_code == (200 if may_read else 403)
    if not may_read:
        return
    body = answer.json()
    assert (body["cost"] is not None) == may_cost
    assert (body["was"], body["now"], body["empty"]) == (str(first), str(second), False)
    assert sum(Decimal(row["difference"]) for row in body["money"]) == second.total - first.total
    (members,) = body["members"]
    assert len(members["added"]) > len(members["removed"]) > 0
    assert body["sums"][-1]["name"] == "Total"
    assert Decimal(body["sums"][-1]["difference"]) == second.total - first.total


def test_a_check_that_fails_now_is_said_first():
    home = projects.project()
    floor = projects.floor(home, depth="20'", name="Wide floor")
    first = issue(quotes.draft(of=home))
    weak = projects.document(name="Wide floor", depth="20'", spacing="24")
    weak["bays"][0]["profile"] = "800S200-43"
    owner = person(home.owner)
    projects_services.floor_save(actor=owner, at=quotes.AT, floor=floor, document=weak, base_version=1)
    services.revision_revise(actor=owner, quote=first.quote, at=quotes.AT)
    shown = signed_in(home.owner).get(page(first.quote)).content.decode()
    assert "that did not before:" in shown
    assert "fails now</span>" in shown
    body = signed_in(home.owner).get(f"/api/v1/quotes/{first.quote.public_id}/compare/").json()
    assert any(row["new_failure"] for row in body["checks"])


# --- the builder's part ---


@pytest.fixture
def clocked(monkeypatch):
    from framing.common import views
    from quotes import builder_views

    for module in (builder_views, views):
        monkeypatch.setattr(module, "database_now", lambda: quotes.AT)


def opened(revision):
    _, secret = quotes.link(revision)
    client = Client()
    return client, client.get(f"/l/{secret}/").headers["Location"]


def test_the_builder_sees_what_changed_since_his_last_offer_without_cost(clocked):
    first = quotes.issued(discount_share=Decimal("0.02"))
    second = issue(revised(first))
    client, his = opened(second)
    assert f'href="{his}changes/"' in client.get(his).content.decode()
    shown = client.get(his + "changes/").content.decode()
    assert f"${first.total:,.2f}" in shown
    assert f"${second.total:,.2f}" in shown
    for words in ("Bay A, spacing", "Net 10.", "dw-compare", "Joists and framing"):
        assert words in shown
    hidden = [
        f"{second.cost:,.2f}",
        f"{first.cost:,.2f}",
        "argin",
        "Line by line",
        str(first.price_book),
        "Practice",
    ]
    hidden += [f"{line.unit_cost:.4f}" for line in second.lines.all() if line.unit_cost]
    for words in hidden:
        assert words not in shown


def test_a_first_offer_has_no_changes_to_show_and_a_foreign_link_opens_nothing(clocked):
    first = quotes.issued()
    client, his = opened(first)
    assert "See what changed" not in client.get(his).content.decode()
    assert client.get(his + "changes/").status_code == 404
    assert Client().get(his + "changes/").status_code == 404


def test_a_draft_that_follows_is_not_shown_to_the_builder(clocked):
    first = quotes.issued()
    second = issue(revised(first))
    owner = person(first.quote.owner)
    third = services.revision_revise(actor=owner, quote=first.quote, at=quotes.AT)
    client, his = opened(second)
    services.revision_change(
        actor=owner, revision=third, at=quotes.AT, terms="Not offered yet.", discount_share=Decimal("0.03")
    )
    third.refresh_from_db()
    shown = client.get(his + "changes/").content.decode()
    assert f"${second.total:,.2f}" in shown
    assert f"${third.total:,.2f}" not in shown
    assert "Not offered yet." not in shown


def test_a_comparison_of_offers_holds_to_the_cent_in_the_database_too():
    first = issued_with_one()
    second = revised(first)
    offers = [offer_of(first), offer_of(first, first.alternates.get()), offer_of(second)]
    for was in offers:
        for now in offers:
            found = compare(was, now)
            assert sum(row.difference for row in found.money) == now.total - was.total
            assert found.is_empty == (was is now)
            assert compare(was, replace(was, title="again")).is_empty
