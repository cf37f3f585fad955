"""Span arrows with the clear span, and the start arrow of each bay."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from framing.drawing.labels import HEAVY, SOLID, TEXT, Candidate, Label, Scene
from framing.drawing.members import Drawn
from framing.drawing.paper import Box, Spot, Stroke, View
from framing.drawing.svg import CAP_HEIGHT, Canvas, text_width
from framing.engine.members import BayLayout, Span
from framing.engine.result import FloorResult
from framing.engine.units import format_length

_OFF = 3.4  # of the start arrow from the outline
_LONG = 5.0
_HEAD = 1.3


@dataclass(frozen=True, slots=True)
class SpanArrow:
    """A double arrow between the faces of the bearings, broken under its text."""

    bay: str
    span: int
    stroke: Stroke


def place_spans(scene: Scene, result: FloorResult, drawn: Sequence[Drawn], view: View) -> list[SpanArrow]:
    """One arrow a span, in a space between joists of the strip where the span is largest."""
    arrows = []
    for layout in result.bays:
        for span in layout.spans:
            lanes = _lanes(layout, span, drawn, view)
            length = format_length(span.clear_16, result.plan.units)
            for words in (f"clear {length}", length):
                candidates = [c for lane in lanes for c in _along(scene, lane, words)]
                if candidates:
                    break
            if scene.place(Label(words, Spot(0, 0), False, css="dw-text"), candidates):
                centre = scene.labels[-1].centre
                lane = min(lanes, key=lambda lane: _off(lane, centre))
                arrows.append(SpanArrow(layout.bay.id, span.index, lane))
    return arrows


def _off(lane: Stroke, centre: Spot) -> float:
    return abs(lane.a.x - centre.x) if lane.a.x == lane.b.x else abs(lane.a.y - centre.y)


def _lanes(layout: BayLayout, span: Span, drawn: Sequence[Drawn], view: View) -> list[Stroke]:
    """Strokes from face to face in the middles of the joist spaces of the largest strip."""
    strip = next((strip for strip in span.reach if strip[3] - strip[2] == span.clear_16), None)
    low, high = (strip[0], strip[1]) if strip else (-(10**9), 10**9)
    middle_16 = (span.low_face_16 + span.high_face_16) // 2
    crossing = sorted(
        item.member.centre_16
        for item in drawn
        if item.member.bay == layout.bay.id and item.member.runs == "along"
        and item.member.low_16 < middle_16 < item.member.high_16 and low <= item.member.centre_16 <= high
    )  # fmt: skip
    frame = layout.frame
    lanes = []
    for one, other in pairwise(crossing):
        across = (one + other) // 2
        a, b = frame.point(across, span.low_face_16), frame.point(across, span.high_face_16)
        lanes.append(Stroke(view.spot(a), view.spot(b)))
    return lanes


def _along(scene: Scene, lane: Stroke, words: str) -> Iterator[Candidate]:
    """Places on one arrow; an arrow over texts, blocks or an opening's name costs as much as they weigh."""
    half = text_width(words, TEXT, mono=True) / 2
    line_cost = scene.ground.weight_under(lane.box.grown(0.3), SOLID, SOLID)
    room = lane.length - 2 * half - 4
    if room < 0 or line_cost >= SOLID:
        return
    turned = lane.a.x == lane.b.x
    steps = max(int(room / 2), 1)
    for step in range(steps + 1):
        share = step / steps
        yield Candidate(lane.at(half + 2 + room * share), turned, abs(share - 0.25) * 4)


def draw_span_arrows(canvas: Canvas, scene: Scene, arrows: Sequence[SpanArrow]) -> None:
    for arrow in arrows:
        canvas.open("dw-span", {"data-bay": arrow.bay, "data-span": str(arrow.span)})
        canvas.strokes(scene.broken((arrow.stroke,)))
        for stroke in (arrow.stroke, Stroke(arrow.stroke.b, arrow.stroke.a)):
            way, tip = stroke.direction, stroke.a
            back = tip.moved(way.x * 1.8, way.y * 1.8)
            side = Spot(-way.y * 0.6, way.x * 0.6)
            canvas.strokes(
                (Stroke(back.moved(side.x, side.y), tip), Stroke(tip, back.moved(-side.x, -side.y)))
            )
        canvas.close()


def _starts(result: FloorResult, outline: Box) -> list[tuple[Stroke, Label]]:
    """Arrow and word at the corner where stations begin, on the side of the joists' string."""
    starts = []
    for layout in result.bays:
        half = text_width("start", TEXT, mono=False) / 2
        reverse = layout.frame.reverse
        sign = -1.0 if reverse else 1.0
        if layout.frame.axis == "y":
            x, y = (outline.right if reverse else outline.left), outline.bottom + _OFF
            stroke = Stroke(Spot(x - sign * (_LONG + 0.6), y), Spot(x - sign * 0.6, y))
            centre, turned = Spot(x + sign * (half + 0.4), y), False
        else:
            x, y = outline.left - _OFF, (outline.top if reverse else outline.bottom)
            stroke = Stroke(Spot(x, y + sign * (_LONG + 0.6)), Spot(x, y + sign * 0.6))
            centre, turned = Spot(x, y - sign * (half + 0.4)), True
        starts.append((stroke, Label("start", centre, turned, mono=False, css="dw-text")))
    return starts


def place_starts(scene: Scene, result: FloorResult, outline: Box) -> None:
    for stroke, label in _starts(result, outline):
        scene.add(label)
        scene.block((stroke,), HEAVY, CAP_HEIGHT)


def draw_starts(canvas: Canvas, result: FloorResult, outline: Box) -> None:
    for stroke, _ in _starts(result, outline):
        way, tip = stroke.direction, stroke.b
        side = Spot(-way.y * 0.8, way.x * 0.8)
        back = tip.moved(-way.x * _HEAD * 1.4, -way.y * _HEAD * 1.4)
        canvas.open("dw-line")
        canvas.strokes((stroke,))
        canvas.close()
        wings = (tip, back.moved(side.x, side.y), back.moved(-side.x, -side.y))
        canvas.polygon(wings, {"class": "dw-end", "fill": "currentColor", "stroke": "none"})
