"""Sizes of label stocks as people type them, in tenths of a millimetre, and what a stock must hold to."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final

from framing.common.errors import Refused
from framing.drawing.svg import TIMES
from orders.papers import bundle_tag, carton_label, piece_label
from orders.papers.facts import Stock
from orders.states import LabelUse

TENTHS_PER_INCH: Final = 254
PAGE_MOST: Final = 12_000
LABELS_MOST: Final = 30
SIZES: Final = ("page_width", "page_height", "label_width", "label_height", "left", "top", "across", "down")
COUNTS: Final = ("columns", "rows")
_TYPED: Final = re.compile(
    r"(?:(?P<whole>[0-9]{1,6}(?:\.[0-9]{1,6})?)(?:[ -](?P<part>[0-9]{1,3}/[0-9]{1,3}))?"
    r"|(?P<only>[0-9]{1,3}/[0-9]{1,3}))"
    r" ?(?P<unit>mm|cm|in|\"|″|”)?",
    re.IGNORECASE,
)
_WORDS: Final = {
    "page_width": "the page's width",
    "page_height": "the page's height",
    "label_width": "the label's width",
    "label_height": "the label's height",
    "left": "the left margin",
    "top": "the top margin",
    "across": "the step from label to label across",
    "down": "the step from label to label down",
}

PRESETS: Final[dict[str, tuple[LabelUse, str, Stock]]] = {
    "piece-roll": (
        LabelUse.PIECE,
        f"Roll, 4 {TIMES} 2 in",
        Stock(1016, 508, 1, 1, 1016, 508, 0, 0, 1016, 508),
    ),
    "piece-letter": (
        LabelUse.PIECE,
        f"Letter sheet, 3 {TIMES} 10 labels",
        Stock(2159, 2794, 3, 10, 667, 254, 48, 127, 699, 254),
    ),
    "piece-a4": (
        LabelUse.PIECE,
        f"A4 sheet, 3 {TIMES} 8 labels",
        Stock(2100, 2970, 3, 8, 635, 339, 72, 129, 661, 339),
    ),
    "bundle-roll": (
        LabelUse.BUNDLE,
        f"Roll, 4 {TIMES} 6 in",
        Stock(1016, 1524, 1, 1, 1016, 1524, 0, 0, 1016, 1524),
    ),
    "bundle-a4": (
        LabelUse.BUNDLE,
        f"A4 sheet, 2 {TIMES} 2 tags",
        Stock(2100, 2970, 2, 2, 1050, 1485, 0, 0, 1050, 1485),
    ),
    "carton-roll": (
        LabelUse.CARTON,
        f"Roll, 4 {TIMES} 3 in",
        Stock(1016, 762, 1, 1, 1016, 762, 0, 0, 1016, 762),
    ),
}
"""Common stocks to begin with; the first of a use is taken where the company has chosen none."""


def read_tenths(typed: str, field: str) -> int:
    """A size as typed: 66.7, 66.7 mm, 2 5/8 in, 2.625". Bare numbers are millimetres. Raises Refused at the field."""
    text = typed.strip()
    found = _TYPED.fullmatch(text)
    if found is None:
        raise Refused(
            f"“{text[:30]}” is no size. Type millimetres such as 66.7, or inches such as 2 5/8 in.",
            field=field,
        )
    try:
        value = Fraction(found["whole"] or 0) + Fraction(found["part"] or found["only"] or 0)
    except ZeroDivisionError:
        raise Refused(f"“{text[:30]}” has a 0 under its fraction line.", field=field) from None
    unit = (found["unit"] or ("in" if found["part"] or found["only"] else "mm")).lower()
    scale = {"mm": 10, "cm": 100}.get(unit, TENTHS_PER_INCH)
    return int(value * scale + Fraction(1, 2))


def size_words(tenths: int) -> str:
    """Tenths of a millimetre as millimetres: 66.7 mm."""
    return f"{tenths / 10:g} mm"


def label_words(stock: Stock) -> str:
    """Width and height of one label in millimetres, as “66.7 by 25.4 mm” with a sign between."""
    return f"{stock.label_width / 10:g} {TIMES} {size_words(stock.label_height)}"


def check_stock(use: LabelUse, stock: Stock) -> None:
    """Raises Refused at the field that does not hold, with the value, the limit and what to do."""
    for field in COUNTS:
        value = getattr(stock, field)
        if not 1 <= value <= LABELS_MOST:
            raise Refused(f"{value} {field}: a sheet has 1 to {LABELS_MOST}.", field=field)
    for field in ("page_width", "page_height", "label_width", "label_height"):
        value = getattr(stock, field)
        if not 1 <= value <= PAGE_MOST:
            raise Refused(
                f"{_WORDS[field].capitalize()} is {size_words(value)}; it must be from 0.1 to {PAGE_MOST // 10} mm.",
                field=field,
            )
    _check_least(use, stock)
    _check_way(stock, "columns", "across", "label_width", "left", "page_width")
    _check_way(stock, "rows", "down", "label_height", "top", "page_height")


def _check_least(use: LabelUse, stock: Stock) -> None:
    """Words and code must have room to be read."""
    wide, high = {
        LabelUse.PIECE: piece_label.SMALLEST_MM,
        LabelUse.CARTON: carton_label.SMALLEST_MM,
        LabelUse.BUNDLE: bundle_tag.SMALLEST_MM,
    }[use]
    if use == LabelUse.BUNDLE and stock.wide > stock.high:
        wide, high = high, wide
    for field, value, least in (("label_width", stock.wide, wide), ("label_height", stock.high, high)):
        if value < least:
            raise Refused(
                f"{_WORDS[field].capitalize()} is {value:g} mm; {use.label.lower()} need {least:g} mm at least, "
                "or their words and code cannot be read. Take a larger stock.",
                field=field,
            )


def _check_way(stock: Stock, count: str, step: str, size: str, begin: str, page: str) -> None:
    """Labels of one direction stand beside each other and on the page."""
    number = getattr(stock, count)
    if number > 1 and getattr(stock, step) < getattr(stock, size):
        raise Refused(
            f"{_WORDS[step].capitalize()} is {size_words(getattr(stock, step))}, less than {_WORDS[size]} of "
            f"{size_words(getattr(stock, size))}: labels would lie on each other. Measure from edge to edge.",
            field=step,
        )
    end = getattr(stock, begin) + getattr(stock, step) * (number - 1) + getattr(stock, size)
    if end > getattr(stock, page):
        raise Refused(
            f"{number} {count} end at {size_words(end)}, beyond {_WORDS[page]} of {size_words(getattr(stock, page))}. "
            "Measure margin, step and label again.",
            field=count,
        )
