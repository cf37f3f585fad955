"""The things of a drawing in words of the trade, and why some are never taken."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

NAMES: Final[Mapping[str, tuple[str, str]]] = {
    "LINE": ("line", "lines"),
    "LWPOLYLINE": ("polyline", "polylines"),
    "POLYLINE": ("polyline", "polylines"),
    "ARC": ("arc", "arcs"),
    "CIRCLE": ("circle", "circles"),
    "ELLIPSE": ("ellipse", "ellipses"),
    "SPLINE": ("spline", "splines"),
    "INSERT": ("block", "blocks"),
    "HATCH": ("hatch", "hatches"),
    "MPOLYGON": ("hatch", "hatches"),
    "TEXT": ("text", "texts"),
    "MTEXT": ("text", "texts"),
    "ATTRIB": ("text", "texts"),
    "ATTDEF": ("text", "texts"),
    "DIMENSION": ("dimension", "dimensions"),
    "ARC_DIMENSION": ("dimension", "dimensions"),
    "LARGE_RADIAL_DIMENSION": ("dimension", "dimensions"),
    "LEADER": ("leader", "leaders"),
    "MULTILEADER": ("leader", "leaders"),
    "MLEADER": ("leader", "leaders"),
    "TOLERANCE": ("tolerance frame", "tolerance frames"),
    "POINT": ("point", "points"),
    "SOLID": ("filled shape", "filled shapes"),
    "TRACE": ("filled shape", "filled shapes"),
    "WIPEOUT": ("filled shape", "filled shapes"),
    "3DFACE": ("face in space", "faces in space"),
    "MESH": ("body", "bodies"),
    "3DSOLID": ("body", "bodies"),
    "BODY": ("body", "bodies"),
    "REGION": ("body", "bodies"),
    "SURFACE": ("body", "bodies"),
    "IMAGE": ("picture", "pictures"),
    "OLE2FRAME": ("picture", "pictures"),
    "PDFUNDERLAY": ("underlay", "underlays"),
    "DWFUNDERLAY": ("underlay", "underlays"),
    "DGNUNDERLAY": ("underlay", "underlays"),
    "VIEWPORT": ("window", "windows"),
    "XLINE": ("endless line", "endless lines"),
    "RAY": ("endless line", "endless lines"),
    "MLINE": ("double line", "double lines"),
    "HELIX": ("spline", "splines"),
    "ACAD_TABLE": ("table", "tables"),
}
_WHY: Final[Mapping[str, str]] = {
    "hatch": "only lines are read",
    "text": "texts only name openings that they stand in",
    "dimension": "sizes are taken from the lines",
    "leader": "they point at things",
    "endless line": "it has no ends",
    "double line": "it has to be exploded into lines first",
}


def name_of(kind: str, count: int) -> str:
    """“3 polylines”; a kind without a word of ours is called a thing of another kind."""
    one, many = NAMES.get(kind, ("thing of another kind", "things of other kinds"))
    return f"{count:,} {one if count == 1 else many}"


def why_left(kind: str) -> str:
    """Why a kind that is no line is left."""
    return _WHY.get(NAMES.get(kind, ("", ""))[0], "only lines make a floor")
