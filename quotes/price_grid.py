"""A draft's rows as one form: every cell an input, wrong ones told at their place, two spare rows a table."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from quotes.price_cells import document_of_rows
from quotes.price_columns import (
    BOOK,
    CLASS_WORDS,
    PARTS,
    Cell,
    Column,
    Part,
    PriceRowsRefused,
    RawRow,
    document_rows,
)
from quotes.price_documents import PriceBookDocument
from quotes.price_files import shown_cell

ROWS_MOST: Final = 200  # more make a form that no server reads; a file carries them
SPARE: Final = 2
_NAME: Final = re.compile(r"(book|item|tier|freight|tax)-(\d{1,4})-(\d{1,2}|away)")


@dataclass(slots=True)
class Box:
    """One input: its name, label, text and what is wrong with it."""

    name: str
    column: Column
    label: str
    value: str
    problems: list[str] = field(default_factory=list)

    @property
    def choices(self) -> tuple[str, ...]:
        """What a class may be; an empty one in a spare row, and what was typed where it is none of them."""
        if self.column.field != "item_class":
            return ()
        known = tuple(CLASS_WORDS.values())
        return known if self.value in known else (self.value, *known)

    @property
    def is_figure(self) -> bool:
        return self.column.kind in ("number", "percent", "whole")


@dataclass(slots=True)
class Line:
    """One row of the form; `away` is ticked where it goes."""

    key: str
    boxes: list[Box]
    away: bool = False
    spare: bool = False

    @property
    def is_wrong(self) -> bool:
        return any(box.problems for box in self.boxes)


@dataclass(frozen=True, slots=True)
class Table:
    part: Part
    lines: list[Line]

    @property
    def is_terms(self) -> bool:
        return self.part is BOOK


@dataclass(slots=True)
class PriceGrid:
    """All tables of a book as inputs, and what is wrong beside them."""

    tables: list[Table]
    document: PriceBookDocument | None = None
    problems: list[str] = field(default_factory=list)

    @property
    def wrong(self) -> list[tuple[Line, Box]]:
        pairs = [(line, box) for table in self.tables for line in table.lines for box in line.boxes]
        return [(line, box) for line, box in pairs if box.problems]


def grid_of(document: PriceBookDocument) -> PriceGrid:
    """The form of a stored draft."""
    rows: dict[str, list[dict[str, Cell]]] = {part.code: [] for part in PARTS}
    for part, cells in document_rows(document):
        rows[part.code].append(cells)
    tables = []
    for part in PARTS:
        texts = [{name: shown_cell(cell) for name, cell in cells.items()} for cells in rows[part.code]]
        tables.append(_table(part, list(enumerate(texts))))
    return PriceGrid(tables)


def grid_posted(posted: Mapping[str, Any], *, number: int) -> PriceGrid:
    """The form as it was sent, with its document where every cell is right."""
    rows = _posted_rows(posted)
    tables = [_table(part, sorted(rows.get(part.code, {}).items())) for part in PARTS]
    grid = PriceGrid(tables)
    away = {name.removesuffix("-away") for name in posted if name.endswith("-away")}
    lines = {line.key: line for table in tables for line in table.lines}
    for key in away & lines.keys():
        lines[key].away = True
    try:
        grid.document = document_of_rows(_raw(tables), number=number)
    except PriceRowsRefused as error:
        _place(error.problems, lines, grid)
    return grid


def _posted_rows(posted: Mapping[str, Any]) -> dict[str, dict[int, dict[str, str]]]:
    parts = {part.code: part for part in PARTS}
    rows: dict[str, dict[int, dict[str, str]]] = {}
    for name, value in posted.items():
        read = _NAME.fullmatch(name)
        if read is None or read[3] == "away":
            continue
        columns = parts[read[1]].columns
        if int(read[3]) < len(columns):
            row = rows.setdefault(read[1], {}).setdefault(int(read[2]), {})
            row[columns[int(read[3])].name] = str(value)
    return rows


def _raw(tables: Iterable[Table]) -> Iterable[RawRow]:
    """Rows that are filled in and stay; a spare one counts once something stands in it."""
    for table in tables:
        for line in table.lines:
            cells = {box.column.name: box.value for box in line.boxes}
            if not line.away and any(text.strip() for text in cells.values()):
                yield RawRow(table.part, line.key, cells)


def _place(problems: Iterable[tuple[str, str]], lines: Mapping[str, Line], grid: PriceGrid) -> None:
    """Put each problem at its input; what belongs to none stands above the form."""
    for place, message in problems:
        key, _, column = place.partition(", ")
        line = lines.get(key)
        box = next((box for box in line.boxes if box.column.name == column), None) if line else None
        said = re.sub(r"\b(?:book|item|tier|freight|tax)-(\d+)\b", lambda m: f"row {int(m[1]) + 1}", message)
        if box is None:
            grid.problems.append(f"{place}: {said}")
        else:
            box.problems.append(said)


def _table(part: Part, rows: list[tuple[int, dict[str, str]]]) -> Table:
    lines = [_line(part, number, cells) for number, cells in rows]
    if part is not BOOK:
        empty = sum(not any(box.value.strip() for box in line.boxes) for line in lines)
        after = max((number for number, _ in rows), default=-1) + 1
        lines += [_line(part, after + i, {}) for i in range(SPARE - min(SPARE, empty))]
    return Table(part, lines)


def _line(part: Part, number: int, cells: Mapping[str, str]) -> Line:
    key = f"{part.code}-{number}"
    named = next((cells[c.name] for c in part.columns if cells.get(c.name)), "")
    spare = not any(text.strip() for text in cells.values())
    boxes = []
    for index, column in enumerate(part.columns):
        label = f"{column.name} of {named}" if named and index else column.name
        label = named if part is BOOK and named else label
        boxes.append(Box(f"{key}-{index}", column, label, cells.get(column.name, "")))
    return Line(key, boxes, spare=spare)
