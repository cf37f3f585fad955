"""Strips of floor beside what bounds them, by hand: half a spacing is 8, what is near is told on one side."""

from __future__ import annotations

import pytest

from framing.engine.sizing.strip_parts import Bound, Gap, Runner, Stretch
from framing.engine.sizing.strips import Strips

HALF = 8.0
ALONE = Runner(0, 0, 100)
# 40 away at the low end, running in to nothing: 40 - 0.4 y, so 17 at 57.5 and 8 at 80
SLANT = Bound(0, 100, 40, 0, runs_out=True)


def side(
    *runners: Runner,
    bounds: tuple[Bound, ...] = (),
    gaps: tuple[Gap, ...] = (),
    beyond: tuple[Runner, ...] = (),
    sign: int = 1,
) -> list[Stretch]:
    strips = Strips(HALF, {0: sorted((ALONE, *runners))}, bounds, gaps, beyond)
    return strips.side(0, 0, sign, 0, 100)


def rounded(stretches: list[Stretch]) -> list[tuple[float, ...]]:
    return [tuple(round(figure, 9) for figure in stretch) for stretch in stretches]


def test_half_way_to_the_next_member_at_least_half_a_spacing() -> None:
    assert side(Runner(30, 0, 100)) == [(0, 100, 15, 15)]
    assert side(Runner(10, -5, 120)) == [(0, 100, 8, 8)]
    assert side(Runner(-30, 0, 100), sign=-1) == [(0, 100, 15, 15)]
    assert side() == [(0, 100, 8, 8)]


def test_a_side_of_the_bay_nearer_than_the_next_member_counts_first() -> None:
    wall = Bound(0, 100, 24, 24)
    assert side(Runner(60, 0, 100), bounds=(wall,)) == [(0, 100, 12, 12)]
    assert side(Runner(20, 0, 100), bounds=(wall,)) == [(0, 100, 10, 10)]
    assert side(Runner(60, 0, 100), bounds=(Bound(0, 40, 24, 24),)) == [(0, 40, 12, 12), (40, 100, 30, 30)]


def test_where_the_next_member_has_ended_the_one_behind_it_counts() -> None:
    assert side(Runner(20, 0, 30), Runner(50, 0, 90)) == [(0, 30, 10, 10), (30, 90, 25, 25), (90, 100, 8, 8)]
    assert side(Runner(20, 10, 60)) == [(0, 10, 8, 8), (10, 60, 10, 10), (60, 100, 8, 8)]


def test_all_of_it_up_to_an_openings_edge() -> None:
    opening = Gap(20, 40, 5, 50)
    assert side(Runner(60, 0, 100), gaps=(opening,)) == [(0, 20, 30, 30), (20, 40, 5, 5), (40, 100, 30, 30)]
    # from within its reach the far edge is the one ahead
    assert side(gaps=(Gap(0, 100, -50, 6),)) == [(0, 100, 6, 6)]


def test_a_strip_runs_out_with_a_skewed_wall() -> None:
    # half-way to the wall where that is over half a spacing, then half a spacing, then all to the wall
    assert rounded(side(bounds=(SLANT,))) == [(0, 57.5, 20, 8.5), (57.5, 80, 8, 8), (80, 100, 8, 0)]


def test_a_free_edge_takes_nothing_off() -> None:
    free = SLANT._replace(runs_out=False)
    assert rounded(side(bounds=(free,))) == [(0, 57.5, 20, 8.5), (57.5, 80, 8, 8), (80, 100, 8, 8)]


def test_beside_a_skewed_wall_the_nearer_of_wall_and_member_counts() -> None:
    # the member at 24 ends at 90: nearer than the wall up to y 40; the wall is 17 away at 57.5
    found = rounded(side(Runner(24, 0, 90), bounds=(SLANT,)))
    assert found == [(0, 40, 12, 12), (40, 57.5, 12, 8.5), (57.5, 80, 8, 8), (80, 90, 8, 4), (90, 100, 4, 0)]


def test_beside_a_skewed_wall_an_openings_edge_counts_while_it_is_nearer() -> None:
    # the edge at 6 is nearer than the wall up to y 85
    found = rounded(side(bounds=(SLANT,), gaps=(Gap(0, 100, 6, 20),)))
    assert [row[2:] for row in found if row[1] <= 85] == [(6, 6)] * len(found[:-1])
    assert found[-1] == (85, 100, 6, 0)


def test_over_a_border_beside_it_the_next_bays_member_counts() -> None:
    border = Bound(0, 100, 10, 10, shared=True)
    found = side(bounds=(border,), beyond=(Runner(-40, 0, 100), Runner(30, 0, 60)))
    assert found == [(0, 60, 15, 15), (60, 100, 8, 8)]
    # its own next member stands before the border
    assert side(Runner(4, 0, 40), bounds=(border,), beyond=(Runner(30, 0, 100),)) == [
        (0, 40, 8, 8),
        (40, 100, 15, 15),
    ]


def test_both_sides_are_cut_at_the_same_places() -> None:
    strips = Strips(HALF, {0: [ALONE, Runner(20, 0, 50)]}, (SLANT._replace(at_low=-40),), ())
    shares = strips.shares(0, 0, 0, 100)
    assert [(share.low, share.high) for share in shares] == [(0, 50), (50, 57.5), (57.5, 80), (80, 100)]
    assert [share.widths for share in shares] == [
        (pytest.approx(30), pytest.approx(20)),
        (pytest.approx(18), pytest.approx(16.5)),
        (16, 16),
        (16, pytest.approx(8)),
    ]
