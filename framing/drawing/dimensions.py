"""Dimension strings on the paper: where they lie, their ticks, texts and names."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from framing.drawing.labels import TEXT
from framing.drawing.paper import Box, Spot, Stroke, View
from framing.drawing.string_texts import CAP, Text, string_texts
from framing.drawing.strings import Chain, Side
from framing.drawing.svg import Canvas, text_width

Anchor = Literal["start", "end"]
FIRST = 5.2  # mm from the outline kept free for marks, arrows and names
PITCH = 6.8  # mm from string to string
TICK = 1.1  # half a tick's length
_NAMED_AT: dict[Side, Side] = {"top": "left", "right": "top", "bottom": "right", "left": "bottom"}
_APART = 1.6  # from the ends of a string and its texts to its name


@dataclass(frozen=True, slots=True)
class Rail:
    """A string laid at `off` mm from the outline, with its places along the paper and its texts."""

    chain: Chain
    off: float
    room: float
    ends: tuple[float, ...]
    texts: tuple[Text, ...]

    def spot(self, outline: Box, place: float, beside: float = 0.0) -> Spot:
        off = self.off
        match self.chain.side:
            case "bottom":
                return Spot(place, outline.bottom + off + beside)
            case "top":
                return Spot(place, outline.top - off + beside)
            case "left":
                return Spot(outline.left - off + beside, place)
            case "right":
                return Spot(outline.right + off + beside, place)


def lay_rails(
    chains: tuple[Chain, ...], view: View, taken: Mapping[Side, float] | None = None
) -> tuple[Rail, ...]:
    """Lay strings from the outline outwards. Places along are absolute on the paper of that view.

    `taken`: mm beyond a side that something else stands on.
    """
    firsts = taken or {}
    laid: list[tuple[Side, float, float, float]] = []  # side, reach along, how far out it is taken
    rails = []
    for chain in chains:
        places = [chain.parts[0].low_16, *(part.high_16 for part in chain.parts)]
        ends = tuple(view.x(place) if chain.level else view.y(place) for place in places)
        texts = string_texts(chain, ends)
        inner, outer = _rooms(chain, texts)
        low, high = _extent(chain, ends, texts)
        under = [out for side, a, b, out in laid if side == chain.side and a < high and low < b]
        first = max(FIRST, firsts.get(chain.side, 0.0) + 0.6)
        off = max(under) + max(inner + 0.9, PITCH / 2) if under else first + inner
        laid.append((chain.side, low, high, off + max(outer, PITCH / 2)))
        rails.append(Rail(chain, off, off + outer + 0.6, ends, texts))
    return tuple(rails)


def _extent(chain: Chain, ends: tuple[float, ...], texts: tuple[Text, ...]) -> tuple[float, float]:
    """How far a string with its texts and its name reaches along its side: others beyond it may lie as near."""
    reaches = [text.along if text.turned != chain.level else CAP / 2 for text in texts]
    low = min([*ends, *(t.place - r for t, r in zip(texts, reaches, strict=True))]) - _APART
    high = max([*ends, *(t.place + r for t, r in zip(texts, reaches, strict=True))]) + _APART
    name = text_width(chain.name, TEXT, mono=False)
    return (low - name, high) if chain.side in ("bottom", "left") else (low, high + name)


def _rooms(chain: Chain, texts: tuple[Text, ...]) -> tuple[float, float]:
    """Room needed on the side towards the outline and away from it. Texts over a string stand up or left."""
    up, down = TICK, TICK
    for text in texts:
        half = CAP / 2 if text.turned or chain.level else text.along
        up, down = max(up, half - text.beside), max(down, half + text.beside)
    return (up, down) if chain.side in ("bottom", "right") else (down, up)


def band(rails: tuple[Rail, ...], side: Side, taken: float = 0.0) -> float:
    """Room in mm outside the outline for a side's strings and for the names of those round the corner."""
    own = max((rail.room for rail in rails if rail.chain.side == side), default=max(FIRST, taken + 0.6) + 1.0)
    names = [
        text_width(rail.chain.name, TEXT, mono=False) for rail in rails if rail.chain.side == _NAMED_AT[side]
    ]
    return max([own, *(name + 1.6 for name in names)])


def draw_chains(canvas: Canvas, rails: tuple[Rail, ...], view: View, outline: Box) -> None:
    for rail in rails:
        chain = rail.chain
        canvas.open("dw-dim", {"data-chain": chain.name or "overall", "data-side": chain.side})
        inner = (place for part in chain.parts for place in part.ticks_16)
        for end in (*rail.ends, *(view.x(place) if chain.level else view.y(place) for place in inner)):
            slash = Stroke(rail.spot(outline, end - 0.7, 0.7), rail.spot(outline, end + 0.7, -0.7))
            canvas.strokes((slash, Stroke(rail.spot(outline, end, -TICK), rail.spot(outline, end, TICK))))
        for part, a, b in zip(chain.parts, rail.ends, rail.ends[1:], strict=False):
            more = {"data-length-16": str(part.high_16 - part.low_16)} if part.text else {}
            canvas.strokes((Stroke(rail.spot(outline, a), rail.spot(outline, b)),), more)
        for text in rail.texts:
            spot = rail.spot(outline, text.place, text.beside)
            canvas.text(text.words, spot, TEXT, "dw-dim-text", mono=True, turned=text.turned)
        _draw_name(canvas, rail, outline)
        canvas.close()


def _draw_name(canvas: Canvas, rail: Rail, outline: Box) -> None:
    chain = rail.chain
    if chain.name:
        spot, anchor = name_of(rail, outline)
        canvas.text(chain.name, spot, TEXT, "dw-text", turned=not chain.level, anchor=anchor)


def name_of(rail: Rail, outline: Box) -> tuple[Spot, Anchor]:
    """Where a string's name stands, and which end of it: beyond the string and its texts, at another corner on
    each side, so that names never meet."""
    chain = rail.chain
    reaches = [text.along if text.turned != chain.level else CAP / 2 for text in rail.texts]
    low = min([*rail.ends, *(t.place - r for t, r in zip(rail.texts, reaches, strict=True))]) - _APART
    high = max([*rail.ends, *(t.place + r for t, r in zip(rail.texts, reaches, strict=True))]) + _APART
    ways: dict[Side, tuple[float, Anchor]] = {
        "bottom": (low, "end"),
        "left": (low, "start"),
        "top": (high, "start"),
        "right": (high, "end"),
    }
    place, anchor = ways[chain.side]
    return rail.spot(outline, place), anchor
