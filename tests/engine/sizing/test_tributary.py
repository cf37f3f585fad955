"""What members carry (R8, R13, R19), worked by hand: 24 x 16 ft, joists along the 16 ft at 16 in.

Loads 10 + 40 psf. The stair opening of 3 x 8 ft stands at x 10 ft, y 4 ft: trimmers at 117.25 and 158.75,
headers at 45.25 and 146.75, tails at 128 and 144 from the bearing's face at 5.5 to the header's at 43.625.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from framing.engine.floor import FloorPlan, Partition
from framing.engine.geometry import Point
from framing.engine.members import MemberKind
from framing.engine.sizing.tributary import Carried, carried_by
from tests.engine.layout.builders import PRACTICE, document, lay, plan_of, rectangle

STAIR = {"id": "S1", "name": "Stair", "kind": "stair", "corner": ["10'", "4'"], "size": ["3'", "8'"]}
TAIL_SPAN = 43.625 - 5.5


def carried(plan: FloorPlan) -> dict[str, Carried]:
    return {c.member.id: c for c in carried_by(plan, lay(plan), PRACTICE)}


def of_kind(found: dict[str, Carried], kind: MemberKind) -> list[Carried]:
    return [c for c in found.values() if c.member.kind is kind]


def widths(one: Carried) -> list[tuple[float, float, float]]:
    """Strips as (low, high, width in inches), from 10 psf of dead load."""
    return [(n.low_in, n.high_in, round(n.dead_lb_in * 144 / 10, 6)) for n in one.model.lines]


def with_partition(**partition: Any) -> FloorPlan:
    ring = [["0", "0"], ["24'", "0"], ["24'", "16'"], ["0", "16'"]]
    return plan_of(document(ring, partitions=[{"id": "P1", "load_plf": 120, **partition}]))


def test_a_plain_joist_carries_its_spacing_over_the_clear_span() -> None:
    found = carried(rectangle("24'", "16'"))
    assert len(found) == 17
    for one in found.values():
        assert one.model.supports_in == (5.5, 186.5)
        assert widths(one) == [(5.5, 186.5, 16.0)]


def test_tails_hang_on_the_header_and_the_header_on_the_trimmers() -> None:
    found = carried(rectangle("24'", "16'", openings=[STAIR]))
    header, _ = of_kind(found, MemberKind.HEADER)
    assert header.model.supports_in == (118.875, 157.125)
    # far face to the opening's edge: 2 plies and the stand-off, 3.25 + 1.125
    assert widths(header) == [(118.875, 157.125, 4.375)]
    dead, live = 10 / 144 * 16 * TAIL_SPAN / 2, 40 / 144 * 16 * TAIL_SPAN / 2
    assert [(p.at_in, p.dead_lb, p.live_lb) for p in header.model.points] == [
        (128.0, pytest.approx(dead), pytest.approx(live)),
        (144.0, pytest.approx(dead), pytest.approx(live)),
    ]
    strip = 50 / 144 * 4.375 * 38.25 / 2
    low = strip + (dead + live) * ((157.125 - 128) + (157.125 - 144)) / 38.25
    assert sum(header.demand.reactions_lb[0]) == pytest.approx(low)


def test_a_trimmer_takes_header_reactions_and_only_the_edge_strip_beside_the_opening() -> None:
    found = carried(rectangle("24'", "16'", openings=[STAIR]))
    low_header, high_header = of_kind(found, MemberKind.HEADER)
    trimmer, _ = of_kind(found, MemberKind.TRIMMER)
    # at least half a spacing to each side; beside the opening 8 and the 2.75 to its edge
    assert widths(trimmer) == [(5.5, 45.25, 16.0), (45.25, 146.75, 10.75), (146.75, 186.5, 16.0)]
    assert [p.at_in for p in trimmer.model.points] == [45.25, 146.75]
    assert [p.dead_lb + p.live_lb for p in trimmer.model.points] == pytest.approx(
        [sum(low_header.demand.reactions_lb[0]), sum(high_header.demand.reactions_lb[0])]
    )


def test_all_that_the_floor_weighs_arrives_at_the_bearings() -> None:
    found = carried(rectangle("24'", "16'", openings=[STAIR]))
    hosts = {c.member.id for c in found.values()}
    down = sum(
        sum(reaction)
        for c in found.values()
        for end, reaction in (
            (c.member.low, c.demand.reactions_lb[0]),
            (c.member.high, c.demand.reactions_lb[-1]),
        )
        if end.host not in hosts
    )
    floor = 50 / 144 * (288 * 181 - 36 * 96)
    # strips are never narrower than half a spacing, so a little is counted twice, nothing is lost
    assert floor - 50 / 144 * 16 * 181 <= down <= floor * 1.08


def test_a_wide_gap_is_shared_by_its_neighbors() -> None:
    # 242 in wide: stations to 224, closing joist at 233; 9 in apart, each still takes half a spacing
    found = carried(rectangle(242, "14'"))
    assert {widths(c)[0][2] for c in found.values()} == {16.0}
    # an opening's trimmer swallows the station at 160: 158.75 to 176 is 17.25 in wide
    beside = [
        c
        for c in carried(rectangle("24'", "16'", openings=[STAIR])).values()
        if c.member.centre_16 == 176 * 16
    ]
    assert widths(beside[0]) == [(5.5, 186.5, 8.0 + 17.25 / 2)]


def test_a_partition_beside_a_joist_loads_the_nearest_one_only() -> None:
    plan = with_partition(**{"from": [100, "2'"], "to": [100, "10'"]})
    loaded = [c for c in carried(plan).values() if c.has_partition]
    assert [c.member.centre_16 / 16 for c in loaded] == [96.0]
    line = loaded[0].model.lines[-1]
    assert (line.low_in, line.high_in, line.dead_lb_in, line.live_lb_in) == (24.0, 120.0, 0.0, 10.0)


def test_a_partition_across_joists_loads_each_by_its_strip() -> None:
    plan = with_partition(**{"from": ["4'", "8'"], "to": ["8'", "8'"]})
    loaded = {c.member.centre_16 / 16: c.model.points for c in carried(plan).values() if c.has_partition}
    # from 48 to 96: joist 48 has half its strip under the wall, 64 and 80 all of it, 96 half
    assert {at: points[0].live_lb for at, points in loaded.items()} == pytest.approx(
        {48.0: 80.0, 64.0: 160.0, 80.0: 160.0, 96.0: 80.0}
    )
    assert {point.at_in for points in loaded.values() for point in points} == {96.0}


def wall_by_the_stair(along_in: float) -> FloorPlan:
    """A wall of 120 lb/ft across the joists from 48 to 192, 12 ft."""
    wall = {"id": "P1", "load_plf": 120, "from": [48, along_in], "to": [192, along_in]}
    ring = [["0", "0"], ["24'", "0"], ["24'", "16'"], ["0", "16'"]]
    return plan_of(document(ring, partitions=[wall], openings=[STAIR]))


@pytest.mark.parametrize(
    ("along_in", "low_plf", "high_plf"),
    # tails end at 43.625 and 148.375, the opening's edges are at 48 and 144
    [
        (43.625, [], []),
        (43.75, [120], []),
        (48, [120], []),
        (48.125, [], []),
        (144, [], [120]),
        (148.25, [], [120]),
        (148.375, [], []),
    ],
)
def test_a_header_takes_a_wall_that_stands_where_the_tails_have_ended(
    along_in: float, low_plf: list[float], high_plf: list[float]
) -> None:
    found = carried(wall_by_the_stair(along_in))
    for header, plf in zip(of_kind(found, MemberKind.HEADER), (low_plf, high_plf), strict=True):
        _, *walls = header.model.lines
        assert [line.live_lb_in * 12 for line in walls] == plf
        assert all((line.low_in, line.high_in) == header.model.supports_in for line in walls)


@pytest.mark.parametrize("along_in", [30, 43.625, 43.75, 46, 48, 144, 147, 148.375, 170])
def test_all_of_a_wall_by_a_stair_arrives_at_the_bearings(along_in: float) -> None:
    def down_lb(plan: FloorPlan) -> float:
        return sum(
            sum(reaction)
            for c in carried(plan).values()
            for end, reaction in (
                (c.member.low, c.demand.reactions_lb[0]),
                (c.member.high, c.demand.reactions_lb[-1]),
            )
            if end.host.startswith("edge")
        )

    bare = down_lb(rectangle("24'", "16'", openings=[STAIR]))
    # beside a trimmer strips overlap a little; nothing is lost
    assert 12 * 120 <= down_lb(wall_by_the_stair(along_in)) - bare + 1e-6 <= 12 * 120 * 1.2


def test_a_through_joist_is_held_at_the_middle_of_the_bearing_it_passes() -> None:
    support = {"id": "W1", "from": ["0", "14'"], "to": ["24'", "14'"], "joint": "through"}
    found = carried(rectangle("24'", "28'", supports=[support]))
    assert {c.model.supports_in for c in found.values()} == {(5.5, 168.0, 330.5)}
    assert {c.demand.spans_in for c in found.values()} == {(162.5, 162.5)}


def test_lapped_joists_are_single_spans() -> None:
    support = {"id": "W1", "from": ["0", "14'"], "to": ["24'", "14'"], "joint": "lap"}
    found = carried(rectangle("24'", "28'", supports=[support]))
    assert {c.model.supports_in for c in found.values()} == {(5.5, 166.25), (169.75, 330.5)}
    assert {len(c.model.lines) for c in found.values()} == {1}


def test_a_partition_that_weighs_nothing_or_stands_over_the_bearing_loads_no_joist() -> None:
    light = Partition("P1", Point(0, 960), Point(4608, 960), bearing=False, load_plf=0.0)
    on_the_wall = Partition("P2", Point(0, 40), Point(4608, 40), bearing=False, load_plf=500.0)
    plan = replace(rectangle("24'", "16'"), partitions=(light, on_the_wall))
    found = carried_by(plan, lay(plan), PRACTICE)
    assert found
    assert not any(carried.has_partition or carried.model.points for carried in found)
