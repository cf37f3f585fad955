"""The editor's line to the server: late answers, a line that drops, drafts, two people on one floor, versions."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator

import pytest
from django.contrib.sessions.models import Session
from playwright.sync_api import Browser, Route, expect

from framing.common.actors import person
from framing.common.models import Role
from framing.projects import services
from framing.projects.models import Floor, FloorDraft
from tests.e2e.draw_desk import Desk, saved_floor
from tests.factories import people
from tests.factories import projects as make
from tests.factories.projects import AT

pytestmark = [pytest.mark.e2e, pytest.mark.django_db]
ANSWER, DRAFT = "**/draw/answer/", "**/draw/draft/"


@pytest.fixture
def drawn(browser: Browser) -> Iterator[Desk]:
    """A floor of 24 ft by 14 ft with 17 joists."""
    desk = saved_floor(browser, make.floor())
    yield desk
    assert desk.errors == []
    desk.page.context.close()


def widen(desk: Desk, length: str) -> None:
    """Type a length over the low wall's."""
    desk.page.locator("#draw-canvas").focus()
    desk.keys("Escape")
    desk.click(144, 0)
    desk.type(length)
    desk.keys("Enter")


def test_a_late_answer_never_overwrites_a_newer_one(drawn: Desk) -> None:
    held: list[Route] = []

    def hold_the_first(route: Route) -> None:
        if held:
            route.fallback()
        else:
            held.append(route)

    drawn.page.route(ANSWER, hold_the_first)
    widen(drawn, "20'")
    drawn.page.wait_for_timeout(50)
    widen(drawn, "28'")
    drawn.answer("20 joists and tails, all members pass.")
    assert len(held) == 1
    assert json.loads(held[0].request.post_data or "")["document"]["outline"][1][0] == "20'-0\""
    with drawn.page.expect_response(ANSWER):
        held[0].fallback()
    drawn.page.wait_for_timeout(200)
    drawn.answer("20 joists and tails, all members pass.")
    expect(drawn.page.locator(".pl-member")).to_have_count(20)


def test_the_line_drops_and_comes_back(drawn: Desk) -> None:
    page = drawn.page

    def down(route: Route) -> None:
        route.abort("internetdisconnected")

    page.route("**/draw/**", down)
    widen(drawn, "20'")
    expect(page.locator("#draw-kept")).to_have_text(
        re.compile(r"^Not connected\. What you draw is kept here")
    )
    widen(drawn, "26'")
    page.wait_for_timeout(1200)
    assert not FloorDraft.objects.exists()
    page.unroute("**/draw/**", down)
    drawn.answer(re.compile("^19 joists"))
    expect(page.locator("#draw-kept")).to_have_text(re.compile("^Draft kept at"), timeout=10_000)
    draft = FloorDraft.objects.get()
    assert json.loads(draft.document)["outline"][1] == ["26'-0\"", "0"]


def test_what_could_not_be_sent_is_there_after_a_reload(drawn: Desk) -> None:
    page = drawn.page
    page.route(DRAFT, lambda route: route.abort())
    widen(drawn, "20'")
    drawn.answer(re.compile("^14 joists"))
    page.unroute(DRAFT)  # else the next failure to send is told over the words below, sooner or later
    page.reload()
    drawn.answer(re.compile("^14 joists"))
    drawn.said("What was kept in this browser is back.")


def test_what_was_kept_here_meets_a_version_that_was_saved_since(drawn: Desk) -> None:
    page, floor = drawn.page, Floor.objects.get()
    page.route(DRAFT, lambda route: route.abort())
    widen(drawn, "20'")
    drawn.answer(re.compile("^14 joists"))
    theirs = make.document(floor.name, depth="12'")
    services.floor_save(
        actor=person(floor.project.owner), at=AT, floor=floor, document=theirs, base_version=1
    )
    page.reload()
    drawn.answer(re.compile("^14 joists"))
    drawn.keys("Control+s")
    expect(page.locator("#draw-clash h2")).to_have_text("Version 2 was saved while you drew")


def test_who_was_signed_out_is_told_and_loses_nothing(drawn: Desk) -> None:
    Session.objects.all().delete()
    widen(drawn, "20'")
    expect(drawn.page.locator("#draw-kept")).to_have_text(
        re.compile("^You are signed out. What you draw is kept here")
    )
    kept = drawn.page.evaluate("Object.values(localStorage).join()")
    assert json.loads(kept)["document"]["outline"][1] == ["20'-0\"", "0"]


