"""Dimension strings on the paper: ticks, texts over their parts, names at their foot."""

from __future__ import annotations

from dataclasses import dataclass

from framing.drawing.chains import FIRST, PITCH, Chain, Part, Side
from framing.drawing.labels import TEXT
from framing.drawing.paper import Box, Spot, Stroke, View
from framing.drawing.svg import CAP_HEIGHT, Canvas, text_width

_CAP = TEXT * CAP_HEIGHT
_BESIDE = _CAP / 2 + 0.8  # from the line to the middle of a text's capitals


@dataclass(frozen=True, slots=True)
class Rail:
    """The line a string lies on: `place` counts along it, `beside` off it (down or to the right)."""

    level: bool
    line: float

    def spot(self, place: float, beside: float = 0.0) -> Spot:
        return Spot(place, self.line + beside) if self.level else Spot(self.line + beside, place)

    def stroke(self, low: float, high: float) -> Stroke:
        return Stroke(self.spot(low), self.spot(high))


def band(chains: tuple[Chain, ...], side: Side) -> float:
    """Room in mm that a side's strings need outside the outline."""
    count = sum(chain.side == side for chain in chains)
    return FIRST + PITCH * (count - 1) + 4.5 if count else FIRST - 1.0


def draw_chains(canvas: Canvas, chains: tuple[Chain, ...], view: View, outline: Box) -> None:
    depth: dict[Side, int] = {}
    for chain in chains:
        depth[chain.side] = depth.get(chain.side, -1) + 1
        rail = _rail(chain.side, outline, FIRST + PITCH * depth[chain.side])
        canvas.open("dw-dim", {"data-chain": chain.name or "overall", "data-side": chain.side})
        _draw_parts(canvas, chain, rail, view)
        _draw_name(canvas, chain, rail, view)
        canvas.close()


def _rail(side: Side, outline: Box, off: float) -> Rail:
    match side:
        case "bottom":
            return Rail(True, outline.bottom + off)
        case "top":
            return Rail(True, outline.top - off)
        case "left":
            return Rail(False, outline.left - off)
        case "right":
            return Rail(False, outline.right + off)


def _paper(chain: Chain, place_16: int, view: View) -> float:
    return view.x(place_16) if chain.level else view.y(place_16)


def _draw_parts(canvas: Canvas, chain: Chain, rail: Rail, view: View) -> None:
    ends = [
        _paper(chain, place, view) for place in (chain.parts[0].low_16, *(p.high_16 for p in chain.parts))
    ]
    for end in ends:
        canvas.strokes((Stroke(rail.spot(end - 0.7, 0.7), rail.spot(end + 0.7, -0.7)),))
        canvas.strokes((Stroke(rail.spot(end, -1.3), rail.spot(end, 1.3)),))
    taken: list[tuple[float, float]] = []
    for part in chain.parts:
        low, high = _paper(chain, part.low_16, view), _paper(chain, part.high_16, view)
        more = {"data-length-16": str(part.high_16 - part.low_16)} if part.text else {}
        canvas.strokes((rail.stroke(low, high),), more)
        if part.text:
            place, beside = _text_place(part, sorted((low, high)), chain.level, taken)
            canvas.text(
                part.text, rail.spot(place, beside), TEXT, "dw-dim-text", mono=True, turned=not chain.level
            )


def _text_place(
    part: Part, ends: list[float], level: bool, taken: list[tuple[float, float]]
) -> tuple[float, float]:
    """Over its part where the text fits; else under the line, moved off the text before it."""
    width = text_width(part.text, TEXT, mono=True)
    middle = (ends[0] + ends[1]) / 2
    if width <= ends[1] - ends[0] - 0.8:
        return middle, -_BESIDE
    if taken:
        start, end = taken[-1]
        middle = max(middle, end + 1 + width / 2) if level else min(middle, start - 1 - width / 2)
    taken.append((middle - width / 2, middle + width / 2))
    return middle, _BESIDE


def _draw_name(canvas: Canvas, chain: Chain, rail: Rail, view: View) -> None:
    """Each side's names stand at another corner, so that they never meet."""
    if not chain.name:
        return
    first, last = chain.parts[0].low_16, chain.parts[-1].high_16
    places = sorted((_paper(chain, first, view), _paper(chain, last, view)))
    match chain.side:
        case "bottom":
            place, anchor = places[0] - 1.6, "end"
        case "left":
            place, anchor = places[0] - 1.6, "start"
        case "top":
            place, anchor = places[1] + 1.6, "start"
        case "right":
            place, anchor = places[1] + 1.6, "end"
    canvas.text(chain.name, rail.spot(place), TEXT, "dw-text", turned=not chain.level, anchor=anchor)
