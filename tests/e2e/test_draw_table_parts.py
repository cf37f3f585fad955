"""Everything that the drawing can do, by keyboard in the tables: each kind of part added, changed and taken away.

What comes of it is read from the draft that the page keeps on the server, which holds floors that can't be built too.
"""

from __future__ import annotations

import json
import re
import time
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, expect

from framing.projects.models import FloorDraft, FloorVersion
from tests.e2e.draw_desk import Desk, saved_floor
from tests.e2e.test_axe import findings
from tests.factories import projects as make
from tests.factories import quotes

pytestmark = [pytest.mark.e2e, pytest.mark.django_db]
PATIENCE_S = 15.0
NOTHING = "nothing"


@pytest.fixture
def tables(browser: Browser) -> Iterator[Desk]:
    """The tables of a floor of 24 ft by 14 ft with one bay, A."""
    desk = saved_floor(browser, make.floor())
    desk.keys("Control+e")
    expect(desk.page.locator("#draw-table")).to_be_visible()
    yield desk
    assert desk.errors == []
    desk.page.context.close()


def at(document: Any, path: str) -> Any:
    """What stands at a path such as `openings.0.size.1`; NOTHING where the path leads nowhere."""
    for step in path.split("."):
        if isinstance(document, list):
            document = document[int(step)] if int(step) < len(document) else NOTHING
        else:
            document = document.get(step, NOTHING) if isinstance(document, dict) else NOTHING
    return document


def newest() -> Any:
    """The draft's document; a draft that is equal to the saved version is none."""
    draft = FloorDraft.objects.first()
    return json.loads(draft.document) if draft else FloorVersion.objects.latest("number").document


def drafted(desk: Desk, path: str, value: Any) -> None:
    """Wait until the draft on the server has the value at the path."""
    end = time.monotonic() + PATIENCE_S
    found: Any = NOTHING
    while time.monotonic() < end:
        found = at(newest(), path)
        if found == value:
            return
        desk.page.wait_for_timeout(100)  # the page's requests are answered meanwhile
    assert found == value, path


def press(desk: Desk, words: str) -> None:
    """A button of the tables, by the Enter key."""
    desk.page.locator("#draw-table").get_by_role("button", name=words, exact=True).press("Enter")


def put(desk: Desk, label: str, value: str | int) -> None:
    """Type into a field, or go to the choice with that number by the arrow key."""
    field = desk.page.locator("#draw-table").get_by_label(label, exact=True)
    field.focus()
    if isinstance(value, int):
        desk.keys("Home", *["ArrowDown"] * value)
    else:
        desk.keys("Control+a", "Delete")
        desk.type(value)
    desk.keys("Tab")


PARTS: dict[str, tuple[str, str, list[tuple[str, str | int, str, Any]], str]] = {
    "corner": (
        "Add a corner",
        "outline.4",
        [("Corner 5, across", "-2'", "outline.4.0", "-2'"), ("Corner 5, up", "7-6", "outline.4.1", "7-6")],
        "Corner 5",
    ),
    "bearing": (
        "Add a bearing",
        "supports.0",
        [
            ("Bearing wall W1, from, up", "6'", "supports.0.from.1", "6'"),
            ("Bearing wall W1, to, up", "6'", "supports.0.to.1", "6'"),
            ("Bearing wall W1, width", '5 1/2"', "supports.0.width", '5 1/2"'),
            ("Bearing wall W1, joists over it", 2, "supports.0.joint", "through"),
            ("Bearing wall W1, kind", 1, "supports.0.kind", "beam"),
            ("Beam W1, name", "G7", "supports.0.id", "G7"),
        ],
        "Beam G7",
    ),
    "opening": (
        "Add an opening",
        "openings.0",
        [
            ("Opening O1, kind", 1, "openings.0.kind", "shaft"),
            ("Opening O1, low corner, across", "8'", "openings.0.corner.0", "8'"),
            ("Opening O1, low corner, up", "5'", "openings.0.corner.1", "5'"),
            ("Opening O1, width", "3'", "openings.0.size.0", "3'"),
            ("Opening O1, depth", "40", "openings.0.size.1", "40"),
            ("Opening O1, name", "Lift", "openings.0.name", "Lift"),
        ],
        "Opening Lift",
    ),
    "partition": (
        "Add a partition",
        "partitions.0",
        [
            ("Partition P1, from, across", "2'", "partitions.0.from.0", "2'"),
            ("Partition P1, to, across", "20'", "partitions.0.to.0", "20'"),
            ("Partition P1, bears load", 1, "partitions.0.bearing", True),
            ("Partition P1, load, plf", "250", "partitions.0.load_plf", 250),
        ],
        "Partition P1",
    ),
    "point load": (
        "Add a point load",
        "point_loads.0",
        [
            ("Point load Q1, across", "3'", "point_loads.0.at.0", "3'"),
            ("Point load Q1, up", "4'", "point_loads.0.at.1", "4'"),
            ("Point load Q1, dead load, lb", "300", "point_loads.0.dead_lb", 300),
            ("Point load Q1, live load, lb", "1200", "point_loads.0.live_lb", 1200),
            ("Point load Q1, name", "Post", "point_loads.0.name", "Post"),
        ],
        "Point load Post",
    ),
    "bay": (
        "Add a bay",
        "bays.1",
        [
            ("Bay B1, joists run", 1, "bays.1.direction", "x"),
            ("Bay B1, count from", 1, "bays.1.start", "high"),
            ("Bay B1, spacing", 3, "bays.1.spacing", "24"),
            ("Bay B1, first joist at", "8", "bays.1.offset", "8"),
            ("Bay B1, plies", 1, "bays.1.plies", 2),
            ("Bay B1, corners", "0, 0; 8', 0; 8', 14'; 0, 14'", "bays.1.outline.2", ["8'", "14'"]),
            ("Bay B1, name", "Hall", "bays.1.id", "Hall"),
        ],
        "Bay Hall",
    ),
    "fixed plies": (
        "Fix the plies of a member",
        "overrides.plies.0",
        [
            ("Fixed plies 1, of", "A.J3", "overrides.plies.0.of", "A.J3"),
            ("Fixed plies 1, member", 4, "overrides.plies.0.part", "joist"),
            ("Fixed plies 1, plies", 2, "overrides.plies.0.plies", 3),
        ],
        "Fixed plies 1",
    ),
}


