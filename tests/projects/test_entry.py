"""The floor form: a document as fields and back, problems at their fields, rows without script."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from django.http import QueryDict

from framing.engine.document import dump_document, read_document
from framing.engine.errors import Problem
from framing.projects.entry import FloorEntry, fits_form
from framing.projects.entry_fields import ROWS
from tests.factories.projects import TYPED_RECTANGLE

PLANS = Path(__file__).parents[1] / "plans"
RECTANGLE = TYPED_RECTANGLE


def posted(*rows: dict[str, Any], **fields: str) -> FloorEntry:
    """A form as it is sent; `rows` are (table, field texts) given as {"opening": {...}}."""
    data = QueryDict(mutable=True)
    data.update(RECTANGLE | fields)
    counts: dict[str, int] = dict.fromkeys(ROWS, 0)
    for row in rows:
        for table, texts in row.items():
            for name, text in texts.items():
                data[f"{table}-{counts[table]}-{name}"] = text
            counts[table] += 1
    for table, count in counts.items():
        data[f"{table}-count"] = str(count)
    return FloorEntry.posted(data)


def sent_again(entry: FloorEntry) -> FloorEntry:
    """What a browser sends back of a form that nobody touched."""
    data = QueryDict(mutable=True)
    for name in entry.main.fields:
        data[name] = entry.main.text(name)
    for rows in entry.rows.values():
        data[rows.count_name] = str(len(rows))
        for row in rows:
            data.update({row.field_name(name): row.text(name) for name in row.fields})
    return FloorEntry.posted(data)


@pytest.mark.parametrize("name", ["house", "townhouse", "corridor"])
def test_a_document_comes_back_from_the_form_as_it_was(name: str) -> None:
    document = read_document((PLANS / f"{name}.json").read_text())
    assert fits_form(document)
    entry = sent_again(FloorEntry.of_document(document))
    assert dump_document(read_document(entry.raw_document())) == dump_document(document)


def test_every_part_of_a_document_comes_back() -> None:
    raw = json.loads((PLANS / "house.json").read_text())
    raw |= {
        "edges": [{"edge": 0, "kind": "balloon", "width": '3 1/2"'}, {"edge": 2, "kind": None, "width": "6"}],
        "partitions": [
            {"id": "P9", "from": [1.5, "2'"], "to": ["1.5", "9'"], "bearing": True, "load_plf": 85.5}
        ],
        "overrides": {"plies": [{"of": "P9", "part": "joist", "plies": 3}]},
        "load_case": {"occupancy": "Own use", "live_psf": 62.5, "layers": [], "partition_psf": 15},
    }
    document = read_document(raw)
    again = read_document(sent_again(FloorEntry.of_document(document)).raw_document())
    assert dump_document(again) == dump_document(document) | {
        "partitions": [{**dump_document(document)["partitions"][0], "from": ["1.5", "2'"]}]
    }


def test_several_bays_do_not_fit_the_form() -> None:
    raw = json.loads((PLANS / "house.json").read_text())
    bay = raw["bays"][0]
    raw["bays"] = [{**bay, "id": "A"}, {**bay, "id": "B"}]
    assert not fits_form(read_document(raw))


def test_a_rectangle_is_typed_by_width_and_depth() -> None:
    raw = posted(width="36'", depth="26' 6 1/2\"").raw_document()
    assert raw["outline"] == [["0", "0"], ["36'", "0"], ["36'", "26' 6 1/2\""], ["0", "26' 6 1/2\""]]


def test_an_empty_live_load_is_that_of_the_use() -> None:
    assert posted().raw_document()["load_case"]["live_psf"] == 30
    assert posted(live_psf="45").raw_document()["load_case"]["live_psf"] == 45


def test_an_empty_weight_is_that_of_a_known_layer() -> None:
    entry = posted({"layer": {"name": "Carpet and pad", "psf": ""}}, {"layer": {"name": "Own", "psf": ""}})
    assert entry.raw_document()["load_case"]["layers"] == [
        {"name": "Carpet and pad", "psf": 2.0},
        {"name": "Own", "psf": ""},
    ]


def test_empty_rows_count_for_nothing_and_nameless_rows_get_a_free_name() -> None:
    size = {"corner_x": "4'", "corner_y": "2'", "size_x": "3'", "size_y": "8'"}
    entry = posted(
        {"opening": {"name": "", "kind": "stair"}}, {"opening": {"id": "O1", **size}}, {"opening": size}
    )
    raw = entry.raw_document()
    assert [opening["id"] for opening in raw["openings"]] == ["O1", "O2"]
    assert entry.field_of("openings.1.size.0") == "opening-2-size_x"


@pytest.mark.parametrize(
    ("place", "field"),
    [
        ("outline.1.0", "width"),
        ("outline.3.1", "depth"),
        ("outline", "width"),
        ("bays.0.spacing", "spacing"),
        ("load_case.live_psf", "live_psf"),
        ("load_case.layers.0.psf", "layer-0-psf"),
        ("supports.0.from.1", "support-0-from_y"),
        ("supports.0", "support-0-id"),
        ("openings.0.size.1", "opening-0-size_y"),
        ("openings.0", "opening-0-corner_x"),
        ("partitions.0.to.0", "partition-0-to_x"),
        ("overrides.plies.0.plies", "plies-0-plies"),
        ("edges.0.width", "wall_top"),
        ("", ""),
        ("elsewhere.3", ""),
    ],
)
def test_a_place_leads_to_its_field(place: str, field: str) -> None:
    line = {"from_x": "0", "from_y": "7'", "to_x": "24'", "to_y": "7'"}
    entry = posted(
        {"layer": {"name": "Carpet", "psf": "2"}},
        {"support": line},
        {"opening": {"name": "Stair"}},
        {"partition": line},
        {"plies": {"of": "O1", "plies": "3"}},
        wall_top="6",
    )
    entry.raw_document()
    assert entry.field_of(place) == field


def test_places_of_a_corner_list_lead_to_its_rows() -> None:
    corners = [{"corner": {"x": x, "y": y}} for x, y in (("0", "0"), ("9'", "0"), ("9'", "8'"), ("0", "8'"))]
    entry = posted({"corner": {}}, *corners, shape="corners")
    assert entry.raw_document()["outline"] == [["0", "0"], ["9'", "0"], ["9'", "8'"], ["0", "8'"]]
    assert entry.field_of("outline.2.1") == "corner-3-y"
    assert entry.field_of("outline.2") == "corner-3-x"


def test_equal_problems_show_once_and_the_rest_of_the_form_stays() -> None:
    entry = posted(width="twelve", depth="14'")
    entry.raw_document()
    entry.add_problems((Problem("outline.1.0", "unreadable"), Problem("outline.2.0", "unreadable")))
    entry.add_problems((Problem("", "too odd"), Problem("", "too odd")))
    assert entry.main.errors["width"] == ["unreadable"]
    assert entry.general == ["too odd"]
    assert (entry.main.text("width"), entry.main.text("depth")) == ("twelve", "14'")


def test_rows_are_added_and_taken_away_without_script() -> None:
    entry = posted({"opening": {"name": "A"}}, {"opening": {"name": "B"}}, {"opening": {"name": "C"}})
    entry.act("remove:opening:1")
    assert [row.text("name") for row in entry.rows["opening"]] == ["A", "C"]
    entry.act("add:opening")
    assert [row.text("name") for row in entry.rows["opening"]] == ["A", "C", ""]
    assert entry.rows["opening"][2].field_name("name") == "opening-2-name"


@pytest.mark.parametrize("asked", ["", "add", "add:nothing", "remove:opening:99", "remove:opening:x", "::::"])
def test_a_strange_row_button_changes_nothing(asked: str) -> None:
    entry = posted({"opening": {"name": "A"}})
    entry.act(asked)
    assert [row.text("name") for row in entry.rows["opening"]] == ["A"]


def test_the_first_corner_begins_with_the_rectangle() -> None:
    entry = posted(edge_left="balloon")
    entry.act("add:corner")
    corners = [(row.text("x"), row.text("y"), row.text("kind")) for row in entry.rows["corner"]]
    assert corners == [("0", "0", ""), ("24'", "0", ""), ("24'", "14'", ""), ("0", "14'", "balloon")]


@pytest.mark.parametrize("count", ["", "-1", "1e9", "99999999999999999999", "½"])
def test_a_strange_row_count_is_no_rows_or_few(count: str) -> None:
    data = QueryDict(mutable=True)
    data["opening-count"] = count
    assert len(FloorEntry.posted(data).rows["opening"]) == 0


def test_a_huge_row_count_is_bounded() -> None:
    data = QueryDict(mutable=True)
    data["opening-count"] = "99999"
    assert len(FloorEntry.posted(data).rows["opening"]) == 400


def test_a_value_that_is_not_listed_stays_selectable() -> None:
    entry = posted(spacing="400 mm", profile="9999S999-99")
    assert 'value="400 mm" selected' in str(entry.main["spacing"])
    assert 'value="9999S999-99" selected' in str(entry.main["profile"])
