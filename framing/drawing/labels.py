"""Texts that look for a free place: what is drawn has a weight, a label takes the lightest candidate."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from framing.drawing.paper import Box, Ground, Spot, Stroke, box_at, cut
from framing.drawing.svg import CAP_HEIGHT, Canvas, Value, text_width

TEXT = 3.0  # font size in mm whose capitals are 2 mm high, the least on paper
LIGHT = 12.0  # a line that may be broken under a text
MIDDLE = 40.0  # a line that is broken only where nothing else is left
HEAVY = 1000.0  # texts, blocks and ends: never stood on
_AIR = 0.35  # mm kept free round a text


@dataclass(frozen=True, slots=True)
class Label:
    """A placed text."""

    text: str
    centre: Spot
    turned: bool
    size: float = TEXT
    mono: bool = True
    css: str = "dw-mark"
    owner: str = ""
    bold: bool = False

    @property
    def box(self) -> Box:
        return text_box(self.text, self.centre, self.turned, self.size, self.mono)

    def draw(self, canvas: Canvas) -> None:
        more: dict[str, Value] = {"data-for": self.owner} if self.owner else {}
        canvas.text(
            self.text,
            self.centre,
            self.size,
            self.css,
            mono=self.mono,
            turned=self.turned,
            bold=self.bold,
            more=more,
        )


def text_box(text: str, centre: Spot, turned: bool, size: float = TEXT, mono: bool = True) -> Box:
    """The box of a text's capitals. Small letters hang under it by at most a fifth of the size."""
    width, height = text_width(text, size, mono), size * CAP_HEIGHT
    return box_at(centre, height, width) if turned else box_at(centre, width, height)


@dataclass(frozen=True, slots=True)
class Candidate:
    """A place a label may take, its cost, and the strokes (brackets, leaders) drawn with it there."""

    centre: Spot
    turned: bool
    cost: float
    strokes: tuple[Stroke, ...] = ()


@dataclass(slots=True)
class Scene:
    """Labels placed so far and what they stand among."""

    ground: Ground = field(default_factory=Ground)
    labels: list[Label] = field(default_factory=list)
    strokes: list[Stroke] = field(default_factory=list)
    clear: list[Box] = field(default_factory=list)

    def block(self, strokes: Iterable[Stroke], weight: float, air: float = 0.15) -> None:
        """Put lines on the ground."""
        for stroke in strokes:
            self.ground.add(stroke.box.grown(air), weight)

    def add(self, label: Label) -> None:
        """Set a label where it is; lines under it will be broken."""
        self.labels.append(label)
        self.ground.add(label.box.grown(_AIR), HEAVY)
        self.clear.append(label.box.grown(_AIR))

    def place(self, label: Label, candidates: Iterable[Candidate]) -> bool:
        """Set a label at its cheapest candidate, the first among equals; False where there was none free."""
        best: Candidate | None = None
        least = HEAVY
        for candidate in candidates:
            cost = self._cost(label, candidate, least)
            if cost < least:
                best, least = candidate, cost
        if best is None:
            return False
        self.add(
            Label(
                label.text,
                best.centre,
                best.turned,
                label.size,
                label.mono,
                label.css,
                label.owner,
                label.bold,
            )
        )
        self.strokes.extend(best.strokes)
        self.block(best.strokes, MIDDLE)
        return True

    def _cost(self, label: Label, candidate: Candidate, limit: float) -> float:
        cost = candidate.cost
        for stroke in candidate.strokes:
            if cost >= limit:
                return cost
            cost += self.ground.weight_under(stroke.box.grown(0.2), limit - cost, MIDDLE)
        if cost >= limit:
            return cost
        box = text_box(label.text, candidate.centre, candidate.turned, label.size, label.mono)
        return cost + self.ground.weight_under(box.grown(_AIR), limit - cost)

    def broken(self, strokes: Iterable[Stroke]) -> list[Stroke]:
        """The strokes without the parts under labels."""
        return [part for stroke in strokes for part in self._broken(stroke)]

    def _broken(self, stroke: Stroke) -> list[Stroke]:
        around = stroke.box.grown(0.01)
        boxes = [box for box in self.clear if box.meets(around)]
        return cut(stroke, boxes) if boxes else [stroke]
