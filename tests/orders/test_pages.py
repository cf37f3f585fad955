"""Pages of orders: what each shows and offers by stage and role, forms, the builder's delivery by link."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from framing.common.clock import database_now
from framing.common.models import AccessLink, OutboxEntry, Role
from framing.common.outbox import outbox_run
from orders import services
from orders.models import Delivery, Order
from tests.factories import orders, people, quotes
from tests.factories.people import client_of

pytestmark = pytest.mark.django_db


def client(role: str) -> Client:
    return client_of(people.user(role))


def text(response: Any) -> str:
    return str(response.content.decode())


OFFERS = [
    ("booked", Role.PLANNER, "Approve drawings"),
    ("approved", Role.PLANNER, "Release to shop"),
    ("released", Role.SHOP, "Start rolling"),
    ("rolling", Role.SHOP, "Finish all bundles"),
    ("bundled", Role.DISPATCHER, "Plan delivery"),
]


@pytest.mark.parametrize(("stage", "role", "offer"), OFFERS)
def test_the_order_page_offers_the_next_act_to_who_may_do_it(stage: str, role: str, offer: str) -> None:
    order: Order = getattr(orders, stage)()
    page = text(client(role).get(reverse("orders:order_page", args=[order.public_id])))
    assert f">{offer}</" in page
    for other in {words for _, _, words in OFFERS} - {offer}:
        assert f">{other}</" not in page
    seller = text(client(Role.SELLER).get(reverse("orders:order_page", args=[order.public_id])))
    assert not any(f">{words}</" in seller for _, _, words in OFFERS)


def test_an_order_page_shows_bundles_stage_line_and_no_price() -> None:
    order = orders.rolling()
    page = text(client(Role.PLANNER).get(reverse("orders:order_page", args=[order.public_id])))
    assert order.number in page
    assert page.count('aria-current="step"') == 1
    assert "Bundle tags" not in page, "the tags are not made yet"
    assert str(order.revision.total) not in page
    assert f"{order.revision.total:,}" not in page


def test_verbs_are_posts_and_lead_back_to_the_order() -> None:
    order = orders.booked()
    planner = client(Role.PLANNER)
    url = reverse("orders:order_approve_drawings", args=[order.public_id])
    assert planner.get(url).status_code == 405
    answer = planner.post(url)
    assert (answer.status_code, answer["Location"]) == (
        302,
        reverse("orders:order_page", args=[order.public_id]),
    )
    assert orders.fresh(order).drawings_approved_at is not None
    assert planner.post(reverse("orders:order_release", args=[order.public_id])).status_code == 302
    assert planner.post(reverse("orders:order_release", args=[order.public_id])).status_code == 409


def test_a_hold_without_a_reason_comes_back_with_the_reason_why() -> None:
    order = orders.booked()
    planner = client(Role.PLANNER)
    url = reverse("orders:order_hold", args=[order.public_id])
    answer = planner.post(url, {"hold-why": ""})
    assert answer.status_code == 422
    assert 'id="id_hold-why_error"' in text(answer)
    assert planner.post(url, {"hold-why": "coil is late"}).status_code == 302
    page = text(planner.get(reverse("orders:order_page", args=[order.public_id])))
    assert "coil is late" in page
    assert ">Resume</" in page


def test_bundle_pages_show_the_side_view_and_finish() -> None:
    order = orders.rolling()
    bundle = order.bundles.all()[0]
    shop = client(Role.SHOP)
    listed = text(shop.get(reverse("orders:bundle_list")))
    assert order.number in listed
    page = text(shop.get(reverse("orders:bundle_page", args=[bundle.public_id])))
    assert "<svg" in page
    assert "lift here" in page
    url = reverse("orders:bundle_finish", args=[bundle.public_id])
    back = shop.post(url, {"back": reverse("orders:bundle_list")})
    assert back["Location"] == reverse("orders:bundle_list")
    away = shop.post(url, {"back": "https://elsewhere.example/"})
    assert away["Location"] == reverse("orders:bundle_page", args=[bundle.public_id])
    bundle.refresh_from_db()
    assert bundle.finished_at is not None


def test_planning_a_delivery_by_its_form() -> None:
    order = orders.bundled()
    dispatcher = client(Role.DISPATCHER)
    url = reverse("orders:delivery_new", args=[order.public_id])
    assert "Rae Winter" in text(dispatcher.get(url)), "the builder's contact is offered"
    over = dispatcher.post(url, {"planned_for": "2020-01-05", "contact": "Rae Winter"})
    assert over.status_code == 422
    assert "is over" in text(over)
    done = dispatcher.post(url, {"planned_for": "2099-01-05", "contact": "Rae Winter", "notes": ""})
    delivery = Delivery.objects.get()
    assert done["Location"] == reverse("orders:delivery_page", args=[delivery.public_id])
    page = text(dispatcher.get(done["Location"]))
    assert "Mark loaded" in page
    assert "Manifest (PDF)" in page, "a draft until the truck is loaded"


def test_the_manifest_is_stored_once_when_loaded_and_downloaded(tmp_path: Any, settings: Any) -> None:
    settings.PAPERS_DIR = tmp_path
    delivery = orders.loaded()
    dispatcher = client(Role.DISPATCHER)
    url = reverse("orders:manifest", args=[delivery.public_id])
    assert dispatcher.get(f"{url}?truck=7").status_code == 404
    assert "hx-get" in text(dispatcher.get(reverse("orders:delivery_page", args=[delivery.public_id])))
    entry = OutboxEntry.objects.get(kind="manifest_paper", key=f"load {delivery.loads.get().pk}")
    assert outbox_run(entry.pk) is True
    first = dispatcher.get(url)
    assert (first.status_code, first["Content-Type"]) == (200, "application/pdf")
    assert first.content.startswith(b"%PDF")
    assert dispatcher.get(url).content == first.content
    assert client(Role.SHOP).get(url).status_code == 403


def test_receipt_and_closing_by_the_pages() -> None:
    delivery = orders.loaded()
    dispatcher = client(Role.DISPATCHER)
    url = reverse("orders:delivery_deliver", args=[delivery.public_id])
    assert dispatcher.post(url, {"received_by": " "}).status_code == 422
    assert dispatcher.post(url, {"received_by": "Rae Winter"}).status_code == 302
    assert dispatcher.post(reverse("orders:order_close", args=[delivery.order.public_id])).status_code == 302
    assert orders.fresh(delivery.order).stage == "closed"


def opened_link(delivery: Delivery) -> tuple[Client, str]:
    """A builder's browser that traded its link, and the clean address."""
    _, address = services.delivery_link_make(
        actor=people.actor(Role.DISPATCHER), at=database_now(), delivery=delivery, for_name="Rae Winter"
    )
    browser = Client()
    answer = browser.get("/l/" + address.split("/l/")[1])
    return browser, answer["Location"]