@pytest.mark.parametrize("part", PARTS)
def test_a_part_is_added_changed_and_taken_away(tables: Desk, part: str) -> None:
    add, path, changes, name = PARTS[part]
    press(tables, add)
    focused = tables.page.evaluate("document.activeElement.dataset.path")
    assert focused.startswith(path)  # the new row's first field
    for label, value, *_ in changes:
        put(tables, label, value)
    drafted(tables, *changes[-1][2:])
    assert [at(newest(), field) for *_, field, _ in changes] == [kept for *_, kept in changes]
    press(tables, f"Take away {name}")
    drafted(tables, path, NOTHING)
    press(tables, "Undo")
    drafted(tables, *changes[-1][2:])


def test_walls_around_are_told_what_they_do(tables: Desk) -> None:
    put(tables, "Wall 2, what it does", 3)
    put(tables, "Wall 4, wall width", "6")
    put(tables, "Wall 1, length", "20'")
    drafted(tables, "outline.1.0", "20'-0\"")
    assert at(newest(), "edges.0") == {"edge": 1, "kind": "free", "width": None}
    assert at(newest(), "edges.1") == {"edge": 3, "kind": None, "width": "6"}
    put(tables, "Wall 2, what it does", 0)
    put(tables, "Wall 4, wall width", "")
    drafted(tables, "edges", [])


def test_the_floor_and_its_loads(tables: Desk) -> None:
    fields: list[tuple[str, str | int, str, Any]] = [
        ("This floor, name", "Loft", "name", "Loft"),
        ("This floor, level", "3", "level", "3"),
        ("This floor, equal floors", "4", "repeat", 4),
        ("Whole floor, live load, psf", "50", "load_case.live_psf", 50),
        ("Whole floor, partitions, psf", "15", "load_case.partition_psf", 15),
        (
            "Whole floor, dead load, psf",
            "Oak 4; Tile 6.5",
            "load_case.layers.1",
            {"name": "Tile", "psf": 6.5},
        ),
        ("Bay A, loads", 1, "bays.0.load_case.partition_psf", 15),  # those of the whole floor, to be changed
        ("Loads of bay A, live load, psf", "60", "bays.0.load_case.live_psf", 60),
    ]
    for label, value, *_ in fields:
        put(tables, label, value)
    drafted(tables, *fields[-1][2:])
    assert [at(newest(), path) for *_, path, _ in fields] == [kept for *_, kept in fields]
    put(tables, "This floor, units", 1)
    drafted(tables, "units", "metric")
    drafted(tables, "outline.2", ["24'", "14'"])  # says its unit itself
    drafted(tables, "bays.0.spacing", '16"')
    press(tables, "Take away Loads of bay A")
    drafted(tables, "bays.0.load_case", None)
    use = tables.page.locator("#draw-table").get_by_label("Whole floor, use", exact=True)
    use.focus()
    tables.keys("Home")
    drafted(tables, "load_case.occupancy", use.input_value())


