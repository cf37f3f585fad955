"""Which member a point load stands on: by hand on floors of joists, laps, frames, beams and skewed walls.

Places in inches. Joists of 1 5/8 in flange at 16 in; a two-ply trimmer, header or beam is 3 1/4 in wide.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from framing.engine.floor import FloorPlan, StandingLoad
from framing.engine.geometry import Point
from framing.engine.layout import layout_warnings
from framing.engine.standing import Stood, stood_on
from tests.engine.layout.builders import PRACTICE
from tests.engine.sizing.floors import box, floor, laid

WALL = {"id": "W1", "from": [0, 100], "to": [240, 100]}


def stood(plan: FloorPlan, *at: tuple[float, float]) -> list[tuple[str, float, float]]:
    """Member, place on its axis and distance from it, in inches, of a load at each place."""
    return [(s.member.id, s.place_16 / 16, s.off_16 / 16) for s in full(plan, *at)]


def full(plan: FloorPlan, *at: tuple[float, float]) -> tuple[Stood, ...]:
    loaded = with_loads(plan, *at)
    return stood_on(loaded, laid(loaded), PRACTICE)


def with_loads(plan: FloorPlan, *at: tuple[float, float]) -> FloorPlan:
    spots = [Point(round(16 * x), round(16 * y)) for x, y in at]
    loads = [StandingLoad(f"Q{n}", "", spot, 100.0, 300.0) for n, spot in enumerate(spots, 1)]
    return replace(plan, point_loads=tuple(loads))


def simple(**rest: Any) -> FloorPlan:
    return floor(box(240, 192), **rest)


def test_no_load_stands_nowhere() -> None:
    assert full(simple()) == ()


def test_the_joist_under_it_or_the_nearest() -> None:
    # A.J3 stands at 48: its flange from 47.1875 to 48.8125. At 56 the joists at 48 and 64 are equally near, 8 - 0.8125
    # off: the one nearer to the start edge takes it.
    assert stood(simple(), (48, 50.75), (48.8125, 90), (50, 90), (55, 90), (56, 90), (57, 90)) == [
        ("A.J3", 50.75, 0.0),
        ("A.J3", 90.0, 0.0),
        ("A.J3", 90.0, 1.1875),
        ("A.J3", 90.0, 6.1875),
        ("A.J3", 90.0, 7.1875),
        ("A.J4", 90.0, 6.1875),
    ]


def test_counted_from_the_other_side_the_start_edge_is_the_other_one() -> None:
    high = simple(bays=[{"id": "A", "direction": "y", "start": "high"}])
    # stations 16, 32, ... from x 240: joist 11 stands at 64, joist 12 at 48
    assert stood(high, (56, 90), (49, 90)) == [("A.J11", 90.0, 7.1875), ("A.J12", 90.0, 0.1875)]


def test_joists_along_x() -> None:
    plan = simple(bays=[{"id": "A", "direction": "x"}])
    assert stood(plan, (50.75, 48), (50.75, 50)) == [("A.J3", 50.75, 0.0), ("A.J3", 50.75, 1.1875)]


def test_over_an_outside_wall_a_joist_counts_out_to_the_outline() -> None:
    # cut 1 1/2 in short of it
    assert stood(simple(), (48, 0), (48, 192), (56, 1)) == [
        ("A.J3", 0.0, 0.0),
        ("A.J3", 192.0, 0.0),
        ("A.J3", 1.0, 7.1875),
    ]


def test_a_lap_counts_to_the_bearings_centre() -> None:
    # Line 1 on 48 up to 106, line 2 on 49.625 down from 94. Beyond the centre (100) a load on line 1's flange stands on
    # line 2, 49.625 - 0.8125 - 48 = 0.8125 off.
    plan = simple(supports=[WALL])
    first, second, third = full(plan, (48, 99), (48, 101), (49.625, 99))
    assert (first.member.line, first.off_16) == (0, 0)
    assert (second.member.line, second.off_16) == (1, 13)
    assert (third.member.line, third.off_16) == (0, 13)
    assert [s.place_16 / 16 for s in (first, second, third)] == [99, 101, 99]


STAIR = {"id": "O1", "name": "Stair", "corner": [80, 60], "size": [36, 60]}


def test_trimmers_headers_and_tails() -> None:
    # Stand-off 1 1/8: trimmers 75.625..78.875 and 117.125..120.375, headers 55.625..58.875 and 121.125..124.375 in y,
    # from 79.25 to 116.75 in x. Tails at 80 (moved to 79.6875) and 96, 112 end 3/8 short of the headers' far faces.
    plan = simple(openings=[STAIR])
    found = full(plan, (76, 90), (98, 123), (98, 58.875), (98, 60), (79, 123), (96, 40), (96, 55.5))
    kinds = [(s.member.kind.value, s.place_16 / 16, s.off_16 / 16) for s in found]
    assert kinds == [
        ("T", 90.0, 0.0),
        ("H", 98.0, 0.0),
        ("H", 98.0, 0.0),
        ("H", 98.0, 1.125),  # on the opening's edge: the header stands back from it
        ("T", 123.0, 0.125),  # in the header's clearance
        ("J", 40.0, 0.0),
        ("H", 96.0, 0.125),  # in the tail's clearance: 55.625 - 55.5
    ]


def test_a_flush_beam_over_its_width() -> None:
    beam = {"id": "B1", "kind": "flush_beam", "from": [0, 100], "to": [240, 100]}
    plan = simple(supports=[beam])
    # centre 100, 98.375..101.625; along it a load stands at its x
    assert stood(plan, (50, 100), (50, 101.75)) == [("A.B1", 50.0, 0.0), ("A.B1", 50.0, 0.125)]
    # the joist ends 3/8 off the beam's face, at 102
    found = [(s.member.kind.value, s.off_16) for s in full(plan, (48, 101.8125), (48, 102))]
    assert found == [("B", 3), ("J", 0)]


def test_a_beam_counts_out_to_the_outline() -> None:
    beam = {"id": "B1", "kind": "flush_beam", "from": [0, 100], "to": [240, 100]}
    assert stood(simple(supports=[beam]), (0, 100), (240, 100)) == [("A.B1", 0.0, 0.0), ("A.B1", 240.0, 0.0)]


def test_at_a_skewed_wall_a_joist_counts_to_the_outline_on_its_far_side() -> None:
    # top from (0, 100) to (240, 220): y = 100 + x / 2. Joist at 48: its flange reaches 48.8125, 124.40625 high.
    plan = floor([[0, 0], [240, 0], [240, 220], [0, 100]])
    assert stood(plan, (48, 124)) == [("A.J3", 124.0, 0.0)]
    # At (57, 128.4) the joist at 64 runs past it, the one at 48 does not: it is the nearer one, but not counted.
    assert stood(plan, (55, 127)) == [("A.J4", 127.0, 64 - 0.8125 - 55)]


def test_where_no_member_runs_past_it_the_nearest_takes_it_at_its_end() -> None:
    # Gable: apex (120, 150). Joists at 112 and 128 reach, on the flange's inner side, 150 - (8 - 0.8125) 50/120.
    plan = floor([[0, 0], [240, 0], [240, 100], [120, 150], [0, 100]])
    top = 150 - 7.1875 * 50 / 120
    ((member, place, off),) = stood(plan, (120, 149.5))
    assert (member, place) == ("A.J7", round(top * 16) / 16)
    assert off == pytest.approx(((149.5 - top) ** 2 + 7.1875**2) ** 0.5)


def test_joists_of_two_bays_beside_a_border() -> None:
    bays = [
        {"id": "A", "direction": "y", "outline": box(120, 192)},
        {"id": "B", "direction": "y", "outline": box(120, 192, 120), "offset": "8"},
    ]
    # A's last at 112, B's first at 128: 120 is equally far, the first bay's counts; 121 is B's
    assert [m[:3] for m, _, _ in stood(simple(bays=bays), (120, 90), (121, 90))] == ["A.J", "B.J"]


def test_who_stands_beside_all_members_is_warned_of() -> None:
    # exactly 1 in off is within what clips and packers take up; 1 1/16 is not
    plan = with_loads(simple(), (49.8125, 90), (49.875, 90), (56, 20))
    found = [p for p in layout_warnings(plan, laid(plan), PRACTICE) if p.place.startswith("point_loads")]
    assert [(p.place, p.x_16, p.y_16) for p in found] == [
        ("point_loads.1", 798, 1440),
        ("point_loads.2", 896, 320),
    ]
    assert found[0].message == (
        'Point load Q2 has no member under it: the nearest, A.J3, is 1 1/16" off and counts as carrying all of it. '
        "Put blocking or a squash block to the joists beside it, or move it."
    )
