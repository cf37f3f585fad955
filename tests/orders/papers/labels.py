"""Labels made up for tests, and reading a rendered paper back: codes by a reader, letters by their boxes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

import pypdfium2
import zxingcpp
from PIL import Image

from framing.common.documents import RenderedPaper
from orders.papers.codes import door_of
from orders.papers.facts import CartonFacts, MarkFacts, PieceFacts, Stock, TagFacts, as_json
from orders.papers.sheets import labels_render

AT = datetime(2026, 11, 4, 12, tzinfo=UTC)
DOOR = door_of("https://shop.larkmeadow.example")
DPI = 200
MM_PER_POINT = 25.4 / 72
LONG_MARK = "12TRIMMER-OVERLONG-9"
LONG_PROJECT = "W" * 40 + " on the hill behind the old mill, houses 17 to 23, second phase"
LONG_FLOOR = "Third floor over the garage and the workshop, copy 12"


def piece(code: str, **more: Any) -> PieceFacts:
    facts = {
        "code": code, "mark": "2J07", "length_16": 2646, "profile": "1000S162-54", "floor": "First floor",
        "zone": "north bay", "order": "O-2026-0004", "project": "Heron Lane", "bundle": 3, "place": 2, "pieces": 11,
    }  # fmt: skip
    return PieceFacts(**(facts | more))


def tag(code: str, kinds: int = 3, **more: Any) -> TagFacts:
    facts = {
        "code": code, "number": 12, "order": "O-2026-0004", "project": "Heron Lane", "builder": "Larkspur Homes",
        "place": "First floor: north bay", "note": "", "profile": "1000S162-54", "length_16": 2640, "weight_lb": 1234.4,
        "marks": tuple(MarkFacts(f"2J{n:02d}", 1, 2640 - 17 * n) for n in range(kinds)),
    }  # fmt: skip
    return TagFacts(**(facts | more))


def carton(code: str, lines: int = 3, **more: Any) -> CartonFacts:
    facts = {
        "code": code, "number": 4, "order": "O-2026-0004", "project": "Heron Lane", "title": "Clips and plates",
        "contents": tuple(f"Clip angle, kind {n}: {n * 12:,}" for n in range(lines)), "weight_lb": 83.2,
    }  # fmt: skip
    return CartonFacts(**(facts | more))


def content(
    stock: Stock, labels: Sequence[Any], *, units: str = "imperial", start: int = 1
) -> dict[str, Any]:
    return {
        "units": units, "door": DOOR, "stock": as_json(stock), "start": start,
        "labels": [as_json(label) for label in labels],
    }  # fmt: skip


def render(kind: str, made: Mapping[str, Any]) -> RenderedPaper:
    return labels_render(kind, made, title="Labels", company="Lark Meadow", at=AT)


def pictures(data: bytes) -> Iterator[Image.Image]:
    """Every page at 200 dots an inch."""
    document = pypdfium2.PdfDocument(data)
    for page in document:
        yield page.render(scale=DPI / 72).to_pil()
    document.close()


def codes(picture: Image.Image) -> list[str]:
    """All QR codes that the reader finds in a picture."""
    found = zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode)
    return sorted(one.text for one in found)


@dataclass(frozen=True)
class Letters:
    """A run of letters of one font size as it is printed: its box in mm from the page's upper left corner."""

    text: str
    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Letters, slack: float = 0.05) -> bool:
        return (
            self.left < other.right - slack
            and other.left < self.right - slack
            and self.top < other.bottom - slack
            and other.top < self.bottom - slack
        )


def letters(data: bytes) -> list[list[Letters]]:
    """Each page's text objects by their true boxes."""
    document = pypdfium2.PdfDocument(data)
    pages = []
    for page in document:
        high = page.get_height()
        text = page.get_textpage()
        found = []
        for thing in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_TEXT], max_depth=5):
            left, bottom, right, top = thing.get_bounds()
            words = text.get_text_bounded(left, bottom, right, top)
            found.append(
                Letters(
                    words,
                    left * MM_PER_POINT,
                    (high - top) * MM_PER_POINT,
                    right * MM_PER_POINT,
                    (high - bottom) * MM_PER_POINT,
                )
            )
        pages.append(found)
    document.close()
    return pages