def test_bare_lengths_are_written_anew_in_other_units(browser: Browser) -> None:
    desk = saved_floor(browser, make.floor(width="288", depth="168"))
    desk.keys("Control+e")
    put(desk, "This floor, units", 1)
    drafted(desk, "outline.2", ["7315 mm", "4267 mm"])
    desk.answer(re.compile("^17 joists and tails"))
    put(desk, "This floor, units", 0)
    drafted(desk, "units", "imperial")
    desk.answer(re.compile("^17 joists and tails"))
    desk.page.context.close()


def test_copy_mirror_and_turn_are_buttons_beside_the_tables(tables: Desk) -> None:
    press(tables, "Add an opening")
    expect(tables.page.locator("#draw-table-told")).to_have_text("Opening O1 is selected.")
    press(tables, "Copy")
    drafted(tables, "openings.1.id", "O2")
    tables.page.get_by_label("This floor, name", exact=True).focus()
    expect(tables.page.locator("#draw-table-told")).to_contain_text("take the floor")
    press(tables, "Turn")
    drafted(tables, "bays.0.direction", "x")
    press(tables, "Mirror")
    drafted(tables, "bays.0.direction", "x")
    press(tables, "Undo")
    press(tables, "Undo")
    drafted(tables, "bays.0.direction", "y")
    press(tables, "Redo")
    drafted(tables, "bays.0.direction", "x")


def test_every_field_has_a_name_of_its_own(tables: Desk) -> None:
    for add, *_ in PARTS.values():
        press(tables, add)
    names = tables.page.locator("#draw-table [data-field]").evaluate_all(
        "all => all.map((one) => [one.ariaLabel, Boolean(byId(one.getAttribute('aria-describedby')))])".replace(
            "byId", "document.getElementById"
        )
    )
    assert len(names) > 60
    assert len({name for name, _ in names}) == len(names)
    assert all(name and described for name, described in names)
    buttons = tables.page.locator("#draw-table button[data-go]:visible").evaluate_all(
        "all => all.map((one) => one.ariaLabel)"
    )
    assert len(set(buttons)) == len(buttons) > 8
    assert findings(tables.page) == []


def test_bill_lines_and_what_is_drawn_light_each_other(browser: Browser) -> None:
    desk = saved_floor(browser, make.floor())
    page = desk.page
    desk.begin()
    for _ in range(12):
        desk.keys(".")
        if page.locator("#draw-selected-name").inner_text() == "Wall 1":
            break
    expect(page.locator("#draw-member")).to_have_text("Wall 1. The lit lines of the bill count it.")
    lit = page.locator("#draw-bill tr.selected")
    expect(lit.filter(has_text="bearing clip")).to_have_count(1)
    expect(page.locator("#draw-bill tr").filter(has_text="screw").first).to_be_visible()
    assert lit.count() < page.locator("#draw-bill tr").count()
    clips = page.locator("#draw-bill tr", has_text="bearing clip").first.get_by_role("button")
    clips.focus()
    expect(page.locator(".pl-lit-spot")).to_have_count(34)
    page.locator("#draw-canvas").focus()
    expect(page.locator(".pl-lit-spot")).to_have_count(0)
    expect(page.locator("#draw-member")).to_have_text("Wall 1. The lit lines of the bill count it.")
    clips.focus()
    desk.keys("Enter")
    expect(clips).to_have_attribute("aria-pressed", "true")
    desk.said(re.compile("34 places lit on the plan"))
    desk.keys("Shift+Tab")
    expect(page.locator(".pl-lit-spot")).to_have_count(34)
    assert desk.errors == []
    page.context.close()


def test_options_tell_what_they_cost_against_what_is_drawn(browser: Browser) -> None:
    quotes.price_book()
    desk = saved_floor(browser, make.floor())
    page = desk.page
    prices = page.locator("#draw-options .option-price")
    expect(page.locator("#draw-options .chosen .option-price")).to_have_text(
        re.compile(r"^\$[\d,]+$"), timeout=30_000
    )
    texts = [text for text in prices.all_inner_texts() if text]
    assert any(text.startswith("+$") for text in texts)
    assert sum(text.startswith("$") for text in texts) == 1
    total = page.locator("#draw-price .grand").inner_text()
    drawn = page.locator("#draw-options .chosen .option-price").inner_text()
    assert abs(float(total.replace(",", "")) - float(drawn.strip("$").replace(",", ""))) <= 0.5
    assert desk.errors == []
    page.context.close()
