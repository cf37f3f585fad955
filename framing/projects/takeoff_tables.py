"""The take-off as three plain tables for files: bill of materials, joist schedule, cut list. Text and numbers only.

Lengths stand twice: in words as the floor's units have them, and as exact inches (a sixteenth is 0.0625).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from framing.engine.practice import Practice
from framing.engine.result import FloorResult
from framing.engine.units import inches
from framing.projects.takeoff_rows import (
    CutRow,
    LineRow,
    ScheduleRow,
    bill_groups,
    cut_rows,
    owners_of,
    schedule_rows,
)

Cell = str | int | float
Kind = Literal["words", "count", "inches", "weight"]


@dataclass(frozen=True, slots=True)
class Column:
    """A heading; `width` in signs of a workbook's column."""

    name: str
    kind: Kind
    width: int


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of cells under their columns; `code` names it in addresses and file names."""

    code: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]


_MATERIALS: Final = (
    Column("Group", "words", 12),
    Column("Code", "words", 24),
    Column("Description", "words", 40),
    Column("Exact", "inches", 12),
    Column("Unit", "words", 8),
    Column("Bought", "count", 10),
    Column("Sold by", "words", 9),
    Column("Pack", "count", 8),
    Column("Weight lb", "weight", 11),
    Column("Derivation", "words", 80),
)
_SCHEDULE: Final = (
    Column("Mark", "words", 10),
    Column("Kind", "words", 10),
    Column("Profile", "words", 16),
    Column("Plies", "count", 7),
    Column("Length", "words", 16),
    Column("Length in", "inches", 12),
    Column("Members", "count", 10),
    Column("Pieces", "count", 8),
    Column("Holes from printed end in", "words", 60),
    Column("Weight lb", "weight", 11),
)
_CUTS: Final = (
    Column("First", "count", 8),
    Column("Last", "count", 8),
    Column("Mark", "words", 10),
    Column("Profile", "words", 16),
    Column("Length", "words", 16),
    Column("Length in", "inches", 12),
    Column("Pieces", "count", 8),
    Column("Holes from printed end in", "words", 60),
)
TABLES: Final = {"materials": "Materials", "schedule": "Joist schedule", "cuts": "Cut list"}


def takeoff_tables(result: FloorResult, practice: Practice) -> tuple[Table, ...]:
    """Bill of materials, joist schedule by mark, and cut list in the order of installing (R12), of one floor."""
    lines = [
        (group.words, line)
        for group in bill_groups(result, practice, owners_of(result))
        for line in group.lines
    ]
    return (
        _table("materials", _MATERIALS, (_line_cells(words, line) for words, line in lines)),
        _table("schedule", _SCHEDULE, map(_schedule_cells, schedule_rows(result))),
        _table("cuts", _CUTS, map(_cut_cells, cut_rows(result))),
    )


def _table(code: str, columns: tuple[Column, ...], rows: Iterable[tuple[Cell, ...]]) -> Table:
    return Table(code, TABLES[code], columns, tuple(rows))


def _line_cells(group: str, row: LineRow) -> tuple[Cell, ...]:
    line = row.line
    long = line.unit == "length_16"
    return (
        group, line.code, line.description, inches(line.exact) if long else line.exact, "in" if long else line.unit,
        line.bought, line.sold_by, line.pack, line.weight_lb, derivation(row),
    )  # fmt: skip


def derivation(row: LineRow) -> str:
    """How a line comes about, in words: each addend with its reason and rule, then how the bought amount follows."""
    addends = " + ".join(f"{term.amount} ({term.term.words}, {term.term.rule})" for term in row.terms)
    words = f"{row.exact} = {addends}."
    return f"{words} {row.how}" if row.how else words


def _schedule_cells(row: ScheduleRow) -> tuple[Cell, ...]:
    line = row.line
    return (
        line.mark, row.kind, line.profile, line.plies, row.length, inches(line.length_16),
        line.members, line.pieces, _holes(line.holes_16), line.weight_lb,
    )  # fmt: skip


def _cut_cells(row: CutRow) -> tuple[Cell, ...]:
    return (
        row.first, row.last, row.mark, row.profile, row.length, inches(row.length_16), row.pieces,
        _holes(row.holes_16),
    )  # fmt: skip


def _holes(holes_16: Sequence[int]) -> str:
    """Centres in inches from the printed end (R9, R10): `24; 48.5`."""
    return "; ".join(f"{inches(hole_16):.10g}" for hole_16 in holes_16)
