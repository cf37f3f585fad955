"""Point loads on the plan: a small filled triangle whose tip is the place, with name and weight beside it."""

from __future__ import annotations

from collections.abc import Iterator

from framing.drawing.labels import HEAVY, ROOM, Candidate, Label, Scene
from framing.drawing.paper import Box, Spot, Stroke, View, box_around
from framing.drawing.svg import CAP_HEIGHT, Canvas, text_width
from framing.engine.floor import FloorPlan, StandingLoad

HALF, HIGH = 1.1, 2.1  # mm: half the triangle's width, its height
_LONGEST = 24  # signs of a name; the schedule of loads has it whole
_OFF = 0.8  # from the triangle to its words
_LED = 20.0  # cost of words with a leader


def load_words(load: StandingLoad) -> str:
    """Name and weight, dead and live together: `Post 400 lb`."""
    name = load.name or load.id
    short = name if len(name) <= _LONGEST else f"{name[: _LONGEST - 1].rstrip()}…"
    return f"{short} {load.dead_lb + load.live_lb:,.10g} lb"


def load_triangle(tip: Spot) -> tuple[Spot, Spot, Spot]:
    return tip, tip.moved(-HALF, -HIGH), tip.moved(HALF, -HIGH)


def block_point_loads(scene: Scene, plan: FloorPlan, view: View) -> None:
    """Keep texts off the triangles."""
    for load in plan.point_loads:
        scene.ground.add(box_around(load_triangle(view.spot(load.at))).grown(0.2), HEAVY)


def place_load_words(scene: Scene, plan: FloorPlan, view: View) -> None:
    room = box_around(view.spot(point) for point in plan.outline).grown(ROOM)
    for load in plan.point_loads:
        box = box_around(load_triangle(view.spot(load.at)))
        label = Label(
            load_words(load), box.centre, False, mono=False, css="dw-text", owner=f"point_load:{load.id}"
        )
        scene.place(label, scene.within(label, _near(box, label), room))


def _near(box: Box, label: Label) -> Iterator[Candidate]:
    """At a side of the triangle, over it, under its tip; then farther off with a leader."""
    half, cap = text_width(label.text, label.size, label.mono) / 2, label.size * CAP_HEIGHT / 2
    middle = box.centre
    for step in range(9):
        off, cost = _OFF + 2.5 * step, _LED * step
        for number, (dx, dy) in enumerate(
            ((1, 0), (-1, 0), (0, -1), (0, 1), (1, -1), (-1, -1), (1, 1), (-1, 1))
        ):
            spot = middle.moved(dx * (box.width / 2 + half + off), dy * (box.height / 2 + cap + off))
            near = Spot(spot.x - dx * half, spot.y - dy * cap)
            edge = middle.moved(dx * box.width / 2, dy * box.height / 2)
            leader = (Stroke(near, edge),) if step else ()
            yield Candidate(spot, False, cost + 0.5 * number, leader)


def draw_point_loads(canvas: Canvas, plan: FloorPlan, view: View) -> None:
    if not plan.point_loads:
        return
    canvas.open("dw-load")
    for load in plan.point_loads:
        canvas.polygon(load_triangle(view.spot(load.at)), {"data-id": f"point_load:{load.id}"})
    canvas.close()
