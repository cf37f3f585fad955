"""True lengths of skewed outline edges: a string along each, outside it (R1)."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import atan2, degrees, hypot

from framing.drawing.dimensions import TICK
from framing.drawing.labels import HEAVY, TEXT, Scene
from framing.drawing.paper import Box, Spot, Stroke, View, box_around, box_at
from framing.drawing.strings import SIDES, Side, short_length
from framing.drawing.svg import CAP_HEIGHT, Canvas, text_width
from framing.engine.floor import EdgeKind, FloorPlan

FREE_WORDS = "free edge"

_OFF = 3.2  # mm from the edge to its string, clear of the joints of rim boards
_CAP = TEXT * CAP_HEIGHT
_ROW = 3.4  # from the length to a note over it
_OVER = _CAP / 2 + 0.9  # from the string to the middle of its text


@dataclass(frozen=True, slots=True)
class Slant:
    """A string beside outline edge `index`; the text stands on its outer side, at `angle` degrees clockwise."""

    index: int
    length_16: int
    words: str
    line: Stroke
    middle: Spot
    angle: float
    note: str = ""

    @property
    def note_middle(self) -> Spot:
        """The note stands over the length, further out."""
        way = self.line.direction
        return self.middle.moved(-way.y * _ROW, way.x * _ROW)

    @property
    def note_line(self) -> Stroke:
        half, way = text_width(self.note, TEXT, mono=False) / 2, self.line.direction
        middle = self.note_middle
        return Stroke(middle.moved(-way.x * half, -way.y * half), middle.moved(way.x * half, way.y * half))

    @property
    def text_line(self) -> Stroke:
        """The middle line of the text, from its first letter to its last."""
        half = text_width(self.words, TEXT, mono=True) / 2
        way = self.line.direction
        return Stroke(
            self.middle.moved(-way.x * half, -way.y * half), self.middle.moved(way.x * half, way.y * half)
        )

    @property
    def corners(self) -> tuple[Spot, ...]:
        """What the string and its text reach to."""
        texts = (self.text_line, *((self.note_line,) if self.note else ()))
        sides = [line.beside(sign * _CAP / 2) for line in texts for sign in (1, -1)]
        ends = (self.line.beside(TICK), self.line.beside(-TICK))
        return tuple(spot for stroke in (*sides, *ends) for spot in (stroke.a, stroke.b))


def find_slants(plan: FloorPlan, view: View) -> tuple[Slant, ...]:
    """One for each edge that runs along neither axis; its length to the nearest sixteenth."""
    found = []
    for index, (a, b) in enumerate(zip(plan.outline, plan.outline[1:] + plan.outline[:1], strict=True)):
        dx, dy = b.x_16 - a.x_16, b.y_16 - a.y_16
        if dx and dy:
            edge = Stroke(view.spot(a), view.spot(b))
            line, outer = edge.beside(_OFF), edge.beside(_OFF + _OVER)
            length_16 = round(hypot(dx, dy))
            words = short_length(length_16, plan.units)
            note = FREE_WORDS if plan.edges[index].kind is EdgeKind.FREE else ""
            middle = outer.at(outer.length / 2)
            found.append(Slant(index, length_16, words, line, middle, _readable(edge), note))
    return tuple(found)


def _readable(stroke: Stroke) -> float:
    """The stroke's own angle, or its opposite, so that the text reads from the left, or upwards."""
    angle = degrees(atan2(stroke.direction.y, stroke.direction.x))
    if angle >= 90:
        return angle - 180
    return angle + 180 if angle < -90 else angle


def overhangs(slants: Iterable[Slant], outline: Box) -> dict[Side, float]:
    """How far the strings reach beyond each side of the outline's box."""
    spots = [spot for slant in slants for spot in slant.corners]
    if not spots:
        return dict.fromkeys(SIDES, 0.0)
    box = box_around(spots)
    return {
        "bottom": max(box.bottom - outline.bottom, 0.0),
        "left": max(outline.left - box.left, 0.0),
        "top": max(outline.top - box.top, 0.0),
        "right": max(box.right - outline.right, 0.0),
    }


def block_slants(scene: Scene, slants: Iterable[Slant]) -> None:
    """Nothing else is written on a slant's text or string."""
    for slant in slants:
        scene.block((slant.line,), HEAVY, 0.4)
        for line in (slant.text_line, slant.note_line):
            count = max(int(line.length / _CAP), 1)
            for index in range(count + 1):
                scene.ground.add(box_at(line.at(line.length * index / count), _CAP * 1.4, _CAP * 1.4), HEAVY)


def draw_slants(canvas: Canvas, slants: Iterable[Slant]) -> None:
    for slant in slants:
        canvas.open("dw-dim", {"data-chain": "edge", "data-edge": str(slant.index)})
        canvas.strokes(ticks(slant.line))
        canvas.strokes((slant.line,), {"data-length-16": str(slant.length_16)})
        canvas.text(slant.words, slant.middle, TEXT, "dw-dim-text", mono=True, angle=slant.angle)
        if slant.note:
            canvas.text(slant.note, slant.note_middle, TEXT, "dw-text", angle=slant.angle)
        canvas.close()


def ticks(line: Stroke) -> list[Stroke]:
    """A stroke across and a slash at both ends."""
    way = line.direction
    found = []
    for end in (line.a, line.b):
        found.append(Stroke(end.moved(way.y * TICK, -way.x * TICK), end.moved(-way.y * TICK, way.x * TICK)))
        dx, dy = (way.x + way.y) * 0.7, (way.y - way.x) * 0.7
        found.append(Stroke(end.moved(-dx, -dy), end.moved(dx, dy)))
    return found
