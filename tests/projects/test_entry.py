"""The floor form: a document as fields and back, problems at their fields, rows without script."""

from __future__ import annotations

import copy
import json
from itertools import islice
from pathlib import Path
from typing import Any

import pytest
from django.http import QueryDict

from framing.engine.document import dump_document, read_document, to_plan
from framing.engine.errors import DocumentRefused, Problem
from framing.engine.practice import Practice
from framing.projects.entry import FloorEntry
from framing.projects.entry_bays import free_letters
from framing.projects.entry_rows import ROWS
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
        data[name] = entry.main.long_text(name)
    for rows in entry.rows.values():
        data[rows.count_name] = str(len(rows))
        for row in rows:
            data.update({row.field_name(name): row.long_text(name) for name in row.fields})
    return FloorEntry.posted(data)


@pytest.mark.parametrize("name", ["house", "townhouse", "corridor"])
def test_a_document_comes_back_from_the_form_as_it_was(name: str) -> None:
    document = read_document((PLANS / f"{name}.json").read_text())
    entry = sent_again(FloorEntry.of_document(document))
    assert dump_document(read_document(entry.raw_document())) == dump_document(document)


def test_every_part_of_a_document_comes_back() -> None:
    raw = json.loads((PLANS / "house.json").read_text())
    raw |= {
        "edges": [{"edge": 0, "kind": "balloon", "width": '3 1/2"'}, {"edge": 2, "kind": None, "width": "6"}],
        "partitions": [
            {"id": "P9", "from": [1.5, "2'"], "to": ["1.5", "9'"], "bearing": True, "load_plf": 85.5}
        ],
        "point_loads": [
            {"id": "Q1", "name": "Post", "at": ["6'", '50 3/4"'], "dead_lb": 12345.67, "live_lb": 0},
            {"id": "Q7", "at": ["7'", "8'"], "live_lb": 300},
        ],
        "overrides": {"plies": [{"of": "P9", "part": "joist", "plies": 3}]},
        "load_case": {"occupancy": "Own use", "live_psf": 62.5, "layers": [], "partition_psf": 15},
    }
    document = read_document(raw)
    again = read_document(sent_again(FloorEntry.of_document(document)).raw_document())
    assert dump_document(again) == dump_document(document) | {
        "partitions": [{**dump_document(document)["partitions"][0], "from": ["1.5", "2'"]}]
    }


REAL = {
    "outline": [[0, 0], ["20'", "0"], ["20'", "10'"], ["12'", "10'"], ["12'", "20'"], ["0", "19' 6\""]],
    "edges": [{"edge": 4, "kind": "free"}],
    "supports": [
        {"id": "B1", "kind": "flush_beam", "from": ["12'", "0"], "to": ["12'", "10'"]},
        {"id": "W1", "from": ["0", "10'"], "to": ["12'", "10'"]},
    ],
    "openings": [],
    "bays": [
        {"id": "A", "direction": "y", "outline": [["0", "0"], ["12'", "0"], ["12'", "20'"], ["0", "20'"]]},
        {
            "id": "B",
            "direction": "x",
            "start": "high",
            "spacing": "12",
            "offset": "6",
            "profile": "1000S162-54",
            "plies": 2,
            "outline": [[144, 0], ["20'", "0"], ["20'", "10'"], ["12'", "10'"]],
            "load_case": {
                "occupancy": "Store",
                "live_psf": 125,
                "layers": [{"name": 'Deck, 3/4"', "psf": 12}],
                "partition_psf": 15,
            },
        },
    ],
    "overrides": {"plies": [{"of": "B1", "part": "beam", "plies": 3}]},
}
"""An L of two bays over a flush beam, its stem's end free and askew."""


def real_floor(**changes: Any) -> dict[str, Any]:
    return json.loads((PLANS / "house.json").read_text()) | copy.deepcopy(REAL) | changes


