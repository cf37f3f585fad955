"""Openings: thin outline, one diagonal, name and size."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from framing.drawing.labels import LIGHT, ROOM, TEXT, Candidate, Label, Scene
from framing.drawing.paper import Box, Spot, Stroke, View, box_around
from framing.drawing.svg import TIMES, Canvas, text_width
from framing.engine.floor import FloorPlan, Opening
from framing.engine.units import format_length

_APART = 2.0  # mm from the middle to the name and to the size under it


def _box(opening: Opening, view: View) -> Box:
    return box_around((view.spot(opening.rect.low), view.spot(opening.rect.high)))


def _sides(box: Box) -> tuple[Stroke, ...]:
    corners = (
        Spot(box.left, box.top),
        Spot(box.right, box.top),
        Spot(box.right, box.bottom),
        Spot(box.left, box.bottom),
    )
    return tuple(Stroke(a, b) for a, b in zip(corners, corners[1:] + corners[:1], strict=True))


def block_openings(scene: Scene, plan: FloorPlan, view: View) -> None:
    for opening in plan.openings:
        scene.block(_sides(_box(opening, view)), LIGHT)


def place_opening_names(
    scene: Scene,
    plan: FloorPlan,
    view: View,
    *,
    size: float = TEXT,
    measured: bool = True,
    beyond: float = ROOM,
) -> None:
    """Name over size in the middle of the opening, along its longer side; beside it where it is too small.

    Names stand up to `beyond` mm outside the outline's box.
    """
    room = box_around(view.spot(point) for point in plan.outline).grown(beyond)
    for opening in plan.openings:
        box = _box(opening, view)
        turned = box.height > box.width
        owner = f"opening:{opening.id}"
        name = Label(opening.name, box.centre, turned, size, False, "dw-text", owner, True)
        lengths = (opening.rect.width_16, opening.rect.height_16)
        words = f" {TIMES} ".join(format_length(length, plan.units) for length in lengths)
        if measured and _fits(words, box, turned):
            measure = Label(words, box.centre, turned, css="dw-text", owner=owner)
            _add_pair(scene, name, measure)
        else:
            scene.place(name, scene.within(name, _near(box, name), room))


def _fits(words: str, box: Box, turned: bool) -> bool:
    long, wide = (box.height, box.width) if turned else (box.width, box.height)
    return text_width(words, TEXT, mono=True) <= long - 1.2 and wide >= 4 * _APART + 0.5


def _add_pair(scene: Scene, name: Label, measure: Label) -> None:
    """Two lines of text; the diagonal breaks once for both."""
    dx, dy = (_APART, 0.0) if name.turned else (0.0, _APART)
    first = replace(name, centre=name.centre.moved(-dx, -dy))
    second = replace(measure, centre=measure.centre.moved(dx, dy))
    scene.add(first)
    scene.add(second)
    one, other = first.box.grown(0.5), second.box.grown(0.5)
    scene.clear.append(box_around((Spot(one.left, one.top), Spot(other.right, other.bottom))))


def _near(box: Box, label: Label) -> Iterator[Candidate]:
    """In the middle if the name fits; else beside the opening at rising distance, with a leader."""
    long = text_width(label.text, label.size, label.mono)
    middle = box.centre
    if long <= (box.height if label.turned else box.width) - 0.8:
        yield Candidate(middle, label.turned, 0.0)
    for step in range(8):
        off = label.size * 0.8 + 2.0 * step
        for sign in (-1.0, 1.0):
            over = middle.moved(0.0, sign * (box.height / 2 + off))
            beside = middle.moved(sign * (box.width / 2 + off + long / 2 - 1.0), 0.0)
            from_over = Stroke(over.moved(0.0, -sign * 1.4), middle)
            from_beside = Stroke(beside.moved(-sign * (long / 2 + 0.5), 0.0), middle)
            yield Candidate(over, False, 30.0 + off, (from_over,))
            yield Candidate(beside, False, 31.0 + off, (from_beside,))


def draw_openings(canvas: Canvas, scene: Scene, plan: FloorPlan, view: View) -> None:
    for opening in plan.openings:
        box = _box(opening, view)
        diagonal = Stroke(Spot(box.left, box.bottom), Spot(box.right, box.top))
        canvas.open("dw-opening", {"data-id": f"opening:{opening.id}"})
        canvas.strokes(scene.broken((*_sides(box), diagonal)))
        canvas.close()
