"""The editor's pure modules in a browser: lengths as the engine reads them, moves, edits, merging, snapping, size."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.contrib.staticfiles import finders
from django.template.loader import render_to_string
from playwright.sync_api import Browser, Page, Route

from tests.projects.draw_js.test_lengths import CASES

pytestmark = pytest.mark.e2e
HOME = "http://modules.test/"
FOLDER = Path(str(finders.find("projects/js/draw/main.js"))).parent

ANSWERS = """async ({cases, module, call}) => {
  const found = await import(`/${module}.js`);
  return cases.map((args) => {
    try { return {value: found[call](...args)}; } catch (error) { return {reason: error.message}; }
  });
}"""


@pytest.fixture(scope="module")
def page(browser: Browser) -> Iterator[Page]:
    """An empty page that can import the editor's modules."""

    def answer(route: Route) -> None:
        name = route.request.url.removeprefix(HOME)
        if name:
            route.fulfill(body=(FOLDER / name).read_bytes(), content_type="text/javascript")
        else:
            parts = render_to_string("projects/_draw_parts.html", {"may_change": True})
            route.fulfill(body=f"<!doctype html><title>Modules</title>{parts}", content_type="text/html")

    shown = browser.new_page()
    shown.route("**/*", answer)
    shown.goto(HOME)
    yield shown
    shown.close()


def call(page: Page, module: str, function: str, *cases: list[Any]) -> list[dict[str, Any]]:
    return list(page.evaluate(ANSWERS, {"cases": list(cases), "module": module, "call": function}))


def test_lengths_are_read_as_the_engine_reads_them(page: Page) -> None:
    cases = [[c["text"], c["units"], {"negative": c.get("negative", False)}] for c in CASES["read"]]
    for case, found in zip(CASES["read"], call(page, "lengths", "parseLength", *cases), strict=True):
        if "reason" in case:
            assert case["reason"] in found.get("reason", ""), case
        else:
            assert found == {"value": case["length_16"]}, case


def test_lengths_are_written_as_the_engine_writes_them(page: Page) -> None:
    cases = [[c["length_16"], c["units"]] for c in CASES["write"]]
    found = call(page, "lengths", "formatLength", *cases)
    assert [one["value"] for one in found] == [c["text"] for c in CASES["write"]]


def test_moves_as_they_are_typed(page: Page) -> None:
    cases = [[c["text"], c["units"]] for c in CASES["moves"]]
    for case, found in zip(CASES["moves"], call(page, "lengths", "readMove", *cases), strict=True):
        if "reason" in case:
            assert case["reason"] in found.get("reason", ""), case
        else:
            assert found == {"value": case["move"]}, case


def floor(**parts: Any) -> dict[str, Any]:
    square = [["0", "0"], ["20'", "0"], ["20'", "10'"], ["0", "10'"]]
    usual: dict[str, Any] = {
        "name": "F", "units": "imperial", "outline": square, "edges": [], "supports": [], "openings": [],
        "partitions": [], "bays": [{"id": "A", "direction": "y", "start": "low"}], "overrides": {"plies": []},
    }  # fmt: skip
    return usual | parts


def one(page: Page, module: str, function: str, *arguments: Any) -> Any:
    return call(page, module, function, list(arguments))[0]["value"]


def test_a_corner_taken_away_or_added_renumbers_the_walls(page: Page) -> None:
    edges = [{"edge": 1, "kind": "balloon"}, {"edge": 3, "kind": "free"}]
    less = one(page, "edits", "removeCorner", floor(edges=edges), 1)
    assert less["edges"] == [{"edge": 2, "kind": "free"}]
    more = one(page, "edits", "insertCorner", floor(edges=edges), 1, {"x": 3840, "y": 960})
    assert more["outline"][2] == ["20'-0\"", "5'-0\""]
    assert more["edges"] == [
        {"edge": 1, "kind": "balloon"}, {"edge": 2, "kind": "balloon"}, {"edge": 4, "kind": "free"},
    ]  # fmt: skip


