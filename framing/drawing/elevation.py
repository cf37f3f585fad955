"""Joist elevations (R9, R10, R11): each mark of the schedule from its open side, holes measured from the printed end.

All marks of a floor are drawn to one scale; a member that is longer than the paper is broken between holes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from framing.drawing.elevation_rows import APART, LEFT, WIDTH, Elevation, elevations, scale_for
from framing.drawing.elevation_views import draw_key, draw_row
from framing.drawing.sheet import KEY, STRIP, SheetInfo, draw_frame
from framing.drawing.svg import Canvas
from framing.engine.catalogue import Catalogue
from framing.engine.result import FloorResult
from framing.engine.units import format_length


def elevation_svg(result: FloorResult, mark: str, catalogue: Catalogue) -> str:
    """The elevation of one mark of the schedule; user units are millimetres of paper.

    Raises KeyError where the floor has no such mark.
    """
    row = next((row for row in elevations(result, catalogue) if row.line.mark == mark), None)
    if row is None:
        raise KeyError(mark)
    canvas = Canvas()
    draw_row(canvas, row, 0.5)
    return canvas.finish(WIDTH, row.height, f"{mark}: elevation", describe(row), "dw-elevation")


def elevations_svg(result: FloorResult, info: SheetInfo, catalogue: Catalogue) -> tuple[str, ...]:
    """All marks on sheets of the paper of `info`, numbered from `info.number`."""
    units = result.plan.units
    words = scale_for(result, catalogue)[1]
    sheets = []
    for index, shelves in enumerate(elevation_sheets(result, info, catalogue)):
        canvas = Canvas()
        draw_frame(canvas, replace(info, number=info.number + index), words, units)
        top = 4.0
        for shelf in shelves:
            for row in shelf:
                draw_row(canvas, row, top)
            top += _height(shelf)
        rows = [row for shelf in shelves for row in shelf]
        draw_key(canvas, rows, info)
        title = f"{info.floor}: elevations of {', '.join(row.line.mark for row in rows)}"
        desc = " ".join(describe(row) for row in rows)
        sheets.append(canvas.finish(info.paper.width, info.paper.height, title, desc, "dw-plan"))
    return tuple(sheets)


def describe(row: Elevation) -> str:
    """A sentence for those who do not see the drawing."""
    line = row.line
    holes = ", ".join(format_length(place, row.units) for place in line.holes_16) or "none"
    length = format_length(line.length_16, row.units)
    left = " ".join(row.words)
    return f"{line.mark}: {length} of {line.profile}. Holes from the printed end: {holes}. {left}".rstrip()


def elevation_sheets(
    result: FloorResult, info: SheetInfo, catalogue: Catalogue
) -> list[list[list[Elevation]]]:
    """Marks in order, beside each other where they fit, on as many sheets as they need; nothing is drawn yet."""
    room = info.paper.height - STRIP - KEY - 6.0
    sheets: list[list[list[Elevation]]] = []
    for shelf in _shelves(elevations(result, catalogue)):
        if not sheets or sum(map(_height, sheets[-1])) + _height(shelf) > room:
            sheets.append([])
        sheets[-1].append(shelf)
    return sheets


def _shelves(rows: Sequence[Elevation]) -> list[list[Elevation]]:
    shelves: list[list[Elevation]] = []
    for row in rows:
        before = shelves[-1][-1] if shelves else None
        left = before.left + before.width + APART if before else WIDTH
        if left + row.width <= WIDTH - LEFT:
            shelves[-1].append(replace(row, stretch=row.stretch.moved(left - row.left)))
        else:
            shelves.append([row])
    return shelves


def _height(shelf: Sequence[Elevation]) -> float:
    return max(row.height for row in shelf)
