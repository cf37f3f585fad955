"""The board of the line plan in a browser: a bundle goes to another day or line by mouse and by keys alone."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from framing.common.actors import SYSTEM
from framing.common.clock import database_now
from framing.common.models import Role
from orders import services
from orders.models import Line, LinePin, LineRun
from tests.e2e.pages import open_browser
from tests.factories import lines, orders, people
from tests.factories.people import client_of

pytestmark = [pytest.mark.e2e, pytest.mark.django_db]
EVERY_DAY = ("6:00-14:30",) * 7
SLOW = "0.2"
"""Feet a minute: the order's bundles fill some days."""


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """The board of a plan in force with two lines and some days, as the planner sees it."""
    orders.released()
    for name in ("North", "South"):
        lines.line(name, speed=SLOW, shifts=EVERY_DAY)
    planner, at = people.actor(Role.PLANNER), database_now()
    asked = services.line_plan_ask(actor=planner, at=at)
    plan = services.line_plan_make(actor=SYSTEM, at=at, plan=asked, go_on=lambda _: True)
    services.line_plan_take(actor=planner, at=at, plan=plan)
    opened = open_browser(browser, client_of(people.user(Role.PLANNER)), width=1280)
    opened.set_viewport_size({"width": 1280, "height": 2400})  # all days in sight, as a mouse needs them
    opened.goto("/orders/lines/")
    yield opened
    opened.context.close()


def movable() -> LineRun:
    """A turn after today, which is frozen."""
    run = LineRun.objects.exclude(day=database_now().date()).order_by("day", "position").last()
    assert run is not None
    return run


def cell_of(page: Page, run: LineRun, line: Line) -> Locator:
    return page.locator(f"[data-drop][data-day='{run.day}'][data-line='{line.public_id}']")


def turn(page: Page, run: LineRun) -> Locator:
    return page.locator(f"[data-move$='/bundles/{run.bundle.public_id}/move/']")


def other_line(run: LineRun) -> Line:
    return Line.objects.exclude(pk=run.line_id).get()


def test_a_bundle_is_dragged_to_the_other_line(page: Page) -> None:
    run = movable()
    line = other_line(run)
    turn(page, run).drag_to(cell_of(page, run, line).locator("h4"))
    expect(page.get_by_role("button", name="Put in force")).to_be_visible()
    pin = LinePin.objects.get()
    assert (pin.bundle, pin.day, pin.line) == (run.bundle, run.day, line)


def test_the_same_by_arrow_keys(page: Page) -> None:
    run = movable()
    line = other_line(run)
    turn(page, run).locator(".line-move").focus()
    key = "ArrowRight" if line.name > run.line.name else "ArrowLeft"
    page.keyboard.press(key)
    expect(cell_of(page, run, line)).to_have_class("line-cell drop-here")
    expect(page.locator("#move-aim")).to_contain_text(f"{line.name}. Enter pins it there")
    page.keyboard.press("Escape")
    expect(page.locator("#move-aim")).to_have_text("")
    assert not LinePin.objects.exists()
    page.keyboard.press(key)
    page.keyboard.press("Enter")
    expect(page.get_by_role("button", name="Put in force")).to_be_visible()
    pin = LinePin.objects.get()
    assert (pin.bundle, pin.day, pin.line) == (run.bundle, run.day, line)


def test_arrows_end_where_no_line_is_and_enter_opens_the_form_as_ever(page: Page) -> None:
    run = movable()
    key = "ArrowLeft" if other_line(run).name > run.line.name else "ArrowRight"
    turn(page, run).locator(".line-move").focus()
    page.keyboard.press(key)
    expect(page.locator("#move-aim")).to_have_text("No open day or line that way.")
    page.keyboard.press("Enter")
    expect(page.get_by_label("Day")).to_be_visible()
    assert not LinePin.objects.exists()
