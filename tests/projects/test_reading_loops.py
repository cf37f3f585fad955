"""Loops and walls out of drawn lines: joints, gaps, duplicates, crossings, corners; faces of walls; worked by hand."""

from __future__ import annotations

import random
from itertools import pairwise
from math import cos, hypot, pi, radians, sin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from framing.projects.reading.loops import find_loops, path_of
from framing.projects.reading.loops_curves import straight_path
from framing.projects.reading.loops_lines import common_angle, courses_of
from framing.projects.reading.loops_rings import signed_area
from framing.projects.reading.loops_shapes import Path, Spot, Stroke
from framing.projects.reading.loops_walls import Wall, find_walls

NEAR = 4.0
SQUARE = ((0.0, 0.0), (1000.0, 0.0), (1000.0, 600.0), (0.0, 600.0))


def line(a: Spot, b: Spot) -> Path:
    return path_of([a, b])


def chain(*corners: Spot) -> list[Path]:
    """Separate lines around."""
    return [line(a, b) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)]


def rectangle(low: Spot, high: Spot) -> list[Stroke]:
    corners = [low, (high[0], low[1]), high, (low[0], high[1])]
    return list(path_of(corners, closed=True).strokes)


def test_lines_in_any_order_and_direction_are_one_ring() -> None:
    paths = chain(*SQUARE)
    turned = [paths[2], Path((Stroke(paths[0].strokes[0].b, paths[0].strokes[0].a),)), paths[3], paths[1]]
    found = find_loops(turned, NEAR)
    assert [ring.corners for ring in found.rings] == [SQUARE]
    assert (found.rings[0].gaps, found.open, found.twice) == (0, (), 0)


def test_gaps_up_to_a_quarter_inch_are_closed_on_the_sides_lines() -> None:
    # Each side stops 1/8 in (2) short of its corner or runs as far over it: the corner is where they cross.
    paths = [
        line((2, 0), (998, 0)),
        line((1000, -2), (1000, 600)),
        line((1000, 602), (0, 602)),
        line((0, 600), (0, 3)),
    ]
    ring = find_loops(paths, NEAR).rings[0]
    assert ring.corners == ((0, 0), (1000, 0), (1000, 602), (0, 602))
    assert ring.gaps == 4
    assert ring.gap == pytest.approx(hypot(2, 3))


def test_a_gap_over_a_quarter_inch_stays_open() -> None:
    paths = [*chain(*SQUARE)[:3], line((0, 600), (0, 4.1))]
    found = find_loops(paths, NEAR)
    assert found.rings == ()
    assert len(found.open) == 4
    assert find_loops([*chain(*SQUARE)[:3], line((0, 600), (0, 3.9))], NEAR).rings[0].gaps == 1


def test_an_open_polyline_within_reach_is_closed() -> None:
    ring = find_loops([path_of([*SQUARE, (0.0, 2.0)])], NEAR).rings[0]
    assert ring.corners == SQUARE
    assert (ring.gaps, ring.gap) == (1, 2.0)


def test_a_side_in_pieces_is_one_side() -> None:
    paths = [line((0, 0), (300, 0)), line((302, 0), (301, 0)), line((303, 0), (1000, 0)), *chain(*SQUARE)[1:]]
    ring = find_loops(paths, NEAR).rings[0]
    assert ring.corners == SQUARE


def test_what_is_drawn_twice_is_taken_once() -> None:
    paths = [*chain(*SQUARE), line((1000, 0), (0, 0)), path_of(SQUARE, closed=True)]
    found = find_loops(paths, NEAR)
    assert [ring.corners for ring in found.rings] == [SQUARE]
    assert found.twice == 2  # the bottom side, and the ring as a whole


def test_a_tail_that_ends_in_a_corner_is_left() -> None:
    found = find_loops(
        [*chain(*SQUARE), line((1000, 600), (1500, 900)), line((1500, 900), (1600, 900))], NEAR
    )
    assert [ring.corners for ring in found.rings] == [SQUARE]
    assert len(found.open) == 2


def test_a_diagonal_from_corner_to_corner_does_not_hide_the_ring() -> None:
    found = find_loops([*chain(*SQUARE), line((0, 0), (1000, 600))], NEAR)
    assert [ring.corners for ring in found.rings] == [SQUARE]
    assert found.rings[0].crossed


def test_lines_that_cross_beyond_their_corners_enclose_a_floor() -> None:
    paths = [
        line((-50, 0), (1100, 0)),
        line((1000, -80), (1000, 700)),
        line((1060, 600), (-10, 600)),
        line((0, 640), (0, -30)),
    ]
    found = find_loops(paths, NEAR)
    assert [ring.corners for ring in found.rings] == [SQUARE]
    assert found.rings[0].crossed


