"""Rows out of a workbook that somebody sends, read in a process of its own that may take so much memory and time.

What makes the reading too long or too big ends that process and nothing else (`framing.common.bounded`). The job looks
through the XML first for what deserves better words than that: far-off cells, formulas, by sheet, row and column.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import Any, Final
from xml.parsers import expat

from framing.common.bounded import Outcome, run_bounded
from quotes.price_columns import (
    BOOK,
    BOOK_ROWS,
    HUNDRED,
    PARTS,
    PROBLEMS_MOST,
    Part,
    PriceRowsRefused,
    RawRow,
    letter_of,
)

CELLS_MOST: Final = 200_000
ROW_MOST: Final = 8_001
COLUMN_MOST: Final = 60
PERCENT_FORMATS: Final = frozenset({9, 10})  # the two that every workbook knows without saying so
_WHERE: Final = "workbook"
_PLACED: Final = {part.code: part for part in PARTS}
_Place = tuple[str, int, int]  # sheet in small letters, row and column from 1


def workbook_rows(data: bytes) -> Iterator[RawRow]:
    """The rows of the sheets that a price book has; other sheets are left aside.

    Raises PriceRowsRefused for what can't be read within the bounds, a sheet or column that is missing, and formulas.
    """
    return rows_of(run_bounded("quotes.price_workbook.read_workbook", data))


def rows_of(outcome: Outcome) -> Iterator[RawRow]:
    """The rows that the job found. Raises PriceRowsRefused with its problems, or why it was stopped."""
    if outcome.state != "done":
        raise _refused(outcome.words)
    problems = [(str(place), str(message)) for place, message in outcome.facts["problems"]]
    if problems:
        raise PriceRowsRefused(problems)
    for code, place, cells, letters in outcome.facts["rows"]:
        yield RawRow(_PLACED[code], place, cells, letters)


# --- in the process of its own ---


def read_workbook(data: bytes, _options: Mapping[str, Any]) -> tuple[dict[str, Any], list[bytes]]:
    """The job: rows as plain lists, or problems as (place, message) pairs."""
    try:
        rows = [[row.part.code, row.place, row.cells, row.letters] for row in _rows(data)]
    except PriceRowsRefused as error:
        return {"problems": [list(problem) for problem in error.problems], "rows": []}, []
    return {"problems": [], "rows": rows}, []


def _rows(data: bytes) -> Iterator[RawRow]:
    from python_calamine import CalamineError, load_workbook  # loads late: only in the job

    found = _looked_through(data)
    try:
        book = load_workbook(io.BytesIO(data))
        names = {name.strip().lower(): name for name in book.sheet_names}
        missing = [part.sheet for part in PARTS if part.sheet.lower() not in names]
        if missing:
            raise PriceRowsRefused([(_WHERE, f"the sheet “{sheet}” is missing") for sheet in missing])
        tables = [
            (part, book.get_sheet_by_name(names[part.sheet.lower()]).to_python(skip_empty_area=False))
            for part in PARTS
        ]
    except CalamineError as error:
        raise _refused("it can't be read as a workbook; save it as .xlsx and try again") from error
    for part, table in tables:
        yield from _table_rows(part, table, found.percents)


def _table_rows(part: Part, table: list[list[Any]], percents: set[_Place]) -> Iterator[RawRow]:
    heads = [_text(cell).strip().lower() for cell in table[0]] if table else []
    _check_heads(part, heads)
    letters = {name: letter_of(index) for index, name in enumerate(heads) if name}
    for number, cells in enumerate(table[1:], 2):
        found = {name: _text(cell) for name, cell in zip(heads, cells, strict=True) if name}
        if not any(text.strip() for text in map(_text, cells)):
            continue
        for index, name in enumerate(heads):
            shown = (part.sheet.lower(), number, index + 1) in percents
            if shown and _takes_percent(part, name, found):
                found[name] = _in_percent(cells[index])
        yield RawRow(part, f"{part.sheet}, row {number}", found, letters)


def _check_heads(part: Part, heads: list[str]) -> None:
    """Raises PriceRowsRefused for a column that is missing, unknown or there twice."""
    known = {column.name: column for column in part.columns}
    where = f"{part.sheet}, row 1"
    problems = [
        (where, f"the column “{name}” is missing")
        for name, column in known.items()
        if name not in heads and not column.optional
    ]
    for index, name in enumerate(heads):
        place = f"{where}, column {letter_of(index)}"
        if name and name not in known:
            problems.append((place, f"“{name[:40]}” is no column of this sheet"))
        elif name and heads.index(name) != index:
            problems.append((place, f"the column “{name}” stands twice"))
    if problems:
        raise PriceRowsRefused(problems)


def _takes_percent(part: Part, name: str, cells: Mapping[str, str]) -> bool:
    column = next((column for column in part.columns if column.name == name), None)
    if part is BOOK and name == "value":
        column = BOOK_ROWS.get(cells.get("name", "").strip().lower())
    return column is not None and column.kind == "percent"


def _text(cell: Any) -> str:
    """A cell as somebody would have typed it: 4.0 is “4”, a day is 2027-01-31."""
    if isinstance(cell, float):
        return f"{cell:.0f}" if cell.is_integer() and abs(cell) < 1e15 else repr(cell)
    if isinstance(cell, (date, datetime)):
        return cell.isoformat()[:10]
    return str(cell)


def _in_percent(cell: Any) -> str:
    """A cell in the spreadsheet's format for per cent, as it is shown: 0.0725 is “7.25 %”."""
    if isinstance(cell, bool) or not isinstance(cell, (int, float)):
        return _text(cell)
    shown = (Decimal(repr(cell)) * HUNDRED).normalize()
    return f"{shown:f} %"


