"""The outline in a bay's frame, and intervals."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from framing.engine.catalogue import load_catalogue
from framing.engine.fitout.intervals import subtract, union
from framing.engine.fitout.scene import scene_of
from framing.engine.fitout.shape import Shape, shape_of
from framing.engine.floor import Edge, EdgeKind, FloorPlan
from framing.engine.geometry import Frame, Point
from framing.engine.lean import half_up
from framing.engine.practice import Practice
from framing.engine.regions import regions_of
from tests.engine.fitout.builders import in16, l_shape, plan, rectangle

INTERVAL = st.tuples(st.integers(0, 60), st.integers(1, 20)).map(lambda p: (p[0], p[0] + p[1]))


def _shape(floor: FloorPlan, frame: Frame) -> Shape:
    return shape_of(regions_of(floor)[0].sides, frame)


def test_corners_of_an_l_in_every_frame() -> None:
    # Six edges; the step's two edges meet in the one re-entrant corner, whichever way the frame looks.
    floor, _ = l_shape()
    for frame in (
        Frame("y", 0),
        Frame("y", in16(384), reverse=True),
        Frame("x", 0),
        Frame("x", in16(240), True),
    ):
        sides = _shape(floor, frame).sides
        steps = {side.id for side in sides if "re-entrant" in side.corners}
        assert steps == {"edge:2", "edge:3"}
        assert sum(c == "outside" for side in sides for c in side.corners) == 10


def test_what_lies_inside_at_a_coordinate() -> None:
    floor, _ = l_shape()
    shape = _shape(floor, Frame("y", 0))
    assert [(a.id, b.id) for a, b in shape.across_at(in16(100))] == [("edge:5", "edge:1")]
    assert [(a.id, b.id) for a, b in shape.across_at(in16(144))] == [("edge:5", "edge:3")]
    assert [(a.id, b.id) for a, b in shape.along_at(in16(240))] == [("edge:0", "edge:2")]
    assert shape.along_at(-1) == shape.along_at(in16(384)) == ()


def test_a_corner_on_a_straight_edge_is_no_corner() -> None:
    floor, _ = rectangle(96, 96)
    ring = (*floor.outline[:1], Point(in16(48), 0), *floor.outline[1:])
    edges = tuple(Edge(i, EdgeKind.PLATFORM, 88) for i in range(5))
    split = replace(floor, outline=ring, edges=edges)
    assert _shape(split, Frame("y", 0)).sides[0].corners == ("outside", "straight")


def _trapezoid() -> FloorPlan:
    # 120 wide at the bottom, 96 deep; the right side leans from (120, 0) to (90, 96).
    corners = [(0, 0), (120, 0), (90, 96), (0, 96)]
    return plan(corners, (EdgeKind.PLATFORM,) * 3 + (EdgeKind.PARALLEL,))


def test_crossings_with_a_skewed_side_are_exact() -> None:
    # At 32 up the side stands at 120 - 32 x 30/96 = 110; at 1 up at 119 11/16 = 1915/16: one sixteenth up at
    # 1920 - 30/96 sixteenths. Across 100: (120 - 100) x 96/30 = 64 up.
    shape = _shape(_trapezoid(), Frame("y", 0))
    ((low, high),) = shape.across_at(in16(32))
    assert (low.across_at(in16(32)), high.across_at(in16(32))) == (0, in16(110))
    assert high.across_at(1) == 1920 - Fraction(30, 96)
    ((low, high),) = shape.along_at(in16(100))
    assert (low.along_at(in16(100)), high.along_at(in16(100))) == (0, in16(64))
    assert [side.runs for side in shape.sides] == ["across", "skewed", "across", "along"]
    assert [side.id for side in shape.bearing] == ["edge:0", "edge:1", "edge:2"]


@pytest.mark.parametrize("frame", [Frame("y", 0), Frame("y", in16(120), reverse=True), Frame("x", 0)])
def test_inward_looks_into_the_floor(frame: Frame) -> None:
    inside = Point(in16(40), in16(40))
    for side in _shape(_trapezoid(), frame).sides:
        across, along, *_ = side.line
        if side.inward_across and side.runs == "along":
            assert (frame.across_16(inside) - across) * side.inward_across > 0
        if side.inward_along and side.runs == "across":
            assert (frame.along_16(inside) - along) * side.inward_along > 0
        if side.runs == "skewed":
            assert (frame.across_16(inside) - side.across_at(frame.along_16(inside))) * side.inward_across > 0
            assert (frame.along_16(inside) - side.along_at(frame.across_16(inside))) * side.inward_along > 0


def test_a_slope_stretches_boards_and_lengths() -> None:
    # 36 across over 48 along: 60 long. A board of 1 1/8 on it reaches 1 1/8 x 60/48 = 1 13/32 across; 18 across
    # are 18 x 60/36 = 30 long.
    floor = plan([(0, 0), (96, 0), (60, 48), (0, 48)], (EdgeKind.PLATFORM,) * 3 + (EdgeKind.PARALLEL,))
    side = _shape(floor, Frame("y", 0)).sides[1]
    assert side.across_through(18) == Fraction(45, 2)
    assert side.length_over(in16(18)) == in16(30)


def test_two_sides_from_one_corner_are_told_apart_just_beyond_it() -> None:
    # A dart: the top corner (60, 40) dents the floor down; just above it the two slopes stand left and right.
    corners = [(0, 0), (120, 0), (120, 100), (60, 40), (0, 100)]
    floor = plan(
        corners,
        (EdgeKind.PLATFORM, EdgeKind.PARALLEL, EdgeKind.PLATFORM, EdgeKind.PLATFORM, EdgeKind.PARALLEL),
    )
    pairs = _shape(floor, Frame("y", 0)).across_at(in16(40))
    assert [(a.id, b.id) for a, b in pairs] == [("edge:4", "edge:3"), ("edge:2", "edge:1")]


def test_a_bay_drawn_a_sixteenth_off_the_outline_has_its_ground_all_the_same() -> None:
    # The bay's low left corner stands 1/16 in off the edge; the side still lies on it, and nothing bounds that
    # sixteenth alone.
    floor, _ = rectangle(96, 96)
    ring = (Point(1, 0), Point(in16(96), 0), Point(in16(96), in16(96)), Point(0, in16(96)))
    bay = replace(floor.bays[0], ring=ring)
    shape = _shape(replace(floor, bays=(bay,)), Frame("y", 0))
    assert [(a.id, b.id) for a, b in shape.across_at(in16(50))] == [("edge:3", "edge:1")]
    assert shape.along_at(0) == ()
    assert [(a.id, b.id) for a, b in shape.along_at(1)] == [("edge:0", "edge:2")]


def test_unknown_members_and_openings_are_told() -> None:
    floor, bay = rectangle(96, 96)
    scene = scene_of(floor, bay, load_catalogue(), Practice())
    with pytest.raises(KeyError):
        scene.member("A.J99")


@given(INTERVAL, st.lists(INTERVAL, max_size=4))
def test_subtract_leaves_exactly_the_points_outside_the_holes(
    span: tuple[int, int], holes: list[tuple[int, int]]
) -> None:
    left = subtract(span, holes)
    for cell in range(*span):
        taken = any(a <= cell < b for a, b in holes)
        assert any(a <= cell < b for a, b in left) is not taken


@given(st.lists(INTERVAL, min_size=1, max_size=5))
def test_union_covers_the_same_points_with_gaps_between(spans: list[tuple[int, int]]) -> None:
    merged = union(spans)
    for cell in range(81):
        assert any(a <= cell < b for a, b in merged) is any(a <= cell < b for a, b in spans)
    assert all(a[1] < b[0] for a, b in pairwise(merged))


@pytest.mark.parametrize(("value", "expected"), [(2, 2), (2.5, 3), (2.49, 2), (3.5, 4)])
def test_halves_go_up(value: float, expected: int) -> None:
    assert half_up(Fraction(value)) == expected
