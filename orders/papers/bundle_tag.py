"""The tag of one bundle (R36): number, order, where it goes, pieces by mark, weight, where to lift, how to keep it.

It is drawn upright; on a stock that lies on its side it is turned.
"""

from __future__ import annotations

from typing import Final

from framing.drawing.svg import TIMES
from framing.engine.floor import Units
from framing.engine.units import format_length
from orders.papers.facts import MarkFacts, Stock, TagFacts
from orders.papers.fitting import fit, wrapped
from orders.papers.parts import Drawn, Room

SMALLEST_MM: Final = (88.0, 138.0)
"""Short and long side of the smallest tag, whichever way it lies."""
CAUTIONS: Final = (
    "Lift only at the two marked points, nobody under the load. Keep off the ground, upright, as delivered."
)
_EDGE: Final = 4.0
_CODE_MOST: Final = 46.0
_ROW_MOST: Final = 10.5
_ONE_COLUMN: Final = 8  # marks; more stand in two columns
_CAUTION_SIZE: Final = 3.4
_LIFT_HIGH: Final = 19.0
_BUILDER_HIGH, _BUILDER_LEAST = 5.4, 3.0
_COUNT_SHARE: Final = 0.45  # of a mark's width; the length beside it has half


def tag_drawn(tag: TagFacts, stock: Stock, units: Units, door: str) -> Drawn:
    """The tag laid out upright; on a stock that lies on its side it is turned."""
    turned = stock.wide > stock.high
    wide, high = (stock.high, stock.wide) if turned else (stock.wide, stock.high)
    drawn = Drawn(wide, high, turned)
    _draw(drawn, tag, units, door)
    return drawn


def tag_words(tag: TagFacts, units: Units) -> str:
    """All that the tag says, for those who do not see it."""
    marks = "; ".join(f"{m.count} of {m.mark}, {format_length(m.length_16, units)}" for m in tag.marks)
    return (
        f"{tag.place}. {tag.profile}, {tag.pieces} pieces, {round(tag.weight_lb):,} lb: {marks}. "
        f"Lift {format_length(tag.lift_16, units)} from each end. {CAUTIONS}"
    )


def _draw(drawn: Drawn, tag: TagFacts, units: Units, door: str) -> None:
    wide, inner = drawn.wide, drawn.wide - 2 * _EDGE
    side = min(_CODE_MOST, 0.43 * wide)
    _head(drawn, tag, side, door)
    top = _place(drawn, tag, side + 14.4, inner)
    drawn.rule(_EDGE, top, inner)
    drawn.write(tag.profile, Room(_EDGE, top + 1, inner * 0.55, 7), mono=True, bold=True)
    weight = f"{round(tag.weight_lb):,} lb"
    drawn.write(weight, Room(_EDGE + inner * 0.57, top + 0.4, inner * 0.43, 8.4), bold=True, end=True)
    foot = _cautions(drawn, inner)
    lift = Room(_EDGE, foot - _LIFT_HIGH, inner, _LIFT_HIGH)
    drawn.rule(_EDGE, lift.top, inner)
    words = f"Lift {format_length(tag.lift_16, units)} from each end"
    drawn.write(words, Room(lift.left, lift.top + 0.8, inner, 6.6), bold=True)
    drawn.slings.append(Room(lift.left, lift.top + 8.2, inner, 10.4))
    _marks(drawn, tag.marks, Room(_EDGE, top + 9, inner, lift.top - top - 9.8), units)


def _head(drawn: Drawn, tag: TagFacts, side: float, door: str) -> None:
    """Number and code, then order, builder and project."""
    inner = drawn.wide - 2 * _EDGE
    said = f"Bundle, {tag.pieces} piece{'s' if tag.pieces > 1 else ''}"
    drawn.write(said, Room(_EDGE, _EDGE, inner - side, 5.2), bold=True)
    drawn.write(str(tag.number), Room(_EDGE, _EDGE + 4.6, inner - side, side - 13), bold=True)
    spoken = " ".join(tag.code[index : index + 4] for index in range(0, len(tag.code), 4))
    drawn.write(spoken, Room(_EDGE, side - 4.4, inner - side, 4), mono=True)
    drawn.code(tag.code, door, Room(drawn.wide - side, 0, side, side))
    drawn.rule(_EDGE, side, inner)
    drawn.write(tag.order, Room(_EDGE, side + 1.2, inner * 0.46, 7), mono=True, bold=True)
    _builder(drawn, tag.builder, Room(_EDGE + inner * 0.5, side + 1.4, inner * 0.5, 6.8))
    drawn.write(tag.project, Room(_EDGE, side + 8.2, inner, 5.6))


def _builder(drawn: Drawn, name: str, room: Room) -> None:
    """The builder's name at the right of the order's number: a long one in two rows rather than small."""
    one = fit(name, room.wide, _BUILDER_HIGH)
    rows = [name] if one.size >= _BUILDER_LEAST else wrapped(name, _BUILDER_LEAST, room.wide, 2)
    high = min(_BUILDER_HIGH, room.high / max(len(rows), 1))
    top = room.top + (room.high - high * len(rows)) / 2
    for index, row in enumerate(rows):
        drawn.write(row, Room(room.left, top + index * high, room.wide, high), end=True)


def _place(drawn: Drawn, tag: TagFacts, top: float, inner: float) -> float:
    """Floor and zone in two rows at most, and what is to say about the bundle; returns where the next part begins."""
    for line in wrapped(tag.place, 4.6, inner, 2):
        drawn.write(line, Room(_EDGE, top, inner, 5.4), bold=True)
        top += 5.4
    if tag.note:
        drawn.write(tag.note, Room(_EDGE, top, inner, 4))
        top += 4
    return top + 1


def _cautions(drawn: Drawn, inner: float) -> float:
    """The cautions at the foot; returns where they begin."""
    lines = wrapped(CAUTIONS, _CAUTION_SIZE, inner, 3)
    top = drawn.high - _EDGE - 4.1 * len(lines)
    for index, line in enumerate(lines):
        drawn.write_line(line, _EDGE, top + 4.1 * index, inner, _CAUTION_SIZE)
    return top - 1


def _marks(drawn: Drawn, marks: tuple[MarkFacts, ...], room: Room, units: Units) -> None:
    """Pieces by mark, all in one size; more than eight marks stand in two columns."""
    columns = 1 if len(marks) <= _ONE_COLUMN else 2
    rows = -(-len(marks) // columns)
    high = min(_ROW_MOST, room.high / max(rows, 1))
    gap = 5.0
    wide = (room.wide - gap * (columns - 1)) / columns
    said = [(f"{mark.count} {TIMES} {mark.mark}", format_length(mark.length_16, units)) for mark in marks]
    sizes = [fit(counted, wide * _COUNT_SHARE, high).size for counted, _ in said]
    most = min((*sizes, *(fit(length, wide * 0.5, high).size for _, length in said)), default=0.0)
    for index, (counted, length) in enumerate(said):
        left = room.left + (index // rows) * (wide + gap)
        top = room.top + (index % rows) * high
        drawn.write(counted, Room(left, top, wide * _COUNT_SHARE, high), bold=True, most=most)
        drawn.write(length, Room(left + wide * 0.5, top, wide * 0.5, high), bold=True, end=True, most=most)
