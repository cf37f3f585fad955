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
    return (
        label.mark,
        format_length(label.length_16, units),
        where,
        f"{label.order}, {label.project}",
        f"{_turn(label)}, {label.profile}",
    )


def _turn(label: PieceFacts) -> str:
    if not label.bundle:
        return "In a pack"
    return f"Bundle {label.bundle}, piece {label.place} of {label.pieces}"


def piece_drawn(label: PieceFacts, stock: Stock, units: Units, door: str) -> Drawn:
    """The label laid out."""
    drawn = Drawn(stock.wide, stock.high)
    words = piece_words(label, units)
    text, code = rooms(stock)
    small = _small(label, words, text)
    rest = 1 - sum(row.share for row in small)
    rows = (
        Row(words[0], 0.425 * rest, mono=True, bold=True),
        Row(words[1], 0.37 * rest, bold=True),
        Row(words[2], 0.205 * rest, bold=True),
    )
    drawn.write_rows((*rows, *small), text)
    drawn.code(label.code, door, code)
    return drawn


def _small(label: PieceFacts, words: tuple[str, ...], room: Room) -> tuple[Row, ...]:
    """Bundle, profile, order and project in two rows, or in three where that makes larger letters, in one size."""
    two = (Row(words[4], 0.135, even=True), Row(words[3], 0.135, follows=True))
    turn, of = Row(_turn(label), 0.105, even=True), Row(f"{label.profile}, {label.order}", 0.105, even=True)
    three = (turn, of, Row(label.project, 0.105, follows=True))
    return max(two, three, key=lambda rows: min(row.size_in(room) for row in rows if row.even))


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
