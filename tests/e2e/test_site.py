"""The builder's page on a phone: nothing is lost or counted twice, it works without a line, it is small."""

from __future__ import annotations

import random
import time
from collections.abc import Callable, Iterator
from datetime import timedelta
from io import BytesIO
from typing import Any, Literal

import pytest
from django.test import Client
from django.urls import reverse
from PIL import Image
from playwright.sync_api import Browser, BrowserContext, FilePayload, Page, Route, expect

from framing.common.clock import database_now
from orders.models import Claim, Delivery, ReceiptAction, ReceiptLine, SitePhoto
from orders.photo_store import photo_bytes
from orders.site_reads import thing_on
from tests.e2e.pages import ORIGIN, answer_by
from tests.e2e.stack import Stack
from tests.e2e.test_axe import findings
from tests.e2e.wire import WORKING, Wire
from tests.factories import orders
from tests.factories.pictures import PLACE, photo
from tests.factories.site import act, builder
from tests.factories.site import browser as builders_client

pytestmark = [pytest.mark.e2e, pytest.mark.django_db]
FIRST_LOAD_MOST = 150_000
# 400 kbit/s each way and 400 ms: what tools of browsers call slow 3G, from memory
SLOW_3G = {"offline": False, "latency": 400, "downloadThroughput": 50_000, "uploadThroughput": 50_000}
SENT = "Everything is sent."
BREAKS = (*("before", "within") * 7, *("after",) * 6, *("",) * 3)
"""Where posts break, "" where one goes through. Ten batches of twenty are sent, so some are left after all of these."""


class Line:
    """The way between a phone and the server of this process."""

    def __init__(self, client: Client) -> None:
        self.answer = answer_by(client)
        self.down = False

    def handle(self, route: Route) -> None:
        request = route.request
        if request.method != "POST":
            return self.answer(route)
        return route.abort("internetdisconnected") if self.down else self.answer(route)


Phone = Callable[..., tuple[Page, Line]]


@pytest.fixture
def delivery(tmp_path: Any, settings: Any) -> Delivery:
    settings.PAPERS_DIR = tmp_path / "papers"
    return orders.loaded()


@pytest.fixture
def phone(browser: Browser, delivery: Delivery) -> Iterator[Phone]:
    """Opens the page in this process, without a worker: what the page's own script does."""
    contexts: list[BrowserContext] = []

    def opened(width: int = 390, script: str = "") -> tuple[Page, Line]:
        client, link_id = builders_client(delivery)
        client.defaults["HTTP_HOST"] = "localhost"
        line = Line(client)
        context = browser.new_context(
            base_url=ORIGIN, viewport={"width": width, "height": 800}, reduced_motion="reduce",
            service_workers="block", has_touch=True,
        )  # fmt: skip
        contexts.append(context)
        context.route("**/*", line.handle)
        page = context.new_page()
        if script:
            page.add_init_script(script)
        page.set_default_timeout(15_000)
        page.goto(reverse("orders:your_delivery", args=[link_id]))
        expect(page.locator("#site-line")).to_contain_text(SENT)
        return page, line

    yield opened
    for context in contexts:
        context.close()


def tap_many(page: Page, count: int) -> None:
    """So many taps on the tick buttons, each as soon as the one before is kept."""
    page.evaluate(
        """async (count) => {
            const all = [...document.querySelectorAll(".site-tick")];
            const kept = () => document.getElementById("site-line").dataset.count;
            for (let n = 0; n < count; n += 1) {
                const before = kept();
                all[n % all.length].click();
                while (kept() === before) await new Promise((go) => setTimeout(go, 1));
            }
        }""",
        count,
    )


def test_what_is_refused_stays_in_sight_until_somebody_decides(phone: Phone, delivery: Delivery) -> None:
    page, line = phone()
    line.down = True
    Delivery.objects.filter(pk=delivery.pk).update(loaded_at=None)
    delivery.loads.update(loaded_at=None)
    page.locator(".site-tick").first.click()
    line.down = False
    page.evaluate("dispatchEvent(new Event('online'))")
    refusals = page.locator("#site-refused")
    expect(refusals).to_contain_text("left the yard")
    expect(page.locator("#site-line")).to_contain_text("All else is sent.")
    page.reload()
    expect(refusals).to_contain_text("left the yard")
    Delivery.objects.filter(pk=delivery.pk).update(loaded_at=orders.AT)
    page.get_by_role("button", name="Send again").click()
    expect(refusals).to_be_hidden()
    expect(page.locator("#site-line")).to_contain_text(SENT)
    assert ReceiptAction.objects.get().verb == "tick"


