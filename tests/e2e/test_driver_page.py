"""The driver's page on the running product: by link, without a signal in between, each act once, then withdrawn."""

from __future__ import annotations

import contextlib
import re
import time
from typing import Any

import pytest
from playwright.sync_api import Browser, Error, FilePayload, Page, expect

from framing.common.audit import audit_list
from framing.common.clock import database_now
from framing.common.models import Role
from orders import services
from orders.models import Delivery, SitePhoto, Trip, TruckLoad
from tests.e2e.stack import Stack
from tests.e2e.test_axe import findings
from tests.e2e.wire import WHERE, WORKING, Wire
from tests.factories import loads, orders, people
from tests.factories.pictures import PLACE, photo

pytestmark = [pytest.mark.e2e, pytest.mark.django_db(transaction=True)]
FIRST_LOAD_MOST = 150_000
SENT = "Everything is sent."
LEAST_PX = 44


@pytest.fixture
def server(stack: Stack, settings: Any) -> Stack:
    settings.PAPERS_DIR = stack.papers
    stack.start("web")
    return stack


def on_the_road() -> tuple[Trip, Delivery]:
    delivery = orders.planned()
    trip = loads.taken([delivery])[0]
    services.delivery_load(actor=people.actor(Role.DISPATCHER), at=orders.AT, delivery=delivery)
    return trip, delivery


def linked(trip: Trip) -> tuple[str, str]:
    """The way in, and the link's id."""
    link, address = services.trip_link_make(
        actor=people.actor(Role.DISPATCHER), at=database_now(), trip=trip, for_name="Dee Rowan"
    )
    return "/l/" + address.split("/l/")[1], link.public_id


def test_a_trip_without_a_signal_arrives_once_and_a_withdrawn_link_shows_nothing(
    browser: Browser, server: Stack
) -> None:
    trip, delivery = on_the_road()
    door, link_id = linked(trip)
    context = browser.new_context(viewport={"width": 390, "height": 800}, has_touch=True)
    with Wire(server.url) as wire:
        page = context.new_page()
        page.goto(wire.url + door)
        opened_small(page, wire, link_id)
        a_thumb_finds_everything(page)
        page.get_by_role("button", name="I am here").click()
        expect(page.locator("[data-told]")).to_have_text("Arrived")
        expect(page.locator("#driver-line")).to_contain_text(SENT)
        assert TruckLoad.objects.get(trip=trip).arrived_at is not None
        unloaded_without_a_signal(page, wire)
        assert TruckLoad.objects.get(trip=trip).unloaded_at is None
        the_signal_is_back(page, wire)
        counted_once(trip, delivery)
        withdrawn(page, wire, trip, link_id)
    context.close()


def opened_small(page: Page, wire: Wire, link_id: str) -> None:
    expect(page.locator("#driver-line")).to_contain_text(SENT)
    scope = page.evaluate("navigator.serviceWorker.ready.then((one) => one.scope)")
    assert scope == f"{wire.url}/orders/driver/{link_id}/", "the worker reaches this trip and nothing else"
    page.evaluate(WORKING)
    assert 20_000 < wire.received <= FIRST_LOAD_MOST, f"{wire.received} bytes on the wire"
    assert page.evaluate("document.documentElement.scrollWidth") <= 390


def a_thumb_finds_everything(page: Page) -> None:
    targets = page.locator("#driver :is(a, summary, .button, input:not([type=hidden]), textarea):visible")
    for target in targets.all():
        box = target.bounding_box()
        assert box is not None
        assert box["height"] >= LEAST_PX, f"{target.inner_text() or target.get_attribute('name')}: {box}"
    assert findings(page) == []


def unloaded_without_a_signal(page: Page, wire: Wire) -> None:
    wire.breaks()
    page.reload()
    expect(page.locator("[data-told]")).to_have_text("Arrived")
    page.locator("input[name=name]").fill("Rae Winter")
    page.locator("textarea[name=words]").fill("By the east gate")
    large = photo(4000, 3000)
    assert PLACE in large
    file: FilePayload = {"name": "IMG 7.jpg", "mimeType": "image/jpeg", "buffer": large}
    page.locator("input[type=file]").set_input_files([file])
    page.get_by_role("button", name="All of it is unloaded").click()
    expect(page.locator("#driver-line")).to_contain_text("2 not sent yet")
    page.reload()
    expect(page.locator("#driver-line")).to_contain_text("2 not sent yet")
    expect(page.locator("[data-told]")).to_have_text("Unloaded, not sent yet")


def the_signal_is_back(page: Page, wire: Wire) -> None:
    """It breaks three more times on the way, each time elsewhere."""
    wire.plan = list(WHERE)
    wire.down = False
    patience = time.monotonic() + 120
    while not page.locator("[data-proof]").count() and time.monotonic() < patience:
        with contextlib.suppress(Error):  # the page loads itself anew once all is sent
            page.evaluate("dispatchEvent(new Event('online'))")
        page.wait_for_timeout(200)
    expect(page.locator("[data-proof]")).to_contain_text("Rae Winter took it")
    expect(page.locator("#driver-line")).to_contain_text(SENT)
    assert wire.drops == list(WHERE)


def counted_once(trip: Trip, delivery: Delivery) -> None:
    load = TruckLoad.objects.get(trip=trip)
    assert (load.handed_to, load.driver_words) == ("Rae Winter", "By the east gate")
    picture = SitePhoto.objects.get()
    assert (picture.action_id, picture.width, picture.height) == (load.proof_id, 1600, 1200)
    delivery.refresh_from_db()
    assert (delivery.state, delivery.received_by) == ("delivered", "Rae Winter")
    verbs = [entry.verb for entry in audit_list(delivery)]
    told = ("stop_arrive", "stop_unload", "delivery_deliver", "photo_take")
    assert [verbs.count(verb) for verb in told] == [1, 1, 1, 1]


def withdrawn(page: Page, wire: Wire, trip: Trip, link_id: str) -> None:
    """The one page that any link of nobody gets; what the phone kept of the trip is gone with it."""
    dispatcher = people.actor(Role.DISPATCHER)
    services.trip_link_withdraw(actor=dispatcher, at=database_now(), trip=trip, link_id=link_id)
    answer = page.reload()
    assert answer is not None
    assert answer.status == 404
    here = words(page)
    assert trip.number not in here
    assert page.evaluate("caches.keys()") == []
    nowhere = page.context.new_page()
    nowhere.goto(f"{wire.url}/l/nothing-of-ours/")
    assert here == words(nowhere)


def words(page: Page) -> str:
    """What the page says, but for the number of the request."""
    return re.sub(r"[0-9a-f]{16}", "", page.locator("main").inner_text())
