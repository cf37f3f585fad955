"""A truck's load on paper: the deck from above, then each lane from the side (R47).

Lengths are to scale, heights and widths are not: each tier is as high as its words. Black and white; the order of
coming off is a number on each thing; words may come from the caller (`load_words.py`). User units are millimetres at
186 mm width: one page upright, Letter or A4.
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
from framing.drawing.load_words import ENGLISH, LoadWords
from framing.drawing.paper import Box, Spot, Stroke, box_at, cut
from framing.drawing.svg import SANS_ADVANCE, Canvas, text_width
from framing.engine.floor import Units
from framing.engine.trucks.figures import StackFigures, TruckFigures
from framing.engine.units import format_length

_TITLE: Final = 5.0
_HEAD: Final = 8.5
_DECK_LANE: Final = 7.0
_NARROW_LANE: Final = 5.4
_FEW_LANES: Final = 6
_QUARTER: Final = 6.0
_GAP: Final = 5.0
SHEET: Final = 230.0
"""Millimetres that a Letter or A4 sheet has between its head and its title strip, less a little."""


@dataclass(frozen=True, slots=True)
class _Texts:
    """What is written above the drawing, and below it."""

    title: str
    under: str
    below: tuple[str, ...]


def load_svg(truck: TruckFigures, units: Units = "imperial", words: LoadWords = ENGLISH) -> str:
    """The sketch of a loaded truck: deck, weight by quarter, lanes, tie-downs, what is left to driver and law."""
    return load_svgs(truck, units, words, most=inf)[0]


def load_svgs(
    truck: TruckFigures, units: Units = "imperial", words: LoadWords = ENGLISH, *, most: float = SHEET
) -> tuple[str, ...]:
    """The same in parts none of which is higher than `most` millimetres, for papers: lanes go on where one ends."""
    view = LoadView.of(truck, units, words)
    texts = _texts(view)
    further = words.continued % {"title": texts.title}
    parts = [_Part(texts.title, texts.under)]
    parts[0].top = _draw_deck(parts[0].canvas, view, parts[0].top + _GAP)
    parts[0].top = _draw_quarters(parts[0].canvas, view, parts[0].top)
    below = sum(len(_lines(text)) * LINE + 1.0 for text in texts.below)
    for place, lanes in enumerate(_shares(truck, most - parts[0].top, most - _HEAD, _GAP + below)):
        if place:
            parts.append(_Part(further, ""))
        for lane in lanes:
            draw_lane(parts[-1].canvas, view, lane, parts[-1].top + _GAP)
            parts[-1].top += _GAP + lane_height(truck, lane)
    parts[-1].top += _GAP - 1.0
    for text in texts.below:
        parts[-1].top = _draw_lines(parts[-1].canvas, text, parts[-1].top + 1.0)
    return tuple(part.finished(texts.under) for part in parts)


def _shares(truck: TruckFigures, first: float, further: float, below: float) -> list[list[int]]:
    """The lanes that go on each sheet; the words below go on the last one, with a lane where there is one to spare."""
    shares: list[list[int]] = [[]]
    room = first
    for lane in range(1, truck.lanes + 1):
        height = _GAP + lane_height(truck, lane)
        if height == _GAP:
            continue
        if height > room:
            shares.append([])
            room = further
        shares[-1].append(lane)
        room -= height
    if below > room:
        spared = 0 if len(shares) == 1 else 1
        with_words = shares[-1][-1:] if len(shares[-1]) > spared else []
        del shares[-1][len(shares[-1]) - len(with_words) :]
        shares.append(with_words)
    return shares


class _Part:
    """A drawing that grows downwards under its title."""

    def __init__(self, title: str, under: str) -> None:
        self.canvas, self.title = Canvas(), title
        self.canvas.text(title, Spot(0.0, 4.0), _TITLE, "dw-title", anchor="start", bold=True)
        self.top = _draw_lines(self.canvas, under, _HEAD)

    def finished(self, under: str) -> str:
        return self.canvas.finish(WIDTH, self.top + 2.0, self.title, under, "dw-load-plan")


def _texts(view: LoadView) -> _Texts:
    truck, words = view.truck, view.words
    tiers = [tier for stack in truck.stacks for tier in stack.tiers]
    several = words.stops if len({tier.stop for tier in tiers}) > 1 else ""
    key = " ".join(filter(None, (words.key, several, words.signs)))
    below = (_held(view), words.ties if tiers else "", key, getattr(words, view.units), words.caution)
    title = words.title or words.truck % {"number": truck.number, "kind": truck.kind}
    names = {tier.thing: words.name(tier)[1] for tier in tiers}
    over = (words.overhang(one, names[one.thing], view.units) for one in truck.overhangs)
    return _Texts(title, " ".join((_weighed(view), *over)), below)


def _weighed(view: LoadView) -> str:
    """What the load weighs, and where."""
    truck, words = view.truck, view.words
    facts = {"weight": words.number(truck.weight_lb), "payload": words.number(truck.payload_lb)}
    if not truck.unloading:
        return words.bare % facts
    near, far = map(words.number, truck.sides_lb)
    return words.under % (facts | {"centre": _size(view, truck.centre_16), "near": near, "far": far})


def _held(view: LoadView) -> str:
    """What holds the load, and what it lies on."""
    truck, words = view.truck, view.words
    if not truck.unloading:
        return words.empty
    places = ", ".join(_size(view, row) for row in truck.rows_16)
    sticks = (
        words.sticks % {"count": one.count, "length": _size(view, one.length_16)} for one in truck.dunnage
    )
    rows = words.rows % {"count": truck.tie_downs, "places": places}
    return f"{rows} {words.dunnage % {'sticks': ', '.join(sticks)}}"


def _size(view: LoadView, length_16: int) -> str:
    """To the inch, as one reads a tape on a deck."""
    return format_length(round(length_16 / 16) * 16, view.units)


def _lines(text: str) -> list[str]:
    return wrap(text, int(WIDTH / (TEXT * SANS_ADVANCE)))


def _draw_lines(canvas: Canvas, text: str, top: float) -> float:
    """Running text over the whole width; answers with where it ends."""
    for line in _lines(text):
        canvas.text(line, Spot(0.0, top + LINE / 2), TEXT, "dw-text", anchor="start")
        top += LINE
    return top


def _pitch(view: LoadView) -> float:
    """What a lane takes on the deck from above: less where there are many, so that the lanes' sides fit below."""
    return _DECK_LANE if view.truck.lanes <= _FEW_LANES else _NARROW_LANE


