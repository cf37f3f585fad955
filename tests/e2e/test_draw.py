"""Drawing a floor with real mouse and keyboard."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, expect

from framing.projects.models import Floor
from tests.e2e.draw_desk import Desk, new_floor, saved_floor
from tests.factories import projects as make

pytestmark = [pytest.mark.e2e, pytest.mark.django_db]
PASSES = re.compile(r"^\d+ joists and tails, all members pass\.$")


@pytest.fixture
def empty(browser: Browser) -> Iterator[Desk]:
    desk = new_floor(browser)
    yield desk
    assert desk.errors == []
    desk.page.context.close()


@pytest.fixture
def drawn(browser: Browser) -> Iterator[Desk]:
    """A floor of 24 ft by 14 ft with 17 joists."""
    desk = saved_floor(browser, make.floor())
    yield desk
    assert desk.errors == []
    desk.page.context.close()


def corners(desk: Desk) -> list[str]:
    """The lengths that stand at the walls."""
    return desk.page.locator(".pl-length").all_text_contents()


def test_a_rectangle_with_a_stair_takes_at_most_25_actions(empty: Desk) -> None:
    empty.begin()
    empty.type("24'x14'")
    empty.keys("Enter")
    empty.answer("17 joists and tails, all members pass.")
    empty.keys("o")
    empty.drag((96, 60), (96 + 120, 60 + 42))
    empty.answer(re.compile(r"^\d+ joists and tails, "))
    expect(empty.page.locator(".pl-header")).to_have_count(2)
    document = empty.save(1)
    assert empty.actions <= 25
    assert document["outline"] == [['0"', '0"'], ["24'-0\"", '0"'], ["24'-0\"", "14'-0\""], ['0"', "14'-0\""]]
    assert document["openings"] == [
        {
            "id": "O1",
            "name": "Stair",
            "kind": "stair",
            "corner": ["8'-0\"", "5'-0\""],
            "size": ["10'-0\"", "3'-6\""],
        }
    ]
    assert re.search(r"/projects/floors/\w+/draw/$", empty.page.url)


def test_an_l_by_clicks_typed_lengths_and_the_first_corner(empty: Desk) -> None:
    empty.tool("Outline")
    empty.click(0, 0)
    empty.click(288, 3)  # the cursor keeps square to the last corner
    empty.type("12'")
    empty.keys("ArrowUp")
    empty.type("8' left")
    empty.keys("Enter")
    empty.type("6-0")
    empty.keys("ArrowUp")
    empty.type("16' ←")
    empty.keys("Enter")
    expect(empty.page.locator("#draw-finish")).to_be_visible()
    empty.click(0, 0)
    empty.answer(PASSES)
    document = empty.save(1)
    assert document["outline"] == [
        ['0"', '0"'], ["24'-0\"", '0"'], ["24'-0\"", "12'-0\""],
        ["16'-0\"", "12'-0\""], ["16'-0\"", "18'-0\""], ['0"', "18'-0\""],
    ]  # fmt: skip


def test_a_corner_is_dragged_and_its_length_typed_over(drawn: Desk) -> None:
    drawn.drag((288, 168), (324, 192))
    assert sorted(corners(drawn)) == ["16'-0\"", "16'-0\"", "27'-0\"", "27'-0\""]
    fields = drawn.page.locator(".pl-dim")
    assert fields.evaluate_all("all => all.map(one => [one.ariaLabel, one.value])") == [
        ["Length of wall 2", "16'-0\""],
        ["Length of wall 3", "27'-0\""],
    ]
    drawn.type("15'")  # digits go to the first length
    drawn.keys("Tab")
    drawn.keys("Control+a")
    drawn.type("26-6")
    drawn.keys("Enter")
    drawn.answer(PASSES)
    assert drawn.save(2)["outline"] == [
        ["0", "0"],
        ["26'-6\"", "0"],
        ["26'-6\"", "15'-0\""],
        ["0", "15'-0\""],
    ]


def test_a_length_is_typed_over_while_the_drag_goes_on(drawn: Desk) -> None:
    drawn.drag((288, 80), (320, 80), release=False)
    assert "26'-9\"" in corners(drawn)
    drawn.type("14-6")  # the wall's own length is the first one
    drawn.keys("Enter")
    drawn.page.mouse.up()
    drawn.answer(PASSES)
    assert drawn.save(2)["outline"] == [
        ["0", "0"],
        ["26'-9\"", "0"],
        ["26'-9\"", "14'-6\""],
        ["0", "14'-6\""],
    ]


def test_walls_keep_what_stands_between_them(drawn: Desk) -> None:
    drawn.tool("Bearing wall")
    drawn.click(0, 84)
    drawn.click(288, 84)
    drawn.answer(re.compile(r"^34 joists"))
    drawn.keys("Escape", "Escape")
    drawn.drag((288, 40), (312, 40))
    document = drawn.save(2)
    assert document["outline"][1] == ["26'-0\"", "0"]
    assert document["supports"][0]["to"] == ["26'-0\"", "7'-0\""]


def test_everything_can_be_undone_and_done_again(drawn: Desk) -> None:
    page = drawn.page
    drawn.begin()
    drawn.keys("o")
    drawn.drag((96, 48), (140, 96))
    drawn.keys("Escape", "w")
    drawn.drag((0, 120), (288, 120))
    drawn.keys("Escape")
    expect(page.locator(".pl-support")).to_have_count(1)
    drawn.keys("m", "t")
    lengths = corners(drawn)
    for count in (1, 1, 1, 0):
        drawn.keys("Control+z")
        expect(page.locator(".pl-opening")).to_have_count(
            1 if count or page.locator(".pl-support").count() else 0
        )
    expect(page.locator(".pl-opening")).to_have_count(0)
    expect(page.get_by_role("button", name="Undo")).to_be_disabled()
    drawn.said("Undone: Opening O1 drawn.")
    drawn.keys("Control+Shift+z", "Control+Shift+z", "Control+y", "Control+y")
    expect(page.locator(".pl-support")).to_have_count(1)
    assert corners(drawn) == lengths
    expect(page.get_by_role("button", name="Redo")).to_be_disabled()


def test_copy_mirror_turn_and_take_away(drawn: Desk) -> None:
    drawn.tool("Opening")
    drawn.drag((36, 60), (72, 96))
    drawn.keys("Escape")
    drawn.click(54, 70)
    drawn.keys("c")
    expect(drawn.page.locator(".pl-opening")).to_have_count(2)
    drawn.keys("Control+z", "Escape", "m")
    drawn.said("Floor mirrored.")
    document = drawn.save(2)
    assert document["openings"][0]["corner"] == ["18'-0\"", "5'-0\""]
    assert document["bays"][0]["start"] == "high"
    drawn.keys("t")
    drawn.said("Floor turned.")
    document = drawn.save(3)
    assert (document["bays"][0]["direction"], document["bays"][0]["start"]) == ("x", "high")
    assert document["openings"][0]["size"] == ["3'-0\"", "3'-0\""]
    drawn.keys("Control+a", "Shift+ArrowRight")
    moved = drawn.save(4)
    assert sorted({x for x, _ in moved["outline"]}) == ["1'-0\"", "15'-0\""]
    drawn.keys("Escape", ",")
    drawn.said("Bay A selected")


def test_the_kind_of_a_wall_and_a_bay_border(drawn: Desk) -> None:
    page = drawn.page
    drawn.click(144, 0)
    page.get_by_label("What it does").select_option("balloon")
    drawn.answer(PASSES)
    expect(page.locator(".pl-wall.pl-balloon")).to_have_count(1)
    drawn.tool("Bay border")
    drawn.click(144, -12)
    drawn.click(144, 180)
    drawn.said("Bay B parted off.")
    drawn.answer(PASSES)
    document = drawn.save(2)
    assert [bay["id"] for bay in document["bays"]] == ["A", "B"]
    assert document["edges"] == [{"edge": 0, "kind": "balloon", "width": None}]
    drawn.page.locator("#draw-canvas").focus()
    drawn.keys("Escape", ",", "Delete")
    drawn.answer(PASSES)
    assert drawn.save(3)["bays"][0]["outline"] is None


def test_a_problem_stands_where_it_is(drawn: Desk) -> None:
    drawn.tool("Opening")
    drawn.drag((270, 60), (330, 96))
    drawn.answer(re.compile(r"^1 to correct: Opening Stair"))
    expect(drawn.page.locator(".pl-mark-bad title")).to_have_text(re.compile("Opening Stair"))
    expect(drawn.page.locator(".pl-call")).to_have_text(re.compile("Opening Stair"))
    assert drawn.page.locator(".pl-frame").get_attribute("class") == "pl-frame pl-old"
    expect(drawn.page.locator("#draw-price")).to_be_hidden()
    expect(drawn.page.locator("#draw-stale")).to_be_visible()
    drawn.page.get_by_role("button", name="Show Opening Stair").click()
    expect(drawn.page.locator("#draw-selected-name")).to_have_text("Opening Stair")
    drawn.keys("Delete")
    drawn.answer("17 joists and tails, all members pass.")
    assert drawn.page.locator(".pl-frame").get_attribute("class") == "pl-frame"


def test_a_bill_line_and_a_joist_light_each_other(drawn: Desk) -> None:
    page = drawn.page
    line = page.locator("#draw-bill tr", has_text="bearing clip").first
    line.hover()
    expect(page.locator(".pl-lit-spot")).to_have_count(34)
    page.locator("h1").hover()
    expect(page.locator(".pl-lit-spot")).to_have_count(0)
    drawn.click(96, 60)
    expect(page.locator("#draw-member")).to_contain_text("Joist 1J01")
    expect(line).to_have_class("selected")
    assert Floor.objects.get().version == 1


def test_a_metric_floor_is_typed_in_millimetres(browser: Browser) -> None:
    desk = new_floor(browser, make.project(units="metric"))
    desk.begin()
    desk.type("7315 x 4267")
    desk.keys("Enter")
    desk.answer(PASSES)
    desk.tool("Bearing wall")
    desk.click(0, 84)
    desk.type("7315 mm")
    desk.keys("ArrowRight")
    desk.answer(re.compile(r"^34 joists"))
    document = desk.save(1)
    assert document["outline"][2] == ["7315 mm", "4267 mm"]
    assert [document["supports"][0][end][0] for end in ("from", "to")] == ["0 mm", "7315 mm"]
    assert desk.errors == []
    desk.page.context.close()
