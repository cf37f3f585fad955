"""Where bundles go on a floor: outline, bearings and openings in thin lines, the members of each bundle in one path.

Small enough to be kept on a telephone. A page lights a bundle by its path's `data-lot`, so one picture serves all
bundles of a floor.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Final

from framing.drawing.paper import Spot, Stroke, View
from framing.drawing.sketch import sketch_view
from framing.drawing.svg import Canvas
from framing.engine.floor import FloorPlan, SupportKind
from framing.engine.result import FloorResult

_WIDTH: Final = 120.0


def unloading_svg(result: FloorResult, lots: Mapping[int, Iterable[str]], title: str) -> str:
    """The floor within 120 units of width; its members by bundle, those of none in a path without a number.

    Args:
        result: the designed floor.
        lots: numbers of bundles with the ids of the floor's pieces that each holds; others are passed over.
        title: what a reader of the screen is told.
    """
    view, _, height = sketch_view(result.plan)
    canvas = Canvas()
    _ground(canvas, result.plan, view)
    strokes = _by_piece(result, view)
    canvas.open("dw-joist")
    for number in sorted(lots):
        held = [strokes.pop(piece) for piece in lots[number] if piece in strokes]
        canvas.strokes(held, {"data-lot": str(number)})
    canvas.strokes(strokes.values())
    canvas.close()
    canvas.open("dw-outline")
    canvas.polygon([_rough(view.spot(corner)) for corner in result.plan.outline])
    canvas.close()
    return canvas.finish(_WIDTH, height, title, "", "dw-lots")


def _ground(canvas: Canvas, plan: FloorPlan, view: View) -> None:
    canvas.open("dw-wall")
    canvas.strokes(
        Stroke(_rough(view.spot(wall.start)), _rough(view.spot(wall.end)))
        for wall in plan.supports
        if wall.kind is not SupportKind.FLUSH_BEAM
    )
    canvas.close()
    canvas.open("dw-opening")
    for opening in plan.openings:
        low, high = _rough(view.spot(opening.rect.low)), _rough(view.spot(opening.rect.high))
        canvas.polygon((low, Spot(high.x, low.y), high, Spot(low.x, high.y)))
        canvas.strokes((Stroke(low, high),))
    canvas.close()


def _by_piece(result: FloorResult, view: View) -> dict[str, Stroke]:
    """Each piece's line; plies of one member lie on each other."""
    lines = {}
    for layout in result.bays:
        for member in layout.members:
            low, high = member.plan_ends(layout.frame)
            lines[member.id] = Stroke(_rough(view.spot(low)), _rough(view.spot(high)))
    return {piece.id: lines[piece.member] for piece in result.pieces if piece.member in lines}


def _rough(spot: Spot) -> Spot:
    """A tenth of a unit is finer than a hairline, and half as long to write."""
    return Spot(round(spot.x, 1), round(spot.y, 1))
