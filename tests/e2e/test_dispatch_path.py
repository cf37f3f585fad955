"""From bundled order to closed order on the running product, with one claim replaced on the way.

The dispatcher plans a delivery and its truck, the builder ticks on his phone and reports one bundle short with a
photo, the manager gives the piece back to the shop, the shop rolls it, a second delivery brings it, the order closes.
`SPANYARD_SHOTS=1` also renews two pictures of the README.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, ViewportSize, expect
from pypdf import PdfReader
from pytest_django.fixtures import Settings

from framing.common.clock import database_now
from framing.common.models import Role
from orders.models import Bundle, Claim, Delivery, InvoiceItem, Order, ReceiptLine, SitePhoto, TruckLoad
from tests.e2e.stack import Stack, wait_for
from tests.e2e.test_main_path import shoot
from tests.e2e.test_seller_path import WORKER_MS, Desk, sure
from tests.factories import orders, people, quotes
from tests.factories.pictures import photo

pytestmark = [pytest.mark.e2e, pytest.mark.django_db(transaction=True)]
PHONE: ViewportSize = {"width": 390, "height": 844}
SENT = "Everything is sent."


@pytest.fixture
def desk(stack: Stack, browser: Browser, settings: Settings) -> Iterator[Desk]:
    # The web process checks passwords as in production, not with the tests' quick hash.
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.PBKDF2PasswordHasher"]
    quotes.price_book()
    for name in ("web", "worker", "beat"):
        stack.start(name)
    yield Desk(stack, browser)
    for context in browser.contexts:
        context.close()


def test_from_bundled_to_closed_with_a_claim_replaced(desk: Desk, tmp_path: Path) -> None:
    order = orders.bundled()
    dispatcher = desk.signed_in(people.user(Role.DISPATCHER, name="Dina Vale"))
    manager = desk.signed_in(people.user(Role.MANAGER, name="Greta Vale"))
    first = a_delivery_is_planned(dispatcher, order)
    its_truck_is_planned_and_loaded(dispatcher, first)
    the_manifest_holds_all(dispatcher, first)
    builder = the_builder_opens_it(desk, dispatcher, first)
    short = one_bundle_is_short(builder, first, tmp_path)
    the_rest_is_ticked_and_signed(builder, first)
    order.refresh_from_db()
    assert order.stage == "delivered"
    the_order_waits_for_its_claim(dispatcher, order)

    claim = the_manager_gives_it_back_to_the_shop(manager, short)
    again = the_shop_rolls_it(desk, claim)
    second = a_delivery_is_planned(dispatcher, order)
    assert list(second.bundles.all()) == [again]
    its_truck_is_planned_and_loaded(dispatcher, second)
    phone = the_builder_opens_it(desk, dispatcher, second)
    the_rest_is_ticked_and_signed(phone, second)
    claim.refresh_from_db()
    assert claim.state == "replaced"
    the_order_closes(dispatcher, order)
    order.refresh_from_db()
    assert order.stage == "closed"
    items = list(InvoiceItem.objects.filter(order=order))
    assert sum(item.amount for item in items) == order.revision.total, "the replacement costs nothing"
    assert desk.watch.faults == []


def a_delivery_is_planned(page: Page, order: Order) -> Delivery:
    """Of all that is on no delivery yet."""
    page.goto(f"/orders/{order.public_id}/delivery/")
    page.get_by_label("Day on site").fill((database_now() + timedelta(days=1)).date().isoformat())
    page.get_by_label("Contact on site").fill("Rae Winter, 555-0142")
    page.get_by_label("It lifts, in lb").fill("6000")
    page.get_by_role("button", name="Plan delivery").click()
    expect(page.locator("#title")).to_contain_text("Delivery D-")
    return order.deliveries.latest("id")


def its_truck_is_planned_and_loaded(page: Page, delivery: Delivery) -> None:
    page.goto(f"/orders/trucks/{delivery.planned_for:%Y-%m-%d}/")
    page.get_by_role("button", name="Plan trucks").click()
    take = page.get_by_role("button", name="Take this plan")
    expect(take).to_be_visible(timeout=WORKER_MS)
    take.click()
    expect(page.locator("section.truck").first).to_be_visible()
    load = delivery.loads.get(trip__isnull=False)
    assert load.trip is not None
    page.goto(f"/orders/trucks/trips/{load.trip.public_id}/")
    expect(page.locator("svg").first).to_be_visible()
    if delivery.bundles.count() > 1:
        shoot(page, "trip", page.locator(".dw-load-plan").first)
    page.get_by_role("button", name="Mark loaded").click()
    sure(page)
    expect(page.get_by_role("button", name="It leaves")).to_be_visible()
    page.get_by_role("button", name="It leaves").click()
    if page.locator("dialog[open]").count():
        sure(page)
    delivery.refresh_from_db()
    assert delivery.loaded_at is not None


def the_manifest_holds_all(page: Page, delivery: Delivery) -> None:
    load = TruckLoad.objects.get(delivery=delivery)
    page.goto(f"/orders/deliveries/{delivery.public_id}/")
    link = page.get_by_role("link", name="Manifest").or_(page.get_by_role("link", name="PDF")).first
    expect(link).to_be_visible(timeout=WORKER_MS)
    with page.expect_download() as download:
        link.click()
    text = "\n".join(sheet.extract_text() for sheet in PdfReader(Path(download.value.path())).pages)
    assert f"{delivery.number}-{load.number}" in text
    for bundle in delivery.bundles.prefetch_related("pieces"):
        for piece in bundle.pieces.all():
            assert piece.mark in text, piece.mark


def the_builder_opens_it(desk: Desk, page: Page, delivery: Delivery) -> Page:
    page.goto(f"/orders/deliveries/{delivery.public_id}/")
    page.locator("input[name=for_name]").first.fill("Rae Winter")
    page.get_by_role("button", name="Make link").click()
    address = page.locator("#new-address").input_value()
    builder = desk.open(PHONE)
    builder.goto("/l/" + address.split("/l/")[1])
    expect(builder.locator("h1")).to_contain_text(delivery.number)
    return builder


def one_bundle_is_short(page: Page, delivery: Delivery, tmp_path: Path) -> Bundle:
    bundle = delivery.bundles.order_by("number").first()
    assert bundle is not None
    picture = tmp_path / "short.jpg"
    picture.write_bytes(photo())
    page.locator(f"li[data-code='{bundle.code}'] .site-what").click()
    page.locator("#site-report [value=short]").check()
    page.locator("#site-marks input").first.fill("1")
    page.locator("#site-words").fill("One is missing")
    page.locator("#site-file").set_input_files(picture)
    page.get_by_role("button", name="Report it").click()
    wait_for("the photo of the report", lambda: SitePhoto.objects.filter(delivery=delivery).exists())
    expect(page.locator("#site-line")).to_contain_text(SENT, timeout=20_000)
    claim = Claim.objects.get()
    assert (claim.kind, claim.bundle, claim.pieces.count()) == ("short", bundle, 1)
    page.reload()
    shoot(page, "site")
    return bundle


def the_rest_is_ticked_and_signed(page: Page, delivery: Delivery) -> None:
    expect(page.locator("#site-line")).to_contain_text(SENT, timeout=20_000)
    for tick in page.locator(".site-tick[aria-pressed=false]:enabled").all()[::-1]:
        tick.click()
    page.locator("#site-name").fill("Rae Winter")
    page.get_by_role("button", name="Sign for the delivery").click()
    expect(page.locator(".notice.good")).to_contain_text("Rae Winter signed", timeout=20_000)
    wait_for("the signature", lambda: Delivery.objects.get(pk=delivery.pk).received_by == "Rae Winter")
    states = set(ReceiptLine.objects.filter(delivery=delivery).values_list("state", flat=True))
    assert states <= {"received", "short"}


def the_order_waits_for_its_claim(page: Page, order: Order) -> None:
    """It is not offered to close, and its page names what it waits for."""
    page.goto(f"/orders/{order.public_id}/")
    expect(page.locator("#claims").get_by_role("link", name=Claim.objects.get().number)).to_be_visible()
    expect(page.get_by_text("once the open claim has ended")).to_be_visible()
    expect(page.get_by_role("button", name="Close order")).to_have_count(0)


def the_manager_gives_it_back_to_the_shop(page: Page, bundle: Bundle) -> Claim:
    claim = Claim.objects.get()
    page.goto("/orders/claims/")
    page.get_by_role("link", name=claim.number).first.click()
    expect(page.get_by_text("One is missing").first).to_be_visible()
    page.get_by_text("Make it again").click()
    page.get_by_role("button", name="Give it to the shop").click()
    expect(page.get_by_text("Being made again").first).to_be_visible()
    claim.refresh_from_db()
    assert claim.replacement is not None
    missing = claim.pieces.get()
    made = claim.replacement.pieces.get()
    assert (made.mark, made.length_16, made.replaces) == (missing.mark, missing.length_16, missing)
    assert made.bundle != bundle
    return claim


def the_shop_rolls_it(desk: Desk, claim: Claim) -> Bundle:
    bundle = claim.replacement
    assert bundle is not None
    shop = desk.signed_in(people.user(Role.SHOP, name="Sam Vale"))
    shop.goto("/orders/floor/")
    card = shop.locator(f"#b-{bundle.public_id}")
    card.locator("button[name=start]").click()
    expect(card).to_contain_text("Started")
    card.locator("button[name=finish]").click()
    expect(card).to_contain_text("Finished")
    bundle.refresh_from_db()
    claim.order.refresh_from_db()
    assert claim.order.stage == "delivered", "a replacement leaves the order's stage"
    return bundle


def the_order_closes(page: Page, order: Order) -> None:
    page.goto(f"/orders/{order.public_id}/")
    page.get_by_role("button", name="Close order").click()
    sure(page)
    expect(page.locator("#title").get_by_text("Closed")).to_be_visible()
