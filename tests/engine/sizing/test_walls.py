"""Askew partitions, and partitions on flush beams and in bays, worked by hand: 120 lb per ft is 10 lb per inch.

Joists stand at 16, 32, ... along y over 5.5 to 186.5 of a 24 x 16 ft floor; each strip is 16 in wide.
"""

from __future__ import annotations

from math import hypot, sqrt
from typing import Any

import pytest

from framing.engine.floor import FloorPlan
from framing.engine.layout import layout_floor
from framing.engine.loads import LineLoad, PointLoad
from framing.engine.sizing.tributary import Carried, carried_on
from tests.engine.layout.builders import JOIST, PRACTICE, document, plan_of

RING = [[0, 0], [288, 0], [288, 192], [0, 192]]
STAIR = {"id": "S1", "name": "Stair", "kind": "stair", "corner": [120, 48], "size": [36, 96]}


def carried(plan: FloorPlan) -> dict[str, Carried]:
    layouts = layout_floor(plan, {bay.id: JOIST for bay in plan.bays}, PRACTICE)
    return {c.member.id: c for some in carried_on(plan, layouts, PRACTICE) for c in some}


def with_wall(start: list[float], end: list[float], **rest: Any) -> dict[str, Carried]:
    wall = {"id": "P1", "load_plf": 120, "from": start, "to": end}
    return carried(plan_of(document(RING, partitions=[wall], **rest)))


def by_centre(found: dict[str, Carried]) -> dict[float, tuple[tuple[LineLoad, ...], tuple[PointLoad, ...]]]:
    """Lines beside the floor's own, and points, of the members that have any, by their centre in inches."""
    rows = {c.member.centre_16 / 16: (c.model.lines[1:], c.model.points) for c in found.values()}
    return {at: (lines, points) for at, (lines, points) in rows.items() if lines or points}


def test_a_slanting_wall_weighs_on_each_joist_where_it_crosses_it() -> None:
    found = by_centre(with_wall([40, 40], [80, 80]))
    # 45 degrees: 16 in of strip take 16 x 1.414 in of wall; the last one has its low half only
    assert {at: [(p.at_in, p.live_lb) for p in points] for at, (_, points) in found.items()} == {
        48: [(48, pytest.approx(160 * sqrt(2)))],
        64: [(64, pytest.approx(160 * sqrt(2)))],
        80: [(80, pytest.approx(80 * sqrt(2)))],
    }
    assert not any(lines for lines, _ in found.values())


def test_a_wall_almost_along_a_joist_weighs_on_all_of_its_way() -> None:
    ((at, (lines, points)),) = by_centre(with_wall([60, 40], [64, 100])).items()
    ((line),) = lines
    assert (at, points, line.low_in, line.high_in) == (64, (), 40, 100)
    assert line.live_lb_in == pytest.approx(10 * hypot(4, 60) / 60)


def test_a_slanting_wall_that_crosses_a_joist_over_its_bearing_weighs_with_what_stands_on_the_floor() -> None:
    # it crosses x 64 at y 5, under the face at 5.5; from there to y 13 it is on that joist's strip
    ((at, (lines, points)),) = by_centre(with_wall([60, 1], [72, 13])).items()
    ((line),) = lines
    assert (at, points) == (64, ())
    assert (line.low_in, line.high_in) == (pytest.approx(5.5), pytest.approx(13))
    assert line.live_lb_in == pytest.approx(10 * sqrt(2))


def test_a_slanting_wall_loads_the_header_where_the_tails_have_ended() -> None:
    # the low header's strip is y 43.625 to 48; the wall rises with x from (118, 38) to (142, 62)
    found = with_wall([118, 38], [142, 62], openings=[STAIR])
    header = next(c for c in found.values() if c.member.id == "A.H1")
    _, line = header.model.lines
    assert (line.low_in, line.high_in) == (pytest.approx(123.625), pytest.approx(128))
    assert line.live_lb_in == pytest.approx(10 * sqrt(2))


