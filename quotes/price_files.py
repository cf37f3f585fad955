"""A price book as CSV and workbook, out and in. What is read is bounded before it is opened; no cell is a formula."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal
from typing import TYPE_CHECKING, Any, Final

from quotes.price_cells import document_of_rows
from quotes.price_columns import (
    MARGIN_ROW,
    PARTS,
    Cell,
    Column,
    Part,
    PriceRowsRefused,
    RawRow,
    document_rows,
    letter_of,
)
from quotes.price_documents import PriceBookDocument
from quotes.price_fields import FORMULA_SIGNS
from quotes.price_workbook import workbook_rows

if TYPE_CHECKING:
    from xlsxwriter.worksheet import Worksheet

CSV_TYPE: Final = "text/csv; charset=utf-8"
XLSX_TYPE: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
FILE_MOST: Final = 2_000_000
ROWS_MOST: Final = 8_000
_OPTIONAL: Final = frozenset(c.name for part in PARTS for c in part.columns if c.optional)
_ZIP: Final = b"PK\x03\x04"
_OLD_WORKBOOK: Final = b"\xd0\xcf\x11\xe0"


class PriceFileRefused(PriceRowsRefused):
    """A file that is no price book of ours, or is too big, as (place, message) pairs."""


# --- out ---


def csv_of(document: PriceBookDocument, *, costs: bool = True) -> bytes:
    """One table of all parts in UTF-8 with its mark; texts that a spreadsheet would run get an apostrophe."""
    columns = _csv_columns(costs)
    stream = io.StringIO(newline="")
    writer = csv.DictWriter(stream, ["part", *columns], restval="", extrasaction="ignore")
    writer.writeheader()
    for part, cells in _shown_rows(document, costs):
        writer.writerow({"part": part.code} | {name: shown_cell(cell) for name, cell in cells.items()})
    return stream.getvalue().encode("utf-8-sig")


def _shown_rows(document: PriceBookDocument, costs: bool) -> Iterator[tuple[Part, dict[str, Cell]]]:
    """The rows of a file; who may not see costs sees no margin either (R39)."""
    for part, cells in document_rows(document):
        if costs or cells.get("name") != MARGIN_ROW:
            yield part, cells


def _csv_columns(costs: bool) -> list[str]:
    """Columns of a CSV file; those that a file may lack stand last."""
    columns = [column for part in PARTS for column in part.columns]
    names = dict.fromkeys(column.name for column in sorted(columns, key=lambda column: column.optional))
    return [name for name in names if costs or name != "cost"]


def shown_cell(cell: Cell) -> str:
    """A cell as text; one that a spreadsheet would run gets an apostrophe before it."""
    if isinstance(cell, str):
        return f"'{cell}" if cell.lstrip(" ").startswith(FORMULA_SIGNS) else cell
    return f"{cell:f}" if isinstance(cell, Decimal) else str(cell)


def xlsx_of(document: PriceBookDocument, *, made_at: datetime, costs: bool = True) -> bytes:
    """A workbook with a sheet for each part: texts as texts, numbers as numbers, no formulas; equal for equal input."""
    import xlsxwriter  # loads late: only here

    stream = io.BytesIO()
    with xlsxwriter.Workbook(stream, {"in_memory": True}) as book:
        created = made_at.astimezone(UTC).replace(tzinfo=None, microsecond=0)
        book.set_properties({"title": f"{document.name} {document.number}", "created": created})
        looks = {
            "head": book.add_format({"bold": True, "bottom": 1}),
            "number": book.add_format({"num_format": "#,##0.00##"}),
            "percent": book.add_format({"num_format": "0.###"}),
            "whole": book.add_format({"num_format": "#,##0"}),
        }
        rows: dict[str, list[dict[str, Cell]]] = {part.code: [] for part in PARTS}
        for part, cells in _shown_rows(document, costs):
            rows[part.code].append(cells)
        for part in PARTS:
            columns = [column for column in part.columns if costs or column.name != "cost"]
            _fill(book.add_worksheet(part.sheet), columns, rows[part.code], looks)
    return stream.getvalue()


def _fill(
    sheet: Worksheet, columns: Sequence[Column], rows: Sequence[dict[str, Cell]], looks: dict[str, Any]
) -> None:
    sheet.freeze_panes(1, 0)
    sheet.repeat_rows(0)
    sheet.fit_to_pages(1, 0)
    for index, column in enumerate(columns):
        sheet.set_column(index, index, column.width)
        sheet.write_string(0, index, column.name, looks["head"])
    for number, cells in enumerate(rows, 1):
        for index, column in enumerate(columns):
            cell = cells.get(column.name)
            if isinstance(cell, str):
                sheet.write_string(number, index, cell)
            elif cell is not None:
                sheet.write_number(number, index, float(cell), looks.get(column.kind))


# --- in ---


def read_price_file(data: bytes, *, number: int = 1) -> PriceBookDocument:
    """The document in a CSV file or a workbook, told by its contents.

    Raises PriceFileRefused for what is no such file or too big, PriceRowsRefused for wrong cells; both name row and
    column.
    """
    if len(data) > FILE_MOST:
        raise PriceFileRefused([("file", f"it has {len(data):,} bytes; at most {FILE_MOST:,} are read")])
    if not data.strip():
        raise PriceFileRefused([("file", "it is empty")])
    if data.startswith(_OLD_WORKBOOK):
        message = "it is a workbook of the old kind or one with a password; save it as .xlsx without one"
        raise PriceFileRefused([("file", message)])
    rows = workbook_rows(data) if data.startswith(_ZIP) else _csv_rows(data)
    return document_of_rows(_limited(rows), number=number)


def _limited(rows: Iterable[RawRow]) -> Iterator[RawRow]:
    for count, row in enumerate(rows, 1):
        if count > ROWS_MOST:
            raise PriceFileRefused([(row.place, f"there are more than {ROWS_MOST:,} rows")])
        yield row


def _csv_rows(data: bytes) -> Iterator[RawRow]:
    text = _decoded(data)
    delimiter = _delimiter(text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        heads = [cell.strip().lower() for cell in next(reader)]
        letters = _heads_checked(heads)
        for cells in reader:
            if any(cell.strip() for cell in cells):
                row = _csv_row(heads, letters, cells, reader.line_num)
                yield replace(row, comma_decimal=delimiter == ";")
    except csv.Error as error:
        raise PriceFileRefused([(f"row {reader.line_num}", f"it can't be read as CSV: {error}")]) from error


def _decoded(data: bytes) -> str:
    """UTF-8 with or without its mark; what is something else is told by its first wrong sign."""
    wrong = data.find(b"\0")  # of UTF-16 every other byte, and valid in UTF-8
    try:
        if wrong < 0:
            return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        wrong = error.start
    before = data[:wrong].decode("utf-8-sig", errors="replace")
    line = before[before.rfind("\n") + 1 :]
    cells = next(csv.reader([line], delimiter=_delimiter(before)), [""])
    place = f"row {before.count(chr(10)) + 1}, column {letter_of(max(len(cells), 1) - 1)}"
    raise PriceFileRefused([(place, "the file is not in UTF-8; save it as “CSV UTF-8” and try again")])


def _delimiter(text: str) -> str:
    head = text.lstrip().partition("\n")[0]
    return ";" if head.count(";") > head.count(",") else ","


def _heads_checked(heads: Sequence[str]) -> dict[str, str]:
    """Letters of the columns by name. Raises PriceFileRefused for a head that is missing, unknown or there twice."""
    known = ["part", *_csv_columns(costs=True)]
    needed = [name for name in known if name not in _OPTIONAL]
    problems = [("row 1", f"the column “{name}” is missing") for name in needed if name not in heads]
    for index, name in enumerate(heads):
        if name and name not in known:
            problems.append(
                (f"row 1, column {letter_of(index)}", f"“{name[:40]}” is no column of a price book")
            )
        elif name and heads.index(name) != index:
            problems.append((f"row 1, column {letter_of(index)}", f"the column “{name}” stands twice"))
    if problems:
        raise PriceFileRefused(problems)
    return {name: letter_of(index) for index, name in enumerate(heads) if name}


def _csv_row(heads: Sequence[str], letters: dict[str, str], cells: Sequence[str], line: int) -> RawRow:
    place = f"row {line}"
    if len(cells) > len(heads) and any(cell.strip() for cell in cells[len(heads) :]):
        raise PriceFileRefused([(place, f"it has {len(cells)} cells; the head has {len(heads)}")])
    found = {name: _unescaped(cell) for name, cell in zip(heads, cells, strict=False) if name}
    part = next((part for part in PARTS if part.code == found.get("part", "").strip().lower()), None)
    if part is None:
        known = ", ".join(part.code for part in PARTS)
        message = f"“{found.get('part', '')[:20]}” is none of: {known}"
        raise PriceFileRefused([(f"{place}, column {letters['part']} (part)", message)])
    return RawRow(part, place, found, letters)


def _unescaped(cell: str) -> str:
    """A text that the export put an apostrophe before, as it was."""
    return cell[1:] if cell.startswith("'") and cell[1:].lstrip(" ").startswith(FORMULA_SIGNS) else cell


__all__ = [
    "CSV_TYPE",
    "FILE_MOST",
    "XLSX_TYPE",
    "PriceFileRefused",
    "PriceRowsRefused",
    "csv_of",
    "read_price_file",
    "xlsx_of",
]
