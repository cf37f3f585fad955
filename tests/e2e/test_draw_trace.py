"""Tracing a builder's plan on the running product: uploaded, read by the worker, laid under, scaled, traced, saved."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Browser, Locator, Page, expect
from pytest_django.fixtures import Settings

from framing.common.actors import person
from framing.common.clock import database_now
from framing.common.models import Role
from framing.engine.units import parse_length
from framing.projects.models import Floor, FloorUnderlay, PlanPage
from framing.projects.plan_reading import plan_file_settle
from framing.projects.plan_services import floor_underlay_set, plan_file_add, plan_page_place
from tests.e2e.draw_desk import Desk, saved_floor
from tests.e2e.pages import open_browser
from tests.e2e.stack import Stack
from tests.factories import people
from tests.factories import projects as make
from tests.projects import plan_seeds

pytestmark = pytest.mark.e2e

# A townhouse of L shape, in feet from its lower left corner; drawn at 1/4 in to the foot on a sheet of 17 x 11 in.
OUTLINE = [(0, 0), (36, 0), (36, 18), (22, 18), (22, 30), (0, 30)]
WALL = [(0, 18), (22, 18)]
STAIR = [(4, 20), (7.5, 29)]
POINTS_PER_FT = 18
CORNER = (150, 120)
SHEET = (1224, 792)
NEAR_16 = 8
SCALE = 12 * 72 / (200 * POINTS_PER_FT)
"""Inches of the building a pixel: pages are drawn at 200 dots an inch."""
PATIENCE_MS = 30_000


def sheet(x: float, y: float) -> tuple[float, float]:
    """Where a place of the floor lies on the sheet, in points from its lower left corner."""
    return CORNER[0] + x * POINTS_PER_FT, CORNER[1] + y * POINTS_PER_FT


def townhouse() -> bytes:
    """The plan as a PDF: walls as double lines, a stair with treads, a bearing wall, words and a dimension."""
    strokes = ["0.2 0.2 0.2 RG 1.5 w"]
    ring = [sheet(*corner) for corner in OUTLINE]
    strokes.append(" ".join(f"{x} {y} {'l' if n else 'm'}" for n, (x, y) in enumerate(ring)) + " s")
    (ax, ay), (bx, by) = (sheet(*end) for end in WALL)
    strokes.append(f"0.8 w {ax} {ay - 3} m {bx} {by - 3} l S {ax} {ay + 3} m {bx} {by + 3} l S")
    (lx, ly), (hx, hy) = (sheet(*corner) for corner in STAIR)
    strokes.append(f"{lx} {ly} {hx - lx} {hy - ly} re S")
    strokes += [f"{lx} {y} m {hx} {y} l S" for y in range(int(ly) + 15, int(hy), 15)]
    y = ring[0][1] - 30
    strokes.append(f"0.5 w {ring[0][0]} {y} m {ring[1][0]} {y} l S")
    words = [("36'-0\"", ring[0][0] + 310, y + 5), ("STAIR UP", lx + 2, hy + 4), ("LIVING", 480, 250)]
    strokes += [f"BT /F1 12 Tf {x} {at} Td ({text}) Tj ET" for text, x, at in words]
    font = b"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica >>"
    plan = plan_seeds.pdf(
        box=f"0 0 {SHEET[0]} {SHEET[1]}", drawing="\n".join(strokes).encode(), more_objects=[font]
    )
    return plan.replace(b"/Resources << >>", b"/Resources << /Font << /F1 5 0 R >> >>")


class Tracing(Desk):
    """A desk with a plan under the drawing: places of the floor as they are seen on the picture."""

    def seen(self, x: float, y: float) -> tuple[float, float]:
        """Where a place of the floor, in feet, is seen in the window."""
        across, up = sheet(x, y)
        found = self.page.evaluate(
            """([x, y]) => {
              const image = document.querySelector(".pl-under image");
              const [w, h] = ["width", "height"].map((name) => Number(image.getAttribute(name)));
              const at = new DOMPoint(x * w, y * h).matrixTransform(image.getScreenCTM());
              return [at.x, at.y];
            }""",
            [across / SHEET[0], 1 - up / SHEET[1]],
        )
        return found[0], found[1]

    def point(self, x: float, y: float) -> None:
        """Click on a place of the plan as well as whole pixels allow."""
        self.actions += 1
        px = [round(value) for value in self.seen(x, y)]
        self.page.mouse.move(px[0] - 3, px[1] - 2)
        self.page.mouse.click(*px)


@pytest.fixture
def desk(stack: Stack, browser: Browser) -> Iterator[Tracing]:
    stack.start("web")
    stack.start("worker")
    owner = people.user(Role.SELLER, name="Ida")
    context = browser.new_context(base_url=stack.url, viewport={"width": 1400, "height": 900})
    context.set_default_timeout(PATIENCE_MS)
    stack.sign_in(context, owner)
    page = context.new_page()
    page.on("console", lambda line: pytest.fail(line.text) if "Content Security" in line.text else None)
    page.on(
        "request",
        lambda request: (
            None if request.url.startswith((stack.url, "data:", "blob:")) else pytest.fail(request.url)
        ),
    )
    page.goto(reverse("projects:plan_list", args=[make.project(owner).public_id]))
    yield Tracing(page)
    context.close()


def upload(page: Page, folder: Path) -> None:
    """Add the plan by the form and wait until the worker has read it; the page shows it by itself."""
    file = folder / "Lot 7, main floor.pdf"
    file.write_bytes(townhouse())
    page.get_by_label("Add the builder's plan").set_input_files(file)
    page.get_by_role("button", name="Add", exact=True).click()
    expect(page.get_by_role("heading", name="Lot 7, main floor.pdf")).to_be_visible()
    expect(page.get_by_role("link", name="Trace a new floor on this page")).to_be_visible(timeout=PATIENCE_MS)


def near(spot: list[str], wanted: tuple[float, float]) -> None:
    """Hold a corner of the saved document to the plan's, in feet."""
    found = [parse_length(text, "imperial") for text in spot]
    off = [abs(value - side * 192) for value, side in zip(found, wanted, strict=True)]
    assert max(off) <= NEAR_16, f"{spot} is {max(off)} sixteenths off {wanted}"


