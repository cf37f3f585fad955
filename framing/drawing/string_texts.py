"""Where the texts of a string stand: over their parts, under them, or level beside an upright string."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

from framing.drawing.labels import TEXT
from framing.drawing.strings import Chain, Part
from framing.drawing.svg import CAP_HEIGHT, text_width

CAP = TEXT * CAP_HEIGHT
_OVER = CAP / 2 + 0.8  # from the line to the middle of a text on its outer side
_UNDER = CAP / 2 + 1.5  # and on its inner side, clear of the ticks
_OUT = 3.0  # that a text may stand out over the end of a level string
_LEVEL_LEAST = CAP + 0.7  # a part this high takes a level text beside an upright string

Place = tuple[Part, float, float]


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


def string_texts(chain: Chain, ends: tuple[float, ...]) -> tuple[Text, ...]:
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
            text, reach, apart = Text(part.text, text.place, -(reach + 1.5), False), CAP / 2, 0.7
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
    reach = (other.along if other.turned == one.turned else CAP / 2) + one.along + 1.0
    return abs(one.place - other.place) < reach
