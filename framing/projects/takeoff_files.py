"""Files of a floor's take-off: CSV, a workbook, and the plan as DXF; equal input gives equal bytes."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any, Final

from framing.drawing.dxf import plan_dxf
from framing.engine.practice import Practice
from framing.engine.result import FloorResult
from framing.projects.takeoff_tables import Cell, Column, Table, takeoff_tables

if TYPE_CHECKING:
    from xlsxwriter.worksheet import Worksheet

CSV_TYPE: Final = "text/csv; charset=utf-8"
XLSX_TYPE: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
DXF_TYPE: Final = "image/vnd.dxf"
_FORMULA_SIGNS: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")
_CELL_MOST: Final = 32_000  # a workbook's cell holds 32,767 signs
_NUMBERS: Final = {"count": "#,##0", "inches": "#,##0.0###", "weight": "#,##0.0"}


@dataclass(frozen=True, slots=True)
class TakeoffSubject:
    """What the files are about.

    `version` is None where nothing is saved. `made_at` is when the version was saved: nothing in the files may move.
    """

    floor: str
    version: int | None
    project: str
    basis: str
    made_at: datetime

    @property
    def title(self) -> str:
        return self.floor if self.version is None else f"{self.floor}, version {self.version}"


def csv_bytes(table: Table) -> bytes:
    """One table as CSV in UTF-8, with the mark by which spreadsheet programs know it; no cell starts a formula."""
    stream = io.StringIO(newline="")
    writer = csv.writer(stream)
    writer.writerow(column.name for column in table.columns)
    writer.writerows([_harmless(cell) for cell in row] for row in table.rows)
    return stream.getvalue().encode("utf-8-sig")


def _harmless(cell: Cell) -> Cell:
    """Text that a spreadsheet would run as a formula gets an apostrophe before it."""
    return f"'{cell}" if isinstance(cell, str) and cell.lstrip(" ").startswith(_FORMULA_SIGNS) else cell


def workbook_bytes(tables: Sequence[Table], subject: TakeoffSubject) -> bytes:
    """All tables as a workbook, a sheet each: texts as texts, numbers as numbers, no formulas."""
    import xlsxwriter  # loads late: only here

    stream = io.BytesIO()
    with xlsxwriter.Workbook(stream, {"in_memory": True}) as book:
        book.set_properties(
            {
                "title": subject.title,
                "subject": subject.project,
                "comments": subject.basis,
                "created": subject.made_at.astimezone(UTC).replace(tzinfo=None, microsecond=0),
            }
        )
        looks = {"head": book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"})}
        looks |= {"words": book.add_format({"text_wrap": True, "valign": "top"})}
        for kind, form in _NUMBERS.items():
            looks[kind] = book.add_format({"num_format": form, "valign": "top"})
        for table in tables:
            _fill(book.add_worksheet(table.title), table, subject, looks)
    return stream.getvalue()


def _fill(sheet: Worksheet, table: Table, subject: TakeoffSubject, looks: Mapping[str, Any]) -> None:
    """The head stays in sight and is printed on every page; a page is as wide as the table."""
    sheet.freeze_panes(1, 0)
    sheet.repeat_rows(0)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.set_footer(f"&L{subject.title.replace('&', '&&')}&C{table.title}&R&P / &N")
    for index, column in enumerate(table.columns):
        sheet.set_column(index, index, column.width)
        sheet.write_string(0, index, column.name, looks["head"])
    for number, row in enumerate(table.rows, 1):
        for index, (column, cell) in enumerate(zip(table.columns, row, strict=True)):
            _write(sheet, number, index, column, cell, looks)
    sheet.autofilter(0, 0, len(table.rows), len(table.columns) - 1)


def _write(
    sheet: Worksheet, row: int, index: int, column: Column, cell: Cell, looks: Mapping[str, Any]
) -> None:
    if isinstance(cell, str):
        text = cell if len(cell) <= _CELL_MOST else f"{cell[:_CELL_MOST]} ... (whole in the CSV)"
        sheet.write_string(row, index, text, looks["words"])
    else:
        sheet.write_number(row, index, cell, looks[column.kind])


def plan_bytes(result: FloorResult, subject: TakeoffSubject) -> bytes:
    """The plan as a DXF drawing with its title."""
    title = (subject.project, subject.title, subject.basis)
    return plan_dxf(result, title=[words for words in title if words]).encode()


def takeoff_files(result: FloorResult, practice: Practice, subject: TakeoffSubject) -> dict[str, bytes]:
    """All files by the last words of their names, for those who want them at once."""
    tables = takeoff_tables(result, practice)
    return {
        "plan.dxf": plan_bytes(result, subject),
        "takeoff.xlsx": workbook_bytes(tables, subject),
        **{f"{table.code}.csv": csv_bytes(table) for table in tables},
    }