def test_two_units_that_share_a_wall_are_one_outline() -> None:
    left = chain((0, 0), (500, 0), (500, 600), (0, 600))
    right = [line((500, 0), (1000, 0)), line((1000, 0), (1000, 600)), line((1000, 600), (500, 600))]
    assert [ring.corners for ring in find_loops([*left, *right], NEAR).rings] == [SQUARE]


def test_rings_come_largest_first_and_nothing_encloses_nothing() -> None:
    small = path_of([(10, 10), (20, 10), (20, 20)], closed=True)
    found = find_loops([small, path_of(SQUARE, closed=True), path_of([(0, 0), (5, 0)], closed=True)], NEAR)
    assert [ring.area for ring in found.rings] == [600_000, 50]
    assert find_loops([], NEAR).rings == ()


def test_a_scribble_of_ends_in_one_spot_ends_soon() -> None:
    maker = random.Random(7)  # noqa: S311 # a drawing, no secret
    star = [line((maker.random(), maker.random()), (1000 * maker.random(), 900)) for _ in range(3000)]
    assert find_loops(star, NEAR).rings is not None


def packed(*corners: tuple[float, float, float], closed: bool = False) -> list[float]:
    return [int(closed), 0, *(value for corner in corners for value in corner)]


def test_an_arc_becomes_chords_within_an_eighth() -> None:
    # A half circle of radius 960 (5 ft) over a chord of 1920: bulge 1, to the right of the way.
    path = straight_path(packed((0, 0, 1), (1920, 0, 0)), 1.0, 2.0)
    spots = [path.strokes[0].a, *(stroke.b for stroke in path.strokes)]
    assert (spots[0], spots[-1]) == ((0, 0), (1920, 0))
    assert all(hypot(x - 960, y) == pytest.approx(960) and y <= 1e-9 for x, y in spots)
    # sagitta = r (1 - cos(a / 2)); 25 chords of 7.2 degrees keep within 1.9, 24 of 7.5 within 2.05
    assert len(path.strokes) == 25
    assert path.curved
    assert 960 * (1 - cos(radians(7.2) / 2)) < 2.0 < 960 * (1 - cos(radians(7.5) / 2))


def test_a_circle_and_a_straight_ring() -> None:
    circle = straight_path(packed((-100, 0, 1), (100, 0, 1), closed=True), 2.0, 2.0)
    ring = find_loops([circle], NEAR).rings[0]
    assert ring.curved
    assert ring.area == pytest.approx(pi * 200**2, rel=0.02)
    plain = straight_path(packed((0, 0, 0), (9, 0, 0), (9, 9, 0), (0, 0, 0), closed=True), 1.0, 2.0)
    assert len(plain.strokes) == 3
    assert not plain.curved


# --- walls ---


def test_two_faces_are_a_wall_with_its_width() -> None:
    found = find_walls(rectangle((0, 100), (4608, 156)), join=False)
    assert found.walls == (Wall((0, 128), (4608, 128), 56),)
    assert (found.short, found.faces) == (0, 0)


def test_a_lone_line_is_a_centre_line() -> None:
    assert find_walls([Stroke((0, 0), (0, 3000))], join=False).walls == (Wall((0, 0), (0, 3000), None),)


@pytest.mark.parametrize(
    ("apart_16", "widths"), [(54, [None, None]), (56, [56]), (192, [192]), (194, [None, None])]
)
def test_faces_stand_3_and_a_half_to_12_inches_apart(apart_16: int, widths: list[float | None]) -> None:
    strokes = [Stroke((0, 0), (3000, 0)), Stroke((0, apart_16), (3000, apart_16))]
    assert [wall.width_16 for wall in find_walls(strokes, join=False).walls] == widths


def test_a_door_stays_open_unless_asked() -> None:
    pieces = rectangle((0, 0), (2000, 56)) + rectangle((2576, 0), (4608, 56))  # 3 ft
    apart = find_walls(pieces, join=False)
    assert [wall.a[0] for wall in apart.walls] == [0, 2576]
    assert (apart.joined, apart.apart) == (0, 1)
    joined = find_walls(pieces, join=True)
    assert joined.walls == (Wall((0, 28), (4608, 28), 56),)
    assert (joined.joined, joined.apart) == (1, 0)
    wide = rectangle((0, 0), (2000, 56)) + rectangle((2769, 0), (4608, 56))  # a hair over 4 ft
    assert len(find_walls(wide, join=True).walls) == 2


