"""The floor page of several bays in a browser: rows by script, an option for its bay, tidy on desk and phone."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.urls import reverse
from playwright.sync_api import Browser, Page, expect

from framing.common.actors import person
from framing.common.models import Role, User
from framing.projects import services
from framing.projects.models import Floor
from framing.projects.selectors import floor_version
from tests.e2e.pages import open_browser
from tests.factories import people
from tests.factories import projects as make
from tests.factories.people import client_of
from tests.projects.test_entry import real_floor

pytestmark = [pytest.mark.e2e, pytest.mark.django_db]


@pytest.fixture
def seller() -> User:
    return people.user(Role.SELLER)


@pytest.fixture
def page(browser: Browser, seller: User) -> Iterator[Page]:
    shown = open_browser(browser, client_of(seller), width=1280)
    yield shown
    shown.context.close()


def two_bays(seller: User) -> Floor:
    return services.floor_create(
        actor=person(seller), at=make.AT, project=make.project(seller), document=real_floor()
    )


def bays_of(floor: Floor) -> list[tuple[str, str, int]]:
    document = floor_version(Floor.objects.get(pk=floor.pk)).document
    return [(bay["id"], bay["spacing"], bay["plies"]) for bay in document["bays"]]


def test_a_floor_is_parted_into_two_bays(page: Page, seller: User) -> None:
    floor = make.floor(make.project(seller))  # 24 ft by 14 ft, joists bottom to top
    page.goto(reverse("projects:floor_page", args=[floor.public_id]))
    page.get_by_text("Several bays").click()
    page.locator("#id_bay_outline").fill("0, 0; 12', 0; 12', 14'; 0, 14'")
    expect(page.locator("#preview-words")).to_contain_text(
        "No bay covers 168.0 sq ft of the floor at (18'-0\""
    )
    expect(page.locator("#id_bay_outline_error")).to_contain_text("No bay covers")
    page.get_by_role("button", name="Add a bay").click()
    page.locator("#id_bay-0-outline").fill("12', 0; 24', 0; 24', 14'; 12', 14'")
    page.locator("#id_bay-0-spacing").select_option("24")
    page.locator("#id_bay-0-plies").select_option("2")
    expect(page.locator("h3", has_text="Bay B")).to_be_visible()
    expect(page.locator("#preview-words .notice.bad")).to_have_count(0)
    page.get_by_role("button", name="Save the floor").click()
    expect(page.locator(".under")).to_have_text("version 2")
    assert bays_of(floor) == [("A", "16", 1), ("B", "24", 2)]


def test_an_option_fills_in_its_own_bay(page: Page, seller: User) -> None:
    page.goto(reverse("projects:floor_page", args=[two_bays(seller).public_id]))
    page.locator("button[data-choose][value^='B:'][data-spacing='24']").first.click()
    expect(page.locator("#id_bay-0-spacing")).to_have_value("24")
    expect(page.locator("#id_spacing")).to_have_value("16")
    page.locator("button[data-choose][value^='A:'][data-spacing='12']").first.click()
    expect(page.locator("#id_spacing")).to_have_value("12")
    expect(page.locator("#id_bay-0-spacing")).to_have_value("24")


@pytest.mark.parametrize("width", [1280, 390, 320])
def test_the_form_stays_within_the_page(browser: Browser, seller: User, width: int) -> None:
    page = open_browser(browser, client_of(seller), width=width)
    page.goto(reverse("projects:floor_page", args=[two_bays(seller).public_id]))
    assert page.evaluate("document.documentElement.scrollWidth") == width
    outline = page.locator("#id_bay-0-outline").bounding_box()
    profile = page.locator("#id_bay-0-profile").bounding_box()
    assert outline is not None
    assert profile is not None
    assert outline["width"] == profile["width"]  # both across the whole row
    assert outline["x"] + outline["width"] <= width
    page.context.close()
