"""Labels on their sheets: which label stands where, and the whole paper."""

from __future__ import annotations

import base64
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any

from framing.engine.floor import Units
from orders.papers.bundle_tag import tag_drawn, tag_words
from orders.papers.carton_label import carton_drawn
from orders.papers.facts import CartonFacts, Label, PieceFacts, Stock, TagFacts, carton_from, tag_from
from orders.papers.parts import Drawn, placed
from orders.papers.piece_label import piece_drawn, piece_words

if TYPE_CHECKING:
    from framing.common.documents import RenderedPaper


SLINGS = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 10" preserveAspectRatio="none">'
    '<rect x="0.3" y="3.8" width="99.4" height="3.2" fill="none" stroke="#000" stroke-width="0.5"/>'
    '<path d="M20 0v7M80 0v7" stroke="#000" stroke-width="1"/><path d="M20 7l-1.8 3h3.6zM80 7l-1.8 3h3.6z"/></svg>'
)
"""A bundle from the side with its slings at a fifth of its length from both ends (R36); the same for all."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A label on its page, mm from the page's upper left corner."""

    left: float
    top: float
    drawn: Drawn
    words: str

    @property
    def place(self) -> str:
        """A turned label hangs from its upper right corner."""
        left = self.left + (self.drawn.high if self.drawn.turned else 0.0)
        return placed(left, self.top, self.drawn.wide)


def spot_of(stock: Stock, number: int) -> tuple[int, float, float]:
    """Page from 0, and left and top in mm, of the label that is the `number`-th from 1, row by row."""
    page, index = divmod(number - 1, stock.on_a_page)
    row, column = divmod(index, stock.columns)
    return page, (stock.left + column * stock.across) / 10, (stock.top + row * stock.down) / 10


def pages_of(stock: Stock, labels: Sequence[tuple[Drawn, str]], start: int) -> Iterator[list[Placed]]:
    """Labels page by page; the first one is the `start`-th of a sheet whose labels before it are used up."""
    page: list[Placed] = []
    before = 0
    for number, (drawn, words) in enumerate(labels, start):
        here, left, top = spot_of(stock, number)
        if here != before:
            yield page
            page, before = [], here
        page.append(Placed(left, top, drawn, words))
    if page:
        yield page


def picture(svg: str) -> str:
    return "data:image/svg+xml;base64," + base64.b64encode(svg.encode()).decode("ascii")


def label_drawn(label: Label, stock: Stock, units: Units, door: str) -> tuple[Drawn, str]:
    """One label laid out, and in words."""
    if isinstance(label, PieceFacts):
        return piece_drawn(label, stock, units, door), ". ".join(piece_words(label, units))
    if isinstance(label, TagFacts):
        return tag_drawn(label, stock, units, door), f"Bundle {label.number}. {tag_words(label, units)}"
    words = f"Carton {label.number}, {label.order}: {label.title}. {'; '.join(label.contents)}"
    return carton_drawn(label, stock, door), words


_READ: Mapping[str, Callable[[Mapping[str, Any]], Label]] = {
    "piece_labels": lambda kept: PieceFacts(**kept),
    "bundle_tags": tag_from,
    "carton_labels": carton_from,
}


def labels_from(kind: str, kept: Sequence[Mapping[str, Any]]) -> list[Label]:
    """Labels as they were kept with their paper."""
    return [_READ[kind](label) for label in kept]


class Places:
    """Names for places, so that equal ones, which are most, are told once in the paper's stylesheet."""

    def __init__(self) -> None:
        self._names: dict[str, str] = {}

    def name(self, place: str) -> str:
        return self._names.setdefault(place, f"s{len(self._names)}")

    @property
    def rules(self) -> list[tuple[str, str]]:
        """Names with their declarations."""
        return [(name, place) for place, name in self._names.items()]


def shown(label: Placed, places: Places) -> dict[str, Any]:
    """A label as the template takes it: names of places with what stands there."""
    drawn = label.drawn
    return {
        "css": f"l{' t' if drawn.turned else ''} {places.name(label.place)}",
        "words": [(f"{words.css} {places.name(words.place)}", words.text) for words in drawn.words],
        "rules": [places.name(rule) for rule in drawn.rules],
        "slings": [places.name(room.place) for room in drawn.slings],
        "codes": [(places.name(code.place), code.symbol) for code in drawn.codes],
    }


def labels_render(
    kind: str, content: Mapping[str, Any], *, title: str, company: str, at: datetime
) -> RenderedPaper:
    """The paper of labels; equal content gives equal bytes."""
    stock = Stock(**content["stock"])
    units: Units = "metric" if content["units"] == "metric" else "imperial"
    drawn = [
        label_drawn(label, stock, units, content["door"]) for label in labels_from(kind, content["labels"])
    ]
    places = Places()
    pages = [[shown(label, places) for label in page] for page in pages_of(stock, drawn, content["start"])]
    context = {
        "title": title,
        "company_name": company,
        "page_wide": f"{stock.page_width / 10:g}",
        "page_high": f"{stock.page_height / 10:g}",
        "wide": f"{stock.wide:g}",
        "high": f"{stock.high:g}",
        "slings": picture(SLINGS),
        "pages": pages,
        "places": places.rules,
    }
    from framing.common.documents import render_paper  # loads the PDF library: a second, and only here

    return render_paper("pdf/labels.html", context, issued_at=at)


__all__ = [
    "CartonFacts",
    "Placed",
    "label_drawn",
    "labels_from",
    "labels_render",
    "pages_of",
    "picture",
    "spot_of",
]