def test_a_wall_that_another_meets_runs_on_along_its_whole_face() -> None:
    strokes = [
        Stroke((0, 0), (4000, 0)),
        Stroke((0, 72), (2000, 72)),
        Stroke((2056, 72), (4000, 72)),
        Stroke((2000, 72), (2000, 900)),
        Stroke((2056, 72), (2056, 900)),
        Stroke((2000, 900), (2056, 900)),
    ]
    found = find_walls(strokes, join=False)
    assert found.walls == (Wall((0, 36), (4000, 36), 72), Wall((2028, 72), (2028, 900), 56))
    assert found.short == 0


def test_what_is_no_wall_is_counted() -> None:
    found = find_walls(
        [*rectangle((0, 0), (3000, 56)), Stroke((500, 900), (600, 900)), Stroke((0, 1000), (900, 1000)),
         Stroke((0, 1060), (500, 1060))],
        join=False,
    )  # fmt: skip
    assert (found.short, found.faces) == (1, 1)
    assert Wall((0, 1030), (500, 1030), 60) in found.walls


def test_lines_within_a_tenth_of_a_degree_are_parallel() -> None:
    strokes = [Stroke((0, 0), (3000, 0)), Stroke((0, 60), (3000, 62)), Stroke((0, 900), (3000, 870))]
    directions = courses_of(strokes, NEAR)
    assert sorted(len(courses) for courses in directions) == [1, 2]


def test_a_common_angle_needs_most_of_the_length() -> None:
    def at(degrees: float, length: float) -> Stroke:
        return Stroke((0, 0), (length * cos(radians(degrees)), length * sin(radians(degrees))))

    assert common_angle([at(12, 100), at(102, 80), at(40, 50)], 0.6) == pytest.approx(12)
    assert common_angle([at(-3, 100), at(87, 100)], 0.6) == pytest.approx(-3)
    assert common_angle([at(0, 100), at(30, 100), at(60, 100)], 0.6) is None
    assert common_angle([], 0.6) is None


# --- any outline, drawn badly ---


@st.composite
def outlines(draw: st.DrawFn) -> list[Spot]:
    """A simple outline of right angles: a strip whose top steps up and down, by an inch at least.

    A smaller step is no longer told from two ends that were drawn 1/8 in short of their corner.
    """
    count = draw(st.integers(1, 5))
    widths = [draw(st.integers(64, 4000)) for _ in range(count)]
    heights = [height * 16 for height in draw(st.lists(st.integers(13, 375), min_size=count, max_size=count))]
    top: list[Spot] = []
    x = 0
    for width, height in zip(widths, heights, strict=True):
        top += [(float(x), float(height)), (float(x + width), float(height))]
        x += width
    return [(0.0, 0.0), (float(x), 0.0), *reversed(top)]


def split(a: Spot, b: Spot, maker: random.Random) -> list[Path]:
    """A side as lines: maybe cut, each piece up to 1/8 in short at its ends, turned at random, maybe drawn twice."""
    length = hypot(b[0] - a[0], b[1] - a[1])
    cuts = sorted(maker.uniform(0.2, 0.8) * length for _ in range(maker.randint(0, 2)))
    stops = [0.0, *(cut for cut in cuts if min(cut, length - cut) > 16), length]
    stops = [stop for at, stop in enumerate(stops) if at == 0 or stop - stops[at - 1] > 16] + [length]
    found = []
    for low, high in pairwise(stops):
        if high - low < 8:
            continue
        ends = [low + maker.uniform(0, 1.9), high - maker.uniform(0, 1.9)]
        spots = [(a[0] + (b[0] - a[0]) * t / length, a[1] + (b[1] - a[1]) * t / length) for t in ends]
        found.append(line(*(spots if maker.random() < 0.5 else spots[::-1])))
    return found + [path for path in found if maker.random() < 0.1]


@given(outlines(), st.integers(0, 2**32))
@settings(max_examples=150, deadline=None)
def test_any_outline_in_shuffled_split_and_open_lines_comes_back(corners: list[Spot], seed: int) -> None:
    maker = random.Random(seed)  # noqa: S311 # a drawing, no secret
    kept = [c for at, c in enumerate(corners) if c != corners[at - 1]]
    paths = [path for a, b in zip(kept, [*kept[1:], kept[0]], strict=True) for path in split(a, b, maker)]
    maker.shuffle(paths)
    found = find_loops(paths, NEAR)
    assert len(found.rings) == 1
    ring = found.rings[0].corners
    assert abs(signed_area(ring)) == pytest.approx(abs(signed_area(kept)), rel=1e-9)
    assert {(round(x, 3), round(y, 3)) for x, y in ring} <= {(round(x, 3), round(y, 3)) for x, y in kept}
