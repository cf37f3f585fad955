"""Point loads in the document and the checks of R51: where one may stand and what it must weigh."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from framing.engine.document import dump_document, read_document, to_plan
from framing.engine.errors import DocumentRefused, FloorRefused
from framing.engine.floor import FloorPlan, StandingLoad
from framing.engine.floor_checks import check_floor
from framing.engine.geometry import Point
from framing.engine.practice import Practice

PRACTICE = Practice()
STAIR = {"id": "O1", "name": "Stair", "corner": [80, 60], "size": [36, 96]}


def raw(loads: list[dict[str, Any]], **rest: Any) -> dict[str, Any]:
    return {
        "format": "spanyard.floor",
        "version": 1,
        "name": "Test",
        "outline": [[0, 0], [240, 0], [240, 192], [0, 192]],
        "bays": [{"direction": "y"}],
        "load_case": {"occupancy": "Rooms", "live_psf": 40},
        "point_loads": loads,
        **rest,
    }


def plan(loads: list[dict[str, Any]], **rest: Any) -> FloorPlan:
    return to_plan(read_document(raw(loads, **rest)), PRACTICE)


def read_refusal(loads: list[dict[str, Any]], **rest: Any) -> list[tuple[str, str]]:
    with pytest.raises(DocumentRefused) as caught:
        plan(loads, **rest)
    return [(problem.place, problem.message) for problem in caught.value.problems]


def refusal(drawn: FloorPlan) -> list[tuple[str, str]]:
    with pytest.raises(FloorRefused) as caught:
        check_floor(drawn, PRACTICE)
    return [(problem.place, problem.message) for problem in caught.value.problems]


def test_a_load_is_read_in_the_documents_lengths() -> None:
    typed = {"id": "Q1", "name": "Tub", "at": ["4' 0 1/2\"", 50.75], "dead_lb": 100, "live_lb": 300.5}
    read = plan([typed, {"id": "Q2", "at": ["96", "8'"], "live_lb": 1}])
    assert read.point_loads == (
        StandingLoad("Q1", "Tub", Point(776, 812), 100.0, 300.5),
        StandingLoad("Q2", "", Point(1536, 1536), 0.0, 1.0),
    )
    assert [load.label for load in read.point_loads] == ["Q1 Tub", "Q2"]
    assert check_floor(read, PRACTICE) == ()
    # millimetres: 25.4 mm are 16 sixteenths
    metric = plan([{"id": "Q1", "at": [254, 508], "live_lb": 1}], units="metric", outline=_metres())
    assert metric.point_loads[0].at == Point(160, 320)


def _metres() -> list[list[int]]:
    return [[0, 0], [6000, 0], [6000, 5000], [0, 5000]]


def test_a_document_without_the_part_has_none_and_writes_it_out() -> None:
    bare = raw([])
    del bare["point_loads"]
    document = read_document(bare)
    assert to_plan(document, PRACTICE).point_loads == ()
    assert dump_document(document)["point_loads"] == []


@pytest.mark.parametrize(
    ("load", "place", "words"),
    [
        ({"id": "Q1"}, "point_loads.0.at", "“at” is missing; add it."),
        ({"id": "Q1", "at": [1]}, "point_loads.0.at.1", "is missing"),
        ({"id": "Q1", "at": ["wide", 1]}, "point_loads.0.at.0", "wide"),
        ({"id": "Q1", "at": [1, 1], "dead_lb": -5}, "point_loads.0.dead_lb", "-5 is less than the limit 0"),
        ({"id": "Q1", "at": [1, 1], "live_lb": 1e6}, "point_loads.0.live_lb", "more than the limit 100000"),
        ({"id": "Q1", "at": [1, 1], "live_lb": "heavy"}, "point_loads.0.live_lb", "must be a number"),
        ({"id": "Q 1", "at": [1, 1]}, "point_loads.0.id", "can't be used"),
        ({"id": "Q1", "at": [1, 1], "psf": 4}, "point_loads.0.psf", "is not known here"),
    ],
)
def test_what_is_no_load_is_refused_at_its_field(load: dict[str, Any], place: str, words: str) -> None:
    ((found, message),) = read_refusal([load])
    assert found == place
    assert words in message


def test_ids_are_those_of_openings_and_walls_too() -> None:
    load = {"id": "O1", "at": [12, 12], "live_lb": 5}
    assert read_refusal([load], openings=[STAIR]) == [
        ("point_loads.0.id", "“O1” is already used at openings.0.id; give each its own id.")
    ]


def test_at_most_two_hundred() -> None:
    many = [{"id": f"Q{n}", "at": [n + 1, 12], "live_lb": 5} for n in range(201)]
    assert read_refusal(many) == [("point_loads", "has 201 entries; at most 200 are taken.")]
    assert len(plan(many[:200]).point_loads) == 200


def test_a_load_weighs_something() -> None:
    drawn = plan([{"id": "Q1", "at": [12, 12], "live_lb": 5}, {"id": "Q2", "name": "Post", "at": [30, 12]}])
    assert refusal(drawn) == [
        (
            "point_loads.1",
            "Point load Q2 Post weighs nothing; write its dead or its live load or take it away.",
        )
    ]


def test_a_load_of_a_plan_that_no_document_made_does_not_pull() -> None:
    lifting = StandingLoad("Q1", "", Point(192, 192), 40.0, -5.0)
    drawn = plan([])
    ((place, words),) = refusal(_with(drawn, lifting))
    assert place == "point_loads.0"
    assert words == "Point load Q1 has -5 lb; a load presses down, write 0 or more."


def _with(drawn: FloorPlan, load: StandingLoad) -> FloorPlan:
    return replace(drawn, point_loads=(load,))


@pytest.mark.parametrize(("at", "where"), [([240.0625, 96], "20'-0 1/16\", 8'-0\""), ([-1, -1], '-1", -1"')])
def test_a_load_stands_on_the_floor(at: list[float], where: str) -> None:
    words = f"Point load Q1 stands outside the floor, at ({where}); move it inside."
    assert refusal(plan([{"id": "Q1", "at": at, "dead_lb": 5}])) == [("point_loads.0.at", words)]


@pytest.mark.parametrize("at", [[0, 0], [240, 96], [120, 192], [80, 100], [116, 156], [98, 60]])
def test_on_the_outline_and_on_an_openings_edge_is_on_the_floor(at: list[float]) -> None:
    assert check_floor(plan([{"id": "Q1", "at": at, "dead_lb": 5}], openings=[STAIR]), PRACTICE) == ()


def test_not_in_an_opening() -> None:
    drawn = plan([{"id": "Q1", "at": [80.0625, 61], "dead_lb": 5}], openings=[STAIR])
    assert refusal(drawn) == [
        ("point_loads.0.at", "Point load Q1 stands in opening Stair; move one of them.")
    ]


def test_openings_that_are_one_have_no_floor_on_their_common_edge() -> None:
    beside = {"id": "O2", "name": "Shaft", "kind": "shaft", "corner": [116, 60], "size": [20, 96]}
    drawn = plan([{"id": "Q1", "at": [116, 100], "dead_lb": 5}], openings=[STAIR, beside])
    assert refusal(drawn) == [
        ("point_loads.0.at", "Point load Q1 stands in opening Stair; move one of them.")
    ]


def test_openings_that_are_not_one_keep_the_floor_between() -> None:
    # the second reaches past the first: together they fill no rectangle, which is what is refused
    beside = {"id": "O2", "name": "Shaft", "kind": "shaft", "corner": [116, 60], "size": [20, 100]}
    loads = [{"id": "Q1", "at": [100, 158], "dead_lb": 5}, {"id": "Q2", "at": [120, 158], "dead_lb": 5}]
    places = [place for place, _ in refusal(plan(loads, openings=[STAIR, beside]))]
    assert places == ["openings.1", "point_loads.1.at"]
