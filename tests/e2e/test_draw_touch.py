"""The editor under fingers: draw, drag, pan and pinch."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Browser, CDPSession, expect

from tests.e2e.draw_desk import MATRIX, Desk
from tests.e2e.pages import ORIGIN, answer_by
from tests.factories import projects as make

pytestmark = [pytest.mark.e2e, pytest.mark.django_db]
Spot = tuple[float, float]


class Fingers:
    """Touches by the browser's own protocol; places are window pixels."""

    def __init__(self, desk: Desk, session: CDPSession) -> None:
        self.desk, self.session = desk, session

    def _send(self, kind: str, *spots: Spot) -> None:
        points: list[dict[str, Any]] = [{"x": x, "y": y, "id": i} for i, (x, y) in enumerate(spots)]
        self.session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    def tap(self, spot: Spot) -> None:
        self._send("touchStart", spot)
        self._send("touchEnd")

    def drag(self, start: Spot, end: Spot) -> None:
        self._send("touchStart", start)
        for share in (0.3, 0.7, 1):
            self._send("touchMove", tuple(a + (b - a) * share for a, b in zip(start, end, strict=True)))  # type: ignore[arg-type]
        self._send("touchEnd")

    def pinch(self, one: tuple[Spot, Spot], two: tuple[Spot, Spot]) -> None:
        self._send("touchStart", one[0])
        self._send("touchStart", one[0], two[0])
        self._send("touchMove", one[1], two[1])
        self._send("touchEnd")


@pytest.fixture
def tablet(browser: Browser) -> Iterator[tuple[Desk, Fingers]]:
    floor = make.floor()
    client = Client(headers={"host": "localhost"})
    client.force_login(floor.project.owner)
    context = browser.new_context(
        base_url=ORIGIN, viewport={"width": 1024, "height": 768}, has_touch=True, is_mobile=True
    )
    context.route("**/*", answer_by(client))
    page = context.new_page()
    desk = Desk(page)
    page.goto(reverse("projects:floor_draw", args=[floor.public_id]))
    expect(page.locator(".pl-member").first).to_be_attached()
    yield desk, Fingers(desk, context.new_cdp_session(page))
    assert desk.errors == []
    context.close()


def scale(desk: Desk) -> float:
    found = MATRIX.fullmatch(desk.page.locator(".pl-plan").get_attribute("transform") or "")
    assert found is not None
    return float(found[1])


def test_a_finger_draws_and_drags(tablet: tuple[Desk, Fingers]) -> None:
    desk, fingers = tablet
    desk.page.locator(".pl-tool", has_text="Opening").tap()
    fingers.tap(desk.px(96, 60))
    fingers.tap(desk.px(144, 96))
    desk.answer(re.compile("all members pass"))
    expect(desk.page.locator(".pl-opening")).to_have_count(1)
    desk.page.get_by_role("button", name="Stop drawing").tap()
    fingers.drag(desk.px(288, 100), desk.px(324, 100))
    desk.answer(re.compile("all members pass"))
    assert desk.save(2)["outline"][1] == ["27'-0\"", "0"]


def test_fingers_pan_and_pinch_and_change_nothing(tablet: tuple[Desk, Fingers]) -> None:
    desk, fingers = tablet
    before, size = desk.px(0, 0), scale(desk)
    fingers.drag(desk.px(120, -20), desk.px(140, -32))
    after = desk.px(0, 0)
    assert after[0] - before[0] == pytest.approx(20 * size, abs=2)
    assert after[1] - before[1] == pytest.approx(12 * size, abs=2)
    middle = desk.px(144, 84)
    fingers.pinch(
        ((middle[0] - 40, middle[1]), (middle[0] - 80, middle[1])),
        ((middle[0] + 40, middle[1]), (middle[0] + 80, middle[1])),
    )
    assert scale(desk) == pytest.approx(size * 2, rel=0.05)
    desk.page.get_by_role("button", name="Show all").tap()
    assert scale(desk) == pytest.approx(size, rel=0.02)
    expect(desk.page.get_by_role("button", name="Undo")).to_be_disabled()


def test_a_tap_selects_without_calling_the_keyboard(tablet: tuple[Desk, Fingers]) -> None:
    desk, fingers = tablet
    fingers.tap(desk.px(144, 0))
    expect(desk.page.locator("#draw-selected-name")).to_have_text("Wall 1")
    assert desk.page.evaluate("document.activeElement.id") == "draw-canvas"
    desk.page.locator("#draw-add").tap()
    fingers.tap(desk.px(288, 130))
    expect(desk.page.locator("#draw-selected-name")).to_have_text("2 things selected")


def test_a_finger_draws_a_box_around_several(tablet: tuple[Desk, Fingers]) -> None:
    desk, fingers = tablet
    desk.page.get_by_role("button", name="One more").tap()
    fingers.drag(desk.px(-26, -22), desk.px(298, 90))
    expect(desk.page.locator("#draw-selected-name")).to_have_text("2 things selected")
    fingers.drag(desk.px(100, 80), desk.px(140, 100))  # nothing there: another box, no pan
    expect(desk.page.locator("#draw-selected-name")).to_have_text("2 things selected")
    expect(desk.page.get_by_role("button", name="Undo")).to_be_disabled()
