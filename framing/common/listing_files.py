"""Files of a list: what the page shows, all pages of it, as a workbook or as CSV."""

from __future__ import annotations

import csv
import tempfile
from collections.abc import Iterable, Iterator
from datetime import date
from decimal import Decimal
from typing import Any, Final

from django.http import FileResponse
from django_tables2.rows import BoundRow

from framing.common.errors import NotThere, Refused
from framing.common.listing import Asked
from framing.common.listing_columns import Money, Words

ROWS_MOST: Final = 5_000
CHUNK: Final = 500
CELL_MOST: Final = 32_000  # a workbook's cell holds 32,767 signs
SPOOL_BYTES: Final = 1_000_000
FORMULA_SIGNS: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")
TYPES: Final = {
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "csv": "text/csv; charset=utf-8",
}
_FORMS: Final = {
    "count": "#,##0",
    "money": "#,##0.00",
    "share": "0.0%",
    "feet": "#,##0.0###",
    "pounds": "#,##0.#",
    "day": "yyyy-mm-dd",
}
_WIDE: Final = {"text": 28, "day": 12}


def list_file(asked: Asked, form: str) -> FileResponse:
    """The list as a file; it is written row by row.

    Raises NotThere for a form that there is not, Refused for more rows than a file takes.
    """
    if form not in TYPES:
        raise NotThere()
    rows = asked.rows()
    count = rows.count()
    if count > ROWS_MOST:
        raise Refused(
            f"This list has {count:,} rows; a file takes {ROWS_MOST:,} at most. Narrow it with its filters first."
        )
    stream: Any = tempfile.SpooledTemporaryFile(max_size=SPOOL_BYTES)  # noqa: SIM115  # the response closes it
    write = _write_csv if form == "csv" else _write_workbook
    write(stream, asked, _records(asked, rows.iterator(chunk_size=CHUNK)))
    stream.seek(0)
    return FileResponse(
        stream,
        as_attachment=True,
        filename=f"{asked.spec.title.lower()}.{form}",
        content_type=TYPES[form],
    )


def _records(asked: Asked, rows: Iterable[Any]) -> Iterator[tuple[Any, list[Any]]]:
    table = asked.table()
    for record in rows:
        row = BoundRow(record, table=table)
        yield record, [row.get_cell_value(name) for name in asked.columns]


def _columns(asked: Asked) -> list[Words]:
    known = asked.spec.columns(asked.audience)
    return [known[name] for name in asked.columns]


def _title(column: Words) -> str:
    return f"{column.label} ({column.unit})" if column.unit else column.label


def _write_csv(stream: Any, asked: Asked, records: Iterator[tuple[Any, list[Any]]]) -> None:
    stream.write("\ufeff".encode())  # by this mark spreadsheet programs know the encoding
    lines = csv.writer(_Encoded(stream))
    lines.writerow(_title(column) for column in _columns(asked))
    lines.writerows([_plain(value) for value in values] for _, values in records)


class _Encoded:
    """What the CSV writer writes to: text goes on as UTF-8."""

    def __init__(self, stream: Any) -> None:
        self.stream = stream

    def write(self, text: str) -> int:
        return int(self.stream.write(text.encode()))


def _plain(value: Any) -> str | int:
    if value is None:
        return ""
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, date):
        return value.isoformat()
    return value if isinstance(value, int) else harmless(str(value))


def harmless(text: str) -> str:
    """Text that a spreadsheet would run as a formula gets an apostrophe before it."""
    return f"'{text}" if text.lstrip(" ").startswith(FORMULA_SIGNS) else text


def _write_workbook(stream: Any, asked: Asked, records: Iterator[tuple[Any, list[Any]]]) -> None:
    import xlsxwriter  # loads late: only here

    with xlsxwriter.Workbook(stream, {"constant_memory": True}) as book:
        sheet = book.add_worksheet(asked.spec.title)
        head = book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"})
        looks: dict[str, Any] = {"": book.add_format({"quote_prefix": True})}
        columns = _columns(asked)
        sheet.freeze_panes(1, 1)
        sheet.repeat_rows(0)
        sheet.set_landscape()
        sheet.fit_to_pages(1, 0)
        for index, column in enumerate(columns):
            sheet.set_column(index, index, _WIDE.get(column.kind, 14))
        for index, column in enumerate(columns):
            sheet.write_string(0, index, _title(column), head)
        for number, (record, values) in enumerate(records, 1):
            for index, (column, value) in enumerate(zip(columns, values, strict=True)):
                _write_cell(book, sheet, (number, index), column, record, value, looks)


def _write_cell(
    book: Any, sheet: Any, at: tuple[int, int], column: Words, record: Any, value: Any, looks: dict[str, Any]
) -> None:
    if value is None:
        return
    if isinstance(value, str):
        # Text, whatever it begins with; the mark keeps it text when somebody edits the cell.
        marked = looks[""] if harmless(value) != value else None
        sheet.write_string(*at, value[:CELL_MOST], marked)
        return
    form = _form(column, record)
    if form not in looks:
        looks[form] = book.add_format({"num_format": form})
    if isinstance(value, date):
        sheet.write_datetime(*at, value, looks[form])
    else:
        sheet.write_number(*at, value, looks[form])


def _form(column: Words, record: Any) -> str:
    form = _FORMS[column.kind]
    if isinstance(column, Money):
        currency = getattr(record, column.currency) or "USD"
        sign = "$" if currency in ("USD", "CAD") else f"{currency} "
        return f'"{sign}"{form}'
    return form
