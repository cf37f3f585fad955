"""Details of a floor, to scale from the engine's numbers: only the conditions that occur on it.

What has no number in the engine (a clip's leg, a plate's thickness) is drawn as a sign and not measured.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from framing.drawing.conditions import Conditions
from framing.drawing.detail_bearings import bearing_details
from framing.drawing.detail_ends import end_details
from framing.drawing.detail_frames import frame_details
from framing.drawing.detail_open import open_details
from framing.drawing.detail_plies import ply_details
from framing.drawing.pane import PANE_HEIGHT, PANE_WIDTH, Detail
from framing.drawing.sheet import STRIP, SheetInfo, draw_frame
from framing.drawing.svg import Canvas
from framing.engine.catalogue import Catalogue
from framing.engine.practice import Practice
from framing.engine.result import FloorResult

_EDGE = 4.0


def floor_details(result: FloorResult, catalogue: Catalogue, practice: Practice) -> tuple[Detail, ...]:
    """All details of a floor, from the outside in; the practice set is the one it was designed by."""
    found = Conditions(result, catalogue, practice)
    makers = (end_details, open_details, bearing_details, frame_details, ply_details)
    return tuple(detail for maker in makers for detail in maker(found))


def detail_svg(detail: Detail) -> str:
    """One detail alone; user units are millimetres of paper."""
    canvas = Canvas()
    detail.pane(canvas, 0, 0)
    desc = f"{detail.title}. {detail.places}. Rules {detail.rules}."
    return canvas.finish(PANE_WIDTH, PANE_HEIGHT, detail.title, desc, "dw-detail")


def details_svg(
    result: FloorResult, info: SheetInfo, catalogue: Catalogue, practice: Practice
) -> tuple[str, ...]:
    """All details on sheets of the paper of `info`, numbered from `info.number`."""
    across = _across(info)
    sheets = []
    for index, rows in enumerate(detail_sheets(floor_details(result, catalogue, practice), info)):
        canvas = Canvas()
        draw_frame(canvas, replace(info, number=info.number + index), "as noted", result.plan.units)
        for place, detail in enumerate(rows):
            row, column = divmod(place, across)
            detail.pane(canvas, _EDGE + column * (PANE_WIDTH + 1), _EDGE + row * PANE_HEIGHT)
        desc = ". ".join(f"{detail.title}: {detail.places}" for detail in rows) + "."
        title = f"{info.floor}: details"
        sheets.append(canvas.finish(info.paper.width, info.paper.height, title, desc, "dw-plan"))
    return tuple(sheets)


def detail_sheets(details: Sequence[Detail], info: SheetInfo) -> list[Sequence[Detail]]:
    """Details in order, as many on a sheet as fit; nothing is drawn yet."""
    each = _across(info) * max(int((info.paper.height - STRIP - _EDGE) // PANE_HEIGHT), 1)
    return [details[index : index + each] for index in range(0, len(details), each)]


def _across(info: SheetInfo) -> int:
    return max(int((info.paper.width - 2 * _EDGE) // PANE_WIDTH), 1)
