"""The whole job in a browser, on the running product: from typing a floor to the builder's manifest.

`SPANYARD_SHOTS=1 ./run test tests/e2e/test_main_path.py` also renews the pictures of the README.
"""

import os
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, Page, expect
from pypdf import PdfReader
from pytest_django.fixtures import Settings

from framing.common.models import AuditEntry, Role
from orders.models import Order
from tests.e2e.stack import Stack, wait_for
from tests.factories import people, quotes

pytestmark = [pytest.mark.e2e, pytest.mark.django_db(transaction=True)]

SHOTS = Path(__file__).parent / "shots"
PATIENCE_MS = 60_000
DESK = {"width": 1280, "height": 900}
PHONE = {"width": 390, "height": 844}


def shoot(page: Page, name: str, part: Locator | None = None) -> None:
    """Keep a picture of a page, or of a part of it, for the README when asked to."""
    page.wait_for_load_state()  # a page that has just been asked for has no element yet
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"), (
        f"{name} scrolls sideways"
    )
    if os.environ.get("SPANYARD_SHOTS"):
        SHOTS.mkdir(exist_ok=True)
        page.evaluate("window.scrollTo(0, 0)")
        (part or page).screenshot(path=SHOTS / f"{name}.png")


@pytest.fixture
def open_page(stack: Stack, browser: Browser) -> Callable[..., Page]:
    """A new browser of somebody; every breach of the content policy or script error fails the test."""

    def opened(size: dict[str, int]) -> Page:
        context = browser.new_context(base_url=stack.url, viewport=size, accept_downloads=True)
        context.set_default_timeout(15_000)
        page = context.new_page()
        page.on("pageerror", lambda error: pytest.fail(f"script error: {error}"))
        page.on("console", lambda line: pytest.fail(line.text) if "Content Security" in line.text else None)
        return page

    return opened


@pytest.fixture
def signed_in(open_page: Callable[..., Page], settings: Settings) -> Callable[[str], Page]:
    """The first page of a member of staff after signing in."""
    # The web process checks passwords as in production, not with the tests' quick hash.
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.PBKDF2PasswordHasher"]

    def sign_in(role: str) -> Page:
        user = people.user(role, name=f"{role.title()} Vale")
        page = open_page(DESK)
        page.goto("/")
        page.get_by_label("Email").fill(user.email)
        page.get_by_label("Password", exact=True).fill(people.PASSWORD)
        page.get_by_role("button", name="Sign in").click()
        expect(page.get_by_role("heading", name="Today")).to_be_visible()
        return page

    return sign_in


def enter_builder_and_project(page: Page) -> None:
    page.get_by_role("link", name="Builders").click()
    page.get_by_role("link", name="Enter a builder").first.click()
    page.get_by_label("Company").fill("Alder and Daughters")
    page.get_by_label("Person to ask for").fill("Rae Winter")
    page.get_by_label("Email").fill("rae@alder.example")
    page.get_by_role("button", name="Enter the builder").click()
    page.get_by_role("link", name="Projects").click()
    page.get_by_role("link", name="Begin a project").first.click()
    page.get_by_label("Builder", exact=True).select_option(label="Alder and Daughters")
    page.get_by_label("Project", exact=True).fill("Fern Lane")
    page.get_by_label("Street and number").fill("3 Fern Lane")
    page.get_by_label("City").fill("Harrow Bend")
    page.get_by_label("State or province").fill("OH")
    page.get_by_label("Postal code").fill("44000")
    page.get_by_label("Freight zone").select_option("near")
    page.get_by_label("Place for sales tax").select_option("OH")
    page.get_by_role("button", name="Begin the project").click()


def type_a_floor(page: Page) -> None:
    """A floor of 24 ft by 15 ft with a stair; the drawing and the counts follow while typing."""
    page.get_by_role("link", name="Draw a floor").first.click()
    page.get_by_label("Name", exact=True).fill("First floor")
    page.get_by_label("Width, left to right").fill("24'")
    depth = page.get_by_label("Depth, bottom to top")
    depth.fill("fifteen")
    expect(page.get_by_text("is not a length").first).to_be_visible()
    depth.fill("15' 0\"")
    expect(page.get_by_text("Joists and tails", exact=True)).to_be_visible()
    expect(page.locator("svg .dw-joist").first).to_be_attached()
    page.get_by_role("button", name="Add an opening").click()
    stair = page.locator("[data-rows=opening] [data-row]").first
    stair.get_by_label("Name").fill("Stair")
    stair.get_by_label("Low corner, across").fill("8'")
    stair.get_by_label("Low corner, up").fill("3'")
    stair.get_by_label("Size, across").fill("3' 6\"")
    stair.get_by_label("Size, up").fill("9'")
    expect(page.locator("svg .dw-header").first).to_be_attached()
    shoot(page, "floor")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_text("version 1").first).to_be_visible()


