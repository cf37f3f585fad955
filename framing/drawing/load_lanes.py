"""A lane of a loaded truck from the side: each thing a bar with its number, name and weight."""

from __future__ import annotations

from typing import Final

from framing.drawing.labels import TEXT
from framing.drawing.load_view import LoadView, fitting
from framing.drawing.load_words import LoadWords
from framing.drawing.paper import Box, Spot, Stroke
from framing.drawing.svg import Canvas
from framing.engine.trucks.figures import StackFigures, Tier, TruckFigures
from framing.engine.units import format_length

TIER: Final = 6.0
_BAR: Final = 4.2
_STICK: Final = 1.8
_LIFT: Final = 0.9  # half of a triangle's width; it stands on the bar, in the gap that dunnage makes


def lane_height(truck: TruckFigures, lane: int) -> float:
    """What a lane takes of the paper's height; 0 for one that no stack begins on."""
    tiers = [len(stack.tiers) for stack in truck.stacks if stack.stack.lane == lane]
    return max(tiers, default=0) * TIER + (1.4 if tiers else 0.0)


def draw_lane(canvas: Canvas, view: LoadView, lane: int, top: float) -> None:
    """The stacks that begin on a lane, on the deck's line; what takes further lanes says so."""
    truck = view.truck
    deck = top + lane_height(truck, lane)
    stops = len({tier.stop for stack in truck.stacks for tier in stack.tiers}) > 1
    canvas.text(view.words.lane % {"lane": lane}, Spot(0.0, deck - TIER / 2), TEXT, "dw-text", anchor="start")
    canvas.open("dw-outline")
    ends = Spot(view.x(0), deck), Spot(view.x(truck.deck_length_16), deck)
    canvas.strokes((Stroke(ends[0].moved(0, -TIER), ends[0]), Stroke(*ends)))
    canvas.close()
    for stack in truck.stacks:
        if stack.stack.lane == lane:
            for tier in stack.tiers:
                _draw_tier(canvas, view, stack, tier, deck, stops=stops)


def _draw_tier(
    canvas: Canvas, view: LoadView, stack: StackFigures, tier: Tier, deck: float, *, stops: bool
) -> None:
    front, bottom = stack.stack.x_16, deck - (tier.tier - 1) * TIER - _STICK
    box = Box(view.x(front), bottom - _BAR, view.x(front + tier.length_16), bottom)
    canvas.group({"data-thing": tier.thing, "data-stop": str(tier.stop)}, _tip(view, tier))
    canvas.open("dw-joist")
    canvas.rect(box)
    canvas.close()
    canvas.open("dw-hole")
    for place in tier.sticks_16:
        x = view.x(front + place)
        canvas.rect(Box(x - _STICK / 4, bottom, x + _STICK / 4, bottom + _STICK))
    canvas.close()
    for place in tier.lift_16:
        at = Spot(view.x(front + place), box.top)
        corners = (at, at.moved(-_LIFT, -_LIFT * 1.5), at.moved(_LIFT, -_LIFT * 1.5))
        canvas.polygon(corners, {"class": "dw-end", "fill": "currentColor", "stroke": "none"})
    text = fitting(_words(view.words, stack, tier, stops=stops), box.width)
    if text:
        canvas.text(text, box.centre, TEXT, "dw-mark", mono=True)
    canvas.close()


def _tip(view: LoadView, tier: Tier) -> str:
    """All of a thing in one sentence, for whoever points at it."""
    return view.words.tip % {
        "name": view.words.name(tier)[1],
        "length": format_length(tier.length_16, view.units),
        "weight": view.words.number(tier.weight_lb),
        "stop": tier.stop,
        "tier": tier.tier,
    }


def _words(words: LoadWords, stack: StackFigures, tier: Tier, *, stops: bool) -> tuple[str, ...]:
    """The number with as much beside it as fits: stop, name, weight, lanes."""
    number = f"{tier.order}"
    stop = f" {words.stop % {'stop': tier.stop}}" if stops else ""
    short, whole = words.name(tier)
    last = stack.stack.lane + stack.stack.lanes - 1
    pounds = words.number(tier.weight_lb)
    weight = words.to_lane % {"weight": pounds, "lane": last} if stack.stack.lanes > 1 else f"{pounds} lb"
    return (
        f"{number}{stop} {whole}, {weight}",
        f"{number}{stop} {short}, {weight}",
        f"{number}{stop} {short}",
        f"{number}{stop}",
        number,
    )