def test_bays_free_edges_and_flush_beams_come_back_from_the_form() -> None:
    document = read_document(real_floor())
    entry = sent_again(FloorEntry.of_document(document))
    again, before = dump_document(read_document(entry.raw_document())), dump_document(document)
    before["outline"][0] = ["0", "0"]  # numbers come back as their texts
    before["bays"][1]["outline"][0] = ["144", "0"]
    assert again == before


def test_a_bays_own_loads_are_kept_and_said() -> None:
    entry = sent_again(FloorEntry.of_document(read_document(real_floor())))
    assert entry.main.loads_words == ""
    (row,) = entry.rows["bay"]
    assert row.loads_words.startswith(
        "Loads of its own: Store, 125 psf live, 12 psf dead, 15 psf partitions. They are kept;"
    )
    first = real_floor()
    first["bays"][0]["load_case"] = {"occupancy": "Attic", "live_psf": 20, "layers": []}
    entry = sent_again(FloorEntry.of_document(read_document(first)))
    assert entry.main.loads_words.startswith("Loads of its own: Attic, 20 psf live, 0 psf dead. They")
    assert entry.raw_document()["bays"][0]["load_case"]["live_psf"] == 20


@pytest.mark.parametrize("text", ["{", "[1]", "[" * 5000, '"x"', "7"])
def test_a_tampered_load_is_the_engines_to_refuse(text: str) -> None:
    entry = posted({"bay": {"id": "B", "load_case": text, "direction": "x", "start": "low", "spacing": "16"}})
    assert entry.rows["bay"][0].loads_words == ""
    with pytest.raises(DocumentRefused) as caught:
        read_document(entry.raw_document())
    assert {problem.place for problem in caught.value.problems} == {"bays.1.load_case"}
    entry.add_problems(caught.value.problems)
    assert "id" in entry.rows["bay"][0].errors


def test_corners_are_typed_one_after_another() -> None:
    def corners(text: str) -> Any:
        return posted(bay_outline=text).raw_document()["bays"][0]["outline"]

    assert corners("") is None
    assert corners(" 0, 0; 12', 0 ;12' 6\",26'\n0,26'; ") == [
        ["0", "0"],
        ["12'", "0"],
        ["12' 6\"", "26'"],
        ["0", "26'"],
    ]
    # What has no comma is refused as a length by the engine, at the field.
    entry = posted(bay_outline="0, 0; 12' 26'; 0, 26'")
    with pytest.raises(DocumentRefused) as caught:
        to_plan(read_document(entry.raw_document()), Practice())
    entry.add_problems(caught.value.problems)
    assert entry.main.errors["bay_outline"][0].startswith("“12' 26'” is not a length")


def test_the_longest_list_of_corners_is_not_cut_and_a_longer_one_is_refused() -> None:
    def outline(count: int) -> list[list[str]]:
        text = "; ".join(f"{number}' 11 15/16\", {number}' 11 15/16\"" for number in range(count))
        return posted(bay_outline=text).raw_document()["bays"][0]["outline"]

    assert len(outline(400)) == 400
    assert outline(400)[-1] == ["399' 11 15/16\"", "399' 11 15/16\""]
    assert len(outline(500)) == 401


def test_bays_without_a_name_take_free_letters() -> None:
    ring = "0, 0; 12', 0; 12', 14'; 0, 14'"
    entry = posted(
        {"bay": {"outline": ring}}, {"bay": {"id": "B", "outline": ring}}, {"bay": {"outline": ring}}
    )
    assert [bay["id"] for bay in entry.raw_document()["bays"]] == ["A", "C", "B", "D"]
    assert len({*islice(free_letters({"A", "Z", "B1"}), 60)} - {"A", "Z", "B1"}) == 60


def test_an_empty_bay_row_is_no_bay() -> None:
    assert len(posted({"bay": {"direction": "x", "spacing": "24"}}).raw_document()["bays"]) == 1