# --- what is looked for before it is read ---


def _refused(message: str, place: str = _WHERE) -> PriceRowsRefused:
    return PriceRowsRefused([(place, message)])


def _looked_through(data: bytes) -> _Found:
    """What the XML parts hold, part by part. Raises PriceRowsRefused."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            entries = archive.infolist()
            if len({entry.filename for entry in entries}) < len(entries):
                raise _refused("it holds two parts of one name")
            if any(entry.flag_bits & 1 for entry in entries):
                raise _refused("it has a password; save it without one")
            return _look(archive)
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, OSError) as error:
        raise _refused("it is damaged or packed in a way that is not read here") from error


def _look(archive: zipfile.ZipFile) -> _Found:
    names = archive.namelist()
    sheets = _sheet_names(archive, names)
    found = _Found(_percent_styles(archive, names))
    for name in names:
        if name in sheets or name.startswith("xl/worksheets/"):
            _Look(name, sheets.get(name, _WHERE), found).through(archive.read(name))
    if found.formulas:
        raise PriceRowsRefused(found.formulas)
    return found


def _sheet_names(archive: zipfile.ZipFile, parts: list[str]) -> dict[str, str]:
    """Names of the sheets by the parts that hold them, as far as the workbook says so."""
    targets: dict[str, str] = {}
    names: dict[str, str] = {}

    def start(tag: str, attributes: dict[str, str]) -> None:
        if tag == "Relationship":
            target = attributes.get("Target", "")
            targets[attributes.get("Id", "")] = target.lstrip("/") if target[:1] == "/" else f"xl/{target}"
        elif tag.rpartition(":")[2] == "sheet":
            names[attributes.get("r:id", "")] = attributes.get("name", "")[:31]

    for part in ("xl/_rels/workbook.xml.rels", "xl/workbook.xml"):
        if part in parts:
            _parse(part, archive.read(part), start)
    return {targets[key]: name for key, name in names.items() if key in targets}


def _percent_styles(archive: zipfile.ZipFile, parts: list[str]) -> frozenset[str]:
    """Numbers of the cell styles that show a figure in per cent."""
    formats = {str(number) for number in PERCENT_FORMATS}
    used: list[str] = []
    inside: list[str] = []

    def start(tag: str, attributes: dict[str, str]) -> None:
        name = tag.rpartition(":")[2]
        if name in ("cellStyleXfs", "cellXfs"):
            inside[:] = [name]
        elif name == "numFmt" and "%" in attributes.get("formatCode", ""):
            formats.add(attributes.get("numFmtId", ""))
        elif name == "xf" and inside == ["cellXfs"]:
            used.append(attributes.get("numFmtId", ""))

    if "xl/styles.xml" in parts:
        _parse("xl/styles.xml", archive.read("xl/styles.xml"), start)
    return frozenset(str(place) for place, number in enumerate(used) if number in formats)


def _parse(name: str, content: bytes, start: Any, end: Any = None) -> None:
    parser = expat.ParserCreate()
    parser.StartElementHandler = start
    parser.EndElementHandler = end
    try:
        parser.Parse(content, True)
    except expat.ExpatError as error:
        raise _refused(f"{name[:60]} is damaged") from error


@dataclass(slots=True)
class _Found:
    """What all parts hold together; `percents` are the places of figures shown in per cent."""

    percent_styles: frozenset[str]
    cells: int = 0
    formulas: list[tuple[str, str]] = field(default_factory=list)
    percents: set[_Place] = field(default_factory=set)


class _Look:
    """One sheet's XML: counts cells, bounds their places, and finds formulas."""

    def __init__(self, name: str, sheet: str, found: _Found) -> None:
        self.name, self.sheet, self.found = name, sheet, found
        self.row, self.column, self.in_cell = 0, 0, False

    def through(self, content: bytes) -> None:
        _parse(self.name, content, self._start, self._end)

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        name = tag.rpartition(":")[2]
        if name == "row":
            self.row = _whole(attributes.get("r"), self.row + 1)
            self.column = 0
        elif name == "c":
            self._cell(attributes.get("r", ""), attributes.get("s", ""))
        elif name == "f" and self.in_cell and len(self.found.formulas) < PROBLEMS_MOST:
            place = f"{self.sheet}, row {self.row}, column {letter_of(self.column - 1)}"
            self.found.formulas.append((place, "the cell holds a formula; put its value there instead"))
        self._check_place()

    def _cell(self, reference: str, style: str) -> None:
        self.in_cell = True
        self.found.cells += 1
        letters = reference.rstrip("0123456789")
        self.column = self.column + 1
        if letters and letters.isascii() and letters.isalpha():
            self.column = 0
            for sign in letters.upper()[:4]:
                self.column = self.column * 26 + ord(sign) - 64
            self.row = _whole(reference[len(letters) :], self.row)
        if style in self.found.percent_styles:
            self.found.percents.add((self.sheet.strip().lower(), self.row, self.column))

    def _end(self, tag: str) -> None:
        if tag.rpartition(":")[2] == "c":
            self.in_cell = False

    def _check_place(self) -> None:
        if self.row > ROW_MOST or self.column > COLUMN_MOST:
            limit = f"a cell lies beyond row {ROW_MOST:,} or column {COLUMN_MOST}"
            raise _refused(f"{limit}; take away what is not the price book", self.sheet)
        if self.found.cells > CELLS_MOST:
            raise _refused(f"it has over {CELLS_MOST:,} cells")


def _whole(text: str | None, otherwise: int) -> int:
    return int(text) if text and text.isascii() and text.isdigit() and len(text) < 10 else otherwise
