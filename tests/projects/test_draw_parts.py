"""The declaration of the document's parts against the published schema, and the words of the editor's panel."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.template.loader import render_to_string

from framing.engine.document import json_schema
from framing.engine.practice import Practice
from framing.projects.draw_answer import draw_answer
from framing.projects.draw_codes import draw_codes
from framing.projects.draw_panel import panel_html
from framing.projects.draw_parts import PARTS
from framing.projects.templatetags.draw import figure
from tests.factories import projects as make

PRACTICE = Practice()
BY_LIST = {part.list: part for part in PARTS}
STAIR = {"id": "S1", "name": "Stair", "kind": "stair", "corner": ["8'", "2'"], "size": ["4'", "8'"]}
WALL = {"id": "W1", "kind": "wall", "from": ["0", "7'"], "to": ["24'", "7'"], "joint": "lap"}
HIDDEN = {
    "floor": {"format", "version", "outline", "edges", "overrides", "load_case"},
    "openings": {"id"},  # shown by its name; fixed plies name the id
    "point_loads": {"id"},
    "edges": {"edge"},
}


def properties(name: str) -> set[str]:
    """Fields of the entries of a list in the schema; of the document itself for `floor`."""
    schema = json_schema()
    if name == "floor":
        found = schema
    else:
        items = schema["properties"][name]["items"]
        found = schema["$defs"][items["$ref"].rsplit("/", 1)[1]]
    return set(found["properties"])


def told(list_: str) -> set[str]:
    return {field.path.partition(".")[0] for field in BY_LIST[list_].fields}


@pytest.mark.parametrize("name", ["supports", "openings", "partitions", "bays", "point_loads"])
def test_each_field_of_the_schema_has_a_field_in_the_tables(name: str) -> None:
    assert told(name) | HIDDEN.get(name, set()) == properties(name)


def test_the_floor_itself_walls_and_plies_are_complete() -> None:
    lists = {part.list for part in PARTS}
    assert properties("floor") - HIDDEN["floor"] - lists == told("floor")
    assert properties("edges") - HIDDEN["edges"] == told("wall") - {"length"}
    assert told("plies") == {"of", "part", "plies"}
    assert told("loads") == {"occupancy", "live_psf", "partition_psf", "layers"}


def test_the_page_holds_a_table_for_each_part() -> None:
    html = render_to_string(
        "projects/_draw_parts.html", {"may_change": True, "start": {"profiles": ["600S162-54"]}}
    )
    assert re.findall(r'data-list="(\w+)"', html) == [part.list for part in PARTS]
    assert html.count("data-add=") == sum(bool(part.add) for part in PARTS)
    assert "<option>600S162-54</option>" in html
    seen = render_to_string("projects/_draw_parts.html", {"may_change": False})
    assert "data-add=" not in seen
    assert "data-go" not in seen
    assert seen.count(" disabled>") == sum(len(part.fields) for part in PARTS)


def panel(**fields: Any) -> str:
    document = make.document(**fields)
    return panel_html(draw_answer(document, PRACTICE), document)


def test_the_panel_says_what_a_floor_comes_to() -> None:
    html = panel()
    assert '<p id="draw-answered">17 joists and tails, all members pass.</p>' in html
    assert '<span class="state good">All members pass</span>' in html
    assert re.search(
        r'data-at="A\|\w+-\d+\|24" data-typed="24" data-said="\w+-\d+ at 24 in" aria-pressed="false"', html
    )
    assert '<p id="draw-price"></p>' in html
    assert re.search(r"<summary>\d+ profiles? that fails? at every spacing</summary>", panel(depth="24'"))


def test_a_metric_panel_tells_spacings_in_millimetres() -> None:
    html = panel(units="metric", width="7315 mm", depth="4267 mm", spacing='16"')
    assert 'data-typed="19.2&quot;"' in html
    assert '<th scope="col">488 mm</th>' in html


def test_the_bill_counts_in_words_that_people_use() -> None:
    """17 joists of 14 ft less 3 in: 17 x 13 ft 9 in = 233 ft 9 in, or 71,247 mm."""
    metric = panel(units="metric", width="7315 mm", depth="4267 mm", spacing='16"')
    for html, length in ((panel(), "233'-9&quot;|233&#x27;-9&quot;"), (metric, "712[0-9]{2} mm")):
        bill = re.findall(r'<tr data-code="\d+S\d+-\d+">.*?<td class="num">([^<]*)</td>', html)
        assert re.fullmatch(length, bill[0])
        assert "_16" not in html


def test_the_option_that_is_fixed_is_marked() -> None:
    document = make.document()
    document["bays"][0] |= {"profile": "1000S162-54", "spacing": 16}
    html = panel_html(draw_answer(document, PRACTICE), document)
    chosen = re.findall(
        r'<td class="option chosen"><button[^>]*data-at="([^"]*)"[^>]*aria-pressed="true"', html
    )
    assert chosen == ["A|1000S162-54|16"]


def test_the_panel_names_what_is_to_correct() -> None:
    html = panel(openings=[STAIR | {"corner": ["23'", "2'"]}])
    assert re.search(r'<p id="draw-answered">1 to correct: .*Stair', html)
    assert (
        '<button type="button" class="button small quiet" data-at="openings.0">Show Opening Stair</button>'
        in html
    )
    assert "draw-bill" not in html


def test_a_failing_floor_says_how_many_fail() -> None:
    document = make.document(depth="24'")
    document["bays"][0]["profile"] = "800S162-54"
    html = panel_html(draw_answer(document, PRACTICE), document)
    assert re.search(r'<span class="state bad">\d+ members fail</span>', html)


@pytest.mark.parametrize("document", [None, [], {}, {"openings": "x"}, {"bays": [1]}])
def test_what_is_no_document_still_has_a_panel(document: Any) -> None:
    html = panel_html(draw_answer(document, PRACTICE), document)
    assert "to correct" in html


def test_a_wall_a_bearing_and_an_opening_have_lines_of_their_own() -> None:
    document = make.document(supports=[WALL], openings=[STAIR | {"size": ["4'", "4'"]}])
    lines = {line["code"]: line["description"] for line in draw_answer(document, PRACTICE)["bill"]}

    def at(near: str) -> str:
        return " | ".join(lines[code].lower() for code in draw_codes(document, near, PRACTICE))

    assert "bearing clip" in at("wall.0")
    assert "rim" in at("wall.0")
    assert "clip angle" not in at("wall.0")
    assert "clip angle" in at("openings.0")
    assert at("supports.0") != ""
    assert at("wall.9") == at("bays.0") == at("openings.x") == at("nothing") == ""
    assert len(draw_codes(document, "wall.0", PRACTICE)) < len(lines)


def test_a_joist_counts_in_its_own_line() -> None:
    document = make.document()
    answer = draw_answer(document, PRACTICE)
    joist = answer["members"][5]["id"]
    codes = draw_codes(document, joist, PRACTICE)
    assert any(line["code"] in codes for line in answer["bill"] if "joist" in line["description"].lower())
    assert draw_codes(None, joist, PRACTICE) == []
    assert draw_codes(make.document(openings=[STAIR | {"corner": ["23'", "2'"]}]), joist, PRACTICE) == []


def test_figures_have_no_idle_zeros() -> None:
    assert [figure(value) for value in (0, 16.0, 12.5, 1204.04, 12345.678)] == [
        "0",
        "16",
        "12.5",
        "1,204",
        "12,345.7",
    ]
    assert figure(1875.6, 0) == "1,876"
