"""A truck's load on paper: the deck from above, then each lane from the side (R47).

Lengths are to scale, heights and widths are not: each tier is as high as its words. Black and white; the order of
coming off is a number on each thing. User units are millimetres at 186 mm width: one page upright, Letter or A4.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import inf
from textwrap import wrap
from typing import Final

from framing.drawing.labels import TEXT
from framing.drawing.load_lanes import draw_lane, lane_height
from framing.drawing.load_view import LINE, WIDTH, LoadView, fitting
from framing.drawing.paper import Box, Spot, Stroke, box_at, cut
from framing.drawing.svg import SANS_ADVANCE, Canvas, text_width
from framing.engine.floor import Units
from framing.engine.trucks.figures import CAUTION, TIES_WORDS, StackFigures, TruckFigures
from framing.engine.units import format_length

_TITLE: Final = 5.0
_DECK_LANE: Final = 7.0
_QUARTER: Final = 6.0
_GAP: Final = 5.0
SHEET: Final = 230.0
"""Millimetres that a Letter or A4 sheet has between its head and its title strip, less a little."""


@dataclass(frozen=True, slots=True)
class _Words:
    """What is written above and below the drawing."""

    title: str
    under: str
    rows: str
    ties: str
    key: str


def load_svg(truck: TruckFigures, units: Units = "imperial") -> str:
    """The sketch of a loaded truck: deck, weight by quarter, lanes, tie-downs, what is left to driver and law."""
    return load_svgs(truck, units, most=inf)[0]


def load_svgs(truck: TruckFigures, units: Units = "imperial", *, most: float = SHEET) -> tuple[str, ...]:
    """The same in parts none of which is higher than `most` millimetres, for papers: lanes go on where one ends."""
    words = _words(truck, units)
    parts = [_Part(f"{words.title}", words.under)]
    parts[0].top = _draw_deck(parts[0].canvas, LoadView.of(truck, units), parts[0].top + _GAP)
    parts[0].top = _draw_quarters(parts[0].canvas, LoadView.of(truck, units), parts[0].top)
    for lane in range(1, truck.lanes + 1):
        height = lane_height(truck, lane)
        if height:
            if parts[-1].top + _GAP + height > most:
                parts.append(_Part(f"{words.title}, continued", ""))
            draw_lane(parts[-1].canvas, LoadView.of(truck, units), lane, parts[-1].top + _GAP)
            parts[-1].top += _GAP + height
    texts = (words.rows, words.ties, words.key, CAUTION)
    if parts[-1].top + _GAP + sum(len(_lines(text)) * LINE + 1.0 for text in texts) > most:
        parts.append(_Part(f"{words.title}, continued", ""))
    parts[-1].top += _GAP - 1.0
    for text in texts:
        parts[-1].top = _draw_lines(parts[-1].canvas, text, parts[-1].top + 1.0)
    return tuple(part.finished(words.under) for part in parts)


class _Part:
    """A drawing that grows downwards under its title."""

    def __init__(self, title: str, under: str) -> None:
        self.canvas, self.title = Canvas(), title
        self.canvas.text(title, Spot(0.0, 4.0), _TITLE, "dw-title", anchor="start", bold=True)
        self.top = _draw_lines(self.canvas, under, 8.5)

    def finished(self, under: str) -> str:
        return self.canvas.finish(WIDTH, self.top + 2.0, self.title, under, "dw-load-plan")


def _words(truck: TruckFigures, units: Units) -> _Words:
    def size(length_16: int) -> str:
        """To the inch, as one reads a tape on a deck."""
        return format_length(round(length_16 / 16) * 16, units)

    count = len(truck.unloading)
    near, far = truck.sides_lb
    centre = (
        f"; centre of weight {size(truck.centre_16)} from the headboard; driver's side {near:,.0f}, other "
        f"{far:,.0f} lb"
        if count
        else ""
    )
    over = " ".join(one.words for one in truck.overhangs)
    under = f"{truck.weight_lb:,.0f} lb of {truck.payload_lb:,.0f} lb{centre}. {over}".rstrip()
    places = ", ".join(size(row) for row in truck.rows_16)
    dunnage = ", ".join(f"{one.count} of {size(one.length_16)}" for one in truck.dunnage)
    rows = (
        f"{truck.tie_downs} tie-downs across (dashed), from the headboard: {places}. "
        f"Dunnage (small squares): {dunnage}."
        if count
        else "Nothing on it."
    )
    ties = TIES_WORDS if count else ""
    stops = {tier.stop for stack in truck.stacks for tier in stack.tiers}
    several = " S2 is stop 2." if len(stops) > 1 else ""
    key = (
        f"Numbers: order of coming off.{several} Triangles: lift points. "
        "Lengths are to scale, heights and widths are not."
    )
    return _Words(f"Truck {truck.number}: {truck.kind}", under, rows, ties, key)


def _lines(text: str) -> list[str]:
    return wrap(text, int(WIDTH / (TEXT * SANS_ADVANCE)))


def _draw_lines(canvas: Canvas, text: str, top: float) -> float:
    """Running text over the whole width; answers with where it ends."""
    for line in _lines(text):
        canvas.text(line, Spot(0.0, top + LINE / 2), TEXT, "dw-text", anchor="start")
        top += LINE
    return top


def _draw_deck(canvas: Canvas, view: LoadView, top: float) -> float:
    """The deck from above, front end at the left, with lanes, stacks, tie-downs and its length."""
    truck, bottom = view.truck, top + view.truck.lanes * _DECK_LANE
    canvas.open("dw-outline")
    canvas.rect(Box(view.x(0), top, view.x(truck.deck_length_16), bottom))
    canvas.close()
    canvas.open("dw-wall")  # the headboard
    canvas.rect(Box(view.x(0) - 1.6, top, view.x(0), bottom), {"fill": "currentColor"})
    canvas.close()
    for lane in range(1, truck.lanes + 1):
        centre = Spot(0.0, top + (lane - 0.5) * _DECK_LANE)
        canvas.text(f"Lane {lane}", centre, TEXT, "dw-text", anchor="start")
    labels = [_draw_from_above(canvas, view, stack, top) for stack in truck.stacks]
    canvas.open("dw-bridging")
    for row in truck.rows_16:
        across = Stroke(Spot(view.x(row), top - 2.0), Spot(view.x(row), bottom + 2.0))
        canvas.strokes(cut(across, labels))
    canvas.close()
    return bottom + 2.5


def _draw_from_above(canvas: Canvas, view: LoadView, stack: StackFigures, top: float) -> Box:
    """A stack's bottom with the numbers of its things from the top down, and its weight; answers with its "
    "label's box."""
    low = top + (stack.stack.lane - 1) * _DECK_LANE + 0.6
    high = low + stack.stack.lanes * _DECK_LANE - 1.2
    box = Box(view.x(stack.stack.x_16), low, view.x(stack.stack.x_16 + stack.length_16), high)
    numbers = ", ".join(str(tier.order) for tier in reversed(stack.tiers))
    names = ", ".join(tier.name for tier in reversed(stack.tiers))
    canvas.group({"data-lane": str(stack.stack.lane)}, f"{names}: {stack.weight_lb:,.0f} lb")
    canvas.open("dw-joist")
    canvas.rect(box)
    canvas.close()
    text = fitting((f"{numbers}: {stack.weight_lb:,.0f} lb", numbers), box.width)
    if text:
        canvas.text(text, box.centre, TEXT, "dw-mark", mono=True)
    canvas.close()
    return box_at(box.centre, text_width(text, TEXT, mono=True) + 1.0, TEXT + 0.4)


