"""A drawing dropped on a project becomes a floor, in a browser: layers picked, the report read, the floor made."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from framing.common.models import OutboxEntry, Role
from framing.common.outbox import outbox_run
from framing.projects.models import Floor, Project
from tests.e2e.pages import open_browser
from tests.factories import people
from tests.factories import projects as make
from tests.factories.people import client_of
from tests.projects.reading_dxf_files import townhouse

pytestmark = [pytest.mark.e2e, pytest.mark.django_db]
LEVELS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


@pytest.fixture
def project(settings: Any, tmp_path: Path) -> Project:
    settings.PAPERS_DIR = tmp_path
    return make.project(people.user(Role.SELLER))


@pytest.fixture
def page(browser: Browser, project: Project) -> Iterator[Page]:
    shown = open_browser(browser, client_of(project.owner), width=1280)
    yield shown
    shown.context.close()


def violations(page: Page) -> list[str]:
    options = {"runOnly": {"type": "tag", "values": LEVELS}, "resultTypes": ["violations"], "preload": False}
    return [
        f"{rule['id']}: {node['target']}"
        for rule in Axe().run(page, None, options).response["violations"]
        for node in rule["nodes"]
    ]


def radio(page: Page, words: str) -> Any:
    return page.get_by_role("radio", name=words, exact=True)


def test_a_drawing_becomes_a_floor(page: Page, project: Project) -> None:
    page.goto(f"/projects/{project.public_id}/plans/")
    page.set_input_files("#file", {"name": "Lot 7.dxf", "mimeType": "image/vnd.dxf", "buffer": townhouse()})
    page.get_by_role("button", name="Add", exact=True).click()
    page.wait_for_url("**/plans/*/")
    assert outbox_run(OutboxEntry.objects.get(kind="plan_file_read").pk)
    page.reload()
    page.get_by_role("link", name="Take floors from it").click()

    # The guess is by geometry: outline, stair and walls are right, so the floor is framed at once.
    found = page.locator("#import-found")
    expect(found.get_by_text("6 corners, 40'-0\"")).to_be_visible()
    expect(found.get_by_text("turned back by 12.00 degrees")).to_be_visible()
    expect(found.get_by_text("1 opening: STAIR UP")).to_be_visible()
    expect(radio(page, "Walls from 2-WALLS")).to_be_checked()
    assert violations(page) == []

    # Without the walls' layer the joists span the whole floor; with it again and gaps closed one bearing carries them.
    radio(page, "No walls").check()
    expect(found.get_by_text("2-WALLS")).to_have_count(1)
    radio(page, "Walls from 2-WALLS").check()
    expect(found.get_by_text("left open; tick “Close gaps” to close them")).to_be_visible()
    page.get_by_role("checkbox", name="Close gaps").check()
    expect(found.get_by_text("1 gap between pieces of a wall closed.")).to_be_visible()
    expect(found.get_by_text("1 wall from layer “2-WALLS”: 40'-0\" long")).to_be_visible()
    page.get_by_label("Name of the floor").fill("Lower floor")
    expect(page).to_have_url(re.compile("name=Lower"))

    # A wrong unit says so at once, and nothing is lost.
    radio(page, "Millimetres 1'-6 7/8\" \N{MULTIPLICATION SIGN} 1'-3 1/8\"").check()
    expect(found.get_by_text("choose another layer or another unit")).to_be_visible()
    radio(page, "Inches 40'-0\" \N{MULTIPLICATION SIGN} 32'-0\"").check()
    found.get_by_role("button", name="Make the floor").click()
    page.wait_for_url("**/projects/floors/*/")
    document = Floor.objects.get(project=project).versions.get().document
    assert document["name"] == "Lower floor"
    assert document["outline"] == [
        ['0"', '0"'], ["40'-0\"", '0"'], ["40'-0\"", "18'-0\""], ["24'-0\"", "18'-0\""], ["24'-0\"", "32'-0\""],
        ['0"', "32'-0\""],
    ]  # fmt: skip
    assert [row["from"] + row["to"] for row in document["supports"]] == [
        ['0"', "15'-11 3/4\"", "40'-0\"", "15'-11 3/4\""]
    ]
    assert [(row["name"], row["corner"], row["size"]) for row in document["openings"]] == [
        ("STAIR UP", ["3'-4\"", "3'-4\""], ["3'-8\"", "10'-0\""])
    ]
