"""Figures and pipeline as workbooks: texts as texts, numbers as numbers, days as days, no formulas."""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any, Final

from quotes.figures_asked import Asked
from quotes.figures_shapes import CurrencyFigures, Figures
from quotes.pipeline_facts import PipelineRow

XLSX_TYPE: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
_CELL_MOST: Final = 32_000
_FORMS: Final = {
    "money": "#,##0.00",
    "share": "0.0%",
    "count": "#,##0",
    "day": "yyyy-mm-dd",
    "month": "yyyy-mm",
}

Value = str | int | float | Decimal | date | None


@dataclass(frozen=True, slots=True)
class Sheet:
    """A table: columns are a name and a form, “text” or one of `_FORMS`."""

    name: str
    columns: tuple[tuple[str, str], ...]
    rows: Sequence[Sequence[Value]]


def workbook(sheets: Iterable[Sheet], title: str, at: datetime) -> bytes:
    """The sheets as a workbook."""
    import xlsxwriter  # loads late: only here

    stream = io.BytesIO()
    with xlsxwriter.Workbook(stream, {"in_memory": True}) as book:
        book.set_properties(
            {"title": title, "created": at.astimezone(UTC).replace(tzinfo=None, microsecond=0)}
        )
        looks: dict[str, Any] = {form: book.add_format({"num_format": code}) for form, code in _FORMS.items()}
        head = book.add_format({"bold": True, "bottom": 1, "text_wrap": True})
        for each in sheets:
            sheet = book.add_worksheet(each.name[:31])
            sheet.freeze_panes(1, 0)
            for column, (name, form) in enumerate(each.columns):
                sheet.set_column(column, column, 26 if form == "text" else 13)
                sheet.write_string(0, column, name, head)
            for number, row in enumerate(each.rows, 1):
                for column, value in enumerate(row):
                    _write(sheet, number, column, value, looks.get(each.columns[column][1]))
    return stream.getvalue()


def _write(sheet: Any, row: int, column: int, value: Value, look: Any) -> None:
    if value is None:
        return
    if isinstance(value, str):
        sheet.write_string(row, column, value[:_CELL_MOST])
    elif isinstance(value, date):
        sheet.write_datetime(row, column, value, look)
    else:
        sheet.write_number(row, column, float(value), look)


def figures_workbook(figures: Figures, asked: Asked, at: datetime) -> bytes:
    """A sheet of what was decided, and for each currency its months and its reasons."""
    sheets = [_decided(figures)]
    for each in figures.currencies:
        sheets += [_months(each), _reasons(each)]
    return workbook(sheets, f"Figures, {asked.period.name}, {asked.whose.label}", at)


def _decided(figures: Figures) -> Sheet:
    columns = (
        ("Currency", "text"), ("Booked", "count"), ("Booked value before tax", "money"), ("Declined", "count"),
        ("Declined value", "money"), ("Lapsed", "count"), ("Lapsed value", "money"), ("Win rate by count", "share"),
        ("Win rate by value", "share"),
    )  # fmt: skip
    rows: list[list[Value]] = []
    for each in figures.currencies:
        tallies: list[Value] = [figure for t in each.outcomes.values() for figure in (t.count, t.value)]
        rows.append([each.currency, *tallies, each.rate_by_count.share, each.rate_by_value.share])
    return Sheet("Decided", columns, rows)


def _months(each: CurrencyFigures) -> Sheet:
    columns: list[tuple[str, str]] = [
        ("Month", "month"), ("Quoted", "count"), ("Quoted value before tax", "money"), ("Booked", "count"),
        ("Booked value before tax", "money"),
    ]  # fmt: skip
    rows: list[list[Value]] = [
        [m.first, m.quoted.count, m.quoted.value, m.booked.count, m.booked.value] for m in each.months
    ]
    if each.earned is not None:
        columns.append(("Margin", "share"))
        for row, month in zip(rows, each.months, strict=True):
            row.append(month.earned.margin if month.earned else None)
    return Sheet(f"{each.currency} months", tuple(columns), rows)


def _reasons(each: CurrencyFigures) -> Sheet:
    columns = (("Reason", "text"), ("Lost", "count"), ("Lost value before tax", "money"))
    rows: list[list[Value]] = [
        [reason.words, reason.lost.count, reason.lost.value] for reason in each.reasons
    ]
    return Sheet(f"{each.currency} reasons", columns, rows)


def pipeline_workbook(rows: Iterable[PipelineRow], at: datetime) -> bytes:
    """The pipeline as a sheet, in the order of the page."""
    columns = (
        ("Quote", "text"), ("Revision", "count"), ("Stage", "text"), ("Project", "text"), ("Builder", "text"),
        ("Seller", "text"), ("Currency", "text"), ("Value before tax", "money"), ("Days in stage", "count"),
        ("Last day", "day"), ("Next step", "text"),
    )  # fmt: skip
    table: list[list[Value]] = [
        [
            row.quote.number, row.revision.number, row.quote.get_stage_display(), row.quote.project.name,
            row.quote.project.builder.name, row.quote.owner.name, row.revision.currency, row.value, row.age_days,
            row.last_day, row.step.words,
        ]
        for row in rows
    ]  # fmt: skip
    return workbook([Sheet("Pipeline", columns, table)], "Pipeline", at)
