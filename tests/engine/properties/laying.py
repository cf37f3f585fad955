"""How the properties lay a floor: every bay with the same joist, checked first as the product does."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass

from hypothesis import HealthCheck, assume, settings

from framing.engine.catalogue import load_catalogue
from framing.engine.errors import FloorRefused
from framing.engine.floor import EdgeKind, FloorPlan
from framing.engine.floor_checks import check_floor, join_openings
from framing.engine.geometry import Frame, Point
from framing.engine.layout import assign_marks, layout_floor
from framing.engine.members import BayLayout, Member
from framing.engine.practice import Practice

PRACTICE = Practice()
JOIST = load_catalogue().profile("1000S162-54")
SCALE = float(os.environ.get("SPANYARD_TEST_SCALE", "0.1"))


def times(count: int, least: int = 25) -> settings:
    """Settings for a property of `count` floors at full scale."""
    slow = [HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large]
    return settings(max_examples=max(least, round(count * SCALE)), deadline=None, suppress_health_check=slow)


def lay(plan: FloorPlan) -> tuple[BayLayout, ...]:
    """Every bay, marked. Raises FloorRefused."""
    check_floor(plan, PRACTICE)
    joined = join_openings(plan)
    steel = {bay.id: JOIST for bay in plan.bays}
    return assign_marks(joined, layout_floor(joined, steel, PRACTICE), steel, PRACTICE)


def laid(plan: FloorPlan) -> tuple[BayLayout, ...]:
    """Every bay; a floor that is refused is no example."""
    try:
        return lay(plan)
    except FloorRefused:
        assume(False)
        raise


@dataclass(frozen=True)
class Stood:
    """A member with its bay's layout, to tell places on the plan."""

    member: Member
    frame: Frame
    width_16: int

    @property
    def box(self) -> tuple[int, int, int, int]:
        """Low x, low y, high x, high y of the ground that it takes."""
        a, b = self.member.plan_ends(self.frame)
        along_x = a.y_16 == b.y_16 and a.x_16 != b.x_16
        half = self.width_16 // 2
        x, y = (0, half) if along_x else (half, 0)
        return (
            min(a.x_16, b.x_16) - x,
            min(a.y_16, b.y_16) - y,
            max(a.x_16, b.x_16) + x,
            max(a.y_16, b.y_16) + y,
        )


def members(layouts: tuple[BayLayout, ...]) -> Iterator[Stood]:
    for layout in layouts:
        for member in layout.members:
            yield Stood(member, layout.frame, member.width_16)


def sides(plan: FloorPlan) -> Iterator[tuple[Point, Point, EdgeKind]]:
    corners = plan.outline[1:] + plan.outline[:1]
    for edge, a, b in zip(plan.edges, plan.outline, corners, strict=True):
        yield a, b, edge.kind
