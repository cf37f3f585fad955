"""Span arrows with the clear span."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise, product

from framing.drawing.labels import HEAVY, MIDDLE, SOLID, TEXT, Candidate, Label, Scene, text_box
from framing.drawing.members import Drawn
from framing.drawing.paper import MM_PER_16, Spot, Stroke, View
from framing.drawing.svg import Canvas, text_width
from framing.engine.members import BayLayout, Span
from framing.engine.result import FloorResult
from framing.engine.units import format_length

_BESIDE = 1.9  # mm from a joist to an arrow close beside it: half a text and some air


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
            for words, most in product((f"clear {length}", length), (SOLID, HEAVY)):
                candidates = [c for lane in lanes for c in _along(scene, lane, words, most)]
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
    """Strokes from face to face in the middles of the joist spaces of the largest strip.

    A strip no wider than a space lies at a skewed bearing: its faces are those on one joist's line, so that the
    stroke stands close beside that joist.
    """
    strip = next((strip for strip in span.reach if strip[3] - strip[2] == span.clear_16), None)
    low, high = (strip[0], strip[1]) if strip else (-(10**9), 10**9)
    middle_16 = (span.low_face_16 + span.high_face_16) // 2
    crossing = sorted(
        item.member.centre_16
        for item in drawn
        if item.member.bay == layout.bay.id and item.member.runs == "along"
        and item.member.low_16 < middle_16 < item.member.high_16
    )  # fmt: skip
    inside = [centre for centre in crossing if low <= centre <= high]
    places = [(one + other) // 2 for one, other in pairwise(inside)]
    if strip and (not places or high - low <= layout.bay.spacing_16):
        line = high if low == span.reach[0][0] else low
        nearest = min(crossing, key=lambda centre: abs(centre - line), default=line)
        off = round(_BESIDE * view.scale / MM_PER_16)
        places = [nearest + off, nearest - off]
    ends = [
        (layout.frame.point(at, span.low_face_16), layout.frame.point(at, span.high_face_16)) for at in places
    ]
    return [Stroke(view.spot(a), view.spot(b)) for a, b in ends]


def _along(scene: Scene, lane: Stroke, words: str, most: float) -> Iterator[Candidate]:
    """Places on one arrow, if what it crosses weighs less than `most`: over a text none ever goes.

    An arrow that crosses blocks has its own text clear of all but members.
    """
    half = text_width(words, TEXT, mono=True) / 2
    line_cost = scene.ground.weight_under(lane.box.grown(0.3), most, SOLID)
    room = lane.length - 2 * half - 4
    if room < 0 or line_cost >= most:
        return
    turned = lane.a.x == lane.b.x
    steps = max(int(room / 2), 1)
    for step in range(steps + 1):
        share = step / steps
        spot = lane.at(half + 2 + room * share)
        under = text_box(words, spot, turned).grown(0.5)
        if not scene.ground.weight_under(under, 0.0, HEAVY if line_cost < SOLID else MIDDLE):
            yield Candidate(spot, turned, line_cost + abs(share - 0.25) * 4)


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