@pytest.mark.django_db(transaction=True)
def test_a_townhouse_is_traced_over_the_builders_plan(
    desk: Tracing, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    page = desk.page
    upload(page, tmp_path)
    page.get_by_role("link", name="Trace a new floor on this page").click()
    expect(page.locator(".pl-under image")).to_be_attached()
    expect(page.locator("#draw-prompt")).to_contain_text("a length that you know; it becomes the zero point")

    desk.point(0, 0)
    desk.point(36, 0)
    expect(page.locator("#draw-prompt")).to_contain_text("type the true length")
    desk.type("36'")
    desk.keys("Enter")
    desk.said("The scale is set: that length is 36'-0\".")

    expect(page.get_by_role("button", name="Outline")).to_have_attribute("aria-pressed", "true")
    for corner in [*OUTLINE, OUTLINE[0]]:
        desk.point(*corner)
    page.locator("#draw-canvas").focus()
    desk.keys("w")
    desk.point(*WALL[0])
    desk.point(*WALL[1])
    desk.keys("o")
    desk.point(*STAIR[0])
    desk.point(*STAIR[1])
    expect(page.locator(".pl-header").first).to_be_attached()
    page.screenshot(path=tmp_path / "traced.png")
    document = desk.save(1)

    assert len(document["outline"]) == len(OUTLINE)
    for spot, wanted in zip(document["outline"], OUTLINE, strict=True):
        near(spot, wanted)
    (wall,) = document["supports"]
    assert wall["kind"] == "wall"
    for end, wanted in zip((wall["from"], wall["to"]), WALL, strict=True):
        near(end, wanted)
    (stair,) = document["openings"]
    assert stair["kind"] == "stair"
    near(stair["corner"], STAIR[0])
    near(stair["size"], (STAIR[1][0] - STAIR[0][0], STAIR[1][1] - STAIR[0][1]))

    placed = PlanPage.objects.get()
    assert placed.inches_per_px == pytest.approx(SCALE, rel=0.004)
    floor = Floor.objects.get()
    assert floor.underlay.page == placed
    expect(page.locator(".pl-under image")).to_have_attribute(
        "href", reverse("projects:plan_picture", args=[placed.public_id])
    )
    assert desk.errors == []
    with capsys.disabled():
        print(f"\ntraced with {desk.actions} input actions")  # noqa: T201  # what was measured
    assert desk.actions <= 25


# --- the strip, by a browser whose requests are answered in this process ---


@pytest.fixture
def laid(settings: Settings, tmp_path: Path) -> PlanPage:
    """A floor of 24 ft by 14 ft with the townhouse's plan under it, at its scale."""
    settings.PAPERS_DIR = tmp_path
    floor = make.floor()
    actor = person(floor.project.owner)
    plan = plan_file_add(
        actor=actor, at=database_now(), project=floor.project, name="Lot 7.pdf", data=townhouse()
    )
    plan_file_settle(plan.pk)
    page = plan.pages.get()
    floor_underlay_set(actor=actor, floor=floor, page=page)
    return plan_page_place(actor=actor, page=page, placement={"inches_per_px": SCALE})


def strip(desk: Desk, words: str) -> Locator:
    return desk.page.get_by_role("group", name="Plan under the drawing").get_by_role("button", name=words)


def kept(desk: Desk, page: PlanPage, **wanted: Any) -> None:
    """Wait until the page lies so in the database."""
    for _ in range(100):
        page.refresh_from_db()
        found = {name: getattr(page, name) for name in wanted}
        if found == wanted:
            return
        desk.page.wait_for_timeout(50)
    assert found == wanted


def low_corner(desk: Desk) -> tuple[float, float]:
    """Where the picture's lower left corner lies, in plan inches."""
    found = desk.page.evaluate(
        """() => {
          const image = document.querySelector(".pl-under image"), box = image.getBoundingClientRect();
          const plan = document.querySelector(".pl-plan").getScreenCTM().inverse();
          const at = new DOMPoint(box.left, box.bottom).matrixTransform(plan);
          return [at.x, at.y];
        }"""
    )
    return found[0], found[1]


@pytest.mark.django_db
def test_a_plan_is_moved_turned_dimmed_locked_and_hidden_and_lies_so_next_time(
    browser: Browser, laid: PlanPage
) -> None:
    floor = Floor.objects.get()
    desk = saved_floor(browser, floor)
    image = desk.page.locator(".pl-under image")
    assert low_corner(desk) == pytest.approx((0, 0), abs=0.01)

    strip(desk, "Move plan").click()
    desk.click(60.3, 40.7)
    desk.click(60.3 + 48, 40.7 + 24)
    desk.said("The plan is moved.")
    laid.refresh_from_db()
    kept(desk, laid, x_16=laid.x_16)
    assert low_corner(desk) == pytest.approx((48, 24), abs=4)

    before = image.bounding_box()
    strip(desk, "Turn plan").click()
    after = image.bounding_box()
    assert before is not None
    assert after is not None
    assert (after["width"], after["height"]) == pytest.approx((before["height"], before["width"]), abs=0.5)
    middles = [(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2) for box in (before, after)]
    assert middles[0] == pytest.approx(middles[1], abs=0.5)
    kept(desk, laid, quarter_turns=1)
    assert low_corner(desk) == pytest.approx((laid.x_16 / 16, laid.y_16 / 16), abs=0.05)

    desk.page.get_by_label("How plain the plan shows").fill("0.3")
    expect(image).to_have_attribute("opacity", "0.3")
    strip(desk, "Lock plan").click()
    kept(desk, laid, dim=0.3, locked=True)
    for words in ("Set scale", "Move plan", "Turn plan"):
        expect(strip(desk, words)).to_be_disabled()
    strip(desk, "Hide plan").click()
    expect(image).to_have_count(0)
    strip(desk, "Hide plan").click()
    expect(image).to_have_count(1)

    place = image.get_attribute("transform")
    desk.page.reload()
    expect(image).to_have_attribute("transform", place or "")
    expect(image).to_have_attribute("opacity", "0.3")
    expect(strip(desk, "Lock plan")).to_have_attribute("aria-pressed", "true")
    assert Floor.objects.get().version == 1, "nothing of it is in the document"
    assert desk.errors == []
    desk.page.context.close()


@pytest.mark.django_db
def test_a_plan_that_somebody_else_locked_meanwhile_goes_back_and_says_so(
    browser: Browser, laid: PlanPage
) -> None:
    desk = saved_floor(browser, Floor.objects.get())
    plan_page_place(actor=person(people.user(Role.MANAGER)), page=laid, placement={"locked": True})
    strip(desk, "Turn plan").click()
    desk.said(re.compile("locked; unlock it before"))
    expect(strip(desk, "Turn plan")).to_be_disabled()
    expect(strip(desk, "Lock plan")).to_have_attribute("aria-pressed", "true")
    assert low_corner(desk) == pytest.approx((0, 0), abs=0.05)
    desk.page.context.close()


@pytest.mark.django_db
def test_a_plan_is_scaled_by_keyboard_alone(browser: Browser, laid: PlanPage) -> None:
    """Over a drawn floor the first place stays where it is."""
    desk = saved_floor(browser, Floor.objects.get())
    strip(desk, "Set scale").focus()
    desk.keys("Enter")
    desk.keys("ArrowRight", "ArrowUp", "Enter")
    desk.keys(*["ArrowRight"] * 10, "Enter")
    expect(desk.page.locator("#draw-prompt")).to_contain_text("type the true length")
    desk.type("20'")
    desk.keys("Enter")
    desk.said("The scale is set: that length is 20'-0\".")
    for _ in range(100):
        laid.refresh_from_db()
        if laid.inches_per_px != SCALE:
            break
        desk.page.wait_for_timeout(50)
    assert laid.inches_per_px == pytest.approx(SCALE * 2)
    assert (laid.x_16, laid.y_16) == (-192, -192)
    assert desk.errors == []
    desk.page.context.close()


@pytest.mark.django_db
def test_a_plan_is_taken_away_and_stays_with_the_project(browser: Browser, laid: PlanPage) -> None:
    desk = saved_floor(browser, Floor.objects.get())
    strip(desk, "Take plan away").click()
    desk.said(re.compile("it stays with the project"))
    expect(desk.page.locator(".pl-under image")).to_have_count(0)
    assert not FloorUnderlay.objects.exists()
    assert PlanPage.objects.count() == 1
    desk.page.reload()
    expect(desk.page.locator("#draw-under")).to_have_count(0)
    desk.page.context.close()


@pytest.mark.django_db
def test_who_may_only_look_sees_the_plan_and_moves_nothing(browser: Browser, laid: PlanPage) -> None:
    desk = saved_floor(browser, Floor.objects.get(), people.user(Role.PLANNER))
    expect(desk.page.locator(".pl-under image")).to_have_count(1)
    for words in ("Set scale", "Move plan", "Turn plan", "Lock plan", "Take plan away"):
        expect(strip(desk, words)).to_have_count(0)
    desk.page.get_by_label("How plain the plan shows").fill("0.5")
    expect(desk.page.locator(".pl-under image")).to_have_attribute("opacity", "0.5")
    desk.page.wait_for_timeout(500)
    laid.refresh_from_db()
    assert laid.dim == 0.8
    desk.page.context.close()


@pytest.mark.django_db
def test_dropped_files_are_sent_as_chosen_ones_are(browser: Browser) -> None:
    project = make.project()
    client = Client(headers={"host": "localhost"})
    client.force_login(project.owner)
    page = open_browser(browser, client, width=1280)
    page.goto(reverse("projects:plan_list", args=[project.public_id]))
    page.wait_for_load_state("networkidle")
    told = page.evaluate(
        """() => {
          const form = document.getElementById("drop"), told = [];
          form.addEventListener("submit", (event) => {
            event.preventDefault();
            told.push("sent", ...[...form.file.files].map((file) => file.name));
          });
          const dataTransfer = new DataTransfer();
          for (const name of ["a.pdf", "b.png"]) dataTransfer.items.add(new File(["%PDF-"], name));
          for (const name of ["dragenter", "dragover", "drop"]) {
            const event = new DragEvent(name, { dataTransfer, bubbles: true, cancelable: true });
            form.dispatchEvent(event);
            told.push(`${name} ${event.defaultPrevented} ${form.classList.contains("over")}`);
          }
          return told;
        }"""
    )
    assert told == ["dragenter true true", "dragover true true", "sent", "a.pdf", "b.png", "drop true false"]
    page.context.close()
