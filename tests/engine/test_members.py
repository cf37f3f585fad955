"""Members on the plan, worked by hand on one opening, in inches."""

from __future__ import annotations

import pytest

from framing.engine.geometry import Point
from framing.engine.members import BayLayout, Member, MemberKind
from tests.engine.layout.builders import document, lay, plan_of


def _stair(axis: str, start: str) -> BayLayout:
    """240 x 240, stair 66..110 by 40..120 as it lies for joists along y; turned for joists along x."""
    corner, size = ([66, 40], [44, 80]) if axis == "y" else ([40, 66], [80, 44])
    return lay(
        plan_of(
            document(
                [[0, 0], [240, 0], [240, 240], [0, 240]],
                bays=[{"direction": axis, "start": start}],
                openings=[{"id": "S1", "corner": corner, "size": size}],
            )
        )
    )


def _ends(layout: BayLayout, member: Member) -> list[tuple[float, float]]:
    points: tuple[Point, Point] = member.plan_ends(layout.frame)
    return [(point.x_16 / 16, point.y_16 / 16) for point in points]


@pytest.mark.parametrize(
    ("axis", "start", "trimmer", "header"),
    [
        # Trimmer on 61.625-64.875, header 35.625-38.875 from 65.25 to 110.75.
        ("y", "low", [(63.25, 1.5), (63.25, 238.5)], [(65.25, 37.25), (110.75, 37.25)]),
        ("x", "low", [(1.5, 63.25), (238.5, 63.25)], [(37.25, 65.25), (37.25, 110.75)]),
        # Counted from the high side the first trimmer is the one at 112.75, and across runs the other way.
        ("y", "high", [(112.75, 1.5), (112.75, 238.5)], [(110.75, 37.25), (65.25, 37.25)]),
        ("x", "high", [(1.5, 112.75), (238.5, 112.75)], [(37.25, 110.75), (37.25, 65.25)]),
    ],
)
def test_ends_of_a_trimmer_and_of_a_header_on_the_plan(
    axis: str, start: str, trimmer: list[tuple[float, float]], header: list[tuple[float, float]]
) -> None:
    layout = _stair(axis, start)
    first = {kind: next(m for m in layout.members if m.kind is kind) for kind in MemberKind if kind in "TH"}
    assert _ends(layout, first[MemberKind.TRIMMER]) == trimmer
    assert _ends(layout, first[MemberKind.HEADER]) == header
