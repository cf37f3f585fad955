"""The board of a day's trucks and the yard's page, in a browser on the running product.

A bundle is moved by drag and by keys alone; what is refused is told at the bundle and changes nothing; steps are
taken back and done again. In the yard ticks wait without a line and count once; a bundle of another truck is told
where to go.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Locator, Page, ViewportSize, expect
from pytest_django.fixtures import Settings

from framing.common.models import Role
from orders.load_facts import thing_id
from orders.models import Bundle, LoadTick, Trip, TruckLoad
from tests.e2e.stack import Stack
from tests.e2e.test_seller_path import Desk
from tests.factories import loads, orders, people

pytestmark = [pytest.mark.e2e, pytest.mark.django_db(transaction=True)]
PHONE: ViewportSize = {"width": 390, "height": 844}
TALL: ViewportSize = {"width": 1280, "height": 2400}
SENT = "Everything is sent."


@pytest.fixture
def desk(stack: Stack, browser: Browser, settings: Settings) -> Iterator[Desk]:
    # The web process checks passwords as in production, not with the tests' quick hash.
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.PBKDF2PasswordHasher"]
    stack.start("web")
    yield Desk(stack, browser)
    for context in browser.contexts:
        context.close()


def signed_in(desk: Desk, role: str, name: str, size: ViewportSize) -> Page:
    page = desk.open(size)
    page.goto("/")
    page.get_by_label("Email").fill(people.user(role, name=name).email)
    page.get_by_label("Password", exact=True).fill(people.PASSWORD)
    page.keyboard.press("Enter")
    expect(page.locator("#title")).to_contain_text("Today")
    return page


def two_trucks() -> tuple[Trip, Trip]:
    loads.taken([orders.planned()])
    first, second = loads.taken([orders.planned()])
    return first, second


def bundle_of(trip: Trip, place: int = 0) -> Bundle:
    return Bundle.objects.filter(load__trip=trip).select_related("order").order_by("number")[place]


def row(page: Page, bundle: Bundle) -> Locator:
    return page.locator(f"tr[data-thing='{thing_id(bundle)}']")


def card(page: Page, trip: Trip) -> Locator:
    return page.locator(f"section[data-trip='{trip.public_id}']")


def rides_on(bundle: Bundle) -> int | None:
    bundle.refresh_from_db()
    return bundle.load.trip_id if bundle.load else None


def full(trip: Trip) -> None:
    """A truck that carries what is on it and nothing more."""
    trip.refresh_from_db()
    weight_lb = float(sum(load.weight_lb for load in trip.loads.all()))
    trip.plan = trip.plan | {"kind": trip.plan["kind"] | {"payload_lb": weight_lb + 1}}
    trip.save(update_fields=["plan"])


def test_a_bundle_is_moved_by_drag_and_by_keys_and_back_again(desk: Desk) -> None:
    first, second = two_trucks()
    bundle = bundle_of(first)
    page = signed_in(desk, Role.DISPATCHER, "Dina Vale", TALL)
    page.goto(f"/orders/trucks/{loads.DAY:%Y-%m-%d}/")
    row(page, bundle).locator("th").drag_to(card(page, second).locator("h2"))
    expect(
        page.get_by_text(f"Moved Bundle {bundle.number} of {bundle.order.number} to truck 2.").first
    ).to_be_visible()
    assert rides_on(bundle) == second.pk

    page.get_by_role("button", name="Undo").click()
    expect(page.get_by_text("Took back:").first).to_be_visible()
    assert rides_on(bundle) == first.pk
    page.get_by_role("button", name="Redo").click()
    expect(page.get_by_text("Did again:").first).to_be_visible()
    assert rides_on(bundle) == second.pk
    page.get_by_role("button", name="Undo").click()
    expect(page.get_by_text("Took back:").first).to_be_visible()

    by_keys_to(page, bundle, second)
    assert rides_on(bundle) == second.pk
    expect(page.get_by_role("button", name="Redo")).to_have_count(0)
    assert desk.watch.faults == []


def by_keys_to(page: Page, bundle: Bundle, trip: Trip) -> None:
    """First left where it is, then put down on the other truck."""
    grip = row(page, bundle).locator(".grip")
    grip.focus()
    page.keyboard.press("Enter")
    expect(page.locator("#board-said")).to_contain_text("is picked up")
    page.keyboard.press("Escape")
    expect(page.locator("#board-said")).to_contain_text("stays where it is")
    grip.focus()
    page.keyboard.press("Enter")
    for _ in range(40):
        if "goal" in (card(page, trip).get_attribute("class") or "").split():
            break
        page.keyboard.press("ArrowDown")
    expect(page.locator("#board-said")).to_contain_text("Truck 2, the first place that is free")
    page.keyboard.press("Enter")
    expect(page.get_by_text("to truck 2.").first).to_be_visible()
    expect(row(page, bundle).locator(".grip")).to_be_focused()


def test_what_is_refused_stands_at_the_bundle_and_changes_nothing(desk: Desk) -> None:
    first, second = two_trucks()
    full(second)
    bundle = bundle_of(first)
    page = signed_in(desk, Role.DISPATCHER, "Dina Vale", TALL)
    page.goto(f"/orders/trucks/{loads.DAY:%Y-%m-%d}/")
    before = [trip.plan for trip in Trip.objects.order_by("pk")]
    row(page, bundle).locator("th").drag_to(card(page, second).locator("h2"))
    refusal = page.locator("#refused")
    expect(refusal).to_contain_text("Truck 2 would carry")
    expect(refusal).to_contain_text("take something off")
    expect(refusal).to_be_focused()
    beside = row(page, bundle).evaluate("row => row.nextElementSibling.id")
    assert beside == "refused"
    assert rides_on(bundle) == first.pk
    assert [trip.plan for trip in Trip.objects.order_by("pk")] == before
    row(page, bundle).locator("th").drag_to(row(page, bundle_of(first, 1)).locator("th"))
    expect(page.locator("#title")).to_contain_text("Trucks")
    assert rides_on(bundle) == first.pk, "it lies on its own truck still, wherever it may"


def test_the_yard_ticks_without_a_line_and_is_told_where_a_strange_bundle_goes(desk: Desk) -> None:
    trip, other = two_trucks()
    page = signed_in(desk, Role.SHOP, "Sam Orr", PHONE)
    page.goto(f"/orders/trucks/loading/{trip.public_id}/")
    page.evaluate("document.fonts.ready")
    mine, strange = bundle_of(trip), bundle_of(other)
    page.context.set_offline(True)
    code = page.get_by_label("Code on a tag")
    code.fill(f"http://shop.example/t/{mine.code}/")
    page.get_by_role("button", name="It is on", exact=True).click()
    expect(page.locator(f"li[data-code='{mine.code}'] [data-told]")).to_contain_text("On, not sent yet")
    assert not LoadTick.objects.exists()
    page.context.set_offline(False)
    expect(page.locator("#yard-line-words")).to_contain_text(SENT, timeout=40_000)
    assert LoadTick.objects.filter(bundle=mine, on=True).count() == 1

    code.fill(strange.code)
    page.keyboard.press("Enter")
    refused = page.locator("#yard-refused")
    expect(refused).to_contain_text(
        f"Bundle {strange.number} of order {strange.order.number} goes on {other.number}"
    )
    expect(refused).to_contain_text("Leave it off.")
    refused.get_by_role("button", name="Leave it out").click()
    expect(refused).to_be_hidden()
    assert not LoadTick.objects.filter(bundle=strange).exists()

    codes = page.eval_on_selector_all(
        "li[data-code]:not([data-on])", "rows => rows.map(row => row.dataset.code)"
    )
    for one in codes:
        page.locator(f"li[data-code='{one}'] .yard-tick").click()
    expect(page.locator("#yard-left")).to_contain_text("Loaded. Its manifests are stored.", timeout=20_000)
    assert not TruckLoad.objects.filter(trip=trip, loaded_at=None).exists()
    wide = page.evaluate("document.documentElement.scrollWidth")
    assert wide <= PHONE["width"]
