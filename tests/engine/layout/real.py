"""Floors with skewed walls, several bays, flush beams and free edges, laid out with 1 5/8 in flanges; in inches."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

from framing.engine.document import to_plan
from framing.engine.errors import FloorRefused, Problem
from framing.engine.floor import FloorPlan
from framing.engine.layout import assign_marks, layout_floor
from framing.engine.members import BayLayout, Member
from tests.engine.layout.builders import JOIST, PRACTICE, document


def real_plan(outline: Sequence[Sequence[Any]], **rest: Any) -> FloorPlan:
    """Any outline, joists along y at 16 in unless `bays` says more."""
    return to_plan(document(outline, **rest), PRACTICE)


def lay_all(plan: FloorPlan, **plies: int) -> tuple[BayLayout, ...]:
    """Every bay, marked. Plies as `F1_beam=3`."""
    steel = {bay.id: JOIST for bay in plan.bays}
    keys = {key.replace("_", ":", 1): count for key, count in plies.items()}
    return assign_marks(plan, layout_floor(plan, steel, PRACTICE, keys), steel, PRACTICE)


def refused(plan: FloorPlan) -> Problem:
    with pytest.raises(FloorRefused) as caught:
        lay_all(plan)
    (problem,) = caught.value.problems
    return problem


def reach(member: Member) -> tuple[float, float, float]:
    """Centre, low and high end."""
    return member.centre_16 / 16, member.low_16 / 16, member.high_16 / 16


def box(low_x: float, low_y: float, high_x: float, high_y: float) -> list[list[float]]:
    return [[low_x, low_y], [high_x, low_y], [high_x, high_y], [low_x, high_y]]
