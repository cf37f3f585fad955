"""Made-up floors for property tests, in sixteenths, joists along y; and their mirror images."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from hypothesis import strategies as st

from framing.engine.errors import FloorRefused
from framing.engine.floor import (
    Bay,
    Edge,
    EdgeKind,
    FloorPlan,
    Joint,
    LoadCase,
    Opening,
    OpeningKind,
    Support,
    SupportKind,
)
from framing.engine.floor_checks import check_floor
from framing.engine.geometry import Axis, Point, Rect
from framing.engine.practice import Practice

SPACINGS = (Fraction(192), Fraction(256), Fraction(1536, 5), Fraction(384))
FOOT = 192


@dataclass(frozen=True)
class Shape:
    """A floor before it is turned or mirrored: a rectangle or an L, maybe with a wall and an opening."""

    width: int
    depth: int
    step: int | None
    leg: int
    spacing: Fraction
    wall: int | None
    joint: Joint
    opening: tuple[int, int, int, int] | None


@st.composite
def shapes(draw: st.DrawFn, *, steps: bool = True, openings: bool = True) -> Shape:
    width = draw(st.integers(6 * FOOT, 40 * FOOT))
    depth = draw(st.integers(8 * FOOT, 36 * FOOT))
    step = draw(st.none() | st.integers(3 * FOOT, width - 2 * FOOT)) if steps else None
    leg = draw(st.integers(4 * FOOT, depth - 3 * FOOT))
    wall = draw(st.none() | st.integers(3 * FOOT, depth - 3 * FOOT))
    opening = None
    if openings and draw(st.booleans()):
        x = draw(st.integers(FOOT, width - 4 * FOOT))
        y = draw(st.integers(0, depth - 3 * FOOT))
        opening = (x, y, draw(st.integers(FOOT, 4 * FOOT)), draw(st.integers(FOOT, 10 * FOOT)))
    return Shape(
        width, depth, step, leg, draw(st.sampled_from(SPACINGS)), wall, draw(st.sampled_from(Joint)), opening
    )


def plan_of(
    shape: Shape,
    *,
    mirror_x: bool = False,
    mirror_y: bool = False,
    turned: bool = False,
    start: Literal["low", "high"] = "low",
) -> FloorPlan | None:
    """The shape as a floor, mirrored and turned as asked; None where it can't be built."""
    corners = [(0, 0), (shape.width, 0), (shape.width, shape.depth), (0, shape.depth)]
    if shape.step is not None:
        corners[2:3] = [(shape.width, shape.leg), (shape.step, shape.leg), (shape.step, shape.depth)]

    def place(x: int, y: int) -> Point:
        x, y = (shape.width - x if mirror_x else x), (shape.depth - y if mirror_y else y)
        return Point(y, x) if turned else Point(x, y)

    outline = tuple(place(x, y) for x, y in corners)
    if mirror_x ^ mirror_y ^ turned:
        outline = outline[:1] + outline[:0:-1]
    axis: Axis = "x" if turned else "y"
    plan = FloorPlan(
        name="Made up",
        level="1",
        units="imperial",
        outline=outline,
        edges=_edges(outline, axis),
        bays=(Bay("A", (), axis, start, shape.spacing, shape.spacing),),
        load_case=LoadCase("Rooms", 40.0, ()),
        supports=_supports(shape, place),
        openings=_openings(shape, place),
    )
    try:
        check_floor(plan, Practice())
    except FloorRefused:
        return None
    return plan


def _edges(outline: tuple[Point, ...], axis: Axis) -> tuple[Edge, ...]:
    edges = []
    for index, (a, b) in enumerate(zip(outline, outline[1:] + outline[:1], strict=True)):
        beside = a.x_16 == b.x_16 if axis == "y" else a.y_16 == b.y_16
        edges.append(Edge(index, EdgeKind.PARALLEL if beside else EdgeKind.PLATFORM, 88))
    return tuple(edges)


def _supports(shape: Shape, place: object) -> tuple[Support, ...]:
    assert callable(place)
    if shape.wall is None:
        return ()
    # A wall that would leave the floor beyond the step ends at it.
    end = shape.width if shape.step is None or shape.wall <= shape.leg else shape.step
    wall = Support("W1", SupportKind.WALL, place(0, shape.wall), place(end, shape.wall), 56, shape.joint)
    return (wall,)


def _openings(shape: Shape, place: object) -> tuple[Opening, ...]:
    assert callable(place)
    if shape.opening is None:
        return ()
    x, y, width, length = shape.opening
    a, b = place(x, y), place(x + width, y + length)
    low = Point(min(a.x_16, b.x_16), min(a.y_16, b.y_16))
    high = Point(max(a.x_16, b.x_16), max(a.y_16, b.y_16))
    return (Opening("S1", "Stair", OpeningKind.STAIR, Rect(low, high)),)
