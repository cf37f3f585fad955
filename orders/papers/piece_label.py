"""The label of one piece (R36): mark and length first, for hands in gloves at arm's length; then where it goes."""

from __future__ import annotations

from typing import Final

from framing.engine.floor import Units
from framing.engine.units import format_length
from orders.papers.facts import PieceFacts, Stock
from orders.papers.parts import Drawn, Room, Row

SMALLEST_MM: Final = (48.0, 20.0)
"""The narrowest and lowest label on which the longest mark is still printed in 2 mm letters."""
_CODE_SHARE: Final = 0.42  # of the label's width at most
_STACKED: Final = 1.25  # less wide than this times its height: the code goes under the words
_EDGE: Final = 0.06


def piece_words(label: PieceFacts, units: Units) -> tuple[str, str, str, str, str]:
    """Mark, length, floor and zone, order and project, bundle and place."""
    where = ", ".join(part for part in (label.floor, label.zone) if part)
    of = f"piece {label.place} of {label.pieces}"
    bundle = f"Bundle {label.bundle}, {of}" if label.bundle else "In a pack"
    return (
        label.mark,
        format_length(label.length_16, units),
        where,
        f"{label.order}, {label.project}",
        f"{bundle}, {label.profile}",
    )


def piece_drawn(label: PieceFacts, stock: Stock, units: Units, door: str) -> Drawn:
    """The label laid out."""
    drawn = Drawn(stock.wide, stock.high)
    words = piece_words(label, units)
    rows = (
        Row(words[0], 0.31, mono=True, bold=True),
        Row(words[1], 0.27, bold=True),
        Row(words[2], 0.15, bold=True),
        Row(words[4], 0.135),
        Row(words[3], 0.135),
    )
    text, code = rooms(stock)
    drawn.write_rows(rows, text)
    drawn.code(label.code, door, code)
    return drawn


def rooms(stock: Stock) -> tuple[Room, Room]:
    """Where words and code stand: beside each other, on a narrow label under each other."""
    wide, high = stock.wide, stock.high
    edge = min(2.5, _EDGE * high)
    if wide < _STACKED * high:
        side = min(wide, 0.45 * high)
        return (
            Room(2.5, edge, wide - 5.0, high - side - edge),
            Room((wide - side) / 2, high - side, side, side),
        )
    side = min(high, _CODE_SHARE * wide)
    return (
        Room(1.5, edge, wide - side - 1.5, high - 2 * edge),
        Room(wide - side, (high - side) / 2, side, side),
    )
