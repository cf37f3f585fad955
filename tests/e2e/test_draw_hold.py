"""Taking hold of what is drawn: borders, several things at once, corners on walls, an outline drawn anew, loads."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, expect

from framing.common.actors import person
from framing.projects import services
from framing.projects.models import Floor
from tests.e2e.draw_desk import Desk, new_floor, saved_floor
from tests.factories import projects as make

pytestmark = [pytest.mark.e2e, pytest.mark.django_db]
WALL = {"id": "W1", "kind": "wall", "from": ["0", "7'"], "to": ["24'", "7'"]}
STAIR = {"id": "O1", "name": "Stair", "kind": "stair", "corner": ["4'", "2'"], "size": ["4'", "4'"]}
LINE = {"id": "L1", "from": ["16'", "9'"], "to": ["20'", "9'"], "bearing": False, "load_plf": 120}


def floor() -> Floor:
    home = make.project()
    document = make.document() | {"supports": [WALL], "openings": [STAIR], "partitions": [LINE]}
    return services.floor_create(actor=person(home.owner), at=make.AT, project=home, document=document)


@pytest.fixture
def drawn(browser: Browser) -> Iterator[Desk]:
    """A floor of 24 ft by 14 ft with a wall across, a stair and a line load."""
    desk = saved_floor(browser, floor())
    yield desk
    assert desk.errors == []
    desk.page.context.close()


def ring(document: dict[str, Any], bay: int) -> list[str]:
    """The places of a bay's corners across."""
    return sorted({across for across, _ in document["bays"][bay]["outline"]})


def fields(desk: Desk) -> list[list[str]]:
    """Name and text of the lengths that can be typed over."""
    return list(
        desk.page.locator(".pl-dim").evaluate_all("all => all.map(one => [one.ariaLabel, one.value])")
    )


def test_a_bay_border_is_dragged_and_its_place_typed_over(drawn: Desk) -> None:
    drawn.tool("Bay border")
    drawn.click(192, -12)
    drawn.click(192, 180)
    drawn.said("Bay B parted off.")
    drawn.keys("Escape", "Escape")
    drawn.drag((192, 130), (216, 120), release=False)
    assert fields(drawn) == [["Across from the left wall", "18'-0\""]]
    drawn.page.mouse.up()
    drawn.said("Moved.")
    drawn.type("17-6")
    drawn.keys("Enter", "ArrowLeft")  # and an inch back by the arrow key
    document = drawn.save(2)
    assert ring(document, 0) == ['0"', "17'-5\""]
    assert ring(document, 1) == ["17'-5\"", "24'-0\""]


def test_an_outline_is_drawn_anew_over_the_old_one(drawn: Desk) -> None:
    drawn.tool("Outline")
    for corner in ((0, 0), (288, 0), (288, 96), (0, 96)):
        drawn.click(*corner)
    assert drawn.page.locator(".pl-made .pl-length").count() >= 3
    handle = drawn.page.locator(".pl-placed .pl-handle").first
    before = handle.get_attribute("d")
    drawn.keys("+")  # what is placed so far stays in its place on the plan
    assert handle.get_attribute("d") != before
    drawn.keys("a", "Control+z", "Control+Shift+z")  # the last corner goes and comes again
    drawn.said("The place is there again.")
    drawn.page.get_by_role("button", name="Close the outline").click()
    drawn.said("Outline drawn. Not inside it: Partition L1.")
    expect(drawn.page.locator("#draw-selected-name")).to_have_text("Partition L1")
    drawn.keys("Delete")
    drawn.answer(re.compile("all members pass"))
    assert drawn.save(2)["outline"][2] == ["24'-0\"", "8'-0\""]
    drawn.keys("Control+z", "Control+z")
    document = drawn.save(3)
    assert document["outline"][2] == ["24'", "14'"]
    assert [one["id"] for one in document["partitions"]] == ["L1"]


def test_an_outline_that_is_given_up_leaves_the_old_one(drawn: Desk) -> None:
    drawn.begin()
    drawn.keys("l")
    drawn.click(0, 0)
    drawn.click(96, 0)
    drawn.keys("Escape", "Escape")
    expect(drawn.page.locator(".pl-wall")).to_have_count(4)
    expect(drawn.page.get_by_role("button", name="Undo")).to_be_disabled()


def test_a_wall_gets_a_corner_by_double_click_or_key(drawn: Desk) -> None:
    drawn.page.mouse.dblclick(*drawn.px(216, 0))
    drawn.said("Corner added to the wall.")
    expect(drawn.page.locator("#draw-selected-name")).to_have_text("Corner 2")
    drawn.click(288, 130)
    drawn.keys("n")
    document = drawn.save(2)
    assert document["outline"] == [
        ["0", "0"], ["18'-0\"", '0"'], ["24'", "0"], ["24'-0\"", "7'-0\""], ["24'", "14'"], ["0", "14'"],
    ]  # fmt: skip


def test_several_things_are_boxed_and_dragged_together(drawn: Desk) -> None:
    drawn.drag((24, 12), (252, 120))
    expect(drawn.page.locator("#draw-selected-name")).to_have_text("2 things selected")
    drawn.drag((72, 48), (84, 48), release=False)
    expect(drawn.page.locator(".pl-opening.pl-chosen")).to_have_count(1)
    drawn.page.mouse.up()
    drawn.said("2 things moved.")
    document = drawn.save(2)
    assert document["openings"][0]["corner"] == ["5'-0\"", "2'"]
    assert [document["partitions"][0][end][0] for end in ("from", "to")] == ["17'-0\"", "21'-0\""]
    assert document["supports"][0]["from"] == ["0", "7'"]


def test_two_corners_move_with_what_stands_between_them(drawn: Desk) -> None:
    drawn.click(288, 0)
    drawn.page.keyboard.down("Shift")
    drawn.click(288, 168)
    drawn.page.keyboard.up("Shift")
    drawn.keys("Shift+ArrowRight")
    document = drawn.save(2)
    assert [pair[0] for pair in document["outline"]] == ["0", "25'-0\"", "25'-0\"", "0"]
    assert document["supports"][0]["to"] == ["25'-0\"", "7'"]


def test_a_dragged_thing_lines_up_with_others(drawn: Desk) -> None:
    drawn.drag((192, 108), (192, 71), release=False)  # the load's left end near the stair's upper side
    guide = drawn.page.locator(".pl-guide")
    assert guide.get_attribute("d")
    drawn.page.mouse.up()
    assert not guide.get_attribute("d")
    assert drawn.save(2)["partitions"][0]["from"][1] == "6'-0\""


def test_a_point_load_is_set_named_and_moved(browser: Browser) -> None:
    desk = new_floor(browser)
    desk.begin()
    desk.type("24'x14'")
    desk.keys("Enter", "q")
    desk.click(96, 60)
    desk.said("Point load Q1 drawn.")
    desk.keys("Escape")
    expect(desk.page.locator(".pl-spot.pl-chosen")).to_have_count(1)
    expect(desk.page.locator(".pl-name", has_text="Q1 1000 lb")).to_be_visible()
    assert [name for name, _ in fields(desk)] == ["Across from the left wall", "Up from the low wall"]
    desk.drag((96, 60), (120, 60))
    desk.keys("ArrowUp")
    kept = desk.page.evaluate("Object.values(localStorage).join()")
    assert '"point_loads":[{"id":"Q1"' in kept
    assert re.search(r'"at":\["10\'-0\\"","5\'-1\\""\]', kept)
    desk.keys("Delete")
    expect(desk.page.locator(".pl-spot")).to_have_count(0)
    assert desk.errors == []
    desk.page.context.close()
