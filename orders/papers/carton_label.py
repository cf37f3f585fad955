"""The label of one carton or pack: its number, what is in it, and that it stays dry (R36, R37)."""

from __future__ import annotations

from typing import Final

from orders.papers.facts import CartonFacts, Stock
from orders.papers.parts import Drawn, Room, Row

SMALLEST_MM: Final = (60.0, 36.0)
_CODE_SHARE: Final = 0.38
_ROW_LEAST: Final = 2.7
_ROW_MOST: Final = 6.0
_EDGE: Final = 2.0
KEEP: Final = "Keep dry."


def carton_drawn(label: CartonFacts, stock: Stock, door: str) -> Drawn:
    """The label laid out: number and code above, what is in it below."""
    wide, high = stock.wide, stock.high
    drawn = Drawn(wide, high)
    side = min(_CODE_SHARE * wide, 0.58 * high)
    head = (
        Row(f"C{label.number}", 0.46, mono=True, bold=True),
        Row(label.title, 0.22, bold=True),
        Row(f"{label.order}, {label.project}", 0.16),
        Row(f"{round(label.weight_lb):,} lb. {KEEP}", 0.16, bold=True),
    )
    drawn.write_rows(head, Room(_EDGE, 1.2, wide - side - _EDGE, side - 1.2))
    drawn.code(label.code, door, Room(wide - side, 0, side, side))
    _contents(drawn, label.contents, Room(_EDGE, side, wide - 2 * _EDGE, high - side - 1.2))
    return drawn


def _contents(drawn: Drawn, contents: tuple[str, ...], room: Room) -> None:
    """As many lines as have room; the last one tells how many more there are."""
    if not contents:
        return
    most = max(1, int(room.high / _ROW_LEAST))
    lines = list(contents)
    if len(lines) > most:
        lines = [*lines[: most - 1], f"and {len(lines) - most + 1} more: see the packing list"]
    high = min(_ROW_MOST, room.high / len(lines))
    for index, line in enumerate(lines):
        drawn.write(line, Room(room.left, room.top + index * high, room.wide, high))
