"""R51: what can't be built is refused and says where; what is unusual is a warning."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from framing.engine.document import to_plan
from framing.engine.errors import FloorRefused
from framing.engine.floor_checks import check_floor
from framing.engine.practice import Practice
from tests.engine.layout.builders import document

PRACTICE = Practice()
SQUARE = [[0, 0], [240, 0], [240, 168], [0, 168]]
L_SHAPE = [[0, 0], [240, 0], [240, 120], [144, 120], [144, 240], [0, 240]]


def _check(outline: Any = SQUARE, **rest: Any) -> list[tuple[str, str]]:
    warnings = check_floor(to_plan(document(outline, **rest), PRACTICE), PRACTICE)
    return [(warning.place, warning.message) for warning in warnings]


def _refused(outline: Any = SQUARE, **rest: Any) -> list[tuple[str, str]]:
    with pytest.raises(FloorRefused) as caught:
        _check(outline, **rest)
    return [(problem.place, problem.message) for problem in caught.value.problems]


def _opening(x: Any, y: Any, width: Any, length: Any, **rest: Any) -> dict[str, Any]:
    return {"id": "S1", "name": "Stair", "corner": [x, y], "size": [width, length], **rest}


def _wall(start: list[Any], end: list[Any], **rest: Any) -> dict[str, Any]:
    return {"id": "W1", "from": start, "to": end, **rest}


def test_a_plain_floor_has_no_warning() -> None:
    assert _check() == []
    assert _check(L_SHAPE, supports=[_wall([0, 120], [144, 120])]) == []


@pytest.mark.parametrize(
    ("outline", "words"),
    [
        ([[0, 0], [240, 0], [240, 0], [240, 168], [0, 168]], "on each other"),
        # A bow tie drawn square: the last side passes through the first.
        ([[0, 0], [240, 0], [240, 168], [100, 168], [100, -50], [0, -50]], "crosses or touches itself"),
        # Two rooms that meet in one corner.
        ([[0, 0], [100, 0], [100, 100], [200, 100], [200, 200], [100, 200], [100, 100], [0, 100]], "touches"),
        # A spike: out and back on the same line.
        (
            [[0, 0], [240, 0], [300, 0], [240, 0], [240, 168], [0, 168]],
            'folds back on itself at (25\'-0", 0")',
        ),
        # A bow tie: the askew sides cross halfway.
        ([[0, 0], [240, 168], [240, 0], [0, 168]], "itself at (10'-0\", 7'-0\")"),
        ([[0, 0], [240, 0], [100, 0], [50, 0]], "encloses nothing"),
        # Each corner is within 1,000 ft of the origin, the floor is 1 1/4 in over that long.
        ([[-6000, 0], ["6001 1/4", 0], ["6001 1/4", 144], [-6000, 144]], "1000'-1 1/4\" from end to end"),
    ],
)
def test_outlines_that_are_no_floor(outline: Any, words: str) -> None:
    problems = _refused(outline)
    assert any(words in message for _, message in problems)
    assert all(place.startswith("outline") for place, _ in problems)


@pytest.mark.parametrize(
    ("edge", "words"),
    [
        ({"edge": 0, "kind": "parallel"}, "joists with no bearing"),
        ({"edge": 1, "kind": "platform"}, "runs along the joists"),
        ({"edge": 0, "width": "1 1/2"}, "must be over 1 1/2"),
    ],
)
def test_edges_that_bear_wrongly(edge: dict[str, Any], words: str) -> None:
    ((place, message),) = _refused(edges=[edge])
    assert place == f"edges.{edge['edge']}"
    assert words in message


@pytest.mark.parametrize("spacing", ["18", "0", "6"])
def test_a_spacing_not_offered(spacing: str) -> None:
    ((place, message),) = _refused(bays=[{"direction": "y", "spacing": spacing}])
    assert place == "bays.0.spacing"
    assert "12, 16, 19.2 or 24 in" in message


def test_an_offset_over_the_spacing() -> None:
    ((place, _),) = _refused(bays=[{"direction": "y", "offset": "17"}])
    assert place == "bays.0.offset"
    assert _check(bays=[{"direction": "y", "offset": "0"}]) == []


@pytest.mark.parametrize(
    ("opening", "place", "words"),
    [
        (_opening(50, 50, 0, 40), "openings.0.size.0", "no size"),
        (_opening(50, 50, 40, 0), "openings.0.size.1", "no size"),
        (_opening(220, 50, 40, 40), "openings.0", "outside the floor"),
        (_opening(500, 500, 40, 40), "openings.0", "outside the floor"),
        (_opening(50, -10, 40, 40), "openings.0", "outside the floor"),
    ],
)
def test_openings_that_do_not_fit(opening: dict[str, Any], place: str, words: str) -> None:
    ((found, message),) = _refused(openings=[opening])
    assert found == place
    assert words in message


def test_an_opening_in_the_notch_of_an_l() -> None:
    ((_, message),) = _refused(L_SHAPE, openings=[_opening(180, 150, 40, 40)])
    assert "outside the floor" in message
    ((_, message),) = _refused(L_SHAPE, openings=[_opening(120, 100, 40, 40)])
    assert "outside the floor" in message
    # Touching the outline is inside.
    assert _check(L_SHAPE, openings=[_opening(50, 0, 40, 40)]) == []


def test_openings_that_overlap_or_touch() -> None:
    def pair(x: int, y: int = 60) -> list[dict[str, Any]]:
        return [_opening(50, 50, 40, 40), _opening(x, y, 40, 40, id="S2", name="Shaft")]

    for x in (80, 90):  # over each other, side by side
        ((place, message),) = _refused(openings=pair(x))
        assert place == "openings.1"
        assert message.startswith("Openings Stair and Shaft overlap or touch but fill no rectangle")
        assert "join them" in message
    assert _check(openings=pair(91)) == []
    # Corner to corner they share no border.
    assert _check(openings=pair(90, 90)) == []
    # Together a rectangle of 80 by 40: one opening.
    assert _check(openings=pair(90, 50)) == []
    assert _check(openings=pair(70, 50)) == []


def test_a_bearing_through_an_opening() -> None:
    # Wall 84 +- 1.75 through the whole width; opening edges at 40 and 120.
    wall = _wall([0, 84], [240, 84])
    ((place, message),) = _refused(supports=[wall], openings=[_opening(50, 40, 40, 80)])
    assert place == "openings.0"
    assert "W1 crosses" in message
    # Its edge within the wall's width (82.25 to 85.75, faces included) is an edge on the bearing.
    assert _check(supports=[wall], openings=[_opening(50, 40, 40, "45 3/4")]) == []
    ((_, message),) = _refused(supports=[wall], openings=[_opening(50, 40, 40, "45 13/16")])
    assert "crosses" in message
    # A wall that ends at the opening is no bearing through it.
    assert _check(supports=[_wall([0, 84], [50, 84])], openings=[_opening(50, 40, 40, 80)]) == []


def test_a_bearing_through_an_opening_where_joists_run_along_x() -> None:
    # The same floor turned: wall 84 +- 1.75 from y 0 to 240, opening edges at x 40 and 120.
    turned = {"outline": [[0, 0], [168, 0], [168, 240], [0, 240]], "bays": [{"direction": "x"}]}
    wall = _wall([84, 0], [84, 240])
    ((place, message),) = _refused(**turned, supports=[wall], openings=[_opening(40, 50, 80, 40)])
    assert place == "openings.0"
    assert "W1 crosses" in message
    assert _check(**turned, supports=[wall], openings=[_opening(40, 50, "45 3/4", 40)]) == []
    assert _check(**turned, supports=[_wall([84, 0], [84, 50])], openings=[_opening(40, 50, 80, 40)]) == []


@pytest.mark.parametrize(
    ("wall", "words"),
    [
        (_wall([0, 84], [0, 84]), "no length"),
        (_wall([0, 84], [260, 84]), "leaves the floor"),
        (_wall([0, 84], [240, 84], width=0), "no width"),
    ],
)
def test_bearings_that_can_not_be(wall: dict[str, Any], words: str) -> None:
    ((place, message),) = _refused(supports=[wall])
    assert place.startswith("supports.0")
    assert words in message


def test_bearings_that_stand_in_each_other() -> None:
    walls = [_wall([0, 84], [240, 84]), _wall([0, 86], [240, 86], id="W2")]
    ((place, _),) = _refused(supports=walls)
    assert place == "supports.1"
    # End to end is one line.
    ends = [_wall([0, 84], [120, 84]), _wall([120, 84], [240, 84], id="W2")]
    assert _check(supports=ends) == []


def test_a_bearing_along_the_joists_carries_none() -> None:
    ((place, message),) = _check(supports=[_wall([100, 0], [100, 168])])
    assert place == "supports.0"
    assert "carries none" in message


def test_partitions() -> None:
    def partition(start: list[Any], end: list[Any]) -> list[dict[str, Any]]:
        return [{"id": "P1", "from": start, "to": end, "bearing": True}]

    assert _check(partitions=partition([100, 10], [100, 150])) == []
    for start, end, words in (
        ([100, 10], [100, 10], "no length"),
        ([100, 10], [100, 300], "leaves the floor"),
    ):
        ((_, message),) = _refused(partitions=partition(start, end))
        assert words in message
    ((_, message),) = _refused(partitions=partition([70, 10], [70, 150]), openings=[_opening(50, 50, 40, 40)])
    assert "crosses opening" in message


def test_fixed_plies_name_what_exists() -> None:
    def plies(of: str, part: str) -> dict[str, Any]:
        return {"plies": [{"of": of, "part": part, "plies": 3}]}

    openings = [_opening(50, 50, 40, 40)]
    assert _check(openings=openings, overrides=plies("S1", "header_low")) == []
    ((place, _),) = _refused(openings=openings, overrides=plies("S9", "header_low"))
    assert place == "overrides.plies.0.of"
    ((place, _),) = _refused(openings=openings, overrides=plies("S1", "joist"))
    assert place == "overrides.plies.0.of"


def test_a_low_live_load_is_a_warning() -> None:
    load = {"occupancy": "Attic", "live_psf": 29.5, "layers": []}
    ((place, message),) = _check(load_case=load)
    assert place == "load_case.live_psf"
    assert "29.5 psf is under 30 psf" in message
    assert _check(load_case={**load, "live_psf": 30}) == []


def test_all_problems_come_at_once_in_document_order() -> None:
    problems = _refused(
        edges=[{"edge": 0, "kind": "parallel"}],
        openings=[_opening(500, 500, 40, 40)],
        bays=[{"direction": "y", "spacing": "18"}],
    )
    assert [place for place, _ in problems] == ["edges.0", "openings.0", "bays.0.spacing"]


def test_an_outline_of_two_corners() -> None:
    plan = to_plan(document(SQUARE), PRACTICE)
    with pytest.raises(FloorRefused) as caught:
        check_floor(replace(plan, outline=plan.outline[:2], edges=plan.edges[:2]), PRACTICE)
    assert [problem.message for problem in caught.value.problems] == [
        "The outline has 2 corners; a floor needs 3 or more."
    ]


def test_a_bearing_along_the_joists_through_an_opening() -> None:
    opening = [_opening(80, 50, 40, 40)]
    ((place, message),) = _refused(supports=[_wall([100, 0], [100, 168])], openings=opening)
    assert place == "openings.0"
    assert "W1 crosses" in message
    # On the opening's edge it passes beside.
    ((place, _),) = _check(supports=[_wall([80, 0], [80, 168])], openings=opening)
    assert place == "supports.0"


def test_a_bearing_partition_beside_an_opening() -> None:
    partition = {"id": "P1", "from": [130, 10], "to": [130, 150], "bearing": True}
    assert _check(partitions=[partition], openings=[_opening(50, 50, 40, 40)]) == []


def test_a_line_on_the_outline_lies_in_the_floor() -> None:
    for x in (0, 240):
        assert _check(partitions=[{"id": "P1", "from": [x, 10], "to": [x, 150]}]) == []
    # From the inside through a step's corner and on along its side.
    assert _check(L_SHAPE, partitions=[{"id": "P1", "from": [144, 60], "to": [144, 240]}]) == []


@pytest.mark.parametrize(
    ("outline", "start", "end"),
    [
        (SQUARE, [0, 10], [0, 169]),
        (SQUARE, [-1, 168], [100, 168]),
        (SQUARE, [240, -20], [240, 188]),
        # On the step's side and beyond the corner that it ends in, or across the notch from corner to corner.
        (L_SHAPE, [144, 60], [144, 250]),
        (L_SHAPE, [100, 240], [200, 240]),
    ],
)
def test_a_line_on_a_side_that_runs_on_past_its_corner(
    outline: Any, start: list[Any], end: list[Any]
) -> None:
    ((place, message),) = _refused(outline, partitions=[{"id": "P1", "from": start, "to": end}])
    assert place == "partitions.0"
    assert "leaves the floor" in message


def test_fixed_plies_over_what_the_practice_builds() -> None:
    plies = {"plies": [{"of": "S1", "part": "header_low", "plies": 3}]}
    plan = to_plan(document(SQUARE, openings=[_opening(50, 50, 40, 40)], overrides=plies), PRACTICE)
    with pytest.raises(FloorRefused) as caught:
        check_floor(plan, replace(PRACTICE, plies_most=2))
    (problem,) = caught.value.problems
    assert problem.place == "overrides.plies.0.plies"
    assert problem.message == "3 plies can't be built; write 1 to 2."
