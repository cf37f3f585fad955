"""Asking the checks about a floor drawn in inches: places and messages of its warnings or of its refusal."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

from framing.engine.document import to_plan
from framing.engine.errors import FloorRefused, Problem
from framing.engine.floor import FloorPlan
from framing.engine.floor_checks import check_floor
from framing.engine.practice import Practice
from tests.engine.layout.builders import document

PRACTICE = Practice()
SQUARE = [[0, 0], [240, 0], [240, 168], [0, 168]]
L_SHAPE = [[0, 0], [240, 0], [240, 120], [144, 120], [144, 240], [0, 240]]


def drawn(outline: Any = SQUARE, **rest: Any) -> FloorPlan:
    return to_plan(document(outline, **rest), PRACTICE)


def warned(outline: Any = SQUARE, **rest: Any) -> list[tuple[str, str]]:
    """Warnings of a floor that passes."""
    return [(problem.place, problem.message) for problem in check_floor(drawn(outline, **rest), PRACTICE)]


def problems(outline: Any = SQUARE, **rest: Any) -> tuple[Problem, ...]:
    """What a floor is refused for."""
    with pytest.raises(FloorRefused) as caught:
        check_floor(drawn(outline, **rest), PRACTICE)
    return caught.value.problems


def refused(outline: Any = SQUARE, **rest: Any) -> tuple[str, str]:
    """The one problem that a floor is refused for."""
    (problem,) = problems(outline, **rest)
    return problem.place, problem.message


def bay(ident: str, ring: Sequence[Sequence[float]] | None, way: str = "y", **rest: Any) -> dict[str, Any]:
    return {"id": ident, "direction": way, "outline": ring and [list(corner) for corner in ring], **rest}


def box(low_x: float, low_y: float, high_x: float, high_y: float) -> list[list[float]]:
    return [[low_x, low_y], [high_x, low_y], [high_x, high_y], [low_x, high_y]]


def bearing(start: Sequence[float], end: Sequence[float], kind: str = "wall", **rest: Any) -> dict[str, Any]:
    ident = "B1" if kind == "flush_beam" else "W1"
    return {"id": ident, "kind": kind, "from": list(start), "to": list(end), **rest}


def opening(ident: str, ring: Sequence[Sequence[float]], **rest: Any) -> dict[str, Any]:
    low, high = ring[0], ring[2]
    return {"id": ident, "corner": low, "size": [high[0] - low[0], high[1] - low[1]], **rest}
