"""Askew outlines, walls and partitions pass; what leaves them, folds or stands in each other does not (R1, R2, R51)."""

from __future__ import annotations

from typing import Any

import pytest

from framing.engine.errors import Problem
from framing.engine.floor_checks.lines import Strip
from framing.engine.geometry import Point
from tests.engine.floor_checks.asking import bearing, box, drawn, opening, problems, refused, warned

# 20 ft wide, 14 ft deep at the left, 10 ft at the right: the top edge falls 1 in 5.
TRAPEZOID = [[0, 0], [240, 0], [240, 120], [0, 168]]
TRIANGLE = [[0, 0], [240, 0], [0, 168]]


@pytest.mark.parametrize(
    "outline", [TRAPEZOID, TRIANGLE, [[0, 0], [120, -60], [240, 0], [200, 168], [40, 150]]]
)
def test_askew_outlines_are_floors(outline: Any) -> None:
    assert warned(outline) == []
    assert warned(outline[::-1]) == []


def test_a_place_where_askew_sides_cross_is_told_to_the_sixteenth() -> None:
    # (240,168)-(0,0) and (0,100)-(240,10): y = 0.7 x meets y = 100 - 0.375 x at x = 100 / 1.075 = 93.0233 in,
    # which is 1488.37 sixteenths, y = 65.1163 in, which is 1041.86 sixteenths.
    found = problems([[0, 100], [240, 10], [240, 168], [0, 0]])
    words = "The outline crosses or touches itself at (7'-9\", 5'-5 1/8\"); mend it there."
    assert found == (Problem("outline.2", words, 1488, 1042),)


def test_an_askew_side_that_runs_back_folds() -> None:
    # The third side runs back along the second, 2 in 1.
    place, message = refused([[0, 0], [240, 0], [300, 120], [270, 60], [0, 168]])
    assert place == "outline.2"
    assert message == "The outline folds back on itself at (25'-0\", 10'-0\"); remove that corner."


def test_straight_on_through_a_corner_is_no_fold() -> None:
    assert warned([[0, 0], [120, 0], [240, 0], [240, 120], [120, 144], [0, 168]]) == []


def test_askew_walls_and_partitions_stand_in_the_floor() -> None:
    wall = bearing([0, 84], [240, 60])
    partition = {"id": "P1", "from": [10, 10], "to": [100, 100], "bearing": True}
    assert warned(TRAPEZOID, supports=[wall], partitions=[partition]) == []


def test_what_ends_on_an_askew_edge_may_be_rounded_off_it() -> None:
    # At x = 100.0625 the top edge stands at 168 - 0.2 x 100.0625 = 147.9875 in: drawn 148 it lies 0.2 sixteenths out.
    partition = {"id": "P1", "from": [100.0625, 10], "to": [100.0625, 148]}
    assert warned(TRAPEZOID, partitions=[partition]) == []
    # An inch beyond is out, as is a sixteenth beyond a square edge.
    for to in ([100.0625, 149], [240.0625, 10]):
        place, message = refused(TRAPEZOID, partitions=[{**partition, "to": to}])
        assert place == "partitions.0"
        assert message == "Partition P1 leaves the floor; end it at the outline."


def test_an_opening_may_touch_an_askew_edge_but_not_cross_it() -> None:
    # Its high corner at x 100: the edge stands at 148.
    assert warned(TRAPEZOID, openings=[opening("S1", box(60, 108, 100, 148))]) == []
    place, message = refused(TRAPEZOID, openings=[opening("S1", box(60, 110, 100, 150))])
    assert place == "openings.0"
    assert message.startswith("Opening S1 lies outside the floor or over its edge")


def test_an_askew_bearing_crosses_an_opening_unless_an_edge_lies_in_its_width() -> None:
    def floor(high: float) -> dict[str, Any]:
        return {"supports": [wall], "openings": [opening("S1", box(100, 30, 140, high))]}

    # The wall falls from 90 in to 78 in, 1 in 20: at x 100 its centre is 85, at x 140 it is 83. Half of its 3 1/2 in
    # reaches 1.75 x sqrt(1 + 1/400) = 1.752 in along the joists, so an edge from 83.248 to 84.752 in lies in its width.
    wall = bearing([0, 90], [240, 78])
    for high in (83.25, 84, 84.75):
        assert warned(**floor(high)) == []
    for high in (83.1875, 84.8125, 120):
        place, message = refused(**floor(high))
        assert place == "openings.0"
        assert message.startswith("Bearing W1 crosses opening S1")
    # An opening wholly on one side of it, or beside its end.
    assert warned(**floor(80)) == []
    wall = bearing([140, 83], [240, 78])
    assert warned(**floor(120)) == []


def test_bearings_in_each_other_whatever_their_direction() -> None:
    # 14 in 240: some 3 degrees apart, crossing at the left end.
    walls = [bearing([0, 84], [240, 84]), bearing([0, 84], [240, 98], id="W2")]
    assert refused(supports=walls) == (
        "supports.1",
        "Bearings W1 and W2 stand in each other; keep one or move it.",
    )
    # Two feet off the crossing they stand clear: 7 in apart at mid-length, 3 1/2 in wide each.
    walls = [bearing([0, 84], [110, 84]), bearing([120, 91], [240, 98], id="W2")]
    assert warned(supports=walls) == []
    # Walls that cross each other are no clash.
    walls = [bearing([0, 84], [240, 84]), bearing([100, 10], [140, 160], id="W2")]
    assert warned(supports=walls) == []


def test_a_bearing_without_length_is_in_nobodys_way() -> None:
    walls = [bearing([0, 84], [0, 84]), bearing([0, 84], [240, 84], id="W2")]
    stair = opening("S1", box(0, 80, 40, 120))
    assert [problem.place for problem in problems(supports=walls)] == ["supports.0"]
    assert [problem.place for problem in problems(supports=walls[:1], openings=[stair])] == ["supports.0"]


def test_a_wall_drawn_on_the_outline_along_the_joists() -> None:
    words = "Bearing W1 runs along the joists and carries none of them."
    assert warned(supports=[bearing([0, 0], [0, 168])]) == [("supports.0", words)]


def test_an_askew_wall_is_never_one_along_the_joists() -> None:
    assert warned(supports=[bearing([100, 0], [101, 168])]) == []


def test_places_on_a_plan_follow_its_units() -> None:
    plan = drawn([[0, 0], [2400, 1680], [2400, 100], [0, 1000]], units="metric")
    assert plan.units == "metric"
    (found,) = problems([[0, 0], [2400, 1680], [2400, 100], [0, 1000]], units="metric")
    assert "at (930 mm, 651 mm)" in found.message


def test_the_ground_of_a_wall() -> None:
    # From (100, 90) to (500, 110) a line enters at its foot and leaves at its end, x 300, half-way.
    strip = Strip((Point(100, 100), Point(300, 100)), 10, 10)
    assert strip.stretch((Point(100, 90), Point(500, 110))) == pytest.approx((0, 0.5))
    for x, y in ((0, 100), (400, 100), (200, 0), (200, 200)):
        assert not strip.covers(Point(x, y))
    # At 45 degrees the box around it holds places that it does not cover.
    leaning = Strip((Point(0, 0), Point(200, 200)), 10, 10)
    assert leaning.covers(Point(100, 110))
    assert not leaning.covers(Point(190, 20))
