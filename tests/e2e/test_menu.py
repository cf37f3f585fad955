"""The menu in a browser: one line for every role, “More” by keys and without script, all of it on a phone."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.urls import reverse
from playwright.sync_api import Browser, Page, expect

from framing.common.models import Role
from tests.e2e.pages import ORIGIN, answer_by, open_browser
from tests.e2e.test_axe import findings
from tests.factories import people

pytestmark = [pytest.mark.e2e, pytest.mark.django_db]
PAGE = "orders:claim_list"
HEAD_PX = 64


@pytest.fixture
def page(browser: Browser, db: None) -> Iterator[Page]:
    """The list of claims, as a manager sees it."""
    shown = open_browser(browser, people.client_of(Role.MANAGER), width=1024)
    shown.goto(reverse(PAGE))
    yield shown
    shown.context.close()


@pytest.mark.parametrize("role", list(Role))
def test_it_stands_in_one_line(browser: Browser, role: Role) -> None:
    page = open_browser(browser, people.client_of(role), width=1600)
    page.goto(reverse(PAGE))
    for width in (1600, 1280, 1024):
        page.set_viewport_size({"width": width, "height": 800})
        parts = page.locator(".nav-wide > .nav-list > li")
        tops = {parts.nth(n).evaluate("one => one.offsetTop") for n in range(parts.count())}
        assert len(tops) == 1, f"{role} at {width}"
        assert page.locator(".head").evaluate("head => head.offsetHeight") <= HEAD_PX
        assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.context.close()


def test_more_opens_by_keys_and_closes_when_the_focus_goes_on(page: Page) -> None:
    more, sheet = page.locator(".nav-more > summary"), page.locator(".nav-more .menu-sheet")
    expect(sheet).to_be_hidden()
    more.focus()
    page.keyboard.press("Enter")
    expect(sheet).to_be_visible()
    assert findings(page, ".head") == []
    page.keyboard.press("Tab")
    expect(sheet.get_by_role("link").first).to_be_focused()
    page.keyboard.press("Escape")
    expect(sheet).to_be_hidden()
    expect(more).to_be_focused()
    page.keyboard.press("Enter")
    for _ in range(sheet.get_by_role("link").count() + 1):
        page.keyboard.press("Tab")
    expect(page.locator("#find-box")).to_be_focused()
    expect(sheet).to_be_hidden()
    more.click()
    page.locator("#title").click()
    expect(sheet).to_be_hidden()


@pytest.mark.parametrize("size", [(820, 1180), (390, 844)])
def test_where_it_is_narrow_all_of_it_shows_at_once(page: Page, size: tuple[int, int]) -> None:
    page.set_viewport_size({"width": size[0], "height": size[1]})
    page.get_by_text("Menu", exact=True).click()
    sheet = page.locator(".menu > .menu-sheet")
    assert sheet.evaluate("one => one.scrollHeight <= one.clientHeight"), (
        "nothing of it has to be scrolled to"
    )
    last = sheet.get_by_role("link", name="Figures").bounding_box()
    assert last is not None
    assert last["y"] + last["height"] <= size[1]
    assert last["height"] >= 44
    assert findings(page, ".head") == []


def test_without_script_more_opens_all_the_same(browser: Browser) -> None:
    context = browser.new_context(
        base_url=ORIGIN, java_script_enabled=False, viewport={"width": 1280, "height": 800}
    )
    context.route("**/*", answer_by(people.client_of(Role.MANAGER)))
    page = context.new_page()
    page.goto(reverse(PAGE))
    page.locator(".nav-more > summary").click()
    page.get_by_role("link", name="Price book").click()
    expect(page.locator("#title")).to_contain_text("Price book")
    context.close()
