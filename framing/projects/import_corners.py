"""A floor out of a list of corners: outline, openings by opposite corners, walls by their ends; lengths under R50."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Final

from framing.engine.errors import LengthUnreadable
from framing.engine.units import parse_length_exact
from framing.projects.import_choice import Choice
from framing.projects.import_found import (
    Found,
    LeftOut,
    Report,
    System,
    counted,
    found_of,
    length_words,
    size_words,
)
from framing.projects.import_outline import CORNERS_MOST
from framing.projects.import_parts import RECTANGLE_16
from framing.projects.import_walls import joist_axis
from framing.projects.reading.dxf_guess import is_rectangle
from framing.projects.reading.loops_rings import Ring
from framing.projects.reading.loops_walls import Wall

_WHAT: Final = re.compile(r"(outline|opening|stair|shaft|wall|bearing)\b[ :_-]*(.*)", re.IGNORECASE)
_ID: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,19}")
_PROBLEMS_MOST: Final = 100
_KINDS: Final = {"stair": "opening", "shaft": "opening", "bearing": "wall"}


@dataclass(frozen=True, slots=True)
class _Corner:
    row: int
    kind: str
    id: str
    x_16: float
    y_16: float
    shaft: bool = False


def import_corners(facts: Mapping[str, Any], choice: Choice, blank: Mapping[str, Any]) -> Found:
    """The floor of a list of corners. Problems name row and column; there is no document while there is one."""
    report = Report()
    bare: System = "metric" if choice.units == "metric" else "imperial"
    corners = [
        corner
        for row, cells in facts["rows"]
        for corner in _corner(row, cells, facts["columns"], bare, report)
    ]
    if len(report.problems) > _PROBLEMS_MOST:
        rest = len(report.problems) - _PROBLEMS_MOST
        report.problems = report.problems[:_PROBLEMS_MOST]
        report.problem("", f"{counted(rest, 'more cell')} can't be read.")
    outline = _outline([corner for corner in corners if corner.kind == "outline"], report)
    if report.problems:
        return found_of(report, None)
    return _found(outline, corners, choice, blank, report)


def _corner(
    row: int, cells: Sequence[str], columns: Sequence[int], bare: System, report: Report
) -> list[_Corner]:
    """The corner of a row; none where it can't be read, which is told."""
    values: dict[str, float] = {}
    for name, column in zip("xy", columns, strict=False):
        text = cells[column] if column < len(cells) else ""
        try:
            values[name] = float(parse_length_exact(text, bare, allow_negative=True))
        except LengthUnreadable as error:
            report.problem(f"row {row}, column {name}", error.message)
    what = cells[columns[2]] if 0 <= columns[2] < len(cells) else ""
    kind, id_, shaft = _kind(what)
    if not kind:
        words = f"“{what}” is nothing of a floor; write outline, opening S1 or wall W1."
        report.problem(f"row {row}, column what", words)
    return [_Corner(row, kind, id_, values["x"], values["y"], shaft)] if len(values) == 2 and kind else []


def _kind(what: str) -> tuple[str, str, bool]:
    """What a row is a corner of, with its id. An id alone is an opening (S, O) or a wall (W, B)."""
    if not what:
        return "outline", "", False
    match = _WHAT.fullmatch(what)
    word, rest = (match[1].lower(), match[2].strip()) if match else ("", what)
    if not word:
        word = {"S": "opening", "O": "opening", "W": "wall", "B": "wall"}.get(what[0].upper(), "")
    if word == "outline":
        return word, "", False
    id_ = rest or {"wall": "W1", "bearing": "W1"}.get(word, "S1")
    return (_KINDS.get(word, word), id_, word == "shaft") if _ID.fullmatch(id_) else ("", "", False)


