"""The take-off page in a browser: lines light their places, members tell their lines, by mouse, key and finger."""

from __future__ import annotations

import mimetypes
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from django.contrib.staticfiles import finders
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Browser, Page, Route

from framing.common.models import Role
from tests.factories import people
from tests.factories import projects as make

pytestmark = [pytest.mark.e2e, pytest.mark.django_db]
HOME = "http://takeoff.test"


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """The page of a floor of 17 joists, answered without a server."""
    client = Client()
    client.force_login(people.user(Role.PLANNER))
    body = client.get(reverse("projects:takeoff_page", args=[make.floor().public_id])).content

    def answer(route: Route) -> None:
        path = urlsplit(route.request.url).path
        found = finders.find(path.removeprefix("/static/")) if path.startswith("/static/") else None
        kind = mimetypes.guess_type(path)[0] or "text/html; charset=utf-8"
        route.fulfill(body=Path(str(found)).read_bytes() if found else body, content_type=kind)

    context = browser.new_context(viewport={"width": 1280, "height": 1100})
    shown = context.new_page()
    shown.route("**/*", answer)
    shown.goto(f"{HOME}/")
    shown.wait_for_selector("#picker:not([hidden])")
    yield shown
    context.close()


def lit(page: Page, shape: str = "*") -> int:
    return page.locator(f".lit-layer > {shape}").count()


def test_lines_light_places_and_members_tell_lines(page: Page) -> None:
    clips = page.locator(".bill-line", has_text="bearing clip").first
    clips.locator("summary").hover()
    assert lit(page, "circle") == 34
    page.locator("h1").hover()
    assert lit(page) == 0
    clips.locator("summary").focus()
    page.keyboard.press("Enter")
    assert page.locator("#live").inner_text() == "34 places lit on the plan."
    button = clips.locator("button.term-places")
    button.click()
    assert button.get_attribute("aria-pressed") == "true"
    assert "joist ends at platform bearings" in button.inner_text()
    page.locator("h1").hover()
    assert lit(page, "circle") == 34
    page.keyboard.press("Escape")
    assert (lit(page), button.get_attribute("aria-pressed")) == (0, "false")

    page.select_option("#member", label="1J01, 3 of 17")
    assert lit(page, "line") == 1
    told = page.locator("#member-lines")
    assert "Joist 1J01, 3 of 17, 13'-9\"" in told.inner_text()
    assert page.locator(".bill-line.counts", has_text="Full-depth bearing clip").count() == 1
    assert page.locator(".bill-line.counts", has_text="sheathing panel").count() == 0
    told.locator("a", has_text="Full-depth bearing clip").click()
    assert page.evaluate("document.activeElement.dataset.places") == "34"
    told.get_by_role("button", name="Close").click()
    assert told.is_hidden()

    box = page.locator("#plan svg").bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    assert page.input_value("#member") == "A.J9"  # the middle one of 17
