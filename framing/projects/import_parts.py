"""Openings on their way from the drawing to the document: rectangles, with the words that stand in them."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from framing.projects.import_found import LeftOut, Report, System, counted, length_words, size_words, whole_16
from framing.projects.import_outline import Placing
from framing.projects.reading.dxf_guess import is_rectangle
from framing.projects.reading.loops_rings import Ring
from framing.projects.reading.loops_shapes import Spot

if TYPE_CHECKING:
    from shapely import Polygon

RECTANGLE_16: Final = 2.0
"""An opening is a rectangle along the plan within 1/8 in."""
_PARTS_MOST: Final = 200
_WORD: Final = re.compile(r"[^\W\d_]{3,}")
_SHAFTS: Final = ("shaft", "chase", "duct", "flue", "elevator", "lift", "chimney")
_STAIRS: Final = ("stair", "steps")


@dataclass(frozen=True, slots=True)
class Text:
    """Words on the plan, at their place there."""

    at: Spot
    words: str


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on the plan."""

    low: Spot
    high: Spot

    @property
    def size(self) -> tuple[float, float]:
        return self.high[0] - self.low[0], self.high[1] - self.low[1]

    def holds(self, spot: Spot) -> bool:
        return self.low[0] <= spot[0] <= self.high[0] and self.low[1] <= spot[1] <= self.high[1]


def floor_openings(
    rings: Sequence[Ring], placing: Placing, floor: Polygon, texts: Sequence[Text], where: str, report: Report
) -> list[tuple[Box, str, str]]:
    """Boxes of the rings that can be openings, each with its name and kind; all others are told as left."""
    found: list[tuple[Box, str, str]] = []
    left: Counter[str] = Counter()
    for ring in rings:
        placed = Ring(tuple(placing.of(corner) for corner in ring.corners))
        low_x, low_y, high_x, high_y = placed.box
        box = Box((low_x, low_y), (high_x, high_y))
        why = _no_opening(placed, box, floor)
        if not why and len(found) == _PARTS_MOST:
            why = f"over the {_PARTS_MOST} openings that a floor may have"
        if why:
            left[why] += 1
        else:
            found.append((box, *_named(box, texts)))
    report.left += [LeftOut(counted(count, "closed shape"), where, why) for why, count in left.items()]
    return sorted(found, key=lambda row: (row[0].low, row[0].high))


def _no_opening(ring: Ring, box: Box, floor: Polygon) -> str:
    """Why a ring is no opening of the floor; "" where it is one."""
    from shapely import box as rectangle

    if not is_rectangle(ring, RECTANGLE_16):
        return "no rectangle along the plan within 1/8 in, as openings are"
    if min(box.size) < 16:
        return "under 1 in wide"
    shape = rectangle(*box.low, *box.high)
    if floor.intersection(shape).area < shape.area / 2:
        return "outside the outline"
    return ""


def _named(box: Box, texts: Sequence[Text]) -> tuple[str, str]:
    """Name and kind by the words that stand in it: words of a stair or shaft first."""
    inside = [text.words for text in texts if box.holds(text.at) and _WORD.search(text.words)]
    for kind, words in (("stair", _STAIRS), ("shaft", _SHAFTS)):
        for text in inside:
            if any(word in text.casefold() for word in words):
                return text, kind
    return (inside[0] if inside else ""), "stair"


def opening_entries(boxes: Sequence[tuple[Box, str, str]], units: System) -> list[dict[str, Any]]:
    """Openings as the document has them."""
    return [
        {
            "id": f"S{number}",
            "name": name,
            "kind": kind,
            "corner": [length_words(box.low[0], units), length_words(box.low[1], units)],
            "size": [
                _span(box.low[0], box.high[0], units),
                _span(box.low[1], box.high[1], units),
            ],
        }
        for number, (box, name, kind) in enumerate(boxes, start=1)
    ]


def _span(low_16: float, high_16: float, units: System) -> str:
    """The length between two places as they are once rounded."""
    if units == "metric":
        return length_words(high_16 - low_16, units)
    return length_words(whole_16(high_16) - whole_16(low_16), units)


def opening_words(boxes: Sequence[tuple[Box, str, str]], units: System) -> str:
    said = [f"{name or kind} {size_words(*box.size, units)}" for box, name, kind in boxes[:6]]
    return "; ".join(said) + ("; …" if len(boxes) > 6 else "")
