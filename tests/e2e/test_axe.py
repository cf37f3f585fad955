"""Every page of the demo company through axe-core: WCAG 2.2, levels A and AA.

Run by `./run test --full`: each kind of page once at 1280 px, then each person's pages, also at 360 px and dark.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page
from pytest_django import DjangoDbBlocker

from framing.common.models import Role
from tests.common.demo import demo_company
from tests.e2e.axe_pages import (
    OTHERS,
    ROUTES,
    STAFF,
    Visit,
    draft_a_practice_set,
    draft_a_price_book,
    each_kind,
    is_no_page,
    signed_in,
    visits_of,
    visits_of_others,
)
from tests.e2e.pages import open_browser

pytestmark = [pytest.mark.e2e, pytest.mark.full, pytest.mark.django_db, pytest.mark.usefixtures("demo")]

LEVELS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
# without the style sheets fetched once more, which only a rule outside these levels reads
OPTIONS = {"runOnly": {"type": "tag", "values": LEVELS}, "resultTypes": ["violations"], "preload": False}
WIDE, NARROW = 1280, 360
# files that the worker makes, and what is said while he does: the demo company has none yet; and the door of links
NO_PAGES = {
    "projects:span_paper", "projects:sheet_paper", "projects:sheet_paper_state",
    "projects:drawings_paper", "projects:drawings_paper_state", "projects:draw_version",
    "quotes:quote_paper", "quotes:your_quote_paper", "orders:manifest", "orders:your_delivery_manifest",
    "orders:order_drawings", "orders:drawings_markup", "orders:your_order_drawings",
    "orders:bundle_tags", "orders:bundle_change_tags", "orders:change_tags", "orders:shop_paper_file",
    "orders:claim_label",
    "tag_door_capitals", "common:link_door", "projects:plan_picture",
    "projects:builder_file", "projects:project_file", "quotes:quote_file", "orders:order_file", "orders:delivery_file",
    "orders:shop_figures_csv",
    "orders:your_photo", "orders:your_where", "orders:your_worker", "orders:your_app", "orders:your_delivery_drawings",
    "orders:site_photo", "orders:driver_worker", "orders:claim_file", "orders:invoice_list_file", "orders:invoice_file",
    "orders:load_manifest", "orders:trucks", "calendar_feed",
}  # fmt: skip
# pages of the sign-in library that ask for a state which nobody of the demo company is in
NOT_IN_THE_DEMO = {
    "account_set_password", "account_confirm_login_code", "account_confirm_email", "account_reset_password_from_key",
    "account_request_reauthentication_code", "account_confirm_reauthentication_code",
}  # fmt: skip


@pytest.fixture(scope="module")
def demo(
    browser: Browser,
    django_db_setup: None,
    django_db_blocker: DjangoDbBlocker,
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[None]:
    """The demo company for this module, on the connection that is in use while the browser is open."""
    with demo_company(django_db_blocker, tmp_path_factory):
        yield


@pytest.fixture(scope="module")
def visits(demo: None) -> dict[str, list[Visit]]:
    """What each member of staff is the first to read, and all that the manager reads."""
    draft_a_practice_set()
    draft_a_price_book()
    return {role: visits_of(role) for role in STAFF}


@pytest.fixture(scope="module")
def others(demo: None) -> list[Visit]:
    """What strangers and builders can read."""
    return visits_of_others()


def look(browser: Browser, visits: list[Visit], *, width: int, colors: str = "light") -> dict[str, list[str]]:
    """Return what axe finds on each page, and what it finds on the second look that a page's forms have."""
    windows: dict[int, Page] = {}
    found = {}
    for visit in visits:
        key = id(visit.client)
        if key not in windows:
            windows[key] = open_browser(browser, visit.client, width=width, colors=colors)
        page = windows[key]
        page.goto(visit.address)
        found[f"{visit.name} {visit.address}"] = findings(page)
        if page.locator("[data-confirm]").count():
            page.evaluate("document.getElementById('confirm').showModal()")
            found[f"{visit.name} {visit.address}, second look"] = findings(page, "#confirm")
    for page in windows.values():
        page.context.close()
    return {where: what for where, what in found.items() if what}


def findings(page: Page, part: str | None = None) -> list[str]:
    """What axe finds on a page, or in a part of it that lies over the rest."""
    return [
        f"{rule['id']}: {node['target']} {node['failureSummary']}"
        for rule in Axe().run(page, part, OPTIONS).response["violations"]
        for node in rule["nodes"]
    ]


def test_no_kind_of_page_is_left_out(visits: dict[str, list[Visit]]) -> None:
    seen = {visit.name for of_one in visits.values() for visit in of_one} | OTHERS
    clients = [signed_in(role) for role in Role.values]
    left = {r.name for r in ROUTES if r.name not in seen and not is_no_page(r, clients)}
    assert left <= NO_PAGES | NOT_IN_THE_DEMO


def test_each_kind_of_page_in_a_wide_window(browser: Browser, visits: dict[str, list[Visit]]) -> None:
    assert look(browser, each_kind(visits), width=WIDE) == {}


def test_pages_of_strangers_and_builders(browser: Browser, others: list[Visit]) -> None:
    assert {visit.name for visit in others} >= OTHERS - {"quotes:your_quote_accept"}
    assert look(browser, others, width=WIDE) == {}


def test_the_checker_finds_what_is_wrong(browser: Browser) -> None:
    page = browser.new_page()
    page.set_content(
        '<html><title>T</title><main><img src="data:,"><p style="color:#999">Pale</p></main></html>'
    )
    assert {found.split(":")[0] for found in findings(page)} == {
        "color-contrast",
        "html-has-lang",
        "image-alt",
    }
    page.close()


def test_slips_of_a_form_are_told_to_all(browser: Browser, visits: dict[str, list[Visit]]) -> None:
    """A form that comes back with messages at its fields."""
    client = visits[STAFF[0]][0].client
    page = open_browser(browser, client, width=WIDE)
    for address in ("/projects/builders/new/", "/projects/new/"):
        page.goto(address)
        page.evaluate("document.querySelector('main form').noValidate = true")
        page.locator("main form button").last.click()
        page.wait_for_selector("[aria-invalid=true]")
        assert findings(page) == []
    page.context.close()


def test_the_second_look_before_accepting(browser: Browser, others: list[Visit]) -> None:
    visit = next(visit for visit in others if visit.name == "quotes:your_quote")
    page = open_browser(browser, visit.client, width=WIDE)
    page.goto(visit.address)
    page.get_by_label("Base offer").check()
    page.get_by_label("Your name").fill("Rae Winter")
    page.get_by_role("button", name="Go on to accept").click()
    page.get_by_role("heading", name="Accept this quote?").wait_for()
    assert findings(page) == []
    page.context.close()


@pytest.mark.full
@pytest.mark.parametrize(("width", "colors"), [(WIDE, "dark"), (NARROW, "light"), (NARROW, "dark")])
@pytest.mark.parametrize("role", STAFF)
def test_every_page_of_staff(browser: Browser, role: str, width: int, colors: str) -> None:
    assert look(browser, visits_of(role, whole=True), width=width, colors=colors) == {}


@pytest.mark.full
@pytest.mark.parametrize(("width", "colors"), [(WIDE, "dark"), (NARROW, "light"), (NARROW, "dark")])
def test_every_page_of_others(browser: Browser, others: list[Visit], width: int, colors: str) -> None:
    assert look(browser, others, width=width, colors=colors) == {}
