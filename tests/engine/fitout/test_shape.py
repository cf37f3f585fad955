"""The outline in a bay's frame, and intervals."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from framing.engine.catalogue import load_catalogue
from framing.engine.errors import FloorRefused
from framing.engine.fitout.scene import scene_of
from framing.engine.fitout.shape import half_up, shape_of, subtract, union
from framing.engine.geometry import Frame, Point
from framing.engine.practice import Practice
from tests.engine.fitout.builders import in16, l_shape, rectangle

INTERVAL = st.tuples(st.integers(0, 60), st.integers(1, 20)).map(lambda p: (p[0], p[0] + p[1]))


def test_corners_of_an_l_in_every_frame() -> None:
    # Six edges; the step's two edges meet in the one re-entrant corner, whichever way the frame looks.
    floor, _ = l_shape()
    for frame in (
        Frame("y", 0),
        Frame("y", in16(384), reverse=True),
        Frame("x", 0),
        Frame("x", in16(240), True),
    ):
        edges = shape_of(floor, frame).edges
        steps = {e.index for e in edges if "re-entrant" in e.corners}
        assert steps == {2, 3}
        assert sum(c == "outside" for e in edges for c in e.corners) == 10


def test_what_lies_inside_at_a_coordinate() -> None:
    floor, _ = l_shape()
    shape = shape_of(floor, Frame("y", 0))
    assert [(a.index, b.index) for a, b in shape.across_at(in16(100))] == [(5, 1)]
    assert [(a.index, b.index) for a, b in shape.across_at(in16(144))] == [(5, 3)]
    assert [(a.index, b.index) for a, b in shape.along_at(in16(240))] == [(0, 2)]


def test_a_corner_on_a_straight_edge_is_no_corner() -> None:
    floor, _ = rectangle(96, 96)
    ring = (*floor.outline[:1], Point(in16(48), 0), *floor.outline[1:])
    split = replace(floor, outline=ring)
    assert shape_of(split, Frame("y", 0)).edges[0].corners == ("outside", "straight")


def test_a_skewed_edge_is_refused() -> None:
    floor, _ = rectangle(96, 96)
    skewed = replace(floor, outline=(*floor.outline[:2], Point(in16(90), in16(96)), floor.outline[3]))
    with pytest.raises(FloorRefused, match="neither along"):
        shape_of(skewed, Frame("y", 0))


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
