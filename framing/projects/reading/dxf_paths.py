"""What a drawing's thing is on the plan: a path of corners with bulges, or the reason why it is left.

A bulge is DXF's own measure of an arc between two corners: the tangent of a quarter of its angle, positive to the left.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from math import isfinite, radians, tan
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from ezdxf.entities.dxfentity import DXFEntity

Corner = tuple[float, float, float]
"""x, y, and the bulge of the way to the next corner."""
FARTHEST: Final = 1e9
_CURVE_PARTS: Final = 4000.0
_CURVE_MOST: Final = 2000


@dataclass(frozen=True, slots=True)
class DrawnPath:
    """Corners in drawing units; `fitted` where straight pieces already stand for a curve."""

    corners: tuple[Corner, ...]
    closed: bool = False
    fitted: bool = False


class Left(Exception):
    """Why a thing is not taken, in words that fit behind its name."""


TILTED: Final = "stands out of the plan"
NOWHERE: Final = "has a place that is no number or beyond all floors"
TOO_FINE: Final = "has too many pieces"


def path_of_thing(thing: DXFEntity) -> DrawnPath:
    """The path of a line, polyline, arc, circle, ellipse or spline. Raises Left; anything the library raises on a
    broken thing comes through."""
    path = _MAKERS[thing.dxftype()](thing)
    if any(not isfinite(value) or abs(value) > FARTHEST for corner in path.corners for value in corner):
        raise Left(NOWHERE)
    if len(path.corners) < 2:
        raise Left("has no length")
    return path


def _line(thing: Any) -> DrawnPath:
    a, b = thing.dxf.start, thing.dxf.end
    return DrawnPath(((a.x, a.y, 0.0), (b.x, b.y, 0.0)))


def _flat_polyline(thing: Any) -> DrawnPath:
    return DrawnPath(_placed(thing, thing.get_points("xyb")), bool(thing.closed))


def _polyline(thing: Any) -> DrawnPath:
    if thing.is_2d_polyline:
        corners = [
            (vertex.dxf.location.x, vertex.dxf.location.y, vertex.dxf.get("bulge", 0.0))
            for vertex in thing.vertices
            if not vertex.dxf.flags & 16  # a fitted curve's control points are not on it
        ]
        return DrawnPath(_placed(thing, corners), bool(thing.is_closed))
    if thing.is_3d_polyline:
        return DrawnPath(tuple((v.x, v.y, 0.0) for v in thing.points()), bool(thing.is_closed))
    raise Left("is a mesh, no line")


def _arc(thing: Any) -> DrawnPath:
    start, end = thing.dxf.start_angle, thing.dxf.end_angle
    if not isfinite(start) or not isfinite(end):
        raise Left(NOWHERE)
    sweep = (end - start) % 360 or 360
    return DrawnPath(_placed(thing, _round(thing.dxf.center, thing.dxf.radius, start, sweep, 2)))


def _circle(thing: Any) -> DrawnPath:
    corners = _round(thing.dxf.center, thing.dxf.radius, 0.0, 360.0, 2)[:-1]
    return DrawnPath(_placed(thing, corners), closed=True)


def _round(centre: Any, radius: float, start: float, sweep: float, parts: int) -> list[Corner]:
    """An arc in so many parts, each under a full turn. Degrees."""
    from math import cos, sin

    bulge = tan(radians(sweep / parts) / 4)
    angles = [radians(start + sweep * part / parts) for part in range(parts + 1)]
    spots = [(centre.x + radius * cos(angle), centre.y + radius * sin(angle), bulge) for angle in angles]
    return [*spots[:-1], (*spots[-1][:2], 0.0)]


def _ellipse(thing: Any) -> DrawnPath:
    if not _flat(thing.dxf.extrusion):
        raise Left(TILTED)
    spots = _fitted(thing, thing.dxf.major_axis.magnitude)
    whole = abs(thing.dxf.end_param - thing.dxf.start_param) > 6.2831
    return DrawnPath(spots[:-1] if whole else spots, closed=whole, fitted=True)


def _spline(thing: Any) -> DrawnPath:
    points = list(thing.control_points) or list(thing.fit_points)
    if len(points) < 2:
        raise Left("has no points")
    wide = max(max(values) - min(values) for values in (([p[i] for p in points]) for i in (0, 1)))
    return DrawnPath(_fitted(thing, float(wide)), bool(thing.closed), fitted=True)


def _fitted(thing: Any, size: float) -> tuple[Corner, ...]:
    if not isfinite(size) or not 0 < size <= FARTHEST:
        raise Left(NOWHERE)
    spots: list[Corner] = []
    for spot in thing.flattening(size / _CURVE_PARTS):
        spots.append((spot.x, spot.y, 0.0))
        if len(spots) > _CURVE_MOST:
            raise Left(TOO_FINE)
    return tuple(spots)


def _placed(thing: Any, corners: Iterable[Sequence[float]]) -> tuple[Corner, ...]:
    """Corners of a thing with a plane of its own, on the plan; one seen from below is mirrored, its arcs too."""
    extrusion = thing.dxf.extrusion
    if not _flat(extrusion):
        raise Left(TILTED)
    side = -1.0 if extrusion.z < 0 else 1.0
    return tuple((float(side * x), float(y), float(side * bulge)) for x, y, bulge in corners)


def _flat(extrusion: Any) -> bool:
    length = extrusion.magnitude
    return bool(length > 0 and abs(extrusion.z) / length > 1 - 1e-6)


_MAKERS: Final[dict[str, Callable[[Any], DrawnPath]]] = {
    "LINE": _line,
    "LWPOLYLINE": _flat_polyline,
    "POLYLINE": _polyline,
    "ARC": _arc,
    "CIRCLE": _circle,
    "ELLIPSE": _ellipse,
    "SPLINE": _spline,
}
TAKEN: Final = frozenset(_MAKERS)
