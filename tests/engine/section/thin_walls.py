"""Open thin-walled sections as a chain of short straight walls: a second, general way to shear centre and warping."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from framing.engine.section.shape import Shape

Point = tuple[float, float]


def centre_line(shape: Shape, facets: int) -> list[Point]:
    """The whole centre line from the toe of the lower lip to that of the upper; x from the web, y from mid-depth."""
    t = shape.thickness_in
    r = shape.radius_in + t / 2
    c, far = shape.web_flat_in / 2, shape.flange_in - t
    bends = [((far - r, -c), 0.0), ((r, -c), -90.0), ((r, c), -180.0), ((far - r, c), -270.0)]
    points = [(far, shape.lip_flat_in - c)]
    for (x, y), start in bends:
        for step in range(facets + 1):
            turn = math.radians(start - 90.0 * step / facets)
            points.append((x + r * math.cos(turn), y + r * math.sin(turn)))
    return [*points, (far, c - shape.lip_flat_in)]


def shear_centre_and_warping(points: Sequence[Point], t: float) -> tuple[float, float]:
    """x of the shear centre, and Cw, of a chain symmetric about y = 0 (sectorial area about the origin)."""
    sectorial = [0.0]
    for (x0, y0), (x1, y1) in pairwise(points):
        sectorial.append(sectorial[-1] + x0 * y1 - x1 * y0)
    walls = [t * math.dist(p, q) for p, q in pairwise(points)]
    mean = sum(a * (u + v) / 2 for a, (u, v) in zip(walls, pairwise(sectorial), strict=True)) / sum(walls)
    w = [value - mean for value in sectorial]
    y = [point[1] for point in points]
    wy, yy, ww = _mixed(walls, w, y), _mixed(walls, y, y), _mixed(walls, w, w)
    return wy / yy, ww - wy**2 / yy


def _mixed(walls: Sequence[float], u: Sequence[float], v: Sequence[float]) -> float:
    ends = zip(walls, pairwise(u), pairwise(v), strict=True)
    return sum(a * (2 * p * r + p * s + q * r + 2 * q * s) / 6 for a, (p, q), (r, s) in ends)