def _draw_quarters(canvas: Canvas, view: LoadView, top: float) -> float:
    """Weight on each quarter of the deck, its length, and where the centre of weight lies."""
    truck, bottom = view.truck, top + _QUARTER
    ends = [view.x(truck.deck_length_16 * n / 4) for n in range(5)]
    canvas.open("dw-dim")
    for end in ends:
        canvas.strokes((Stroke(Spot(end, top), Spot(end, bottom)),))
    canvas.strokes((Stroke(Spot(ends[0], bottom), Spot(ends[-1], bottom)),))
    canvas.close()
    canvas.text("Weight", Spot(0.0, top + _QUARTER / 2), TEXT, "dw-text", anchor="start")
    for (low, high), weight_lb in zip(pairwise(ends), truck.quarters_lb, strict=True):
        centre = Spot((low + high) / 2, top + _QUARTER / 2)
        canvas.text(f"{weight_lb:,.0f} lb", centre, TEXT, "dw-dim-text", mono=True)
    if truck.unloading:
        at = Spot(view.x(truck.centre_16), bottom)
        canvas.polygon(
            (at, at.moved(-1.4, 2.6), at.moved(1.4, 2.6)), {"class": "dw-end", "fill": "currentColor"}
        )
    words = format_length(truck.deck_length_16, view.units)
    canvas.text(words, Spot(ends[-1], bottom + 2.4), TEXT, "dw-dim-text", mono=True, anchor="end")
    return bottom + 4.0
