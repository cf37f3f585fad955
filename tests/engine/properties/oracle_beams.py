"""The oracle's flush beams: where their ends are cut (R4, R5)."""

from __future__ import annotations

from fractions import Fraction

from framing.engine.floor import FloorPlan, Support
from framing.engine.geometry import Point
from tests.engine.properties.oracle import CLEARANCE, GAP
from tests.engine.properties.oracle_ground import NoAnswer, slant
from tests.engine.properties.oracle_stations import RIM


def beam_ends(plan: FloorPlan, support: Support, width: int) -> tuple[Fraction, Fraction]:
    """Where a flush beam is cut (low, high) along its own line, which runs along x or y of the plan."""
    along_x = support.start.y_16 == support.end.y_16
    line = support.start.y_16 if along_x else support.start.x_16
    ends = sorted(p.x_16 if along_x else p.y_16 for p in (support.start, support.end))
    return _beam_end(plan, along_x, line, ends[0], 1, width), _beam_end(
        plan, along_x, line, ends[1], -1, width
    )


def _beam_end(plan: FloorPlan, along_x: bool, line: int, end: int, way: int, width: int) -> Fraction:
    """At an outside wall that it is drawn to or into as R4, else 3/16 in short of the bearing's centre there."""
    corners = plan.outline[1:] + plan.outline[:1]
    for edge, a, b in zip(plan.edges, plan.outline, corners, strict=True):
        met = _meets(along_x, line, a, b)
        if met is not None and -2 <= (end - met[0]) * way <= edge.width_16:
            at, rise = met
            return at + way * max(
                Fraction(RIM + CLEARANCE), RIM * slant(rise) + Fraction(width, 2) * abs(rise)
            )
    for support in plan.supports:
        met = _meets(along_x, line, support.start, support.end)
        if met is not None and abs(met[0] - end) <= 2:
            return met[0] + way * GAP
    raise NoAnswer("a flush beam ends on nothing")


def _meets(along_x: bool, line: int, a: Point, b: Point) -> tuple[Fraction, Fraction] | None:
    """Where a line across a beam's meets it, and how far that leans."""
    (u0, v0), (u1, v1) = (
        (Fraction(p.y_16), Fraction(p.x_16)) if along_x else (Fraction(p.x_16), Fraction(p.y_16))
        for p in (a, b)
    )
    if u0 == u1 or not min(u0, u1) <= line <= max(u0, u1):
        return None
    rise = (v1 - v0) / (u1 - u0)
    return v0 + rise * (line - u0), rise
