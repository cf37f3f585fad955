"""The find box and lists in a browser: by keys alone, newest answer only, single keys off, checked by axe."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.urls import reverse
from playwright.sync_api import Browser, Page, Route, expect

from framing.common.listing_saved import single_keys_set
from framing.common.models import Role
from tests.e2e.pages import ORIGIN, open_browser
from tests.e2e.test_axe import findings
from tests.factories import people, projects

pytestmark = [pytest.mark.e2e, pytest.mark.django_db]
LIST = "projects:builder_list"


@pytest.fixture
def page(browser: Browser, db: None) -> Iterator[Page]:
    """The list of builders, as a manager sees it: one of Alder, nine of Sedge."""
    projects.builder(name="Alder Homes")
    for number in range(9):
        projects.builder(name=f"Sedge {number}")
    shown = open_browser(browser, people.client_of(Role.MANAGER), width=1280)
    shown.goto(reverse(LIST))
    yield shown
    shown.context.close()


def test_from_a_list_to_a_builder_and_back_by_keys_alone(page: Page) -> None:
    start = page.get_by_role("link", name="Company")
    start.focus()
    page.keyboard.press("/")
    expect(page.locator("#find-box")).to_be_focused()
    page.keyboard.type("sedge")
    panel = page.locator("#find-panel")
    expect(panel.get_by_role("option")).to_have_count(9)
    expect(page.locator("#find-box")).to_have_attribute("aria-expanded", "true")
    assert findings(page) == []
    page.keyboard.press("ArrowUp")
    expect(panel.locator("[aria-selected=true]")).to_have_text("Show all builders with “sedge”")
    page.keyboard.press("ArrowDown")
    expect(panel.locator("[aria-selected=true]")).to_have_count(0)
    page.keyboard.press("ArrowDown")
    chosen = panel.locator("[aria-selected=true]")
    expect(chosen).to_contain_text("Sedge 8")
    expect(page.locator("#find-box")).to_have_attribute(
        "aria-activedescendant", chosen.get_attribute("id") or ""
    )
    page.keyboard.press("Escape")
    expect(panel).to_be_hidden()
    expect(page.locator("#find-box")).to_have_value("sedge")
    page.keyboard.press("Escape")
    expect(start).to_be_focused()
    expect(page.locator("#find-box")).to_have_value("")
    page.keyboard.press("/")
    page.keyboard.type("alder")
    expect(panel.get_by_role("option")).to_have_count(1)
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Alder Homes")


def test_enter_without_a_choice_shows_everything_found_on_a_page(page: Page) -> None:
    page.keyboard.press("/")
    page.keyboard.type("sedge")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_contain_text("“sedge”")
    expect(page.locator("main .find-hit")).to_have_count(9)
    assert findings(page) == []


def test_a_late_answer_never_overwrites_a_newer_one(page: Page) -> None:
    held: list[Route] = []
    page.route(f"{ORIGIN}/find/?q=sed", lambda route: held.append(route))
    page.keyboard.press("/")
    page.keyboard.type("sed")
    page.wait_for_timeout(400)
    assert len(held) == 1
    page.locator("#find-box").fill("alder")
    panel = page.locator("#find-panel")
    expect(panel.get_by_role("option")).to_have_text(["Alder HomesRae Winter"])
    held[0].fulfill(
        status=200, content_type="text/html", body='<a class="find-hit" role="option" href="/">Late</a>'
    )
    page.wait_for_timeout(300)
    expect(panel.get_by_role("option")).to_have_text(["Alder HomesRae Winter"])


def test_slashes_that_people_type_stay_slashes(page: Page) -> None:
    field = page.get_by_label("Company, person, phone or e-mail")
    field.click()
    page.keyboard.type("a/b?c")
    expect(field).to_have_value("a/b?c")
    expect(page.locator("#keys")).to_be_hidden()


def test_the_sheet_of_keys_and_switching_single_keys_off(browser: Browser, page: Page) -> None:
    page.keyboard.press("?")
    expect(page.get_by_role("dialog", name="Keys")).to_be_visible()
    assert findings(page, "#keys") == []
    page.keyboard.press("Escape")
    expect(page.get_by_role("dialog", name="Keys")).to_be_hidden()
    reader = people.user(Role.SELLER)
    single_keys_set(actor=people.person(reader), at=projects.AT, on=False)
    other = open_browser(browser, people.client_of(reader), width=1280)
    other.goto(reverse(LIST))
    other.keyboard.press("?")
    other.keyboard.press("/")
    expect(other.locator("#keys")).to_be_hidden()
    expect(other.locator("#find-box")).not_to_be_focused()
    other.get_by_role("link", name="Keys").click()
    expect(other.get_by_role("dialog", name="Keys")).to_be_visible()
    other.context.close()


def test_addresses_of_lists_stay_short(page: Page) -> None:
    page.get_by_label("Company, person, phone or e-mail").fill("sedge")
    page.get_by_role("button", name="Show", exact=True).first.click()
    expect(page.locator("tbody tr")).to_have_count(9)
    assert page.url == f"{ORIGIN}{reverse(LIST)}?q=sedge"
    page.get_by_text("Columns and order").click()
    page.get_by_label("E-mail", exact=True).uncheck()
    page.get_by_label("Order", exact=True).select_option("-name")
    page.get_by_role("button", name="Show so").click()
    expect(page.locator("tbody tr").first).to_contain_text("Sedge 8")
    assert "cols=name%2Ccontact%2Cphone%2Ctier%2Cowner%2Cprojects" in page.url
    assert "sort=-name" in page.url
    assert findings(page) == []


@pytest.mark.parametrize("width", [1280, 820, 390])
def test_no_list_runs_over_the_window(browser: Browser, page: Page, width: int) -> None:
    narrow = open_browser(browser, people.client_of(Role.MANAGER), width=width)
    narrow.goto(f"{reverse(LIST)}?sort=name&tier=none&q=sedge")
    for fold in narrow.locator(".list-fold summary").all():
        fold.click()
    assert findings(narrow) == []
    narrow.locator("#find-box").fill("sedge")
    narrow.locator("#find-box").focus()
    expect(narrow.locator("#find-panel")).to_be_visible()
    assert narrow.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert findings(narrow, "#find-panel") == []
    narrow.context.close()
