"""The small shapes that drawn lines are made of: spots, strokes, paths."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

Spot = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Stroke:
    """A straight piece; `curved` where it stands for a part of a curve."""

    a: Spot
    b: Spot
    curved: bool = False


@dataclass(frozen=True, slots=True)
class Path:
    """Strokes that were drawn as one thing; a closed one's last stroke ends where its first begins."""

    strokes: tuple[Stroke, ...]
    closed: bool = False
    curved: bool = False


def far(a: Spot, b: Spot) -> float:
    return hypot(b[0] - a[0], b[1] - a[1])


def stroke_key(stroke: Stroke, grid: float) -> object:
    """Equal for strokes between the same places, whichever way they run."""
    ends = sorted((round(x / grid), round(y / grid)) for x, y in (stroke.a, stroke.b))
    return tuple(ends)


def off_line(spot: Spot, a: Spot, b: Spot) -> float:
    """How far a spot lies beside the endless line through a and b; to its left positive."""
    along = (b[0] - a[0], b[1] - a[1])
    length = hypot(*along)
    return (along[0] * (spot[1] - a[1]) - along[1] * (spot[0] - a[0])) / length


def crossing(a: Spot, b: Spot, c: Spot, d: Spot) -> Spot | None:
    """Where the endless lines through a, b and c, d cross; None where they run along each other."""
    p, q = (b[0] - a[0], b[1] - a[1]), (d[0] - c[0], d[1] - c[1])
    across = p[0] * q[1] - p[1] * q[0]
    if abs(across) < 1e-6 * hypot(*p) * hypot(*q):
        return None
    share = ((c[0] - a[0]) * q[1] - (c[1] - a[1]) * q[0]) / across
    return a[0] + share * p[0], a[1] + share * p[1]
