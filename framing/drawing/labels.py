"""Texts that look for a free place: what is drawn has a weight, a label takes the lightest candidate."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from itertools import pairwise
from math import inf

from framing.drawing.paper import Box, Ground, Spot, Stroke, box_around, box_at, cut
from framing.drawing.svg import CAP_HEIGHT, Canvas, Value, text_width

TEXT = 3.0  # font size in mm whose capitals are 2 mm high, the least on paper
LIGHT = 12.0  # a line that may be broken under a text
FIRM = 25.0  # a trimmer or header: rather not broken, but a leader may cross it
MIDDLE = 40.0  # a line that is broken only where nothing else is left
SOLID = 150.0  # blocks and printed ends: stood on, or crossed by a leader, only in the tightest places
HEAVY = 1000.0  # texts: never stood on
ROOM = 4.6  # mm outside the outline where texts of the floor may stand
_AIR = 0.35  # mm kept free round a text
_CLOSE = 1.5  # size of the boxes along a slanting stroke


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


def boxes_of(stroke: Stroke) -> list[Box]:
    """Boxes that cover a stroke closely: one for a level or upright stroke, a row for a slanting one."""
    wide, tall = abs(stroke.b.x - stroke.a.x), abs(stroke.b.y - stroke.a.y)
    count = max(int(min(wide, tall) / _CLOSE), 1)
    steps = [stroke.at(stroke.length * index / count) for index in range(count + 1)]
    return [box_around(pair) for pair in pairwise(steps)]


@dataclass(frozen=True, slots=True)
class Candidate:
    """A place a label may take, its cost, and the strokes (brackets, leaders) it brings.

    Strokes with a look of their own (`own`) are left to the caller to draw.
    """

    centre: Spot
    turned: bool
    cost: float
    strokes: tuple[Stroke, ...] = ()
    own: bool = False


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
            for box in boxes_of(stroke):
                self.ground.add(box.grown(air), weight)

    def add(self, label: Label) -> None:
        """Set a label where it is; lines under it will be broken."""
        self.labels.append(label)
        self.ground.add(label.box.grown(_AIR), HEAVY)
        self.clear.append(label.box.grown(_AIR))

    def place(
        self, label: Label, candidates: Iterable[Candidate], *more: tuple[float, Iterable[Candidate]]
    ) -> Candidate | None:
        """Set a label at its cheapest candidate, the first among equals; None where there is no candidate.

        Each later stage is tried only where the best so far costs at least the stage's number. Where every
        candidate stands on something, the least bad one is taken: a mark is never left out.
        """
        best: Candidate | None = None
        least = inf
        for worth, stage in ((0.0, candidates), *more):
            if least < worth:
                break
            for candidate in stage:
                cost = self._cost(label, candidate, least)
                if cost < least:
                    best, least = candidate, cost
        if best is None:
            return None
        self.add(replace(label, centre=best.centre, turned=best.turned))
        self.strokes.extend(() if best.own else best.strokes)
        self.block(best.strokes, MIDDLE)
        return best

    def _cost(self, label: Label, candidate: Candidate, limit: float) -> float:
        """The candidate's own cost and all it would stand on; stops counting at the limit."""
        if candidate.cost >= limit:
            return candidate.cost
        box = text_box(label.text, candidate.centre, candidate.turned, label.size, label.mono)
        cost = candidate.cost + self.ground.weight_under(box.grown(_AIR), limit - candidate.cost)
        for stroke in candidate.strokes:
            if cost >= limit:
                return cost
            for part in boxes_of(stroke):
                cost += self.ground.weight_under(part.grown(0.2), limit - cost, MIDDLE)
        return cost

    @staticmethod
    def within(label: Label, stage: Iterable[Candidate], room: Box) -> Iterator[Candidate]:
        """Only the candidates whose text stays in the room."""
        for candidate in stage:
            if room.holds(text_box(label.text, candidate.centre, candidate.turned, label.size, label.mono)):
                yield candidate

    def broken(self, strokes: Iterable[Stroke]) -> list[Stroke]:
        """The strokes without the parts under labels."""
        return [part for stroke in strokes for part in self._broken(stroke)]

    def _broken(self, stroke: Stroke) -> list[Stroke]:
        around = stroke.box.grown(0.01)
        boxes = [box for box in self.clear if box.meets(around)]
        return cut(stroke, boxes) if boxes else [stroke]
