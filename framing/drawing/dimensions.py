"""Dimension strings on the paper: where they lie, their ticks, texts and names."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

from framing.drawing.labels import TEXT
from framing.drawing.paper import Box, Spot, Stroke, View
from framing.drawing.strings import Chain, Part, Side
from framing.drawing.svg import CAP_HEIGHT, Canvas, text_width

Anchor = Literal["start", "end"]
FIRST = 5.2  # mm from the outline kept free for marks, arrows and names
PITCH = 6.8  # mm from string to string
_CAP = TEXT * CAP_HEIGHT
_OVER = _CAP / 2 + 0.8  # from the line to the middle of a text on its outer side
_UNDER = _CAP / 2 + 1.5  # and on its inner side, clear of the ticks
TICK = 1.1  # half a tick's length
_NAMED_AT: dict[Side, Side] = {"top": "left", "right": "top", "bottom": "right", "left": "bottom"}
_OUT = 3.0  # that a text may stand out over the end of a level string
_APART = 1.6  # from the ends of a string and its texts to its name
_LEVEL_LEAST = _CAP + 0.7  # a part this high takes a level text beside an upright string


@dataclass(frozen=True, slots=True)
class Text:
    """A text on a string, in the string's own directions: `place` along it, `beside` off it."""

    words: str
    place: float
    beside: float
    turned: bool

    @property
    def along(self) -> float:
        """Half of the room it takes along its string."""
        return text_width(self.words, TEXT, mono=True) / 2


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
        texts = _texts(chain, ends)
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
    reaches = [text.along if text.turned != chain.level else _CAP / 2 for text in texts]
    low = min([*ends, *(t.place - r for t, r in zip(texts, reaches, strict=True))]) - _APART
    high = max([*ends, *(t.place + r for t, r in zip(texts, reaches, strict=True))]) + _APART
    name = text_width(chain.name, TEXT, mono=False)
    return (low - name, high) if chain.side in ("bottom", "left") else (low, high + name)


def _rooms(chain: Chain, texts: tuple[Text, ...]) -> tuple[float, float]:
    """Room needed on the side towards the outline and away from it. Texts over a string stand up or left."""
    up, down = TICK, TICK
    for text in texts:
        half = _CAP / 2 if text.turned or chain.level else text.along
        up, down = max(up, half - text.beside), max(down, half + text.beside)
    return (up, down) if chain.side in ("bottom", "right") else (down, up)


def _texts(chain: Chain, ends: tuple[float, ...]) -> tuple[Text, ...]:
    """Texts that fit stand over their parts; the others then take what is free around theirs."""
    parts = [
        (part, min(a, b), max(a, b))
        for part, (a, b) in zip(chain.parts, pairwise(ends), strict=True)
        if part.text
    ]
    texts: dict[Part, Text] = {}
    for part, low, high in parts:
        for words in dict.fromkeys((part.text, _close(part.text))):
            text = Text(words, (low + high) / 2, -_OVER, not chain.level)
            if 2 * text.along <= high - low - 1.6:
                texts[part] = text
                break
    over = tuple(texts.values())
    squeezed = [(part, low, high) for part, low, high in parts if part not in texts]
    texts |= _beside(chain, squeezed, ends, over) or _crowded(chain, squeezed, ends, over)
    return tuple(texts[part] for part, _, _ in parts)


def _close(words: str) -> str:
    """A run of equal spaces without blanks."""
    return words.replace(" @ ", "@").replace(" = ", "=")


Place = tuple[Part, float, float]


def _beside(
    chain: Chain, squeezed: list[Place], ends: tuple[float, ...], over: tuple[Text, ...]
) -> dict[Part, Text] | None:
    """All of them beside their parts, under the line or over it; None where one does not find room."""
    texts: dict[Part, Text] = {}
    for part, low, high in squeezed:
        for beside in (_UNDER, -_UNDER):
            text = Text(part.text, (low + high) / 2, beside, not chain.level)
            inside = min(ends) - 1 <= text.place - text.along and text.place + text.along <= max(ends) + 1
            text = _kept(text, ends) if chain.level else text
            if (chain.level or inside) and not any(_meet(text, other) for other in (*over, *texts.values())):
                texts[part] = text
                break
        else:
            return None
    return texts


def _kept(text: Text, ends: tuple[float, ...]) -> Text:
    """A text that stands out over an end of its string only a little: names stand round the corner."""
    least, most = min(ends) - _OUT + text.along, max(ends) + _OUT - text.along
    return replace(text, place=max(least, min(text.place, most))) if least <= most else text


def _crowded(
    chain: Chain, squeezed: list[Place], ends: tuple[float, ...], over: tuple[Text, ...]
) -> dict[Part, Text]:
    """Level texts beside the parts of an upright string; else under the line, moved off those before.

    An upright string that is left with texts far beyond its end takes them level too, moved apart; a level one
    has over its line what still finds room there.
    """
    if chain.level:
        raised: dict[Part, Text] = {}
        for part, low, high in squeezed:
            text = _kept(Text(_close(part.text), (low + high) / 2, -_UNDER, False), ends)
            if not any(_meet(text, other) for other in (*over, *raised.values())):
                raised[part] = text
        return raised | _moved(
            chain, [place for place in squeezed if place[0] not in raised], level_least=0.0
        )
    texts = _moved(chain, squeezed, level_least=_LEVEL_LEAST)
    if any(
        t.turned and not min(ends) - _OUT <= t.place - t.along <= t.place + t.along <= max(ends) + _OUT
        for t in texts.values()
    ):
        return _moved(chain, squeezed, level_least=0.0)
    return texts


def _moved(chain: Chain, squeezed: list[Place], *, level_least: float) -> dict[Part, Text]:
    """Turned and level strings' texts moved off those before; with a least of 0, level ones of upright strings too."""
    texts: dict[Part, Text] = {}
    way = 1.0 if chain.level else -1.0
    edge: float | None = None
    for part, low, high in squeezed if chain.level else reversed(squeezed):
        text = Text(_close(part.text), (low + high) / 2, _UNDER, not chain.level)
        reach, apart = text.along, 1.0
        if not chain.level and high - low >= level_least:
            text, reach, apart = Text(part.text, text.place, -(reach + 1.5), False), _CAP / 2, 0.7
        if text.turned or chain.level or level_least == 0.0:
            if edge is not None:
                text = replace(text, place=way * max(way * text.place, edge + apart + reach))
            edge = way * text.place + reach
        texts[part] = text
    return texts


def _meet(one: Text, other: Text) -> bool:
    """Whether two texts on the same side of a string come closer than 1 mm along it."""
    if (one.beside > 0) != (other.beside > 0):
        return False
    reach = (other.along if other.turned == one.turned else _CAP / 2) + one.along + 1.0
    return abs(one.place - other.place) < reach


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
    reaches = [text.along if text.turned != chain.level else _CAP / 2 for text in rail.texts]
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
