"""Inner bearings: walls, beams below and flush beams, and their names (R2)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from framing.drawing.labels import LIGHT, ROOM, TEXT, Candidate, Label, Scene
from framing.drawing.paper import Box, Spot, Stroke, View
from framing.drawing.strings import Side
from framing.drawing.svg import CAP_HEIGHT, Canvas, text_width
from framing.drawing.walls import within
from framing.engine.floor import FloorPlan, Support, SupportKind

_ROW = 0.8  # mm between the rows of a dot screen
_FLUSH_LEAST = 1.2  # the faces of a flush beam are never drawn closer than this
_NAME_OFF = 1.4  # from a bearing's end to its name
_NAME_MOST = 9.0  # a name this wide still stands beside the outline


def between(one: Stroke, other: Stroke) -> list[Stroke]:
    """Rows of a dot screen between two lines that run the same way, ended between their ends."""
    way = one.direction
    gap = abs((other.a.x - one.a.x) * way.y - (other.a.y - one.a.y) * way.x)
    rows = max(int(gap / _ROW), 1)
    found = []
    for row in range(rows):
        share = (row + 0.5) / rows
        line = Stroke(_on_way(one.a, other.a, share), _on_way(one.b, other.b, share))
        found.append(Stroke(line.at(0.6), line.at(line.length - 0.6)))
    return found


def _on_way(a: Spot, b: Spot, share: float) -> Spot:
    return a.moved((b.x - a.x) * share, (b.y - a.y) * share)


def draw_wall(
    canvas: Canvas, scene: Scene, lines: Sequence[Stroke], screen: Sequence[Stroke], owner: str
) -> None:
    canvas.open("dw-wall", {"data-id": owner})
    canvas.strokes(scene.broken(lines))
    canvas.close()
    canvas.open("dw-screen")
    canvas.strokes(scene.broken(screen))
    canvas.close()


def support_lines(support: Support, plan: FloorPlan, view: View) -> tuple[Stroke, ...]:
    """One line of a beam, the faces of a wall, the faces of a flush beam that no member stands for yet."""
    centre = Stroke(view.spot(support.start), view.spot(support.end))
    half = view.mm(support.width_16) / 2
    if support.kind is SupportKind.BEAM:
        return (centre,)
    if support.kind is SupportKind.FLUSH_BEAM:
        half = max(half, _FLUSH_LEAST / 2)
    ring = [view.spot(point) for point in plan.outline]
    return tuple(within(centre.beside(off), ring, half) for off in (-half, half))


def draw_supports(canvas: Canvas, scene: Scene, plan: FloorPlan, view: View, *, flush: bool = False) -> None:
    """Bearings below; flush beams too where no members are drawn for them."""
    for support in plan.supports:
        lines, owner = support_lines(support, plan, view), f"support:{support.id}"
        if support.kind is SupportKind.WALL:
            draw_wall(canvas, scene, lines, between(lines[0], lines[1]), owner)
        elif support.kind is SupportKind.BEAM or flush:
            canvas.open("dw-beam" if support.kind is SupportKind.BEAM else "dw-flush", {"data-id": owner})
            canvas.strokes(scene.broken(lines))
            canvas.close()


def place_support_names(scene: Scene, plan: FloorPlan, view: View, outline: Box) -> None:
    """A support's name stands beyond one of its ends, outside the outline where the end lies on it."""
    beyond = name_room(plan)
    room = Box(
        outline.left - beyond["left"],
        outline.top - ROOM,
        outline.right + beyond["right"],
        outline.bottom + ROOM,
    )
    for support in plan.supports:
        ends = Stroke(view.spot(support.start), view.spot(support.end))
        half = text_width(support.id, TEXT, mono=False) / 2
        label = Label(support.id, ends.a, False, mono=False, css="dw-text", owner=f"support:{support.id}")
        beside = _names_beside(ends, half, view.mm(support.width_16) / 2)
        scene.place(
            label, scene.within(label, _names(ends, half), room), (LIGHT, scene.within(label, beside, room))
        )


def name_room(plan: FloorPlan) -> dict[Side, float]:
    """What the names of level bearings need beside the outline: short ones stand there whole."""
    wide = max((text_width(s.id, TEXT, mono=False) for s in plan.supports if _level(s)), default=0.0)
    beside = max(ROOM, _NAME_OFF + wide + 0.1 if wide <= _NAME_MOST else 0.0)
    return {"bottom": ROOM, "left": beside, "top": ROOM, "right": beside}


def _level(support: Support) -> bool:
    a, b = support.start, support.end
    return abs(b.x_16 - a.x_16) > abs(b.y_16 - a.y_16)


def _names(ends: Stroke, half: float) -> Iterator[Candidate]:
    """Beyond an end: as far as a level text of that half width must be off to stand clear."""
    way = ends.direction
    level = abs(way.x) > abs(way.y)
    off = (half if level else TEXT * CAP_HEIGHT / 2) + _NAME_OFF
    for number, place in enumerate((ends.at(ends.length + off), ends.at(-off))):
        for more in (0.0, 1.5, -1.5, 3.0, -3.0):
            moved = place.moved(0.0, more) if level else place.moved(more, 0.0)
            yield Candidate(moved, False, number + abs(more) * 2)


def _names_beside(ends: Stroke, half: float, wide: float) -> Iterator[Candidate]:
    """Beside the line, near an end, where nothing is free beyond it."""
    turned = abs(ends.direction.y) > abs(ends.direction.x)
    for place in (ends.length - half - 3.0, half + 3.0, ends.length / 2):
        for sign in (-1.0, 1.0):
            spot = ends.beside(sign * (wide + TEXT * CAP_HEIGHT / 2 + 0.9)).at(place)
            yield Candidate(spot, turned, LIGHT)