def test_what_was_typed_stays_with_what_was_refused(phone: Phone, delivery: Delivery) -> None:
    page, line = phone()
    line.down = True
    row = page.locator("li[data-marks]:not([data-marks=''])").first
    row.locator(".site-what").click()
    page.locator("#site-report [value=damaged]").check()
    page.locator("#site-marks input").first.fill("1")
    page.locator("#site-words").fill("Bent at one end")
    image: FilePayload = {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": photo()}
    page.locator("#site-file").set_input_files([image])
    page.get_by_role("button", name="Report it").click()
    expect(page.locator("#site-line")).to_contain_text("2 not sent yet")
    mark = str(row.get_attribute("data-marks")).partition(":")[0]
    Delivery.objects.filter(pk=delivery.pk).update(
        delivered_at=database_now() - timedelta(days=30), received_by="Rae Winter"
    )
    line.down = False
    page.evaluate("dispatchEvent(new Event('online'))")
    refusal = page.locator("#site-refused .notice").first
    expect(refusal).to_contain_text("was to be reported by")
    expect(refusal).to_contain_text(delivery.order.owner.name)
    for typed in ("Damaged", f"1 \u00d7 {mark}", "“Bent at one end”", "Photo"):
        expect(refusal).to_contain_text(typed)
    expect(page.locator("#site-line")).to_contain_text("All else is sent.")
    page.reload()
    expect(refusal).to_contain_text("“Bent at one end”")
    assert not Claim.objects.exists()


def test_what_another_phone_told_shows_and_what_waits_goes_out_by_the_next_link(
    phone: Phone, delivery: Delivery
) -> None:
    page, line = phone()
    rows = page.locator("li[data-code]")
    act(
        builder(delivery, "Bo Marsh"),
        delivery,
        "tick",
        thing_on(delivery, str(rows.first.get_attribute("data-code"))),
    )
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(rows.first).to_have_attribute("data-state", "received")
    line.down = True
    rows.nth(1).locator(".site-tick").click()
    expect(page.locator("#site-line")).to_contain_text("1 not sent yet")
    client, link_id = builders_client(delivery)  # his earlier link is withdrawn with it
    line.down = False
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(page.locator("#site-line")).to_contain_text(
        f"This link has run out. Call {delivery.order.owner.name}"
    )
    assert ReceiptAction.objects.count() == 1
    client.defaults["HTTP_HOST"] = "localhost"
    line.answer = answer_by(client)
    page.goto(reverse("orders:your_delivery", args=[link_id]))
    expect(page.locator("#site-line")).to_contain_text(SENT)
    last = ReceiptAction.objects.latest("id")
    assert last.link is not None
    assert (ReceiptAction.objects.count(), last.link.public_id) == (2, link_id)


def test_a_photo_that_is_too_large_is_refused_in_the_servers_words(phone: Phone) -> None:
    page, _line = phone()
    page.locator(".site-what").first.click()
    page.locator("#site-report [value=damaged]").check()
    huge: FilePayload = {"name": "IMG.heic", "mimeType": "image/heic", "buffer": bytes(10_200_000)}
    page.locator("#site-file").set_input_files([huge])
    page.get_by_role("button", name="Report it").click()
    expect(page.locator("#site-refused")).to_contain_text("at most 10,100,000 are read here")
    expect(page.locator("#site-line")).to_contain_text("All else is sent.")


FAKE_CAMERA = """
    window.BarcodeDetector = class { async detect() { return window.inSight ? [{ rawValue: window.inSight }] : []; } };
    navigator.mediaDevices.getUserMedia = async () => {
        if (window.closed_) throw new DOMException("no", "NotAllowedError");
        window.seen = document.createElement("canvas").captureStream();
        return window.seen;
    };
"""


def test_the_camera_reads_one_tag_after_another_where_the_browser_can(phone: Phone) -> None:
    page, _line = phone(script=FAKE_CAMERA)
    codes = [str(one.get_attribute("data-code")) for one in page.locator("li[data-code]").all()[:2]]
    page.get_by_role("button", name="Scan").click()
    told = page.locator("#site-seen-said")
    for code in codes:
        page.evaluate("(code) => { window.inSight = `HTTPS://OWN.EXAMPLE/T/${code}/`; }", code)
        expect(told).to_contain_text("ticked")
        expect(page.locator(f"li[data-code='{code}']")).to_have_attribute("data-state", "received")
    page.evaluate("window.inSight = '000000000000'")
    expect(told).to_contain_text("not of this delivery")
    page.locator("#site-seen [data-close]").click()
    page.wait_for_function("window.seen.getTracks().every((track) => track.readyState === 'ended')")
    expect(page.locator("#site-line")).to_contain_text(SENT)
    assert sorted(ReceiptAction.objects.values_list("verb", flat=True)) == ["tick", "tick"], (
        "held still, it counts once"
    )
    page.evaluate("window.closed_ = true")
    page.get_by_role("button", name="Scan").click()
    expect(page.locator("#site-code-said")).to_contain_text("Type the code")


def test_the_floor_grows_by_buttons_and_by_two_fingers(phone: Phone) -> None:
    page, _line = phone()
    page.locator(".site-what").first.click()
    drawing = page.locator("#site-pictures svg").first
    expect(drawing.locator(".lit").first).to_be_visible()
    width = drawing.bounding_box()["width"]  # type: ignore[index]
    page.get_by_role("button", name="Larger").first.click()
    assert drawing.bounding_box()["width"] > 1.5 * width  # type: ignore[index]
    page.get_by_role("button", name="Smaller").first.click()
    assert drawing.bounding_box()["width"] == pytest.approx(width, rel=0.01)  # type: ignore[index]
    box = page.locator(".site-zoom-frame").first.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    wire = page.context.new_cdp_session(page)
    for kind, apart in (("touchStart", 20), ("touchMove", 40), ("touchMove", 60), ("touchEnd", 0)):
        points = [{"x": x - apart, "y": y, "id": 1}, {"x": x + apart, "y": y, "id": 2}] if apart else []
        wire.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
    assert drawing.bounding_box()["width"] == pytest.approx(3 * width, rel=0.1)  # type: ignore[index]


def test_a_typed_code_ticks_and_the_signature_waits_for_the_rest(phone: Phone, delivery: Delivery) -> None:
    page, _line = phone(script="delete window.BarcodeDetector")
    rows = page.locator("li[data-code]")
    expect(page.get_by_role("button", name="Scan")).to_be_hidden()
    page.locator("#site-code-text").fill(f"https://own.example/t/{rows.first.get_attribute('data-code')}/")
    page.get_by_role("button", name="Tick", exact=True).click()
    expect(rows.first).to_have_attribute("data-state", "received")
    page.locator("#site-code-text").fill("0000 0000 0000")
    page.get_by_role("button", name="Tick", exact=True).click()
    expect(page.locator("#site-code-said")).to_contain_text("not of this delivery")
    page.get_by_role("button", name="Sign for the delivery").click()
    expect(page.locator("#site-sign-said")).to_contain_text("not ticked yet")
    for tick in page.locator(".site-tick[aria-pressed=false]").all()[::-1]:
        tick.click()
    page.locator("#site-name").fill("Sam Vale")
    page.get_by_role("button", name="Sign for the delivery").click()
    expect(page.locator(".notice.good")).to_contain_text("Sam Vale signed")
    delivery.refresh_from_db()
    assert delivery.received_by == "Sam Vale"


def test_a_report_put_away_goes_on_and_one_after_the_signature_comes_in(
    phone: Phone, delivery: Delivery
) -> None:
    page, _line = phone()
    for tick in page.locator(".site-tick").all():
        tick.click()
    page.get_by_role("button", name="Sign for the delivery").click()
    expect(page.locator(".notice.good")).to_contain_text("report it by")
    expect(page.locator("#site-code")).to_have_count(0)
    # its script runs; before that a row is a plain link
    expect(page.locator("#site-line")).to_contain_text(SENT)
    row = page.locator(".site-what").first
    row.click()
    page.locator("#site-report [value=short]").check()
    page.locator("#site-words").fill("Found when opened")
    page.keyboard.press("Escape")
    row.click()
    expect(page.locator("#site-words")).to_have_value("Found when opened")
    page.get_by_role("button", name="Report it").click()
    expect(page.locator("li[data-code]").first).to_have_attribute("data-state", "short")
    expect(page.locator("#site-line")).to_contain_text(SENT)
    claim = Claim.objects.get()
    assert (claim.words, claim.delivery) == ("Found when opened", delivery)
    page.locator(".site-what").nth(1).click()
    expect(page.locator("#site-words")).to_have_value("")


@pytest.mark.parametrize("width", [360, 390])
def test_nothing_goes_sideways_and_a_thumb_finds_its_target(phone: Phone, width: int) -> None:
    page, _line = phone(width)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.evaluate("scrollTo(0, document.body.scrollHeight)")
    expect(page.locator("#site-line")).to_be_in_viewport()
    for target in page.locator(".site-tick, .site-what, .button:visible").all():
        box = target.bounding_box()
        assert box is not None
        assert min(box["width"], box["height"]) >= 48, target.inner_text()
    page.locator(".site-what").first.click()
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    for target in page.locator("#site-sheet .button.primary, #site-sheet .check").all():
        box = target.bounding_box()
        assert box is not None
        assert box["height"] >= 48
        assert box["x"] + box["width"] <= width


@pytest.mark.parametrize("colors", ["light", "dark"])
def test_everybody_can_use_it(phone: Phone, delivery: Delivery, colors: Literal["light", "dark"]) -> None:
    page, line = phone(360)
    page.emulate_media(color_scheme=colors)
    line.down = True
    page.locator(".site-tick").first.click()
    expect(page.locator("#site-line")).to_contain_text("1 not sent yet")
    assert findings(page) == []
    page.locator(".site-what").first.click()
    expect(page.locator("#site-pictures svg .lit").first).to_be_visible()
    assert findings(page, "#site-sheet") == []


# --- with a server of its own: the worker ---


def opened_by_link(context: BrowserContext, delivery: Delivery) -> tuple[Client, Page, str]:
    client, link_id = builders_client(delivery)
    path = reverse("orders:your_delivery", args=[link_id])
    cookie = client.cookies["builder_link"].value
    context.add_cookies([{"name": "builder_link", "value": cookie, "domain": "127.0.0.1", "path": path}])
    return client, context.new_page(), path


@pytest.fixture
def server(stack: Stack, settings: Any) -> Stack:
    settings.PAPERS_DIR = stack.papers
    stack.start("web")
    return stack


@pytest.mark.django_db(transaction=True)
def test_two_hundred_acts_without_a_line_arrive_once_each_after_twenty_drops(
    browser: Browser, server: Stack
) -> None:
    delivery = orders.loaded()
    context = browser.new_context(viewport={"width": 390, "height": 800}, has_touch=True)
    _client, page, path = opened_by_link(context, delivery)
    with Wire(server.url) as wire:
        page.goto(f"{wire.url}{path}")
        expect(page.locator("#site-line")).to_contain_text(SENT)
        page.evaluate(WORKING)
        two_hundred_acts(page, wire)
    context.close()


def two_hundred_acts(page: Page, wire: Wire) -> None:
    wire.breaks()
    tap_many(page, 100)
    page.reload()
    expect(page.locator("#site-line")).to_contain_text("100 not sent yet")
    tap_many(page, 97)
    for place, kind in ((0, "damaged"), (1, "short"), (2, "wrong")):
        page.locator(".site-what").nth(place).click()
        page.locator(f"#site-report [value={kind}]").check()
        page.get_by_role("button", name="Report it").click()
        expect(page.locator("#site-sheet")).to_be_hidden()
    expect(page.locator("#site-line")).to_contain_text("200 not sent yet")
    shown = {
        one.get_attribute("data-code"): one.get_attribute("data-state")
        for one in page.locator("li[data-code]").all()
    }
    assert not ReceiptAction.objects.exists()
    wire.plan, wire.down = random.Random(7).sample(BREAKS, len(BREAKS)), False  # noqa: S311  # the same order each time
    turn, patience = 0, time.monotonic() + 240
    while page.locator("#site-line[data-count]").get_attribute("data-count") != "0":
        assert time.monotonic() < patience, f"broke at {wire.drops}"
        page.evaluate("dispatchEvent(new Event('online'))")
        page.wait_for_timeout(100)
        turn += 1
        if turn == 10:
            page.reload()
    expect(page.locator("#site-line")).to_contain_text(SENT)
    assert sorted(wire.drops) == sorted(filter(None, BREAKS))
    assert len(wire.drops) == 20
    assert ReceiptAction.objects.count() == 200
    assert sorted(Claim.objects.values_list("kind", flat=True)) == ["damaged", "short", "wrong"]
    lines = ReceiptLine.objects.select_related("bundle", "carton")
    states = {(line.bundle or line.carton).code: line.state for line in lines}  # type: ignore[union-attr]
    assert states == shown


@pytest.mark.django_db(transaction=True)
def test_the_page_is_small_and_works_without_a_line(browser: Browser, server: Stack) -> None:
    delivery = orders.loaded()
    context = browser.new_context(viewport={"width": 390, "height": 800}, has_touch=True)
    _client, page, path = opened_by_link(context, delivery)
    with Wire(server.url) as wire:
        opened_on_slow_3g(page, f"{wire.url}{path}", wire)
        wire.breaks()
        page.reload()
        expect(page.locator("h1")).to_contain_text(delivery.number)
        page.locator(".site-tick").first.click()
        expect(page.locator("#site-line")).to_contain_text("1 not sent yet")
        page.locator(".site-what").first.click()
        expect(page.locator("#site-pictures svg .lit").first).to_be_visible()
        page.keyboard.press("Escape")
        page.reload()
        expect(page.locator("#site-line")).to_contain_text("1 not sent yet")
        assert not ReceiptAction.objects.exists()
        wire.down = False
        page.evaluate("dispatchEvent(new Event('online'))")
        expect(page.locator("#site-line")).to_contain_text(SENT, timeout=20_000)
        assert ReceiptAction.objects.get().verb == "tick"
        wire.breaks()
        page.reload()
        first = page.locator("li[data-code]").first
        expect(first).to_have_attribute("data-state", "received")
        expect(first.locator("[data-told]")).to_have_text("Received")
    context.close()


def opened_on_slow_3g(page: Page, url: str, wire: Wire) -> None:
    """Opened and kept over a slow line: all that went over it is counted, what the worker asked for too."""
    session = page.context.new_cdp_session(page)
    session.send("Network.enable")
    session.send("Network.emulateNetworkConditions", SLOW_3G)
    begun = time.monotonic()
    page.goto(url)
    expect(page.locator("#site-line")).to_contain_text(SENT, timeout=30_000)
    took, page_bytes = time.monotonic() - begun, wire.received
    page.evaluate(WORKING)
    assert 40_000 < page_bytes <= wire.received <= FIRST_LOAD_MOST, (page_bytes, wire.received)
    least = 2 * SLOW_3G["latency"] / 1000 + 0.6 * page_bytes / SLOW_3G["downloadThroughput"]
    assert took > least, f"{page_bytes} bytes in {took:.1f} s is no slow line"


@pytest.mark.django_db(transaction=True)
def test_a_report_takes_shrunk_photos_without_their_place(browser: Browser, server: Stack) -> None:
    delivery = orders.loaded()
    context = browser.new_context(viewport={"width": 390, "height": 800}, service_workers="block")
    _client, page, path = opened_by_link(context, delivery)
    page.goto(f"{server.url}{path}")
    server.kill("web")
    row = page.locator("li[data-marks]:not([data-marks=''])").first
    row.locator(".site-what").click()
    page.locator("#site-report [value=damaged]").check()
    page.locator("#site-marks input").first.fill("1")
    page.locator("#site-words").fill("Bent at one end")
    large = photo(4000, 3000, turn=6)
    assert PLACE in large
    files: list[FilePayload] = [
        {"name": f"IMG {n}.jpg", "mimeType": "image/jpeg", "buffer": large} for n in (1, 2)
    ]
    page.locator("#site-file").set_input_files(files)
    page.get_by_role("button", name="Report it").click()
    expect(page.locator("#site-line")).to_contain_text("3 not sent yet")
    waiting = [bytes(blob) for blob in page.evaluate(WAITING_PHOTOS, delivery.number)]
    assert len(waiting) == 2
    for blob in waiting:
        assert PLACE not in blob, "the phone itself leaves the place out"
        with Image.open(BytesIO(blob)) as image:
            assert (image.format, image.size) == ("JPEG", (1200, 1600))
    server.start("web")
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(page.locator("#site-line")).to_contain_text(SENT, timeout=20_000)
    first, second = SitePhoto.objects.order_by("id")
    assert (first.width, first.height, first.sha256) == (1200, 1600, second.sha256)
    with Image.open(BytesIO(photo_bytes(first))) as image:
        assert not image.getexif()
    claim = Claim.objects.get()
    assert (claim.words, claim.pieces.count()) == ("Bent at one end", 1)
    assert claim.reported is not None
    assert claim.reported.action_id == first.action_id == second.action_id
    context.close()


WAITING_PHOTOS = """async (delivery) => {
    const asked = (request) => new Promise((yes) => { request.onsuccess = () => yes(request.result); });
    const base = await asked(indexedDB.open(`site ${delivery}`));
    const photos = await asked(base.transaction("photos").objectStore("photos").getAll());
    return Promise.all(photos.map(async (one) => [...new Uint8Array(await one.blob.arrayBuffer())]));
}"""
