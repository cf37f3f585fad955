"""The plan editor in a browser as a person uses it: places in plan inches, and a count of presses and clicks."""

from __future__ import annotations

import re
from typing import Any

from django.test import Client
from django.urls import reverse
from playwright.sync_api import Browser, Page, expect

from framing.common.models import Role, User
from framing.projects.models import Floor, Project
from tests.e2e.pages import open_browser
from tests.factories import people
from tests.factories import projects as make

MATRIX = re.compile(r"matrix\(([-\d.e]+) 0 0 [-\d.e]+ ([-\d.e]+) ([-\d.e]+)\)")


class Desk:
    """One person at the editor. `actions` counts each press of a key and each click; a drag is one click."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.actions = 0
        self.errors: list[str] = []
        page.on("pageerror", lambda error: self.errors.append(str(error)))

    def px(self, x: float, y: float) -> tuple[float, float]:
        """Where a plan place in inches lies in the window."""
        text = self.page.locator(".pl-plan").get_attribute("transform") or ""
        found = MATRIX.fullmatch(text)
        box = self.page.locator("#draw-canvas").bounding_box()
        assert found is not None
        assert box is not None
        scale, left, top = (float(number) for number in found.groups())
        return box["x"] + 1 + left + x * scale, box["y"] + 1 + top - y * scale

    def click(self, x: float, y: float, **options: Any) -> None:
        self.actions += 1
        self.page.mouse.move(*self.px(x, y))
        self.page.mouse.click(*self.px(x, y), **options)

    def drag(self, start: tuple[float, float], end: tuple[float, float], *, release: bool = True) -> None:
        self.actions += 1
        self.page.mouse.move(*self.px(*start))
        self.page.mouse.down()
        self.page.mouse.move(*self.px((start[0] + end[0]) / 2, (start[1] + end[1]) / 2))
        self.page.mouse.move(*self.px(*end))
        if release:
            self.page.mouse.up()

    def keys(self, *names: str) -> None:
        for name in names:
            self.actions += 1
            self.page.keyboard.press(name)

    def begin(self) -> None:
        """Give the drawing the focus, as the Tab key does in the end; counted as one press."""
        self.actions += 1
        self.page.locator("#draw-canvas").focus()

    def type(self, text: str) -> None:
        for letter in text:
            if letter.isascii():
                self.keys(letter)
            else:  # no key of this keyboard
                self.actions += 1
                self.page.keyboard.insert_text(letter)

    def tool(self, words: str) -> None:
        self.actions += 1
        self.page.locator(".pl-tool", has_text=words).first.click()

    def answer(self, words: str | re.Pattern[str]) -> None:
        """Wait until the answer's sentence is so."""
        expect(self.page.locator("#draw-answered")).to_have_text(words)

    def said(self, words: str | re.Pattern[str]) -> None:
        expect(self.page.locator("#draw-said")).to_have_text(words)

    def save(self, version: int) -> dict[str, Any]:
        """Save and return the document of the version that came of it."""
        self.keys("Control+s")
        if version == 1:
            self.page.wait_for_url("**/floors/*/draw/")
        expect(self.page.locator("#draw-version")).to_have_text(f"version {version}")
        floor = Floor.objects.order_by("-id")[0]
        assert floor.version == version
        return dict(floor.versions.get(number=version).document)


def sit_down(
    browser: Browser, address: str, user: User | None = None, *, width: int = 1400, **options: Any
) -> Desk:
    client = Client(headers={"host": "localhost"})
    client.force_login(user or people.user(Role.SELLER))
    page = open_browser(browser, client, width=width, **options)
    desk = Desk(page)
    page.goto(address)
    expect(page.locator(".pl-plan")).to_have_attribute("transform", MATRIX)
    return desk


def new_floor(browser: Browser, project: Project | None = None, **options: Any) -> Desk:
    """The empty page of a new floor."""
    home = project or make.project()
    return sit_down(browser, reverse("projects:floor_draw_new", args=[home.public_id]), home.owner, **options)


def saved_floor(browser: Browser, floor: Floor, user: User | None = None, **options: Any) -> Desk:
    """The page of a floor that is there, with its members drawn."""
    address = reverse("projects:floor_draw", args=[floor.public_id])
    desk = sit_down(browser, address, user or floor.project.owner, **options)
    expect(desk.page.locator(".pl-member").first).to_be_attached()
    return desk