def _outline(corners: Sequence[_Corner], report: Report) -> list[tuple[float, float]]:
    """Corners of the outline; one that repeats the first closes it, one that repeats the last is dropped."""
    places: list[tuple[float, float]] = []
    for corner in corners:
        if not places or places[-1] != (corner.x_16, corner.y_16):
            places.append((corner.x_16, corner.y_16))
    if len(places) > 1 and places[0] == places[-1]:
        places.pop()
    if len(places) < len(corners):
        report.mended.append("Corners on each other were taken once.")
    if len(places) < 3 and not report.problems:
        report.problem(
            "", f"The list has {counted(len(places), 'corner')} of an outline; a floor needs 3 or more."
        )
    if len(places) > CORNERS_MOST:
        report.problem("", f"The outline has {len(places):,} corners; at most {CORNERS_MOST} are taken.")
    return places


def _found(
    outline: Sequence[tuple[float, float]],
    corners: Sequence[_Corner],
    choice: Choice,
    blank: Mapping[str, Any],
    report: Report,
) -> Found:
    units: System = blank["units"]
    low = (min(x for x, _ in outline), min(y for _, y in outline))
    if low != (0, 0):
        report.mended.append("All corners were moved together so that the lowest of the outline lie at 0.")

    def pair(place: tuple[float, float]) -> list[str]:
        return [length_words(place[0] - low[0], units), length_words(place[1] - low[1], units)]

    size = (max(x for x, _ in outline) - low[0], max(y for _, y in outline) - low[1])
    report.taken.append(f"Outline: {counted(len(outline), 'corner')}, {size_words(*size, units)}.")
    openings, supports, walls = [], [], []
    for kind, id_ in dict.fromkeys((corner.kind, corner.id) for corner in corners):
        rows = [corner for corner in corners if (corner.kind, corner.id) == (kind, id_)]
        places = [(corner.x_16, corner.y_16) for corner in rows]
        if kind == "opening":
            openings += _opening(id_, rows, pair, units, report)
        elif kind == "wall" and len(places) > 1:
            for number, (a, b) in enumerate(pairwise(places)):
                name = id_ if len(places) == 2 else f"{id_}-{number + 1}"[-20:]
                supports.append({"id": name, "kind": "wall", "from": pair(a), "to": pair(b)})
                walls.append(Wall(a, b, None))
        elif kind == "wall":
            report.left.append(
                LeftOut(f"wall {id_}", f"row {rows[0].row}", "has one end only; write a row for each")
            )
    for count, one in ((len(openings), "opening"), (len(supports), "wall")):
        if count:
            report.taken.append(f"{counted(count, one)}.")
    axis = choice.direction or joist_axis(walls, outline)
    document = {
        **blank,
        "name": choice.name or blank["name"],
        "level": choice.level or blank["level"],
        "outline": [pair(place) for place in outline],
        "openings": openings,
        "supports": supports,
        "bays": [{**blank["bays"][0], "direction": axis}, *blank["bays"][1:]],
    }
    return found_of(report, document)


def _opening(
    id_: str, rows: Sequence[_Corner], pair: Any, units: System, report: Report
) -> list[dict[str, Any]]:
    """The entry of an opening by two opposite corners or more corners of a rectangle; else it is told as left."""
    spots = [(corner.x_16, corner.y_16) for corner in rows]
    low = (min(x for x, _ in spots), min(y for _, y in spots))
    high = (max(x for x, _ in spots), max(y for _, y in spots))
    ring = Ring(tuple(spots))
    if len(spots) < 2 or low[0] == high[0] or low[1] == high[1]:
        why = "write two opposite corners, a row each"
    elif len(spots) > 2 and not is_rectangle(ring, RECTANGLE_16):
        why = "is no rectangle along the plan within 1/8 in"
    else:
        size = [length_words(high[0] - low[0], units), length_words(high[1] - low[1], units)]
        kind = "shaft" if any(corner.shaft for corner in rows) else "stair"
        return [{"id": id_, "name": "", "kind": kind, "corner": pair(low), "size": size}]
    report.left.append(LeftOut(f"opening {id_}", f"row {rows[0].row}", why))
    return []
