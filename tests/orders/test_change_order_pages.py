"""The pages and operations of change orders: each role, refusals in place, prices only for those who see them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from django.template.loader import render_to_string
from django.test import Client
from django.urls import reverse
from django.utils.html import strip_tags

from framing.common.models import LinkPurpose, Role, User
from framing.common.outbox import outbox_run, outbox_waiting
from framing.common.papers import paper_get
from framing.common.templatetags.figures import money as shown_money
from framing.common.templatetags.figures import signed_money
from orders.change_reads import ChangeRow
from orders.models import ChangeOrder, Order
from orders.waiting import waiting_for
from quotes.change_reads import change_money
from quotes.documents import quote_paper_of_revision
from quotes.documents.parts import body_sections, letter_section
from quotes.selectors import revision_by_pk
from tests.factories import changes, orders, people, quotes

pytestmark = pytest.mark.django_db
AT = orders.AT


def page(name: str, order: Order, number: int = 1) -> str:
    return reverse(f"orders:{name}", args=[order.public_id, number])


def ask_url(order: Order) -> str:
    return reverse("orders:change_ask", args=[order.public_id])


def seller_of(order: Order) -> Client:
    return people.client_of(User.objects.get(pk=order.owner_id))


def text(response: object) -> str:
    return " ".join(response.content.decode().split())  # type: ignore[attr-defined]


def test_a_seller_drafts_a_change_and_sees_what_it_does_and_costs() -> None:
    order = changes.half_rolled()
    changes.redraw(order, depth="13'", width="20'")
    client = seller_of(order)
    shown = text(client.get(ask_url(order)))
    assert "Begun already." in shown
    assert "What would change" in shown
    response = client.post(ask_url(order), {"why": " "})
    assert response.status_code == 422
    response = client.post(ask_url(order), {"why": "The hall is smaller"}, follow=True)
    assert response.redirect_chain[-1][0] == page("change_page", order)
    shown = text(response)
    change = ChangeOrder.objects.get()
    for words in (
        "To finish and issue",
        "The hall is smaller",
        "Begun already.",
        "Difference",
        str(change.revision),
    ):
        assert words in shown
    again = client.post(ask_url(order), {"why": "More"})
    assert again.status_code == 422
    assert "Change 1 of order" in text(again)
    assert "Change 1" in text(client.get(reverse("orders:order_page", args=[order.public_id])))


@pytest.mark.parametrize(("width", "sign"), [("22'", -1), ("30'", 1)])
def test_letter_and_price_sheet_of_a_change_state_the_difference_once(width: str, sign: int) -> None:
    revision = revision_by_pk(changes.issued(changes.asked(orders.released(), width=width)).pk)
    price = change_money(revision)
    assert price is not None
    assert price.difference * sign > 0
    paper = quote_paper_of_revision(revision, AT)
    told = {
        section.name: strip_tags(render_to_string(section.template, section.make(*section.inputs)))
        for section in (letter_section(paper, ()), *body_sections(paper))
        if section.name in ("letter", "scope", "price")
    }
    difference = signed_money(price.difference, price.currency)
    for name, words in (("letter", "Difference"), ("price", "This change comes to")):
        for said in (
            words,
            difference,
            f"Agreed before, in {price.was}",
            shown_money(price.agreed, price.currency),
        ):
            assert told[name].count(said) == 1, (name, said)
        assert shown_money(price.total, price.currency) in told[name]
    assert "until you accept it, the order stays as it was agreed" in told["letter"]
    assert "takes the place of all earlier ones" not in told["letter"]
    assert not [name for name, text in told.items() if difference in text and name not in ("letter", "price")]


def test_pieces_that_only_get_other_holes_say_so() -> None:
    row = ChangeRow("changed", "Hall", "J01 800S162-54", "J02 800S162-54", 1920, 1920, 4, 0)
    assert row.other_holes
    assert not replace(row, after="J02 800S162-68").other_holes
    assert not replace(row, after_16=1904).other_holes
    assert not replace(row, verb="taken_up").other_holes
    shown = render_to_string("orders/_change_rows.html", {"rows": [row], "units": "imperial"})
    assert shown.count("other holes") == 1


def test_roles_without_prices_see_the_steel_only() -> None:
    order = orders.released()
    changes.asked(order)
    for role in (Role.PLANNER, Role.SHOP, Role.DISPATCHER):
        shown = text(people.client_of(role).get(page("change_page", order)))
        assert "Removed" in shown or "Changed" in shown
        assert "Difference" not in shown
        assert "$" not in shown
    assert "Difference" in text(people.client_of(Role.MANAGER).get(page("change_page", order)))


def test_taken_back_on_the_page_with_a_reason() -> None:
    order = orders.released()
    changes.asked(order)
    client = seller_of(order)
    assert client.post(page("change_withdraw", order), {"why": ""}).status_code == 422
    response = client.post(page("change_withdraw", order), {"why": "The hall stays"}, follow=True)
    assert "Taken back" in text(response)
    assert (
        people.client_of(Role.PLANNER).post(page("change_withdraw", order), {"why": "x"}).status_code == 403
    )


def test_put_in_by_the_page_it_names_bundles_and_stored_tags() -> None:
    order = changes.half_rolled()
    change = changes.asked(order, depth="13'", width="20'")
    changes.accepted(change)
    planner = people.user(Role.PLANNER)
    assert "Changes accepted, to put into the order" in [s.title for s in waiting_for(planner, AT)]
    client = people.client_of(planner)
    assert client.get(page("change_tags", order)).status_code == 404
    shown = text(client.post(page("change_apply", order), follow=True))
    assert "Rolled for nothing." in shown
    assert "Stay with flagged pieces" in shown
    assert client.post(page("change_apply", order)).status_code == 302
    for pk in outbox_waiting():
        outbox_run(pk)
    change.refresh_from_db()
    assert paper_get("bundle_tags", change) is not None
    assert client.get(page("change_tags", order))["Content-Type"] == "application/pdf"
    assert "Changes accepted, to put into the order" not in [s.title for s in waiting_for(planner, AT)]


def test_today_tells_the_seller_where_his_change_stands() -> None:
    order = orders.released()
    change = changes.asked(order)
    owner = User.objects.get(pk=order.owner_id)
    assert "Changes to finish and issue" in [s.title for s in waiting_for(owner, AT)]
    changes.issued(change)
    assert "Changes that wait for the builder" in [s.title for s in waiting_for(owner, AT)]
    assert "Changes that wait for the builder" not in [s.title for s in waiting_for(people.user(), AT)]
    manager = people.user(Role.MANAGER)
    (section,) = [s for s in waiting_for(manager, AT) if s.title == "Changes that wait for the builder"]
    assert (section.count, section.rows[0].url) == (1, page("change_page", order))


def test_the_builder_sees_what_changes_and_accepts_it_on_his_link() -> None:
    order = orders.released()
    revision = changes.issued(changes.asked(order))
    _, secret = quotes.link(revision)
    client = Client()
    shown = text(client.get(f"/l/{secret}/", follow=True))
    assert "This is change 1 of your order" in shown
    assert "I don't want this offer" not in shown
    link = client.get(f"/l/{secret}/").headers["Location"]
    data = {"name": "Rae Winter", "title": "", "idempotency_key": "yes", "alternate": ""}
    assert "Accepting changes your order" in text(client.post(f"{link}accept/", data))
    shown = text(client.post(f"{link}accept/", data | {"sure": "yes"}, follow=True))
    assert "Rae Winter accepted change 1 of your order" in shown


def test_the_paper_says_that_it_is_a_change_and_what_it_comes_to() -> None:
    order = orders.released()
    was = order.revision.total
    revision = changes.issued(changes.asked(order))
    told = quote_paper_of_revision(revision_by_pk(revision.pk), AT).header.change
    assert told is not None
    assert (told.number, told.order, told.agreed) == (1, order.number, was)
    assert told.difference == revision.total - was
    assert [(row.what, row.was, row.now) for row in told.moved] == [("Outline", "24' by 14'", "22' by 14'")]
    assert quote_paper_of_revision(revision_by_pk(order.revision_id), AT).header.change is None


def test_the_operations_do_the_same() -> None:
    order = orders.released()
    changes.redraw(order)
    client = seller_of(order)
    base = f"/api/v1/orders/{order.public_id}/changes/"
    made = client.post(f"{base}ask/", {"why": "The hall is smaller"}, content_type="application/json")
    assert made.status_code == 201, made.content
    body = made.json()
    assert (body["number"], body["state"], body["bundles"]) == (
        1, "draft", {"stay": [], "anew": [], "new": [], "gone": [], "tags": []},
    )  # fmt: skip
    assert body["price"]["was"].endswith("-R1")
    assert client.post(f"{base}1/apply/").status_code == 409
    planner = people.client_of(Role.PLANNER)
    assert planner.get(f"{base}1/").json()["price"] is None
    assert [row["number"] for row in planner.get(base).json()] == [1]
    changes.accepted(ChangeOrder.objects.get())
    assert planner.post(f"{base}1/apply/").json()["state"] == "applied"
    late = client.post(f"{base}1/withdraw/", {"why": "No"}, content_type="application/json")
    assert late.status_code == 409
    assert client.get(f"{base}7/").status_code == 404


def test_the_builders_order_page_lists_offered_changes() -> None:
    from framing.common.actors import person
    from framing.common.links import link_make

    order = orders.released()
    change = changes.asked(order)
    _, secret = link_make(
        actor=person(order.owner), purpose=LinkPurpose.ORDER, subject=order, for_name="Rae",
        expires_at=AT.replace(year=2099), at=AT,
    )  # fmt: skip
    client = Client()
    assert "Waits for your answer" not in text(client.get(f"/l/{secret}/", follow=True))
    changes.issued(change)
    assert "Waits for your answer" in text(client.get(f"/l/{secret}/", follow=True))
