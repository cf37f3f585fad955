"""The light drawing beside the entry form: no title strip, larger text, also for a floor that was refused."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress

from framing.drawing.fittings import block_fittings, draw_blocks, draw_bridging
from framing.drawing.ground import (
    block_care,
    draw_borders,
    draw_care,
    draw_outline,
    edge_strokes,
)
from framing.drawing.labels import SOLID, Label, Scene
from framing.drawing.marks import place_marks
from framing.drawing.members import block_members, draw_members, drawn_members
from framing.drawing.openings import draw_openings, place_opening_names
from framing.drawing.paper import Box, Spot, Stroke, View
from framing.drawing.plan import describe, placed_problems, reach
from framing.drawing.point_loads import block_point_loads, draw_point_loads
from framing.drawing.runs import find_runs
from framing.drawing.supports import draw_supports
from framing.drawing.svg import CAP_HEIGHT, Canvas, Value, number
from framing.engine.errors import FloorRefused, Problem
from framing.engine.floor import FloorPlan, Units
from framing.engine.geometry import Point
from framing.engine.result import FloorResult
from framing.engine.units import format_length

_WIDTH, _TALLEST, _EDGE = 120.0, 110.0, 9.0
_TEXT = 4.4  # about 13 px on a phone 360 px wide; wider pages choose less (drawing.css)
_MARKS_SCALE = 200.0  # beyond it, joists 16 in apart stand closer than a mark is high
_AIR = 1.2  # between a size and its line


def sketch_svg(
    source: FloorPlan | FloorResult, problems: Sequence[Problem] = (), *, marks: bool = False
) -> str:
    """The floor in plain lines with its overall size; problems are numbered at their places.

    Args:
        source: a plan (outline, bearings and openings only) or a designed floor (its members too).
        problems: why the floor was refused, or its warnings; those without a place are not drawn.
        marks: also draw the blocks of a designed floor, and write the marks where it is not too large for them.
    """
    plan = source.plan if isinstance(source, FloorResult) else source
    view, outline, height = sketch_view(plan)
    canvas = Canvas()
    scene = Scene()
    if isinstance(source, FloorResult):
        block_members(scene, drawn_members(source, view), frozenset())
    cares = placed_problems(problems, view, outline)
    block_point_loads(scene, plan, view)
    for _, spot, _ in cares:
        block_care(scene, spot)
    place_opening_names(scene, plan, view, size=_TEXT, measured=False, beyond=0.0)
    if isinstance(source, FloorResult):
        if marks and view.scale <= _MARKS_SCALE:
            _place_marks(scene, source, view, outline)
        _draw_designed(canvas, scene, source, view)
        if marks:
            draw_blocks(canvas, source, view, frozenset())
        title, desc = f"{plan.name}: sketch of the framing", describe(source)
    else:
        _draw_plain(canvas, scene, plan, view)
        draw_supports(canvas, scene, plan, view, flush=True)
        draw_openings(canvas, scene, plan, view)
        title, desc = (
            f"{plan.name}: sketch of the outline",
            f"{len(problems)} problems." if problems else "Outline.",
        )
    canvas.open("dw-run")
    canvas.strokes(scene.strokes)
    canvas.close()
    for label in scene.labels:
        _draw_text(canvas, label)
    _draw_sizes(canvas, plan.units, reach(plan), outline)
    draw_point_loads(canvas, plan, view)
    for words, spot, message in cares:
        draw_care(canvas, spot, words, message)
    return canvas.finish(_WIDTH, height, title, desc, "dw-sketch")


def sketch_view(plan: FloorPlan) -> tuple[View, Box, float]:
    """The view, the outline's box and the sketch's height, all in its units: as large as the width and the
    tallest height allow; no usual scale is sought."""
    low, high = reach(plan)
    width, height = max(high.x_16 - low.x_16, 1), max(high.y_16 - low.y_16, 1)
    unit = View(1.0, low, Spot(0, 0))
    scale = max(unit.mm(width) / (_WIDTH - 2 * _EDGE), unit.mm(height) / (_TALLEST - 2 * _EDGE))
    wide, tall = unit.mm(width) / scale, unit.mm(height) / scale
    left = (_WIDTH - wide) / 2
    view = View(scale, low, Spot(left, _EDGE + tall))
    return view, Box(left, _EDGE, left + wide, _EDGE + tall), tall + 2 * _EDGE


def _place_marks(scene: Scene, result: FloorResult, view: View, outline: Box) -> None:
    """Marks keep off the blocks and off the overall sizes under and beside the floor."""
    block_fittings(scene, result, view)
    scene.ground.add(Box(outline.left, outline.bottom, outline.right, outline.bottom + _EDGE), SOLID)
    scene.ground.add(Box(outline.left - _EDGE, outline.top, outline.left, outline.bottom), SOLID)
    place_marks(scene, find_runs(drawn_members(result, view)), outline)


def _draw_plain(canvas: Canvas, scene: Scene, plan: FloorPlan, view: View) -> None:
    canvas.open("dw-outline")
    for index, stroke in enumerate(edge_strokes(plan, view)):
        canvas.strokes(scene.broken((stroke,)), {"data-id": f"edge:{index}"})
    canvas.close()
    with suppress(FloorRefused):  # bays that do not fit the floor: the problems say so
        draw_borders(canvas, scene, plan, view)


def _draw_designed(canvas: Canvas, scene: Scene, result: FloorResult, view: View) -> None:
    draw_outline(canvas, scene, result.plan, view)
    draw_borders(canvas, scene, result.plan, view)
    draw_supports(canvas, scene, result.plan, view)
    draw_openings(canvas, scene, result.plan, view)
    draw_bridging(canvas, scene, result, view, frozenset())
    failing = frozenset(member for check in result.checks if not check.passes for member in check.members)
    draw_members(canvas, scene, drawn_members(result, view), view, result.plan.units, failing, frozenset())


def _draw_sizes(canvas: Canvas, units: Units, corners: tuple[Point, Point], outline: Box) -> None:
    """Overall width under the floor, overall height at its left."""
    low, high = corners
    width, height = format_length(high.x_16 - low.x_16, units), format_length(high.y_16 - low.y_16, units)
    under, beside = outline.bottom + 2.2, outline.left - 2.2
    canvas.open("dw-dim")
    for stroke, size_16 in (
        (Stroke(Spot(outline.left, under), Spot(outline.right, under)), high.x_16 - low.x_16),
        (Stroke(Spot(beside, outline.bottom), Spot(beside, outline.top)), high.y_16 - low.y_16),
    ):
        canvas.strokes((stroke,), {"data-length-16": str(size_16)})
    canvas.close()
    below, left = Spot(outline.centre.x, under + _AIR), Spot(beside - _AIR, outline.centre.y)
    _draw_text(canvas, Label(width, below, False, _TEXT, css="dw-dim-text"), drop=1.0)
    _draw_text(canvas, Label(height, left, True, _TEXT, css="dw-dim-text"), drop=0.0)


def _draw_text(canvas: Canvas, label: Label, *, drop: float = 0.5) -> None:
    """Draw a text that keeps its place at any size: a page sets the size by the width it is shown at.

    `drop` is the share of its capitals' height above its place: 0 they stand on it, 1 they hang under it.
    """
    x, y = label.centre.x, label.centre.y
    more: dict[str, Value] = {"x": x, "y": y, "dy": f"{number(drop * CAP_HEIGHT)}em"}
    if label.turned:
        more["transform"] = f"rotate(-90 {number(x)} {number(y)})"
    if label.owner:
        more["data-for"] = label.owner
    canvas.text(label.text, label.centre, label.size, label.css, mono=label.mono, bold=label.bold, more=more)