def test_a_new_bay_begins_with_the_usual_spacing_in_the_floors_units() -> None:
    for units, spacing in (("imperial", "16"), ("metric", '16"')):
        entry = posted(units=units)
        entry.act("add:bay")
        assert entry.rows["bay"][0].text("spacing") == spacing
        assert f'value="{spacing.replace(chr(34), "&quot;")}" selected' in str(
            entry.rows["bay"].template["spacing"]
        )


def test_a_flush_beam_without_a_name_is_called_b() -> None:
    line = {"from_x": "0", "from_y": "7'", "to_x": "24'", "to_y": "7'"}
    entry = posted(
        {"support": {"kind": "flush_beam", **line}},
        {"support": {"kind": "wall", **line}},
        {"support": {"kind": "flush_beam", **line}},
    )
    assert [support["id"] for support in entry.raw_document()["supports"]] == ["B1", "W1", "B2"]


def test_an_option_goes_to_the_bay_that_it_is_for() -> None:
    entry = FloorEntry.of_document(read_document(real_floor()))
    entry.choose("B:1200S162-54:24")
    entry.choose("A:1000S200-54:12")
    one, other = entry.raw_document()["bays"]
    assert (one["profile"], one["spacing"]) == ("1000S200-54", "12")
    assert (other["profile"], other["spacing"], other["plies"]) == ("1200S162-54", "24", 2)
    assert other["load_case"] == REAL["bays"][1]["load_case"]


@pytest.mark.parametrize(
    ("place", "field"),
    [
        ("bays.0.outline", "bay_outline"),
        ("bays.0.plies", "plies"),
        ("bays.0", "bay_id"),
        ("bays", "bay_outline"),
        ("bays.1.outline.2.1", "bay-0-outline"),
        ("bays.1.spacing", "bay-0-spacing"),
        ("bays.1", "bay-0-id"),
        ("bays.1.load_case.live_psf", "bay-0-id"),
        ("edges.4", "corner-4-kind"),
        ("edges.0.kind", "corner-4-kind"),  # the first entry is about edge 4
        ("edges.2", "corner-2-kind"),
    ],
)
def test_places_of_several_bays_lead_to_their_fields(place: str, field: str) -> None:
    entry = FloorEntry.of_document(read_document(real_floor()))
    entry.raw_document()
    assert entry.field_of(place) == field


def test_places_of_an_outline_typed_clockwise_lead_to_what_was_typed() -> None:
    # Turned, corner 5 is the plan's corner 1, and the edge from typed corner 1 to 2 is the plan's edge 4.
    turned = REAL["outline"][:1] + REAL["outline"][:0:-1]
    document = read_document(real_floor(outline=turned, edges=[{"edge": 1, "kind": "free"}]))
    entry = FloorEntry.of_document(document)
    entry.raw_document()
    plan = to_plan(document, Practice())
    assert [edge.index for edge in plan.edges if edge.kind == "free"] == [4]
    assert entry.field_of("edges.4") == "corner-1-kind"
    assert entry.field_of("edges.0") == "corner-5-kind"
    assert entry.field_of("outline.1") == "corner-5-x"
    assert entry.field_of("outline.0") == "corner-0-x"
    assert (
        entry.field_of("outline.1.0") == "corner-1-x"
    )  # a length that can't be read stands where it was typed


def test_a_problem_of_a_rectangles_wall_stands_at_that_wall() -> None:
    entry = posted(edge_top="free")
    entry.raw_document()
    assert entry.field_of("edges.2") == "edge_top"
    assert entry.field_of("edges.0") == "edge_bottom"


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
        ("point_loads.0", "point_load-0-dead_lb"),
        ("point_loads.0.at", "point_load-0-at_x"),
        ("point_loads.0.at.1", "point_load-0-at_y"),
        ("point_loads.0.live_lb", "point_load-0-live_lb"),
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
        {"point_load": {"name": "Post"}},
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