def test_a_draft_waits_for_its_drawer(drawn: Desk) -> None:
    widen(drawn, "20'")
    expect(drawn.page.locator("#draw-kept")).to_have_text(re.compile("^Draft kept at"))
    drawn.page.reload()
    drawn.answer(re.compile("^14 joists"))
    drawn.save(2)
    assert not FloorDraft.objects.exists()


def test_two_people_on_one_floor_lose_nothing(browser: Browser) -> None:
    floor = make.floor()
    first = saved_floor(browser, floor)
    second = saved_floor(browser, floor, people.user(Role.MANAGER))
    widen(second, "28'")
    expect(second.page.locator("#draw-kept")).to_have_text(re.compile("^Draft kept at"))
    others = second.page.locator("#draw-others")
    expect(others).to_contain_text(f"{floor.project.owner.name} draws on this floor too")

    first.tool("Opening")
    first.drag((96, 60), (132, 108))
    first.answer(re.compile("all members pass"))
    first.save(2)

    second.keys("Control+s")
    clash = second.page.locator("#draw-clash")
    expect(clash.locator("h2")).to_have_text("Version 2 was saved while you drew")
    expect(clash).to_contain_text(floor.project.owner.name)
    clash.get_by_role("button", name="Show theirs on the drawing").click()
    expect(second.page.locator(".pl-ghost-line")).to_have_count(1)
    clash.get_by_role("button", name="Merge both").click()
    expect(clash).to_be_hidden()
    document = second.save(3)
    assert document["outline"][1] == ["28'-0\"", "0"]
    assert [opening["id"] for opening in document["openings"]] == ["O1"]
    for desk in (first, second):
        assert desk.errors == []
        desk.page.context.close()


def test_taking_theirs_and_saving_over_them(browser: Browser) -> None:
    floor = make.floor()
    desk = saved_floor(browser, floor)
    theirs = make.document("Theirs", width="30'")
    services.floor_save(
        actor=person(floor.project.owner), at=AT, floor=floor, document=theirs, base_version=1
    )
    widen(desk, "20'")
    desk.keys("Control+s")
    desk.page.get_by_role("button", name="Take theirs").click()
    desk.answer(re.compile("^22 joists"))
    desk.keys("Control+z")
    desk.answer(re.compile("^14 joists"))
    theirs = make.document("Theirs", width="32'")
    services.floor_save(
        actor=person(floor.project.owner), at=AT, floor=floor, document=theirs, base_version=2
    )
    desk.keys("Control+s")
    desk.page.get_by_role("button", name="Save mine over version 3").click()
    expect(desk.page.locator("#draw-version")).to_have_text("version 4")
    floor.refresh_from_db()
    assert floor.versions.get(number=4).document["outline"][1] == ["20'-0\"", "0"]
    assert desk.errors == []
    desk.page.context.close()


def test_a_version_is_looked_at_compared_and_brought_back(drawn: Desk) -> None:
    widen(drawn, "20'")
    drawn.save(2)
    page = drawn.page
    page.get_by_text("Saved versions").click()
    page.get_by_role("button", name="Version 1", exact=True).click()
    expect(page.locator(".pl-ghost-line")).to_have_count(1)
    expect(page.locator("#draw-version-told")).to_contain_text("Outline changed")
    page.get_by_role("button", name="Bring version 1 back").click()
    expect(page.locator("#draw-version")).to_have_text("version 3")
    drawn.answer(re.compile("^17 joists"))
    page.locator("#draw-canvas").focus()
    drawn.keys("Control+z")
    drawn.answer(re.compile("^14 joists"))


def test_a_floor_that_cannot_be_built_says_why_it_is_not_saved(drawn: Desk) -> None:
    drawn.tool("Opening")
    drawn.drag((270, 60), (330, 96))
    drawn.answer(re.compile("^1 to correct"))
    drawn.keys("Control+s")
    expect(drawn.page.locator("#draw-kept")).to_have_text(re.compile("^Not saved: Opening Stair"))
    assert drawn.page.locator("#draw-version").inner_text() == "version 1"


def test_who_may_only_look_changes_nothing(browser: Browser) -> None:
    desk = saved_floor(browser, make.floor(), people.user(Role.PLANNER))
    assert desk.page.locator("[data-tool-name]").count() == 0
    desk.drag((288, 80), (320, 80))
    desk.keys("Delete", "m", "Control+s")
    assert max(desk.page.locator(".pl-length").all_text_contents()) == "24'-0\""
    desk.keys("Control+e")
    assert desk.page.locator("#draw-table input:enabled").count() == 0
    assert desk.errors == []
    desk.page.context.close()