def _draw_deck(canvas: Canvas, view: LoadView, top: float) -> float:
    """The deck from above, front end at the left, with lanes, stacks, tie-downs and its length."""
    truck, bottom = view.truck, top + view.truck.lanes * _pitch(view)
    canvas.open("dw-outline")
    canvas.rect(Box(view.x(0), top, view.x(truck.deck_length_16), bottom))
    canvas.close()
    canvas.open("dw-wall")  # the headboard
    canvas.rect(Box(view.x(0) - 1.6, top, view.x(0), bottom), {"fill": "currentColor"})
    canvas.close()
    for lane in range(1, truck.lanes + 1):
        centre = Spot(0.0, top + (lane - 0.5) * _pitch(view))
        canvas.text(view.words.lane % {"lane": lane}, centre, TEXT, "dw-text", anchor="start")
    labels = [_draw_from_above(canvas, view, stack, top) for stack in truck.stacks]
    canvas.open("dw-bridging")
    for row in truck.rows_16:
        across = Stroke(Spot(view.x(row), top - 2.0), Spot(view.x(row), bottom + 2.0))
        canvas.strokes(cut(across, labels))
    canvas.close()
    return bottom + 2.5


def _draw_from_above(canvas: Canvas, view: LoadView, stack: StackFigures, top: float) -> Box:
    """A stack's bottom with the numbers of its things from the top down and its weight; answers with its label's
    box."""
    low = top + (stack.stack.lane - 1) * _pitch(view) + 0.6
    high = low + stack.stack.lanes * _pitch(view) - 1.2
    box = Box(view.x(stack.stack.x_16), low, view.x(stack.stack.x_16 + stack.length_16), high)
    numbers = ", ".join(str(tier.order) for tier in reversed(stack.tiers))
    names = ", ".join(view.words.name(tier)[1] for tier in reversed(stack.tiers))
    pounds = f"{view.words.number(stack.weight_lb)} lb"
    canvas.group({"data-lane": str(stack.stack.lane)}, f"{names}: {pounds}")
    canvas.open("dw-joist")
    canvas.rect(box)
    canvas.close()
    text = fitting((f"{numbers}: {pounds}", numbers), box.width)
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
    canvas.text(view.words.weight, Spot(0.0, top + _QUARTER / 2), TEXT, "dw-text", anchor="start")
    for (low, high), weight_lb in zip(pairwise(ends), truck.quarters_lb, strict=True):
        centre = Spot((low + high) / 2, top + _QUARTER / 2)
        canvas.text(f"{view.words.number(weight_lb)} lb", centre, TEXT, "dw-dim-text", mono=True)
    if truck.unloading:
        at = Spot(view.x(truck.centre_16), bottom)
        canvas.polygon(
            (at, at.moved(-1.4, 2.6), at.moved(1.4, 2.6)), {"class": "dw-end", "fill": "currentColor"}
        )
    length = format_length(truck.deck_length_16, view.units)
    canvas.text(length, Spot(ends[-1], bottom + 2.4), TEXT, "dw-dim-text", mono=True, anchor="end")
    return bottom + 4.0
