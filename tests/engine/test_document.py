"""The floor document: shape, messages that name the field, conversion, and the published schema."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from framing.engine.document import dump_document, json_schema, read_document, rectangle_document, to_plan
from framing.engine.errors import DocumentRefused, FloorRefused
from framing.engine.floor import EdgeKind, Joint, SupportKind
from framing.engine.floor_checks import check_floor
from framing.engine.geometry import Point, signed_area_2
from framing.engine.practice import Practice

ROOT = Path(__file__).resolve().parents[2]
PLANS = ROOT / "tests" / "plans"
PRACTICE = Practice()


def _house(**changes: Any) -> dict[str, Any]:
    return {**json.loads((PLANS / "house.json").read_text()), **changes}


def _refusal(source: Any) -> list[tuple[str, str]]:
    with pytest.raises(DocumentRefused) as caught:
        to_plan(read_document(source), PRACTICE)
    return [(problem.place, problem.message) for problem in caught.value.problems]


def test_a_document_is_kept_as_typed() -> None:
    source = _house()
    again = dump_document(read_document(source))
    assert again["outline"] == source["outline"]
    assert again["supports"][0]["from"] == ["0", "14' 6\""]
    assert read_document(json.dumps(again)) == read_document(source)


def test_conversion_reads_lengths_and_fills_defaults() -> None:
    plan = to_plan(read_document(_house()), PRACTICE)
    assert plan.outline == (Point(0, 0), Point(6912, 0), Point(6912, 4992), Point(0, 4992))
    kinds = [edge.kind for edge in plan.edges]
    assert kinds == [EdgeKind.PLATFORM, EdgeKind.PARALLEL, EdgeKind.PLATFORM, EdgeKind.PARALLEL]
    assert {edge.width_16 for edge in plan.edges} == {88}
    assert (plan.supports[0].width_16, plan.supports[0].joint) == (56, Joint.LAP)
    assert (plan.bays[0].spacing_16, plan.bays[0].offset_16) == (256, 256)
    assert (plan.openings[0].rect.width_16, plan.openings[0].rect.height_16) == (672, 1920)


def test_numbers_mean_inches_or_millimetres() -> None:
    inches = to_plan(rectangle_document(name="A", width=240, depth=12.5), PRACTICE)
    assert inches.outline[2] == Point(3840, 200)
    metric = to_plan(
        rectangle_document(name="A", width=6096, depth="3.81m", units="metric", spacing=406), PRACTICE
    )
    assert metric.outline[2] == Point(3840, 2400)
    assert metric.bays[0].spacing_16 == 256


@pytest.mark.parametrize(
    ("typed", "units", "expected_16"),
    [
        ("19.2", "imperial", Fraction(1536, 5)),
        ("19 3/16", "imperial", Fraction(1536, 5)),
        ("24", "imperial", Fraction(384)),
        ("610", "metric", Fraction(384)),
        ("488 mm", "metric", Fraction(1536, 5)),
        ("18", "imperial", Fraction(288)),
    ],
)
def test_a_spacing_means_the_offered_one_near_it(typed: str, units: Any, expected_16: Fraction) -> None:
    document = rectangle_document(name="A", width="10 ft", depth="10 ft", units=units, spacing=typed)
    assert to_plan(document, PRACTICE).bays[0].spacing_16 == expected_16


def test_a_clockwise_outline_is_turned_with_its_edges() -> None:
    outline = [["0", "0"], ["0", "10'"], ["20'", "10'"], ["20'", "0"]]
    edges = [{"edge": 1, "kind": "balloon"}]  # the top one: from (0, 10') to (20', 10')
    source = _house(outline=outline, edges=edges, supports=[], openings=[])
    plan = to_plan(read_document(source), PRACTICE)
    assert signed_area_2(plan.outline) > 0
    corners = zip(plan.outline, plan.outline[1:] + plan.outline[:1], strict=True)
    balloon = [ends for edge, ends in zip(plan.edges, corners, strict=True) if edge.kind is EdgeKind.BALLOON]
    assert [{point.y_16 for point in ends} for ends in balloon] == [{1920}]


def test_fixed_plies_reach_the_plan() -> None:
    overrides = {"plies": [{"of": "S1", "part": "header_low", "plies": 3}]}
    assert to_plan(read_document(_house(overrides=overrides)), PRACTICE).plies == (("S1:header_low", 3),)


L_IN_TWO_BAYS = {
    "outline": [[0, 0], [240, 0], [240, 120], [144, 120], [144, 240], [0, 240]],
    "supports": [{"id": "B1", "kind": "flush_beam", "from": [144, 0], "to": [144, 120]}],
    "openings": [],
    "edges": [{"edge": 4, "kind": "free"}],
    "bays": [
        {"id": "A", "direction": "y", "outline": [[0, 0], [144, 0], [144, 240], [0, 240]], "plies": 2},
        {
            "id": "B",
            "direction": "x",
            "outline": [[144, 0], [240, 0], [240, 120], [144, 120]],
            "load_case": {"occupancy": "Store", "live_psf": 125, "layers": [{"name": "All", "psf": 12}]},
        },
    ],
    "overrides": {"plies": [{"of": "B1", "part": "beam", "plies": 3}]},
}


def test_bays_free_edges_and_flush_beams_reach_the_plan() -> None:
    source = _house(**L_IN_TWO_BAYS)
    plan = to_plan(read_document(source), PRACTICE)
    one, other = plan.bays
    assert one.ring == (Point(0, 0), Point(2304, 0), Point(2304, 3840), Point(0, 3840))
    assert [(bay.axis, bay.plies) for bay in plan.bays] == [("y", 2), ("x", 1)]
    assert plan.load_on(one) == plan.load_case
    assert (plan.load_on(other).occupancy, plan.load_on(other).live_psf, plan.load_on(other).dead_psf) == (
        "Store",
        125,
        12,
    )
    (beam,) = plan.supports
    assert (beam.kind, beam.width_16) == (SupportKind.FLUSH_BEAM, 0)
    assert plan.plies == (("B1:beam", 3),)
    again = dump_document(read_document(source))
    assert [bay["plies"] for bay in again["bays"]] == [2, 1]
    assert again["bays"][0]["load_case"] is None


def test_which_edges_run_beside_is_left_to_the_layout_where_there_are_several_bays() -> None:
    # The bottom edge ends the joists of A and runs along those of B: no kind of its own tells both.
    kinds = [edge.kind for edge in to_plan(read_document(_house(**L_IN_TWO_BAYS)), PRACTICE).edges]
    assert kinds == [EdgeKind.PLATFORM] * 4 + [EdgeKind.FREE, EdgeKind.PLATFORM]
    one = _house(**L_IN_TWO_BAYS | {"bays": [{"direction": "y"}]})
    kinds = [edge.kind for edge in to_plan(read_document(one), PRACTICE).edges]
    bears, beside = EdgeKind.PLATFORM, EdgeKind.PARALLEL
    assert kinds == [bears, beside, bears, beside, EdgeKind.FREE, beside]


def test_a_skewed_edge_is_one_that_joists_end_on() -> None:
    triangle = _house(outline=[[0, 0], [240, 0], [0, 240]], supports=[], openings=[])
    plan = to_plan(read_document(triangle), PRACTICE)
    assert [edge.kind for edge in plan.edges] == [EdgeKind.PLATFORM, EdgeKind.PLATFORM, EdgeKind.PARALLEL]


@pytest.mark.parametrize(
    ("changes", "place", "words"),
    [
        ({"version": 2}, "version", "reads version 1"),
        ({"version": True}, "version", "reads version 1"),
        ({"format": "other"}, "format", "spanyard.floor"),
        ({"colour": "blue"}, "colour", "not known"),
        ({"load_case": {"occupancy": "x"}}, "load_case.live_psf", "is missing"),
        ({"name": ""}, "name", "at least one letter"),
        ({"name": "a\nb"}, "name", "printed"),
        ({"level": "a b"}, "level", "1 to 4 letters"),
        ({"repeat": 0}, "repeat", "less than the limit 1"),
        ({"repeat": 100}, "repeat", "more than the limit 99"),
        ({"repeat": True}, "repeat", "whole number"),
        ({"units": "feet"}, "units", "'imperial' or 'metric'"),
        ({"outline": [[0, 0]]}, "outline", "at least 3"),
        ({"outline": [[0, 0], [True, 0], [1, 1], [0, 1]]}, "outline.1.0", "a number"),
        ({"outline": [[0, 0], [float("inf"), 0], [1, 1], [0, 1]]}, "outline.1.0", "beyond all floors"),
        ({"outline": [[0, 0], [10**400, 0], [1, 1], [0, 1]]}, "outline.1.0", "beyond all floors"),
        ({"outline": [[0, 0], ["9" * 41, 0], [1, 1], [0, 1]]}, "outline.1.0", "40 characters"),
        ({"outline": [[0, 0], ["2000'", 0], [1, 1], [0, 1]]}, "outline.1.0", "limit of 1000'-0\""),
        ({"outline": [[0, 0], ["6 elephants", 0], [1, 1], [0, 1]]}, "outline.1.0", "is not a length"),
        ({"edges": [{"edge": 4}]}, "edges.0.edge", "does not exist"),
        ({"edges": [{"edge": 1}, {"edge": 1}]}, "edges.1.edge", "twice"),
        ({"bays": []}, "bays", "at least 1"),
        ({"bays": [{"direction": "y", "plies": 4}]}, "bays.0.plies", "more than the limit 3"),
        ({"bays": [{"direction": "y", "plies": 0}]}, "bays.0.plies", "less than the limit 1"),
        ({"bays": [{"direction": "y", "outline": [["x", 0]]}]}, "bays.0.outline.0.0", "is not a length"),
        (
            {"bays": [{"direction": "y", "load_case": {"occupancy": "x", "live_psf": 1001}}]},
            "bays.0.load_case.live_psf",
            "more than the limit 1000",
        ),
        (
            {"supports": [{"id": "B1", "kind": "flush_beam", "from": [0, 9], "to": [9, 9], "width": 7}]},
            "supports.0.width",
            "takes no width",
        ),
        ({"bays": [{"direction": "y", "spacing": "wide"}]}, "bays.0.spacing", "is not a length"),
        ({"load_case": {"occupancy": "x", "live_psf": "40"}}, "load_case.live_psf", "must be a number"),
        ({"load_case": {"occupancy": "x", "live_psf": -1}}, "load_case.live_psf", "less than the limit 0"),
        ({"openings": [{"id": "S1", "corner": [0, 0], "size": ["-3'", 5]}]}, "openings.0.size.0", "negative"),
    ],
)
def test_a_wrong_field_is_named_with_what_to_do(changes: dict[str, Any], place: str, words: str) -> None:
    ((found, message),) = _refusal(_house(**changes))
    assert found == place
    assert words in message


def test_every_unread_length_is_reported_at_once() -> None:
    outline = [["x", "0"], ["36'", "0"], ["36'", "y"], ["0", "26'"]]
    assert [place for place, _ in _refusal(_house(outline=outline))] == ["outline.0.0", "outline.2.1"]


def test_ids_are_used_once() -> None:
    partition = {"id": "S1", "from": ["0", "1'"], "to": ["5'", "1'"]}
    ((place, message),) = _refusal(_house(partitions=[partition]))
    assert place == "partitions.0.id"
    assert "openings.0.id" in message


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "not JSON"),
        ("{", "not JSON"),
        ("[]", "JSON object"),
        ("7", "JSON object"),
        ("[" * 100_000, "nested more than"),
        ('{"a": {"a": {"a": {"a": {"a": {"a": {"a": {"a": 1}}}}}}}}', "nested more than"),
        ('{"a": NaN}', "NaN is not a number"),
        ('{"a": -Infinity}', "not a number"),
        ('{"a": 1, "a": 2}', "given twice"),
        ('{"format": ' + "9" * 5000 + "}", "not JSON"),
        (b"\xff\xfe", "not UTF-8"),
        (" " * 1_000_001, "at most 1,000,000"),
        ('{"a": [' + "1," * 60_000 + "1]}", "more than 50,000 values"),
    ],
)
def test_text_that_is_no_document_is_refused_in_words(text: str | bytes, words: str) -> None:
    ((place, message),) = _refusal(text)
    assert place == ""
    assert words in message


def test_broken_letters_are_refused() -> None:
    text = json.dumps(_house()).replace('"House, first floor"', '"\\ud800"')
    ((place, _),) = _refusal(text)
    assert place == "name"


@pytest.mark.parametrize("path", sorted((PLANS / "bad").glob("*.json")), ids=lambda path: path.stem)
def test_bad_samples_name_a_place(path: Path) -> None:
    with pytest.raises((DocumentRefused, FloorRefused)) as caught:
        check_floor(to_plan(read_document(path.read_bytes()), PRACTICE), PRACTICE)
    assert all(problem.place and problem.message.endswith(".") for problem in caught.value.problems)


def test_the_committed_schema_is_the_engines() -> None:
    committed = json.loads((ROOT / "framing/engine/data/floor.schema.json").read_text())
    assert committed == json_schema()


@pytest.mark.parametrize("name", ["house", "townhouse", "corridor"])
def test_samples_conform_to_the_schema(name: str) -> None:
    validator = jsonschema.Draft202012Validator(json_schema())
    assert list(validator.iter_errors(json.loads((PLANS / f"{name}.json").read_text()))) == []


@pytest.mark.parametrize("name", ["version", "unknown_field"])
def test_the_schema_refuses_wrong_shapes(name: str) -> None:
    validator = jsonschema.Draft202012Validator(json_schema())
    assert list(validator.iter_errors(json.loads((PLANS / "bad" / f"{name}.json").read_text())))
