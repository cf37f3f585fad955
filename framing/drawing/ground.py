"""What members stand on: outline with rim, bearing walls and beams; and the triangles of warnings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import pi, sin

from framing.drawing.labels import HEAVY, LIGHT, MIDDLE, TEXT, Candidate, Label, Scene
from framing.drawing.paper import Box, Spot, Stroke, View
from framing.drawing.slants import FREE_WORDS
from framing.drawing.supports import between, draw_wall, support_lines
from framing.drawing.svg import Canvas
from framing.drawing.walls import Stretch, borders, stretches
from framing.engine.floor import EdgeKind, FloorPlan, SupportKind
from framing.engine.practice import Practice

_RIM_LEAST = 0.5  # the two lines of a rim are never drawn closer than this
_BESIDE = 2.4  # from an edge to the middle of the words outside it
_RIM_16 = Practice().rim_thickness_16


def edge_strokes(plan: FloorPlan, view: View) -> tuple[Stroke, ...]:
    spots = [view.spot(point) for point in plan.outline]
    return tuple(Stroke(a, b) for a, b in zip(spots, spots[1:] + spots[:1], strict=True))


def inner_strokes(edges: Sequence[Stroke], depths: Sequence[float]) -> tuple[Stroke, ...]:
    """Each edge moved inwards by its depth and ended where it meets its neighbours, moved likewise.

    Edges in one line end where they join, each at its own depth.
    """
    moved = [edge.beside(-depth) for edge, depth in zip(edges, depths, strict=True)]
    starts = [_meeting(moved[index - 1], edge) or edge.a for index, edge in enumerate(moved)]
    ends = [_meeting(edge, after) or edge.b for edge, after in zip(moved, moved[1:] + moved[:1], strict=True)]
    return tuple(Stroke(a, b) for a, b in zip(starts, ends, strict=True))


def _meeting(one: Stroke, other: Stroke) -> Spot | None:
    a, b = one.direction, other.direction
    across = a.x * b.y - a.y * b.x
    if abs(across) < 1e-6:
        return None
    way = ((other.a.x - one.a.x) * b.y - (other.a.y - one.a.y) * b.x) / across
    return one.a.moved(a.x * way, a.y * way)


def block_ground(scene: Scene, plan: FloorPlan, view: View) -> None:
    scene.block(edge_strokes(plan, view), MIDDLE, 0.6)
    scene.block(borders(plan, view), LIGHT, 0.2)
    for support in plan.supports:
        if support.kind is not SupportKind.FLUSH_BEAM:
            scene.block(support_lines(support, plan, view), MIDDLE, 0.2)


def draw_outline(canvas: Canvas, scene: Scene, plan: FloorPlan, view: View) -> None:
    rim = max(view.mm(_RIM_16), _RIM_LEAST)
    parts = stretches(plan)
    _draw_walls(canvas, scene, parts, view, rim)
    edges = edge_strokes(plan, view)
    balloon = {edge.index for edge in plan.edges if edge.kind is EdgeKind.BALLOON}
    inner = inner_strokes(edges, [0.0 if index in balloon else rim for index in range(len(edges))])
    canvas.open("dw-outline")
    for index, stroke in enumerate(edges):
        canvas.strokes(scene.broken((stroke,)), {"data-id": f"edge:{index}"})
    canvas.close()
    canvas.open("dw-rim")
    canvas.strokes(stroke for index, stroke in enumerate(inner) if index not in balloon)
    for index in sorted(balloon):
        canvas.polyline(_wave(edges[index]))
    canvas.close()


def _draw_walls(canvas: Canvas, scene: Scene, parts: Sequence[Stretch], view: View, rim: float) -> None:
    """The walls under the outline: their inner faces, and a dot screen from the rim to the face."""
    edges = [part.stroke(view) for part in parts]
    depths = [0.0 if part.edge.kind is EdgeKind.BALLOON else rim for part in parts]
    wide = [
        view.mm(part.edge.width_16) if part.walled else deep for part, deep in zip(parts, depths, strict=True)
    ]
    rims, faces = inner_strokes(edges, depths), inner_strokes(edges, wide)
    for index, part in enumerate(parts):
        if part.walled and _same_way(faces[index], edges[index]):
            lines = [faces[index]]
            before, after = parts[index - 1], parts[(index + 1) % len(parts)]
            if before.edge is part.edge and not before.walled:
                lines.append(Stroke(rims[index].a, faces[index].a))
            if after.edge is part.edge and not after.walled:
                lines.append(Stroke(rims[index].b, faces[index].b))
            screen = between(rims[index], faces[index])
            draw_wall(canvas, scene, lines, screen, f"edge:{part.edge.index}")


def _same_way(one: Stroke, other: Stroke) -> bool:
    return one.direction.x * other.direction.x + one.direction.y * other.direction.y > 0


def draw_borders(canvas: Canvas, scene: Scene, plan: FloorPlan, view: View) -> None:
    strokes = borders(plan, view)
    if strokes:
        canvas.open("dw-border")
        canvas.strokes(scene.broken(strokes))
        canvas.close()


def place_free_edges(scene: Scene, plan: FloorPlan, view: View) -> None:
    """The words that say that nothing stands under an edge, outside it; skewed edges have them at their length."""
    for part in stretches(plan):
        stroke = part.stroke(view)
        turned = stroke.a.x == stroke.b.x
        if part.bears and part.edge.kind is EdgeKind.FREE and (turned or stroke.a.y == stroke.b.y):
            owner = f"edge:{part.edge.index}"
            label = Label(FREE_WORDS, stroke.a, turned, mono=False, css="dw-text", owner=owner)
            scene.place(label, _outside(stroke, turned))


def _outside(stroke: Stroke, turned: bool) -> Iterator[Candidate]:
    for step in range(9):
        share = 0.5 + (step // 2 + step % 2) * (0.1 if step % 2 else -0.1)
        place = stroke.beside(_BESIDE).at(stroke.length * share)
        yield Candidate(place, turned, abs(share - 0.5))


def _wave(edge: Stroke) -> list[Spot]:
    """The wave tick across the middle of a balloon edge."""
    middle, way = edge.at(edge.length / 2), edge.direction
    spots = []
    for step in range(13):
        off, swing = (step / 12 - 0.5) * 5.0, sin(step / 12 * 2 * pi) * 0.9
        spots.append(middle.moved(-way.y * off + way.x * swing, way.x * off + way.y * swing))
    return spots


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
