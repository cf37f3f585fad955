"""What members stand on: outline with rim, bearing walls and beams; and the triangles of warnings."""

from __future__ import annotations

from collections.abc import Sequence
from math import pi, sin

from framing.drawing.labels import HEAVY, MIDDLE, TEXT, Candidate, Label, Scene
from framing.drawing.paper import Box, Spot, Stroke, View
from framing.drawing.svg import CAP_HEIGHT, Canvas, text_width
from framing.engine.floor import EdgeKind, FloorPlan, Support, SupportKind
from framing.engine.practice import Practice

_RIM_LEAST = 0.5  # the two lines of a rim are never drawn closer than this
_ROW = 0.8  # mm between the rows of a dot screen
_RIM_16 = Practice().rim_thickness_16


def edge_strokes(plan: FloorPlan, view: View) -> tuple[Stroke, ...]:
    spots = [view.spot(point) for point in plan.outline]
    return tuple(Stroke(a, b) for a, b in zip(spots, spots[1:] + spots[:1], strict=True))


def inner_strokes(edges: Sequence[Stroke], depths: Sequence[float]) -> tuple[Stroke, ...]:
    """Each edge moved inwards by its depth and ended where it meets its neighbours, moved likewise."""
    moved = [edge.beside(-depth) for edge, depth in zip(edges, depths, strict=True)]
    corners = [_meeting(moved[index - 1], moved[index]) for index in range(len(moved))]
    return tuple(Stroke(a, b) for a, b in zip(corners, corners[1:] + corners[:1], strict=True))


def _meeting(one: Stroke, other: Stroke) -> Spot:
    a, b = one.direction, other.direction
    across = a.x * b.y - a.y * b.x
    if abs(across) < 1e-9:
        return other.a
    way = ((other.a.x - one.a.x) * b.y - (other.a.y - one.a.y) * b.x) / across
    return one.a.moved(a.x * way, a.y * way)


def block_ground(scene: Scene, plan: FloorPlan, view: View) -> None:
    scene.block(edge_strokes(plan, view), MIDDLE, 0.6)
    for support in plan.supports:
        scene.block(_support_lines(support, view), MIDDLE, 0.2)


def draw_outline(canvas: Canvas, scene: Scene, plan: FloorPlan, view: View) -> None:
    edges = edge_strokes(plan, view)
    kinds = {edge.index: edge for edge in plan.edges}
    rim = max(view.mm(_RIM_16), _RIM_LEAST)
    balloon = {index for index, edge in kinds.items() if edge.kind is EdgeKind.BALLOON}
    depths = [0.0 if index in balloon else rim for index in range(len(edges))]
    inner = inner_strokes(edges, depths)
    for index, edge in kinds.items():
        if edge.kind is EdgeKind.PLATFORM:
            face = edges[index].beside(-view.mm(edge.width_16))
            face = Stroke(face.at(rim), face.at(face.length - rim))
            _draw_wall(canvas, scene, (face,), _between(inner[index], face), f"edge:{index}")
    canvas.open("dw-outline")
    for index, stroke in enumerate(edges):
        canvas.strokes(scene.broken((stroke,)), {"data-id": f"edge:{index}"})
    canvas.close()
    canvas.open("dw-rim")
    canvas.strokes(stroke for index, stroke in enumerate(inner) if index not in balloon)
    for index in sorted(balloon):
        canvas.polyline(_wave(edges[index]))
    canvas.close()


def _wave(edge: Stroke) -> list[Spot]:
    """The wave tick across the middle of a balloon edge."""
    middle, way = edge.at(edge.length / 2), edge.direction
    spots = []
    for step in range(13):
        off, swing = (step / 12 - 0.5) * 5.0, sin(step / 12 * 2 * pi) * 0.9
        spots.append(middle.moved(-way.y * off + way.x * swing, way.x * off + way.y * swing))
    return spots


def _between(one: Stroke, other: Stroke) -> list[Stroke]:
    """Rows of a dot screen between two lines that run the same way."""
    gap = abs((other.a.x - one.a.x) * one.direction.y - (other.a.y - one.a.y) * one.direction.x)
    rows = max(int(gap / _ROW), 1)
    way = one.direction
    side = 1.0 if (other.a.x - one.a.x) * -way.y + (other.a.y - one.a.y) * way.x > 0 else -1.0
    short = Stroke(one.at(0.6), one.at(one.length - 0.6))
    return [short.beside(side * gap * (row + 0.5) / rows) for row in range(rows)]


def _draw_wall(
    canvas: Canvas, scene: Scene, lines: Sequence[Stroke], screen: Sequence[Stroke], owner: str
) -> None:
    canvas.open("dw-wall", {"data-id": owner})
    canvas.strokes(scene.broken(lines))
    canvas.close()
    canvas.open("dw-screen")
    canvas.strokes(scene.broken(screen))
    canvas.close()


def _support_lines(support: Support, view: View) -> tuple[Stroke, ...]:
    centre = Stroke(view.spot(support.start), view.spot(support.end))
    if support.kind is SupportKind.BEAM:
        return (centre,)
    half = view.mm(support.width_16) / 2
    return (centre.beside(-half), centre.beside(half))


def draw_supports(canvas: Canvas, scene: Scene, plan: FloorPlan, view: View) -> None:
    for support in plan.supports:
        lines, owner = _support_lines(support, view), f"support:{support.id}"
        if support.kind is SupportKind.BEAM:
            canvas.open("dw-beam", {"data-id": owner})
            canvas.strokes(scene.broken(lines))
            canvas.close()
        else:
            _draw_wall(canvas, scene, lines, _between(lines[0], lines[1]), owner)


def place_support_names(scene: Scene, plan: FloorPlan, view: View) -> None:
    """A support's name stands beyond one of its ends, outside the outline where the end lies on it."""
    for support in plan.supports:
        ends = Stroke(view.spot(support.start), view.spot(support.end))
        off = text_width(support.id, TEXT, mono=False) / 2 + 1.4
        level = abs(ends.direction.x) > abs(ends.direction.y)
        off = off if level else TEXT * CAP_HEIGHT / 2 + 1.4
        places = [ends.at(ends.length + off), ends.at(-off)]
        label = Label(support.id, places[0], False, mono=False, css="dw-text", owner=f"support:{support.id}")
        scene.place(label, (Candidate(place, False, cost) for cost, place in enumerate(places)))


def block_care(scene: Scene, spot: Spot) -> None:
    """Keep marks off a warning's triangle and break lines under it."""
    box = Box(spot.x - 3.2, spot.y - 3.2, spot.x + 3.2, spot.y + 2.2)
    scene.ground.add(box, HEAVY)
    scene.clear.append(box)


def draw_care(canvas: Canvas, spot: Spot, words: str, message: str) -> None:
    """A triangle with the number of the warning or problem at its place; the message is its tooltip."""
    canvas.group({"class": "dw-care", "data-problem": words}, message)
    corners = (spot.moved(0, -2.9), spot.moved(2.9, 1.9), spot.moved(-2.9, 1.9))
    canvas.polygon(corners, {"fill": "none", "stroke": "currentColor", "stroke-width": 0.4})
    canvas.text(words, spot.moved(0, 0.5), 2.6 if len(words) > 1 else TEXT, "dw-care-text", bold=True)
    canvas.close()
