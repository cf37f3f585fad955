"""One detail on paper: its title, the drawing to scale at the left, notes with leaders at the right."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from framing.drawing.labels import TEXT
from framing.drawing.paper import MM_PER_16, Spot, Stroke
from framing.drawing.svg import Attributes, Canvas, text_width
from framing.engine.floor import Units
from framing.engine.units import format_length

PANE_WIDTH, PANE_HEIGHT = 122.0, 77.0
DRAWN = 70.0  # mm from the pane's left that the drawing may take
_NOTES, _SIDE, _LINE, _GAP = 75.0, 4.0, 3.9, 1.5
_HEAD = 12.0
_HARD = "\N{NO-BREAK SPACE}"
_LARGE: dict[Units, tuple[float, str]] = {"imperial": (8.0, '1 1/2" = 1\'-0"'), "metric": (10.0, "1 : 10")}
_MIDDLE: dict[Units, tuple[float, str]] = {"imperial": (12.0, '1" = 1\'-0"'), "metric": (15.0, "1 : 15")}


def large_scale(units: Units) -> tuple[float, str]:
    """For ends and bearings."""
    return _LARGE[units]


def middle_scale(units: Units) -> tuple[float, str]:
    """For what takes a joist space."""
    return _MIDDLE[units]


@dataclass(frozen=True, slots=True)
class Detail:
    """A condition that occurs on the floor.

    Attributes:
        name: what it shows, stable, as `platform`.
        title, rules: for people; rule numbers as `R4, R20`.
        places: where on the floor it occurs, counted, as `46 joist ends`.
        scale: 1 : scale and its words.
        draw: draws it on a pane.
    """

    name: str
    title: str
    rules: str
    places: str
    scale: tuple[float, str]
    units: Units
    draw: Callable[[Pane], None]

    def pane(self, canvas: Canvas, left: float, top: float) -> None:
        """Draw all of it with its upper left corner there."""
        canvas.group({"data-detail": self.name})
        spot = Spot(left + _SIDE, top + 2.4)
        canvas.text(self.title, spot, 3.6, "dw-title", anchor="start", bold=True)
        words = f"{self.places}. {self.scale[1]}. {self.rules}"
        canvas.text(words, spot.moved(0, 4.9), TEXT, "dw-text", anchor="start")
        pane = Pane(canvas, Spot(left + _SIDE + 10, top + _HEAD), Spot(left, top), self.scale[0], self.units)
        self.draw(pane)
        pane.write_notes()
        canvas.close()


@dataclass(slots=True)
class Pane:
    """Draws in sixteenths: x to the right, y down from `origin`."""

    canvas: Canvas
    origin: Spot
    corner: Spot
    scale: float
    units: Units
    notes: list[tuple[Spot, str]] = field(default_factory=list)

    def mm(self, length_16: float) -> float:
        return length_16 * MM_PER_16 / self.scale

    def spot(self, x_16: float, y_16: float) -> Spot:
        return self.origin.moved(self.mm(x_16), self.mm(y_16))

    @property
    def right_16(self) -> float:
        """Where the drawing ends and a member that goes on is broken off."""
        return (self.corner.x + DRAWN - self.origin.x) * self.scale / MM_PER_16

    def length(self, length_16: int) -> str:
        """A length that stays on one line."""
        return format_length(length_16, self.units).replace(" ", _HARD)

    def path(
        self, css: str, places: Iterable[tuple[float, float]], *, shut: bool = False, dashed: bool = False
    ) -> None:
        """One line through places."""
        spots = [self.spot(x, y) for x, y in places]
        if shut:
            spots.append(spots[0])
        self.canvas.open(css)
        more: Attributes = {"stroke-dasharray": "1.4 0.9"} if dashed else {}
        self.canvas.strokes((Stroke(a, b) for a, b in pairwise(spots)), more)
        self.canvas.close()

    def box(self, css: str, left: float, top: float, right: float, bottom: float) -> None:
        self.path(css, ((left, top), (right, top), (right, bottom), (left, bottom)), shut=True)

    def fasteners(self, places: Sequence[tuple[float, float]], part: str) -> None:
        """Screws and nails seen from their heads: one dot each."""
        self.canvas.group({"data-part": part, "class": "dw-end", "fill": "currentColor"})
        for x, y in places:
            self.canvas.circle(self.spot(x, y), 0.5)
        self.canvas.close()

    def shanks(self, places: Sequence[tuple[float, float, float, float]], part: str) -> None:
        """Screws and nails seen from their sides: one short line each."""
        self.canvas.open("dw-trimmer", {"data-part": part})
        for x1, y1, x2, y2 in places:
            self.canvas.strokes((Stroke(self.spot(x1, y1), self.spot(x2, y2)),))
        self.canvas.close()

    def cut(self, x_16: float, top_16: float, bottom_16: float) -> None:
        """An upright break line with a zigzag."""
        middle, step = (top_16 + bottom_16) / 2, 1.0 * self.scale / MM_PER_16
        places = ((x_16, top_16 - step), (x_16, middle - step), (x_16 - step / 2, middle - step * 0.4),
                  (x_16 + step / 2, middle + step * 0.4), (x_16, middle + step), (x_16, bottom_16 + step))  # fmt: skip
        self.path("dw-run", places)

    def depth(self, x_16: float, top_16: float, bottom_16: float) -> None:
        """An upright length, left of `x_16`."""
        upper, lower = self.spot(x_16, top_16), self.spot(x_16, bottom_16)
        x = upper.x - 4.0
        words = format_length(round(bottom_16 - top_16), self.units)
        half, middle = text_width(words, TEXT, mono=True) / 2 + 0.8, (upper.y + lower.y) / 2
        self.canvas.open("dw-dim")
        for y in (upper.y, lower.y):
            self.canvas.strokes((Stroke(Spot(x - 1.1, y), Spot(upper.x - 0.8, y)),))
            self.canvas.strokes((Stroke(Spot(x - 0.7, y + 0.7), Spot(x + 0.7, y - 0.7)),))
        self.canvas.strokes((Stroke(Spot(x, upper.y), Spot(x, middle - half)),))
        self.canvas.strokes((Stroke(Spot(x, middle + half), Spot(x, lower.y)),))
        self.canvas.text(words, Spot(x, middle), TEXT, "dw-dim-text", mono=True, turned=True)
        self.canvas.close()

    def level(self, low_16: float, high_16: float, y_16: float, down: float) -> None:
        """A level length `down` mm under `y_16`, its text under its line."""
        a, b = self.spot(low_16, y_16), self.spot(high_16, y_16)
        y = a.y + down
        self.canvas.open("dw-dim")
        for x in (a.x, b.x):
            self.canvas.strokes((Stroke(Spot(x, a.y + 0.8), Spot(x, y + 1.0)),))
            self.canvas.strokes((Stroke(Spot(x - 0.7, y + 0.7), Spot(x + 0.7, y - 0.7)),))
        self.canvas.strokes((Stroke(Spot(a.x, y), Spot(b.x, y)),))
        words = format_length(round(high_16 - low_16), self.units)
        self.canvas.text(words, Spot((a.x + b.x) / 2, y + 2.4), TEXT, "dw-dim-text", mono=True)
        self.canvas.close()

    def note(self, words: str, x_16: float, y_16: float) -> None:
        """Words for a place of the drawing."""
        self.notes.append((self.spot(x_16, y_16), words))

    def write_notes(self) -> None:
        """Notes under each other in the order of their places, each with a leader."""
        left = self.corner.x + _NOTES
        most = int((PANE_WIDTH - _NOTES - 1) / text_width("n", TEXT, mono=False))
        rows = [(spot, wrapped(words, most)) for spot, words in sorted(self.notes, key=_down)]
        tall = sum(len(lines) for _, lines in rows) * _LINE + _GAP * max(len(rows) - 1, 0)
        y = self.corner.y + _HEAD + max((PANE_HEIGHT - _HEAD - 4 - tall) / 2, 0) + _LINE / 2
        for spot, lines in rows:
            self._leader(Spot(left - 1.2, y), spot)
            for line in lines:
                self.canvas.text(line, Spot(left, y), TEXT, "dw-text", anchor="start")
                y += _LINE
            y += _GAP

    def _leader(self, start: Spot, tip: Spot) -> None:
        """From words to their place, with an open arrow: a dot would read as one screw more."""
        elbow = start.moved(-2.0, 0)
        way = Stroke(tip, elbow).direction
        back = tip.moved(way.x * 1.5, way.y * 1.5)
        wings = [back.moved(-way.y * side, way.x * side) for side in (0.45, -0.45)]
        self.canvas.open("dw-run", {"data-part": "leader"})
        self.canvas.strokes((Stroke(start, elbow), Stroke(elbow, tip)))
        self.canvas.strokes((Stroke(wings[0], tip), Stroke(tip, wings[1])))
        self.canvas.close()


def _down(note: tuple[Spot, str]) -> tuple[float, float]:
    return note[0].y, -note[0].x


def wrapped(words: str, most: int) -> list[str]:
    """Words in lines of at most that many letters."""
    lines = [""]
    for word in words.split(" "):
        if lines[-1] and len(lines[-1]) + 1 + len(word) > most:
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}".strip()
    return [line.replace(_HARD, " ") for line in lines]