def test_what_did_not_move_stays_as_it_was_typed(page: Page) -> None:
    moved = one(page, "edits", "moveCorner", floor(), 2, {"x": 3840, "y": 2304})
    assert moved["outline"] == [["0", "0"], ["20'", "0"], ["20'", "12'-0\""], ["0", "12'-0\""]]
    free = one(page, "edits", "moveCorner", floor(), 2, {"x": 4032, "y": 2304}, False)
    assert free["outline"] == [["0", "0"], ["20'", "0"], ["21'-0\"", "12'-0\""], ["0", "10'"]]


def test_fixed_plies_go_with_their_opening_and_the_last_bay_is_the_floor(page: Page) -> None:
    ring = [["0", "0"], ["10'", "0"], ["10'", "10'"], ["0", "10'"]]
    bays = [{"id": "A", "direction": "y", "outline": ring}, {"id": "B", "direction": "x", "outline": ring}]
    opening = {"id": "O1", "corner": ["2'", "2'"], "size": ["3'", "3'"]}
    plies = [{"of": "O1", "part": "trimmer_low", "plies": 3}, {"of": "B1", "part": "beam", "plies": 2}]
    document = floor(bays=bays, openings=[opening], overrides={"plies": plies})
    left = one(page, "edits", "remove", document, ["openings.0", "bays.1"])
    assert (left["openings"], left["overrides"]["plies"]) == ([], plies[1:])
    assert left["bays"] == [{"id": "A", "direction": "y", "outline": None}]


def test_four_turns_and_two_mirrors_of_a_thing_come_back(page: Page) -> None:
    opening = {"id": "O1", "corner": ["2'-0\"", "3'-0\""], "size": ["3'-0\"", "4'-0\""]}
    first = document = floor(openings=[opening])
    for way in ("turn",) * 4 + ("mirror",) * 2:
        document = one(page, "transforms", way, document, ["openings.0"])
    assert document == first
    turned = one(page, "transforms", "turn", first, ["openings.0"])
    assert turned["openings"][0]["size"] == ["4'-0\"", "3'-0\""], "about its middle"
    assert turned["openings"][0]["corner"] == ["1'-6\"", "3'-6\""]


def test_snapping_prefers_what_is_firm(page: Page) -> None:
    options = {
        "anchors": [{"x": 0, "y": 0}, {"x": 960, "y": 480}],
        "tracks": [{"a": {"x": 0, "y": 0}, "b": {"x": 0, "y": 1000}}],
        "last": {"x": 200, "y": 700}, "reach": 10, "step": 16,
    }  # fmt: skip
    places = [(3, -4), (4, 333), (500, 486), (209, 300), (507, 333)]
    found = call(page, "snapping", "snap", *([{"x": x, "y": y}, options] for x, y in places))
    assert [(one["value"]["why"], one["value"]["at"]) for one in found] == [
        ("corner", {"x": 0, "y": 0}),
        ("wall", {"x": 0, "y": 336}),
        ("line", {"x": 496, "y": 480}),
        ("square", {"x": 200, "y": 304}),
        ("grid", {"x": 512, "y": 336}),
    ]


def test_a_bay_is_cut_along_a_line(page: Page) -> None:
    cut = one(page, "transforms", "splitBay", floor(), {"x": 1536, "y": -100}, {"x": 1536, "y": 2500})
    assert [bay["id"] for bay in cut["bays"]] == ["A", "B"]
    assert sorted(x for x, _ in cut["bays"][0]["outline"]) == ["20'-0\"", "20'-0\"", "8'-0\"", "8'-0\""]
    missed = one(page, "transforms", "splitBay", floor(), {"x": 9000, "y": 0}, {"x": 9000, "y": 2500})
    assert missed is None


def test_the_editor_stays_small_and_asks_nobody_else() -> None:
    files = sorted(FOLDER.glob("*.js"))
    assert max(len(file.read_text("utf-8").splitlines()) for file in files) <= 250
    assert not any(
        "://" in file.read_text("utf-8").replace("http://www.w3.org/2000/svg", "") for file in files
    )
    assert json.dumps([file.name for file in files])
