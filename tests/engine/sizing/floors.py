"""Floors with several bays or new edges laid out for the sizing tests, 1000S162-54 unless said."""

from __future__ import annotations

from typing import Any

from framing.engine.catalogue import load_catalogue
from framing.engine.floor import FloorPlan
from framing.engine.layout import assign_marks, layout_floor
from framing.engine.members import BayLayout
from framing.engine.sizing.tributary import Carried, carried_on
from tests.engine.layout.builders import PRACTICE, document, plan_of

CATALOGUE = load_catalogue()
PROFILE = "1000S162-54"


def box(width: float, depth: float, across: float = 0, along: float = 0) -> list[list[float]]:
    """Corners in inches, counter-clockwise from the low one."""
    right, top = across + width, along + depth
    return [[across, along], [right, along], [right, top], [across, top]]


def floor(outline: list[list[float]], **rest: Any) -> FloorPlan:
    """50 psf, 40 of it live."""
    return plan_of(document(outline, **rest))


def laid(plan: FloorPlan, profile: str = PROFILE) -> tuple[BayLayout, ...]:
    profiles = {bay.id: CATALOGUE.profile(bay.profile or profile) for bay in plan.bays}
    return assign_marks(plan, layout_floor(plan, profiles, PRACTICE), profiles, PRACTICE)


def carried(plan: FloorPlan) -> dict[str, Carried]:
    """What every member carries, by its id."""
    return {c.member.id: c for some in carried_on(plan, laid(plan), PRACTICE) for c in some}


def widths(one: Carried, dead_psf: float = 10) -> list[tuple[float, ...]]:
    """Strips as (low, high, width in inches) or with two widths where they taper, from the dead load."""
    rows = []
    for line in one.model.lines:
        start, end = (round(load * 144 / dead_psf, 6) for load in line.dead_ends_lb_in)
        rows.append((line.low_in, line.high_in, *((start,) if start == end else (start, end))))
    return rows
