"""Making words fit a label: true widths of the papers' two faces, sizes that fill a room, words cut short last.

Sizes and widths are millimetres; a size is that of the font.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from framing.drawing.svg import MONO_ADVANCE

LEAST: Final = 2.0
"""Smallest print on paper."""
ROW: Final = 1.16
"""Height of a row over its font size: from above the highest letter to below the lowest."""
SIZE_MOST: Final = 1000.0
MORE: Final = "\u2026"
_WIDEST: Final = 1.02
# Advances of the signs from space to tilde in thousandths of the size, the wider of the plain and the bold face.
_ADVANCES: Final = (
    303, 298, 362, 730, 604, 953, 731, 195, 324, 324, 485, 606, 252, 369, 253, 424, 656, 430, 569, 592, 621, 602, 617,
    529, 621, 595, 253, 253, 564, 628, 564, 526, 780, 662, 634, 654, 683, 589, 562, 711, 699, 415, 546, 654, 548, 848,
    710, 737, 617, 747, 639, 604, 592, 690, 628, 877, 666, 627, 615, 333, 424, 344, 573, 391, 274, 544, 587, 502, 586,
    555, 349, 582, 565, 285, 255, 536, 301, 870, 565, 567, 587, 591, 368, 497, 360, 559, 509, 723, 522, 499, 492, 370,
    249, 370, 555,
)  # fmt: skip
_KNOWN: Final = {chr(32 + index): advance / 1000 for index, advance in enumerate(_ADVANCES)} | {
    MORE: 0.747,
    "\u00d7": 0.535,
    "\u2019": 0.259,
    "\u2013": 0.504,
}


@dataclass(frozen=True, slots=True)
class Fitted:
    """Words as they stand in a row, and their size; `cut` where the end had to go."""

    text: str
    size: float
    cut: bool = False


def width_of(text: str, size: float, *, mono: bool = False) -> float:
    """Width of a text in mm, never less than what is printed; a sign that is not known counts as the widest."""
    if mono:
        return len(text) * size * MONO_ADVANCE
    return sum(_KNOWN.get(sign, _WIDEST) for sign in text) * size


def fit(text: str, wide: float, high: float, *, mono: bool = False, most: float = SIZE_MOST) -> Fitted:
    """A text as large as a room of `wide` by `high` lets it be, `most` at the most.

    Where it would be under 2 mm, its end goes and an ellipsis says so.
    """
    size = min(high / ROW, most)
    one = width_of(text, 1.0, mono=mono)
    if one * size > wide:
        size = max(wide / one, min(LEAST, size))
    short = shortened(text, size, wide, mono=mono)
    return Fitted(short, size, short != text)


def shortened(text: str, size: float, wide: float, *, mono: bool = False) -> str:
    """The text, or as much of its beginning as has room before an ellipsis."""
    if width_of(text, size, mono=mono) <= wide + 1e-9:
        return text
    kept = text
    while kept and width_of(kept + MORE, size, mono=mono) > wide:
        kept = kept[:-1]
    return kept.rstrip(" ,.") + MORE


def wrapped(text: str, size: float, wide: float, rows: int) -> list[str]:
    """A text of the plain face in at most so many rows; the last one is cut short where it must be."""
    lines: list[str] = []
    line = ""
    words = text.split()
    for index, word in enumerate(words):
        longer = f"{line} {word}".strip()
        if line and width_of(longer, size) > wide:
            if len(lines) + 1 == rows:
                return [*lines, shortened(" ".join((line, *words[index:])), size, wide)]
            lines.append(line)
            line = word
        else:
            line = longer
    return [*lines, shortened(line, size, wide)] if line else lines
