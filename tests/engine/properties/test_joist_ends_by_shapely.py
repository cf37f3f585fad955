"""Where joist lines meet the sides of their bay, against a polygon library: at stations off every corner."""

from __future__ import annotations

from collections import Counter
from typing import Any

import shapely
from hypothesis import given

from framing.engine.errors import FloorRefused
from framing.engine.floor import Bay, FloorPlan
from framing.engine.geometry import Frame, Point
from framing.engine.layout.ground import survey
from framing.engine.layout.stations import find_stations
from tests.engine.properties.floor_moves import Move, moves
from tests.engine.properties.laying import PRACTICE, lay, times
from tests.engine.properties.sketches import real_floors

NEAR_16 = 16e-9
"""A billionth of an inch."""


def ground_of(plan: FloorPlan, bay: Bay) -> Any:
    drawn = shapely.Polygon([(p.x_16, p.y_16) for p in plan.outline])
    if not bay.ring:
        return drawn
    return shapely.intersection(drawn, shapely.Polygon([(p.x_16, p.y_16) for p in bay.ring]))


def stretches(ground: Any, frame: Frame, across_16: int) -> list[tuple[float, float]]:
    """Floor along one joist line, low to high."""
    ends = [frame.point(across_16, along) for along in (-100_000, 100_000)]
    cut = shapely.intersection(ground, shapely.LineString([(p.x_16, p.y_16) for p in ends]))
    axis = 1 if frame.axis == "y" else 0
    found = []
    for part in shapely.get_parts(cut):
        along = sorted(place[axis] for place in part.coords)
        found.append((along[0], along[-1]))
    return sorted(found)


def off_corners(ground: Any, frame: Frame, across_16: int) -> bool:
    """Whether no corner lies on the joist line."""
    corners = (Point(round(x), round(y)) for x, y in ground.exterior.coords)
    return all(abs(frame.across_16(corner) - across_16) > 1 for corner in corners)


def test_joists_end_where_the_library_ends_them() -> None:
    tally: Counter[str] = Counter()

    @times(1000)
    @given(drawn=real_floors(parts=False), move=moves())
    def compare(drawn: FloorPlan, move: Move) -> None:
        plan = move.floor(drawn)
        try:
            lay(plan)
        except FloorRefused:
            return
        for bay in plan.bays:
            tally["compared"] += compared(plan, bay)

    compare()
    assert tally["compared"] >= 200


def compared(plan: FloorPlan, bay: Bay) -> int:
    """How many joist lines of a bay were compared; each agreed."""
    surveyed, ground = survey(plan, bay, PRACTICE, ()), ground_of(plan, bay)
    count = 0
    for station in find_stations(surveyed):
        if off_corners(ground, surveyed.frame, station.across_16):
            mine = float(station.reach.low_16), float(station.reach.high_16)
            theirs = stretches(ground, surveyed.frame, station.across_16)
            assert any(
                all(abs(m - t) <= NEAR_16 for m, t in zip(mine, their, strict=True)) for their in theirs
            )
            count += 1
    return count
