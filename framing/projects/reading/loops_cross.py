"""Rings out of lines that branch or cross: cut at every crossing, what they enclose together, its outer borders."""

from __future__ import annotations

from collections.abc import Sequence

from framing.projects.reading.loops_rings import Ring, straight_ring, turned_ring
from framing.projects.reading.loops_shapes import Stroke

_GRID = 1 / 64
_MEETINGS_MOST = 20_000  # each line that meets another counts once a side; more are a scribble or a hatch


def crossed_rings(strokes: Sequence[Stroke], near: float) -> list[Ring]:
    """The outer border of each part of the plane that the strokes enclose.

    Ends are set on a fine grid (1/256 in), so that what was drawn to meet does. A scribble encloses nothing.
    """
    from shapely import (  # late: slow to load
        LineString,
        MultiLineString,
        Polygon,
        STRtree,
        set_precision,
        unary_union,
    )
    from shapely.ops import polygonize

    lines = [LineString([stroke.a, stroke.b]) for stroke in strokes]
    if STRtree(lines).query(lines, predicate="intersects").shape[1] > _MEETINGS_MOST:
        return []
    faces = list(polygonize(unary_union(set_precision(MultiLineString(lines), near * _GRID))))
    if not faces:
        return []
    whole = unary_union(faces)
    parts = [part for part in getattr(whole, "geoms", [whole]) if isinstance(part, Polygon)]
    curved = any(stroke.curved for stroke in strokes)
    rings = [turned_ring([(x, y) for x, y in part.exterior.coords[:-1]], curved=curved) for part in parts]
    mended = [straight_ring(ring, near) for ring in rings if ring is not None]
    return [Ring(ring.corners, ring.curved, crossed=True) for ring in mended]
