"""Bays as rings of sides on the outline and on borders (R1)."""

from __future__ import annotations

import pytest

from framing.engine.errors import FloorRefused
from framing.engine.floor import FloorPlan
from framing.engine.geometry import Point
from framing.engine.regions import Region, regions_of
from tests.engine.layout.real import box, real_plan

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