def test_a_steep_wall_over_a_header_stands_at_one_place() -> None:
    found = with_wall([130, 40], [132, 60], openings=[STAIR])
    header = next(c for c in found.values() if c.member.id == "A.H1")
    point = next(p for p in header.model.points if p.source == "P1")
    # y 43.625 to 48 of 40 to 60: x 130.3625 to 130.8
    assert point.at_in == pytest.approx((130.3625 + 130.8) / 2)
    assert point.live_lb == pytest.approx(10 * 4.375 / 20 * hypot(2, 20))
    assert header.drawn_stays


BEAM = {"id": "B1", "kind": "flush_beam", "from": [0, 96], "to": [288, 96]}


def test_a_wall_along_a_flush_beam_stands_on_it() -> None:
    found = with_wall([24, 96], [200, 96], supports=[BEAM])
    _, line = found["A.B1"].model.lines  # after the strip of its own width
    assert (line.low_in, line.high_in, line.dead_lb_in, line.live_lb_in) == (24, 200, 0, 10)
    assert [c.member.id for c in found.values() if c.has_partition] == ["A.B1"]


def test_a_wall_across_a_flush_beam_stands_on_it_with_the_beams_width() -> None:
    found = with_wall([50, 60], [50, 150], supports=[BEAM])
    (point,) = (p for p in found["A.B1"].model.points if p.source == "P1")
    # two plies of 1 5/8 in
    assert (point.at_in, point.live_lb) == (50, pytest.approx(32.5))
    # the joists at 48 have it up to their ends at the beam's faces, 94.375 and 97.625
    loaded = [c for c in found.values() if c.member.centre_16 == 48 * 16]
    ends = [c.model.supports_in for c in loaded]
    assert ends == [(5.5, 94.375), (97.625, 186.5)]
    assert [line.live_lb_in for c in loaded for line in c.model.lines[1:]] == [10, 10]


def test_a_wall_over_two_bays_weighs_in_each_with_its_part() -> None:
    bays = [
        {"id": "A", "direction": "y", "outline": [[0, 0], [144, 0], [144, 192], [0, 192]]},
        {"id": "B", "direction": "y", "outline": [[144, 0], [288, 0], [288, 192], [144, 192]]},
    ]
    found = with_wall([100, 96], [200, 96], bays=bays)
    weights = {c.member.id: [p.live_lb for p in c.model.points] for c in found.values() if c.model.points}
    # A's joists at 96 (its strip from 100 on), 112, 128 and, on the border, 144; B's at 160 to 192 and 208
    assert weights == {
        "A.J6": [40],
        "A.J7": [160],
        "A.J8": [160],
        "A.J9": [160],
        "B.J1": [160],
        "B.J2": [160],
        "B.J3": [160],
    }


def test_a_wall_along_the_joists_stands_on_the_nearest_one_of_all_bays() -> None:
    bays = [
        {"id": "A", "direction": "y", "outline": [[0, 0], [144, 0], [144, 192], [0, 192]]},
        {"id": "B", "direction": "y", "outline": [[144, 0], [288, 0], [288, 192], [144, 192]]},
    ]
    for at, nearest in ((40, {"A.J2"}), (150, {"A.J9"}), (153, {"B.J1"})):  # 40: the lower of two
        along = with_wall([at, 20], [at, 150], bays=bays)
        assert {c.member.id for c in along.values() if c.has_partition} == nearest


def test_a_wall_in_a_bay_that_runs_the_other_way_does_not_stand_on_this_ones() -> None:
    wall = {"id": "W1", "from": [144, 0], "to": [144, 192]}
    bays = [
        {"id": "A", "direction": "y", "outline": [[0, 0], [144, 0], [144, 192], [0, 192]]},
        {"id": "B", "direction": "x", "outline": [[144, 0], [288, 0], [288, 192], [144, 192]]},
    ]
    found = with_wall([200, 20], [200, 150], bays=bays, supports=[wall])
    assert {c.member.bay for c in found.values() if c.has_partition} == {"B"}