def test_a_builder_sees_his_delivery_by_link_and_nothing_else() -> None:
    delivery, other = orders.planned(), orders.planned()
    browser, url = opened_link(delivery)
    page = text(browser.get(url))
    for words in (delivery.number, "line 1", "nobody under the load", "555-0100", "Crane at the east gate."):
        assert words in page
    assert other.number not in page
    assert str(delivery.order.revision.total) not in page
    assert browser.get(reverse("orders:delivery_page", args=[delivery.public_id])).status_code == 302
    link = AccessLink.objects.get(purpose="delivery")
    assert browser.get(url.replace(link.public_id, "0" * 20)).status_code == 404
    assert Client().get(url).status_code == 404
    services.delivery_link_withdraw(
        actor=people.actor(Role.DISPATCHER), at=database_now(), delivery=delivery, link_id=link.public_id
    )
    assert browser.get(url).status_code == 404


def test_a_builder_downloads_the_manifest_by_link(tmp_path: Any, settings: Any) -> None:
    settings.PAPERS_DIR = tmp_path
    delivery = orders.loaded()
    browser, url = opened_link(delivery)
    assert browser.get(f"{url}manifest/?truck=2").status_code == 404
    entry = OutboxEntry.objects.get(kind="manifest_paper", key=f"load {delivery.loads.get().pk}")
    assert outbox_run(entry.pk) is True
    assert browser.get(f"{url}manifest/").content.startswith(b"%PDF")
    assert "Download manifest" in text(browser.get(url))


def test_a_quote_link_opens_no_delivery() -> None:
    orders.planned()
    link, secret = quotes.link(quotes.issued())
    AccessLink.objects.filter(pk=link.pk).update(expires_at=database_now() + timedelta(days=1))
    browser = Client()
    assert browser.get(f"/l/{secret}/").status_code == 302
    assert browser.get(reverse("orders:your_delivery", args=[link.public_id])).status_code == 404


@pytest.mark.parametrize("role", Role.values)
def test_today_greets_an_empty_company_kindly(role: str) -> None:
    assert "Nothing waits for you" in text(client(role).get("/"))


def test_today_tells_each_role_what_waits() -> None:
    seller = people.user(Role.SELLER, team="North")
    order = orders.booked(seller)
    bundled = orders.bundled()
    rolling = orders.rolling()
    planner = text(client(Role.PLANNER).get("/"))
    assert "Drawings to approve" in planner
    assert order.number in planner
    assert bundled.number not in planner
    shop = text(client(Role.SHOP).get("/"))
    assert "0 of 2 finished" in shop
    assert rolling.number in shop
    dispatcher = text(client(Role.DISPATCHER).get("/"))
    assert "Bundled, no delivery planned" in dispatcher
    assert bundled.number in dispatcher
    draft = quotes.draft(seller)
    mine = text(client_of(seller).get("/"))
    assert draft.quote.number in mine
    assert draft.quote.number not in text(client(Role.SELLER).get("/"))
    OutboxEntry.objects.filter(kind="bundle_tags").update(
        parked_at=database_now(), error="no room on the disk"
    )
    administrator = text(client(Role.ADMINISTRATOR).get("/"))
    assert "Background work that stopped" in administrator
    assert "no room on the disk" in administrator


def test_lists_ask_the_database_a_fixed_number_of_times(django_assert_max_num_queries: Any) -> None:
    dispatcher = client(Role.DISPATCHER)
    for _ in range(3):
        orders.planned()
    for name in ("orders:order_list", "orders:delivery_list", "orders:bundle_list", "today"):
        with django_assert_max_num_queries(16):
            assert dispatcher.get(reverse(name)).status_code == 200


def test_lists_can_be_searched() -> None:
    first, second = orders.booked(), orders.booked()
    page = text(client(Role.PLANNER).get(reverse("orders:order_list"), {"search": first.number, "stage": ""}))
    assert first.number in page
    assert second.number not in page
    assert "No orders here" in text(
        client(Role.PLANNER).get(reverse("orders:order_list"), {"stage": "closed"})
    )
