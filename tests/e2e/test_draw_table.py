"""The same floor as tables, by keyboard alone; both views stay in step. And the editor through axe-core."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, expect

from tests.e2e.draw_desk import Desk, new_floor, saved_floor
from tests.e2e.test_axe import NARROW, WIDE, findings
from tests.factories import projects as make

pytestmark = [pytest.mark.e2e, pytest.mark.django_db]


OTHER_LOOKS = [(WIDE, "dark"), (NARROW, "light"), (NARROW, "dark")]


@pytest.fixture
def tables(browser: Browser) -> Iterator[Desk]:
    """The tables of a floor of 24 ft by 14 ft."""
    desk = saved_floor(browser, make.floor())
    desk.keys("Control+e")
    expect(desk.page.locator("#draw-table")).to_be_visible()
    yield desk
    assert desk.errors == []
    desk.page.context.close()


def fill(desk: Desk, label: str, text: str) -> None:
    field = desk.page.get_by_label(label, exact=True)
    field.focus()
    desk.keys("Control+a")
    desk.type(text)
    desk.keys("Tab")


def test_every_part_of_the_document_has_a_field(tables: Desk) -> None:
    for words in (
        "Add a bearing",
        "Add an opening",
        "Add a partition",
        "Add a point load",
        "Fix the plies of a member",
    ):
        tables.page.get_by_role("button", name=words).click()
    tables.page.get_by_label("Bay A, loads", exact=True).select_option("own")
    paths = set(
        tables.page.locator("#draw-table [data-path]").evaluate_all("all => all.map(one => one.dataset.path)")
    )
    wanted = {
        "name", "level", "repeat", "units", "outline.3.1", "supports.0.kind", "supports.0.from.0",
        "supports.0.to.1", "supports.0.width", "supports.0.joint", "openings.0.name", "openings.0.kind",
        "openings.0.corner.0", "openings.0.size.1", "partitions.0.bearing", "partitions.0.load_plf",
        "partitions.0.to.0", "bays.0.id", "bays.0.direction", "bays.0.start", "bays.0.spacing",
        "bays.0.offset", "bays.0.profile", "bays.0.plies", "bays.0.outline", "load_case.occupancy",
        "load_case.live_psf", "load_case.partition_psf", "load_case.layers", "bays.0.load_case",
        "bays.0.load_case.live_psf",
        "point_loads.0.name", "point_loads.0.at.1", "point_loads.0.dead_lb", "point_loads.0.live_lb",
        "overrides.plies.0.of", "overrides.plies.0.part", "overrides.plies.0.plies",
    }  # fmt: skip
    assert wanted <= paths
    for words in ("what it does", "wall width", "length"):
        assert tables.page.get_by_label(f"Wall 3, {words}", exact=True).count() == 1


def test_cells_change_the_drawing_and_the_drawing_changes_cells(tables: Desk) -> None:
    page = tables.page
    fill(tables, "Wall 1, length", "20'")
    tables.answer(re.compile("^14 joists"))
    expect(page.get_by_label("Corner 2, across", exact=True)).to_have_value("20'-0\"")
    assert page.evaluate("document.activeElement.getAttribute('aria-label')") == "Wall 2, what it does"
    fill(tables, "Corner 3, up", "15-6")
    tables.answer(re.compile("all members pass"))
    page.get_by_role("button", name="Add an opening").click()
    tables.answer(re.compile(r"^\d+ joists"))
    tables.keys("Control+e")
    expect(page.locator(".pl-opening")).to_have_count(1)
    tables.begin()
    tables.keys("Escape", "m")  # the new row has the focus and so is selected
    tables.said("Floor mirrored.")  # the server's word
    tables.keys("Control+e")
    expect(page.get_by_label("Opening O1, low corner, across", exact=True)).to_have_value("12'-0\"")


def test_a_length_that_is_none_is_told_and_stays(tables: Desk) -> None:
    fill(tables, "Corner 2, across", "24 cm")
    field = tables.page.get_by_label("Corner 2, across", exact=True)
    expect(field).to_have_attribute("aria-invalid", "true")
    expect(field).to_have_value("24 cm")
    tables.said(re.compile("units are ', ft"))
    fill(tables, "Corner 2, across", "24 ft")
    expect(field).not_to_have_attribute("aria-invalid", "true")
    tables.answer(re.compile("^17 joists"))


def test_a_refusal_stands_in_its_row(tables: Desk) -> None:
    page = tables.page
    page.get_by_role("button", name="Add an opening").click()
    fill(tables, "Opening O1, low corner, across", "23'")
    row = page.locator('[data-row="openings.0"]')
    expect(row.locator(".pl-row-error")).to_contain_text("outside")
    assert row.get_attribute("class") == "selected"
    row.get_by_role("button", name="Take away Opening O1").click()
    tables.answer("17 joists and tails, all members pass.")


def test_an_option_is_taken_in_the_panel(tables: Desk) -> None:
    tables.page.get_by_role("button", name=re.compile("at 24 in: .* lb of steel")).first.click()
    tables.answer(re.compile("^1[12] joists"))
    document = tables.save(2)
    assert document["bays"][0]["spacing"] == "24"
    assert document["bays"][0]["profile"]


@pytest.mark.parametrize(
    ("width", "colors"),
    [(WIDE, "light"), *(pytest.param(*case, marks=pytest.mark.full) for case in OTHER_LOOKS)],
)
def test_axe_finds_nothing_in_any_state(browser: Browser, width: int, colors: str) -> None:
    desk = saved_floor(browser, make.floor(), width=width, colors=colors)
    page = desk.page
    assert findings(page) == []
    page.locator("#draw-canvas").focus()
    desk.keys("Control+a")
    assert findings(page) == []
    desk.keys("Escape", "o")
    desk.drag((260, 60), (330, 96))
    desk.answer(re.compile("^1 to correct"))
    assert findings(page) == []
    page.get_by_text("Saved versions").click()
    page.get_by_role("button", name="Version 1", exact=True).click()
    desk.keys("Control+e")
    expect(page.locator("#draw-table .pl-row-error", has_text="outside")).to_be_visible()
    assert findings(page) == []
    page.evaluate("document.getElementById('draw-sheet').showModal()")
    assert findings(page, "#draw-sheet") == []
    assert desk.errors == []
    page.context.close()


def test_axe_finds_nothing_on_an_empty_page(browser: Browser) -> None:
    desk = new_floor(browser)
    assert findings(desk.page) == []
    desk.tool("Outline")
    desk.click(0, 0)
    desk.click(96, 0)
    desk.click(96, 96)
    assert findings(desk.page) == []
    desk.page.context.close()
