"""Bridging lines, blocks and every other placed thing, each with its id so that a page can light it up."""

from __future__ import annotations

from collections.abc import Iterable

from framing.drawing.labels import MIDDLE, SOLID, Scene
from framing.drawing.paper import Stroke, View, box_around
from framing.drawing.svg import Canvas, Value, look
from framing.engine.geometry import Axis
from framing.engine.placement import BridgingLine, Item, Placed
from framing.engine.result import FloorResult
from framing.engine.units import format_length

_BARS = {Item.SOLID_BLOCK: "dw-block", Item.LADDER_BLOCK: "dw-ladder", Item.WOOD_PACKER: "dw-ladder"}
_BAR_SHARE = 0.32  # of a joist space on each side of a block's middle
_PACKER_HALF = 0.5
_JOINT_HALF = 0.5
_AREAS = (Item.SHEATHING_CELL, Item.SHEATHING_PANEL)


def bridging_strokes(result: FloorResult, line: BridgingLine, view: View) -> list[Stroke]:
    frame = next(layout.frame for layout in result.bays if layout.bay.id == line.bay)
    return [
        Stroke(
            view.spot(frame.point(run.across_low_16, line.along_16)),
            view.spot(frame.point(run.across_high_16, line.along_16)),
        )
        for run in line.runs
    ]


def block_bars(result: FloorResult, view: View) -> list[tuple[Placed, Stroke]]:
    """Blocks as short bars across the joists, at true position."""
    return [(placed, _bar(placed, result, view)) for placed in result.placed if placed.item in _BARS]


def _bar(placed: Placed, result: FloorResult, view: View) -> Stroke:
    a = view.spot(placed.at)
    if placed.to is not None:
        return Stroke(a, view.spot(placed.to))
    layout = next((bay for bay in result.bays if placed.host.startswith(f"{bay.bay.id}.")), result.bays[0])
    half = view.mm(float(layout.bay.spacing_16)) * _BAR_SHARE
    if placed.item is Item.WOOD_PACKER:
        half = _PACKER_HALF
    axis: Axis = layout.frame.axis
    return (
        Stroke(a.moved(-half, 0), a.moved(half, 0))
        if axis == "y"
        else Stroke(a.moved(0, -half), a.moved(0, half))
    )


def block_fittings(scene: Scene, result: FloorResult, view: View) -> None:
    for line in result.lines:
        scene.block(bridging_strokes(result, line, view), MIDDLE, 0.3)
    for _, bar in block_bars(result, view):
        scene.ground.add(bar.box.grown(0.5), SOLID)


def draw_bridging(
    canvas: Canvas, scene: Scene, result: FloorResult, view: View, highlight: frozenset[str]
) -> None:
    for line in result.lines:
        strokes = bridging_strokes(result, line, view)
        title = f"Bridging, clear {format_length(line.clear_16, result.plan.units)}"
        canvas.group({"data-id": line.id}, title)
        _light(canvas, line.id, strokes, highlight)
        canvas.open("dw-bridging")
        canvas.strokes(scene.broken(strokes))
        canvas.close()
        canvas.close()


def draw_blocks(canvas: Canvas, result: FloorResult, view: View, highlight: frozenset[str]) -> None:
    for placed, bar in block_bars(result, view):
        canvas.group({"data-id": placed.id}, f"{placed.rule} {placed.why}")
        _light(canvas, placed.id, (bar,), highlight)
        canvas.open(_BARS[placed.item])
        canvas.strokes((bar,))
        canvas.close()
        canvas.close()


def _light(canvas: Canvas, owner: str, strokes: Iterable[Stroke], highlight: frozenset[str]) -> None:
    if owner in highlight:
        canvas.raw(f"<g{look('dw-highlight')}>")
        canvas.strokes(strokes)
        canvas.close()


def draw_rim_boards(
    canvas: Canvas, scene: Scene, result: FloorResult, view: View, highlight: frozenset[str]
) -> None:
    """Joints of the outer rim's boards as ticks, and the inner rim of openings as lines."""
    for placed in result.placed:
        if placed.item is not Item.RIM_BOARD or placed.to is None:
            continue
        stroke = Stroke(view.spot(placed.at), view.spot(placed.to))
        canvas.group({"data-id": placed.id}, f"{placed.rule} {placed.why}")
        _light(canvas, placed.id, (stroke,), highlight)
        canvas.open("dw-rim")
        if placed.host.startswith("edge:"):
            canvas.strokes(_joints(stroke))
        else:
            canvas.strokes(scene.broken((stroke,)))
        canvas.close()
        canvas.close()


def _joints(stroke: Stroke) -> tuple[Stroke, Stroke]:
    way = stroke.direction
    dx, dy = -way.y * _JOINT_HALF, way.x * _JOINT_HALF
    return (
        Stroke(stroke.a.moved(dx, dy), stroke.a.moved(-dx, -dy)),
        Stroke(stroke.b.moved(dx, dy), stroke.b.moved(-dx, -dy)),
    )


def draw_spots(canvas: Canvas, result: FloorResult, view: View, highlight: frozenset[str]) -> None:
    """All other placed things, unseen until a page or `highlight` lights them; panels as areas."""
    canvas.open("dw-spot")
    for placed in result.placed:
        if placed.item in _BARS or placed.item is Item.RIM_BOARD:
            continue
        values: dict[str, Value] = {"data-id": placed.id}
        if placed.id in highlight:
            values |= {"class": "dw-highlight", "stroke": "currentColor", "stroke-width": 0.6}
        a = view.spot(placed.at)
        if placed.to is None:
            canvas.circle(a, 0.8, values)
        elif placed.item in _AREAS:
            canvas.rect(box_around((a, view.spot(placed.to))), values)
        else:
            canvas.strokes((Stroke(a, view.spot(placed.to)),), values)
    canvas.close()
