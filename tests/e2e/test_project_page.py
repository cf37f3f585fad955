"""The project's page in a browser: floors are framed while one looks, arranged by keys alone, repeated and mirrored."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.core.cache import cache
from django.urls import reverse
from playwright.sync_api import Browser, Page, expect

from framing.common.models import Role
from framing.projects.models import Floor, Project
from tests.e2e.stack import Stack
from tests.factories import people, quotes
from tests.factories import projects as make

pytestmark = [pytest.mark.e2e, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def home(transactional_db: None) -> Project:
    cache.clear()
    quotes.price_book()
    project = make.project()
    for name in ("Main floor", "Second floor", "Loft"):
        make.floor(project, name=name)
    return project


@pytest.fixture
def page(stack: Stack, browser: Browser, home: Project) -> Iterator[Page]:
    """The project's page of a running server, as a seller sees it who has signed in."""
    stack.start("web")
    context = browser.new_context(base_url=stack.url, viewport={"width": 1280, "height": 1000})
    stack.sign_in(context, people.user(Role.SELLER))
    shown = context.new_page()
    shown.goto(reverse("projects:project_page", args=[home.public_id]))
    expect(shown.get_by_role("heading", name=home.name)).to_be_visible()
    yield shown
    context.close()


def names(page: Page) -> list[str]:
    return page.locator(".floor-card h3 a").all_inner_texts()


def arrange(page: Page, name: str, button: str) -> None:
    """By keys alone: open the floor's part where it is closed, then press its button."""
    card = page.locator(".floor-card").filter(has=page.get_by_role("link", name=name, exact=True))
    if card.locator(".floor-more[open]").count() == 0:
        card.locator("summary").focus()
        page.keyboard.press("Enter")
    card.get_by_role("button", name=button).focus()
    page.keyboard.press("Enter")


def test_floors_are_framed_while_one_looks_and_at_once_the_next_time(page: Page) -> None:
    expect(page.locator(".floor-card .dw-joist")).to_have_count(3)
    expect(page.locator("#live")).to_have_text("Nothing stands in the way of a quote")
    expect(page.locator(".floor-figures").first).to_be_visible()
    page.reload()
    assert page.locator(".floor-card .dw-joist").count() == 3
    assert page.locator("#project-ready[hx-get]").count() == 0


def test_floors_are_moved_counted_taken_off_and_put_back_by_keys(page: Page, home: Project) -> None:
    arrange(page, "Loft", "Move up")
    page.wait_for_url("**?open=*")
    assert names(page) == ["Main floor", "Loft", "Second floor"]
    arrange(page, "Loft", "Move up")
    expect(page.locator(".floor-card h3 a").first).to_have_text("Loft")
    page.get_by_label("Built alike").first.fill("4")
    page.keyboard.press("Enter")
    expect(page.locator(".floor-times")).to_have_text("\u00d7 4")
    arrange(page, "Main floor", "Take off the project")
    expect(page.get_by_text("Main floor is off the project.")).to_be_visible()
    assert names(page) == ["Loft", "Second floor"]
    page.get_by_role("button", name="Put it back").focus()
    page.keyboard.press("Enter")
    expect(page.locator(".floor-card")).to_have_count(3)
    assert [floor.version for floor in home.floors.all()] == [2, 1, 1]


def test_a_floor_is_repeated_and_mirrored(page: Page, home: Project) -> None:
    page.get_by_role("link", name="Repeat").first.click()
    page.get_by_role("button", name="A mirrored unit").click()
    page.get_by_label("Name").nth(1).fill("Second floor")
    page.get_by_role("button", name="Make 2 floors").click()
    expect(page.locator("[data-error-summary]")).to_be_focused()
    page.get_by_role("link", name="Floor 2, name:").click()
    expect(page.get_by_label("Name").nth(1)).to_be_focused()
    page.keyboard.press("ControlOrMeta+a")
    page.keyboard.type("Unit B")
    page.keyboard.press("Enter")
    expect(page.get_by_text("Main floor is repeated: Third floor, Unit B.")).to_be_visible()
    assert names(page) == ["Main floor", "Third floor", "Unit B", "Second floor", "Loft"]
    mirror = Floor.objects.get(project=home, name="Unit B").versions.get().document
    assert mirror["bays"][0]["start"] == "high"