def look_at_sizing(page: Page) -> None:
    """Options with their prices, a calculation sheet, its PDF from the worker, and back to the floor."""
    expect(page.locator("#options").get_by_text("Cheapest:")).to_be_visible(timeout=PATIENCE_MS)
    page.get_by_role("link", name="Calculation sheets").first.click()
    page.get_by_role("link", name="C1").first.click()
    expect(page.get_by_text("Bending, distortional buckling").first).to_be_visible()
    shoot(page, "sheet")
    page.get_by_role("link", name="All cases").click()
    page.get_by_role("button", name="Make the PDF").click()
    paper = page.get_by_role("link", name="Download the PDF")
    expect(paper).to_be_visible(timeout=PATIENCE_MS)
    with page.expect_download() as download:
        paper.click()
    text = pdf_text(Path(download.value.path()))
    for words in ("Calculation sheets", "AISI S100 F4", "Fcrd", "Live-load deflection", "licensed engineer"):
        assert words in text, words
    page.get_by_role("link", name="The floor").click()


def quote_and_issue(page: Page) -> str:
    """Draft, issue, wait for the stored paper, look at it, make the builder's link. Returns the link's address."""
    page.get_by_role("link", name="Fern Lane").first.click()
    page.get_by_role("link", name="Quote this project").click()
    page.get_by_role("button", name="Draw up quote").click()
    expect(page.get_by_text("Q-2026-0001-R1").first).to_be_visible()
    page.get_by_role("button", name="Issue quote").click()
    confirm(page)
    download_link = page.get_by_role("link", name="Download PDF")
    expect(download_link).to_be_visible(timeout=PATIENCE_MS)
    shoot(page, "quote")
    with page.expect_download() as download:
        download_link.click()
    text = pdf_text(Path(download.value.path()))
    for words in ("Q-2026-0001", "Alder and Daughters", "Joist schedule", "licensed engineer"):
        assert words in text, words
    page.get_by_role("button", name="Make link").click()
    return page.get_by_label("Send this to").input_value()


def confirm(page: Page) -> None:
    """Answer the second look of an act that has one."""
    dialog = page.locator("dialog[open]")
    dialog.get_by_role("button").last.click()


def pdf_text(path: Path) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(BytesIO(path.read_bytes())).pages)


def accept_as_builder(page: Page, address: str) -> None:
    page.goto(address)
    assert address.rstrip("/").rsplit("/", 1)[1] not in page.url, "the secret stayed in the address"
    expect(page.get_by_role("heading", name="Fern Lane")).to_be_visible()
    assert "Margin" not in page.content()
    shoot(page, "builder")
    page.get_by_label("Your name").fill("Rae Winter")
    page.get_by_role("button", name="Go on to accept").click()
    page.get_by_role("button", name="Accept").click()
    expect(page.get_by_text("Thank you.")).to_be_visible()


def press(page: Page, name: str, *, sure: bool = False) -> None:
    """Press a button; one with a second look is gone from the page that answers."""
    page.get_by_role("button", name=name).first.click()
    if sure:
        confirm(page)
        expect(page.get_by_role("button", name=name)).to_have_count(0)


def open_order(page: Page) -> None:
    page.get_by_role("link", name="Orders").first.click()
    page.get_by_role("link", name="SO-2026-0001").first.click()


def test_from_a_typed_floor_to_the_downloaded_manifest(
    stack: Stack, signed_in: Callable[[str], Page], open_page: Callable[..., Page]
) -> None:
    quotes.price_book()
    for name in ("web", "worker", "beat"):
        stack.start(name)

    seller = signed_in(Role.SELLER)
    enter_builder_and_project(seller)
    type_a_floor(seller)
    look_at_sizing(seller)
    address = quote_and_issue(seller)

    builder = open_page(PHONE)
    accept_as_builder(builder, address)

    wait_for("the order", Order.objects.exists)
    planner = signed_in(Role.PLANNER)
    open_order(planner)
    press(planner, "Approve drawings")
    press(planner, "Release to shop", sure=True)
    expect(planner.get_by_text("Released").first).to_be_visible()

    shop = signed_in(Role.SHOP)
    open_order(shop)
    press(shop, "Start rolling")
    press(shop, "Finish all bundles", sure=True)

    dispatcher = signed_in(Role.DISPATCHER)
    open_order(dispatcher)
    dispatcher.get_by_role("link", name="Plan delivery").click()
    dispatcher.get_by_label("Day on site").fill("2026-12-20")
    dispatcher.get_by_label("Contact on site").fill("Rae Winter, 555-0100")
    press(dispatcher, "Plan delivery")
    expect(dispatcher.get_by_role("link", name="Manifest (PDF)")).to_be_visible(timeout=PATIENCE_MS)
    press(dispatcher, "Mark loaded", sure=True)
    dispatcher.get_by_label("For", exact=True).fill("Rae Winter")
    press(dispatcher, "Make link")
    delivery_address = dispatcher.get_by_label("Address of the link").input_value()
    open_order(dispatcher)
    shoot(dispatcher, "order")

    builder.goto(delivery_address)
    with builder.expect_download() as download:
        builder.get_by_role("link", name="Download manifest").click()
    text = pdf_text(Path(download.value.path()))
    order = Order.objects.get()
    assert order.stage == "loaded"
    assert "D-2026-0001" in text
    for bundle in order.bundles.all():
        assert bundle.zone.split(":")[0] in text
    assert AuditEntry.objects.filter(verb__contains="accept").count() == 1
