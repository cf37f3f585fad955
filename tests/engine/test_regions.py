"""Bays as rings of sides on the outline and on borders (R1)."""

from __future__ import annotations

import pytest

from framing.engine.errors import FloorRefused
from framing.engine.floor import FloorPlan
from framing.engine.geometry import Point
from framing.engine.regions import Region, regions_of
from tests.engine.layout.real import box, lay_all, real_plan

SLANTED = [(0, 0), (480, 0), (480, 240), (0, 300)]


def _bays(*rings: list[list[float]]) -> FloorPlan:
    names = "ABC"
    bays = [{"id": names[i], "direction": "y", "outline": ring} for i, ring in enumerate(rings)]
    return real_plan(SLANTED, bays=bays)


def _sides(region: Region) -> list[tuple[int | None, float, float]]:
    """Edge and start of each side, in inches, from the corner nearest the origin."""
    return [(s.edge.index if s.edge else None, s.start.x_16 / 16, s.start.y_16 / 16) for s in region.sides]


def test_one_bay_is_the_outline() -> None:
    plan = real_plan(SLANTED)
    (region,) = regions_of(plan)
    assert region.ring == plan.outline
    assert [side.edge.index for side in region.sides if side.edge] == [0, 1, 2, 3]
    assert [side.beside("y") for side in region.sides] == [False, True, False, True]
    assert [side.beside("x") for side in region.sides] == [True, False, False, False]


def test_bays_drawn_over_the_outline_end_at_it() -> None:
    # The slanted edge falls 60 over 480: at x = 240 it stands at 270.
    first, second = regions_of(_bays(box(0, 0, 240, 400), box(240, -10, 500, 400)))
    assert _sides(first) == [(0, 0, 0), (None, 240, 0), (2, 240, 270), (3, 0, 300)]
    assert _sides(second) == [(0, 240, 0), (1, 480, 0), (2, 480, 240), (None, 240, 270)]
    slanted = first.sides[2]
    assert slanted.line == (Point(480 * 16, 240 * 16), Point(0, 300 * 16))
    assert not slanted.beside("x")


@pytest.mark.parametrize(
    ("ring", "words"),
    [
        (box(600, 0, 700, 100), "does not lie in the floor in one piece"),
        ([[0, 0], [100, 100], [100, 0], [0, 100]], "crosses itself"),
        # A comb over the slanted edge: two teeth stay in the floor.
        (
            [[0, 400], [0, 200], [50, 200], [50, 350], [100, 350], [100, 200], [150, 200], [150, 400]],
            "one piece",
        ),
        # A bay whose far edge touches nothing of the floor but a line.
        (box(480, 0, 500, 100), "one piece"),
    ],
)
def test_bays_that_are_no_part_of_the_floor_are_refused(ring: list[list[float]], words: str) -> None:
    with pytest.raises(FloorRefused) as caught:
        regions_of(_bays(ring))
    (problem,) = caught.value.problems
    assert problem.place == "bays.0.outline"
    assert words in problem.message


def test_a_sliver_beside_a_corner_lies_on_the_edge_that_runs_its_way() -> None:
    # The bay's border, drawn 1/8 in below the notch's edge at y = 100, leaves a sliver of the wall at x = 100 in bay B
    # and the notch's edge 1/8 in above: each side lies on one edge, none on a wrong one round the corner.
    notch = [(0, 0), (240, 0), (240, 200), (100, 200), (100, 100), (0, 100)]
    bays = [
        {"id": "A", "direction": "y", "outline": box(0, 0, 240, 99.875)},
        {"id": "B", "direction": "y", "outline": box(0, 99.875, 240, 200)},
    ]
    plan = real_plan(notch, bays=bays)
    for region, bay in zip(regions_of(plan), plan.bays, strict=True):
        for side in region.sides:
            if side.edge is not None and side.start.x_16 != side.end.x_16:
                assert not side.beside(bay.axis)


def test_a_sliver_shorter_than_the_tolerance_keeps_its_own_line() -> None:
    # A bay's side 1/8 in long across the joists, at the corner of an edge that runs along them.
    bays = [
        {
            "id": "A",
            "direction": "y",
            "outline": [[0, 0], [100, 0], [100, 150], ["100 1/8", 150], ["100 1/8", 200], [0, 200]],
        },
        {
            "id": "B",
            "direction": "y",
            "outline": [[100, 0], [240, 0], [240, 200], ["100 1/8", 200], ["100 1/8", 150], [100, 150]],
        },
    ]
    wall = {"id": "W1", "from": [90, 150], "to": [110, 150]}
    laid = lay_all(real_plan(box(0, 0, 240, 200), bays=bays, supports=[wall]))
    # Bay A: 16 to 96, the last lapped over W1. Bay B: eight stations and one joist, lapped too, that closes the space
    # of 20 in beside the border - once, though the border is in two parts.
    assert [len(bay.members) for bay in laid] == [7, 10]


def test_a_bay_that_also_touches_the_outline_along_a_line_is_one_piece() -> None:
    # The L's right part is 120 deep; bay B, drawn 240 deep from x = 144, also touches the wall at x = 144 above it.
    ell = [(0, 0), (240, 0), (240, 120), (144, 120), (144, 240), (0, 240)]
    bays = [
        {"id": "A", "direction": "y", "outline": box(0, 0, 144, 240)},
        {"id": "B", "direction": "y", "outline": box(144, 0, 240, 240)},
    ]
    _, second = regions_of(real_plan(ell, bays=bays))
    assert {(p.x_16 // 16, p.y_16 // 16) for p in second.ring} == {(144, 0), (240, 0), (240, 120), (144, 120)}


def test_an_outline_that_will_be_refused_still_has_regions_or_words() -> None:
    # What is refused is drawn with its words all the same: two corners on each other, an outline that crosses itself.
    bays = [{"id": "A", "direction": "y", "outline": box(0, 0, 50, 100)}]
    (twice,) = regions_of(real_plan([(0, 0), (0, 0), (100, 0), (100, 100), (0, 100)], bays=bays))
    assert {side.edge.index for side in twice.sides if side.edge} == {1, 3, 4}
    with pytest.raises(FloorRefused):
        regions_of(real_plan([(0, 0), (100, 100), (100, 0), (0, 100)], bays=bays))


def test_a_border_so_short_that_it_seems_to_lie_on_a_wall_beside_still_crosses() -> None:
    # Bay B leaves 1/8 in beside the wall at x = 100 from y = 150 on: the border there, 1/8 in long across the joists,
    # lies within the tolerance of that wall, which runs along them. It keeps its own line.
    notch = [(0, 0), (240, 0), (240, 200), (100, 200), (100, 100), (0, 100)]
    ring = [[100, 0], [240, 0], [240, 200], ["100 1/8", 200], ["100 1/8", 150], [100, 150]]
    bays = [
        {"id": "A", "direction": "y", "outline": box(0, 0, 100, 100)},
        {"id": "B", "direction": "y", "outline": ring},
    ]
    _, second = lay_all(real_plan(notch, bays=bays))
    assert [m.centre_16 / 16 for m in second.members if m.station is not None] == list(range(16, 140, 16))
