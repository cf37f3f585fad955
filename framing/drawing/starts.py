"""The start arrow of each bay: the line that its stations count from, and the way they count (R1, R3)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from framing.drawing.labels import HEAVY, TEXT, Candidate, Label, Scene
from framing.drawing.members import Drawn
from framing.drawing.paper import Box, Spot, Stroke, View, box_around
from framing.drawing.svg import CAP_HEIGHT, Canvas, text_width
from framing.drawing.walls import holds
from framing.engine.geometry import Point
from framing.engine.members import BayLayout
from framing.engine.regions import Region, regions_of
from framing.engine.result import FloorResult

_OFF = 3.4  # mm from the outline
_LONG = 5.0
_NARROW = 3.4  # between the floor and the strings beside it
_SHORT = 2.0  # the least an arrow inside a bay is long
_HEAD = 1.3
_OTHER_END, _BEFORE, _INSIDE = 2.0, 15.0, 30.0  # costs of the places after the first


def place_starts(scene: Scene, result: FloorResult, drawn: Sequence[Drawn], view: View) -> list[Stroke]:
    """Set the word of each bay and give back its arrows, tail to tip."""
    ring = [view.spot(point) for point in result.plan.outline]
    arrows: list[Stroke] = []
    for layout, region in zip(result.bays, regions_of(result.plan), strict=True):
        words = "start" if len(result.bays) == 1 else f"start {layout.bay.id}"
        line = _start_line(layout, region, view)
        candidates = [
            *_outside(layout, line, words, ring),
            *_before(layout, line, words, ring),
            *_inside(layout, line, words, drawn),
        ]
        best = scene.place(Label(words, line.a, False, mono=False, css="dw-text"), candidates)
        if best is not None:
            arrows += best.strokes
            scene.block(best.strokes, HEAVY, CAP_HEIGHT)
    return arrows


def _start_line(layout: BayLayout, region: Region, view: View) -> Stroke:
    """The stretch of the bay's outermost line, from its low end; a place where the bay begins in a corner."""
    ring, frame = region.ring, layout.frame
    nearest = min(frame.across_16(point) for point in ring)
    sides = [
        sorted((frame.along_16(a), frame.along_16(b)))
        for a, b in pairwise((*ring, ring[0]))
        if frame.across_16(a) == frame.across_16(b) == nearest
    ]
    corner = [frame.along_16(point) for point in ring if frame.across_16(point) == nearest]
    low, high = min(sides, default=[corner[0], corner[0]])
    ends: tuple[Point, Point] = frame.point(nearest, low), frame.point(nearest, high)
    return Stroke(view.spot(ends[0]), view.spot(ends[1]))


def _way(layout: BayLayout) -> Spot:
    """The way stations count, on the paper."""
    sign = -1.0 if layout.frame.reverse else 1.0
    return Spot(sign, 0.0) if layout.frame.axis == "y" else Spot(0.0, -sign)


def _outside(layout: BayLayout, line: Stroke, words: str, ring: Sequence[Spot]) -> Iterator[Candidate]:
    """At an end of the line, where that is outside the floor: the arrow up to the line, the word behind it."""
    way, half = _way(layout), text_width(words, TEXT, mono=False) / 2
    upright = layout.frame.axis == "y"
    box = box_around(ring)
    for cost, end, sign in ((0.0, line.a, 1.0), (_OTHER_END, line.b, -1.0)):
        spot = end.moved(0.0, sign * _OFF) if upright else end.moved(-sign * _OFF, 0.0)
        centre = spot.moved(way.x * (half + 0.4), way.y * (half + 0.4))
        long = _NARROW if _beside(spot, box, upright) else _LONG
        tail = spot.moved(-way.x * (long + 0.6), -way.y * (long + 0.6))
        tip = spot.moved(-way.x * 0.6, -way.y * 0.6)
        far = centre.moved(way.x * half, way.y * half)
        if not any(holds(ring, place) for place in (tail, spot, centre, far)):
            yield Candidate(centre, not upright, cost, (Stroke(tail, tip),), own=True)


def _beside(spot: Spot, box: Box, upright: bool) -> bool:
    """Whether strings at the side of the floor pass here."""
    return box.top <= spot.y <= box.bottom if upright else box.left <= spot.x <= box.right


def _before(layout: BayLayout, line: Stroke, words: str, ring: Sequence[Spot]) -> Iterator[Candidate]:
    """Along the line's outer side, where that is outside the floor: the arrow up to it, the word beside the arrow."""
    way, half = _way(layout), text_width(words, TEXT, mono=False) / 2
    reach = half + CAP_HEIGHT * TEXT / 2 + 1.2
    along = line.direction
    place = half + 4.0
    while place < max(line.length - half, half + 4.1):
        foot, word = line.at(place - reach), line.at(place)
        arrow = Stroke(foot.moved(-way.x * 4.3, -way.y * 4.3), foot.moved(-way.x * 0.6, -way.y * 0.6))
        centre = word.moved(-way.x * 2.5, -way.y * 2.5)
        ends = (centre.moved(along.x * half, along.y * half), centre.moved(-along.x * half, -along.y * half))
        if not any(holds(ring, spot) for spot in (arrow.a, centre, *ends)):
            yield Candidate(centre, abs(along.y) > abs(along.x), _BEFORE + place * 0.1, (arrow,), own=True)
        place += 3.0


def _inside(layout: BayLayout, line: Stroke, words: str, drawn: Sequence[Drawn]) -> Iterator[Candidate]:
    """In the first space: the word along it, the arrow from the line to the first member."""
    way, half = _way(layout), text_width(words, TEXT, mono=False) / 2
    room = max(_SHORT, min(_LONG, _first_space(layout, line, drawn) - 0.6))
    along = line.direction
    reach = half + CAP_HEIGHT * TEXT / 2 + 1.2  # from the word's middle to the arrow
    last = line.length - half - 3.0
    place = half + 6.0
    while place < max(last, half + 6.1):
        foot = line.at(place - reach)
        middle = line.at(place).moved(way.x * (0.6 + room / 2), way.y * (0.6 + room / 2))
        arrow = Stroke(foot.moved(way.x * 0.3, way.y * 0.3), foot.moved(way.x * room, way.y * room))
        turned = abs(along.y) > abs(along.x)
        yield Candidate(middle, turned, _INSIDE + place * 0.1, (arrow,), own=True)
        place += 4.0


def _first_space(layout: BayLayout, line: Stroke, drawn: Sequence[Drawn]) -> float:
    """From the line to the first member of the bay, on the paper."""
    way = _way(layout)
    offs = [
        (item.centre.a.x - line.a.x) * way.x + (item.centre.a.y - line.a.y) * way.y - item.half_width
        for item in drawn
        if item.member.bay == layout.bay.id and item.member.runs == "along"
    ]
    return min(offs, default=_LONG)


def draw_starts(canvas: Canvas, arrows: Sequence[Stroke]) -> None:
    for arrow in arrows:
        way, tip = arrow.direction, arrow.b
        side = Spot(-way.y * 0.8, way.x * 0.8)
        back = tip.moved(-way.x * _HEAD * 1.4, -way.y * _HEAD * 1.4)
        canvas.open("dw-line")
        canvas.strokes((arrow,))
        canvas.close()
        wings = (tip, back.moved(side.x, side.y), back.moved(-side.x, -side.y))
        canvas.polygon(wings, {"class": "dw-end", "fill": "currentColor", "stroke": "none"})
