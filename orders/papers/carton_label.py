"""The label of one carton or pack: its number, what is in it, and that it stays dry (R36, R37)."""

from __future__ import annotations

from typing import Final

from orders.papers.facts import CartonFacts, Stock
from orders.papers.fitting import MORE, ROW, wrapped
from orders.papers.parts import Drawn, Room, Row

SMALLEST_MM: Final = (60.0, 36.0)
_CODE_SHARE: Final = 0.38
_ROW_LEAST: Final = 2.7
_ROW_MOST: Final = 6.0
_EDGE: Final = 2.0
_GAP: Final = 1.6
_STEPS: Final = 12  # sizes that are tried
_TITLE_SHARE: Final = 0.26
KEEP: Final = "Keep dry."


def carton_drawn(label: CartonFacts, stock: Stock, door: str) -> Drawn:
    """The label laid out: number and code above, what is in it below."""
    wide, high = stock.wide, stock.high
    drawn = Drawn(wide, high)
    side = min(_CODE_SHARE * wide, 0.58 * high)
    room = Room(_EDGE, 1.2, wide - side - _EDGE, side - 1.2)
    head = (
        Row(f"C{label.number}", 0.42, bold=True),
        *_title(label.title, room),
        Row(f"{label.order}, {label.project}", 0.16, follows=True),
        Row(f"{round(label.weight_lb):,} lb. {KEEP}", 0.16, bold=True, even=True),
    )
    drawn.write_rows(head, room)
    drawn.code(label.code, door, Room(wide - side, 0, side, side))
    drawn.rule(_EDGE, side + _GAP / 2, wide - 2 * _EDGE)
    top = side + _GAP
    _contents(drawn, label.contents, Room(_EDGE, top, wide - 2 * _EDGE, high - top - 1.2))
    return drawn


def _title(title: str, room: Room) -> tuple[Row, ...]:
    """What it is: a long title in two rows rather than small."""
    one = Row(title, _TITLE_SHARE, bold=True)
    high = room.high * _TITLE_SHARE / 2
    if one.size_in(room) * ROW >= high:
        return (one,)
    return tuple(Row(line, _TITLE_SHARE / 2, bold=True) for line in wrapped(title, high / ROW, room.wide, 2))


def _contents(drawn: Drawn, contents: tuple[str, ...], room: Room) -> None:
    """As many lines as have room, all in one size; the last one tells how many more there are."""
    if not contents:
        return
    rows = _rows(contents, room)
    high = min(_ROW_MOST, room.high / len(rows))
    for index, row in enumerate(rows):
        drawn.write(row, Room(room.left, room.top + index * high, room.wide, high))


def _rows(contents: tuple[str, ...], room: Room) -> list[str]:
    """Lines as large as they can all be; a long one takes two rows where that makes the letters larger."""
    for step in range(_STEPS):
        high = _ROW_MOST - step * (_ROW_MOST - _ROW_LEAST) / (_STEPS - 1)
        rows = [row for line in contents for row in wrapped(line, high / ROW, room.wide, 2)]
        if len(rows) * high <= room.high and not any(row.endswith(MORE) for row in rows):
            return rows
    most = max(1, int(room.high / _ROW_LEAST))
    lines = list(contents)
    if len(lines) > most:
        lines = [*lines[: most - 1], f"and {len(lines) - most + 1} more: see the packing list"]
    return lines
