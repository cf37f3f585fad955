"""Rows out of a workbook that somebody sends: bounded by the file's own directory before anything is unpacked.

What unpacks too far, has too many parts, cells or far-off cells, a formula or a document type is refused; the rest
is packed anew from the parts that were looked at, and only that is given to the reader.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any, Final
from xml.parsers import expat

from quotes.price_cells import PriceRowsRefused
from quotes.price_columns import PARTS, Part, RawRow, letter_of

PARTS_MOST: Final = 300
BYTES_MOST: Final = 20_000_000
RATIO_MOST: Final = 200
RATIO_FROM: Final = 64_000  # smaller parts may be packed as well as they like
CELLS_MOST: Final = 200_000
ROW_MOST: Final = 8_001
COLUMN_MOST: Final = 60
_WHERE: Final = "workbook"


def workbook_rows(data: bytes) -> Iterator[RawRow]:
    """The rows of the sheets that a price book has; other sheets are left aside.

    Raises PriceRowsRefused for what can't be opened safely, a sheet or column that is missing, and formulas.
    """
    from python_calamine import CalamineError, load_workbook  # loads late: only here

    safe = _looked_through(data)
    try:
        book = load_workbook(io.BytesIO(safe))
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
        yield from _table_rows(part, table)


def _table_rows(part: Part, table: list[list[Any]]) -> Iterator[RawRow]:
    heads = [_text(cell).strip().lower() for cell in table[0]] if table else []
    lacks = [column.name for column in part.columns if column.name not in heads]
    extra = [name for name in heads if name and name not in {column.name for column in part.columns}]
    problems = [(f"{part.sheet}, row 1", f"the column “{name}” is missing") for name in lacks]
    problems += [(f"{part.sheet}, row 1", f"“{name[:40]}” is no column of this sheet") for name in extra]
    problems += [
        (f"{part.sheet}, row 1", f"the column “{name}” stands twice")
        for name in dict.fromkeys(heads)
        if name and heads.count(name) > 1
    ]
    if problems:
        raise PriceRowsRefused(problems)
    letters = {name: letter_of(index) for index, name in enumerate(heads) if name}
    for number, cells in enumerate(table[1:], 2):
        texts = [_text(cell) for cell in cells]
        if any(text.strip() for text in texts):
            found = {name: text for name, text in zip(heads, texts, strict=True) if name}
            yield RawRow(part, f"{part.sheet}, row {number}", found, letters)


def _text(cell: Any) -> str:
    """A cell as somebody would have typed it: 4.0 is “4”, a day is 2027-01-31."""
    if isinstance(cell, float):
        return f"{cell:.0f}" if cell.is_integer() and abs(cell) < 1e15 else repr(cell)
    if isinstance(cell, (date, datetime)):
        return cell.isoformat()[:10]
    return str(cell)


# --- what may be opened ---


def _refused(message: str, place: str = _WHERE) -> PriceRowsRefused:
    return PriceRowsRefused([(place, message)])


def _looked_through(data: bytes) -> bytes:
    """The workbook's XML parts, each looked through, packed anew. Raises PriceRowsRefused."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            entries = archive.infolist()
            _check_directory(entries)
            parts = {entry.filename: archive.read(entry) for entry in entries if not entry.is_dir()}
    except PriceRowsRefused:
        raise
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, OSError, ValueError) as error:
        raise _refused("it is damaged or packed in a way that is not read here") from error
    found, sheets = _Found(), _sheet_names(parts)
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_STORED) as clean:
        for name, content in parts.items():
            if content.lstrip().startswith((b"<", b"\xef\xbb\xbf<")):
                _Look(name, sheets.get(name, _WHERE), found).through(content)
                clean.writestr(zipfile.ZipInfo(name), content)
    if found.formulas:
        raise PriceRowsRefused(found.formulas)
    return stream.getvalue()


def _sheet_names(parts: dict[str, bytes]) -> dict[str, str]:
    """Names of the sheets by the parts that hold them, as far as the workbook says so; only for messages."""
    targets: dict[str, str] = {}
    names: dict[str, str] = {}

    def start(tag: str, attributes: dict[str, str]) -> None:
        if tag == "Relationship":
            target = attributes.get("Target", "")
            targets[attributes.get("Id", "")] = target.lstrip("/") if target[:1] == "/" else f"xl/{target}"
        elif tag.rpartition(":")[2] == "sheet":
            names[attributes.get("r:id", "")] = attributes.get("name", "")[:31]

    for part in ("xl/_rels/workbook.xml.rels", "xl/workbook.xml"):
        parser = expat.ParserCreate()
        parser.StartElementHandler = start
        try:
            parser.Parse(parts.get(part, b"<none/>"), True)
        except expat.ExpatError as error:
            raise _refused(f"{part} is damaged") from error
    return {targets[key]: name for key, name in names.items() if key in targets}


def _check_directory(entries: list[zipfile.ZipInfo]) -> None:
    """Refuse by what the directory says, before a byte is unpacked; more than it says is never unpacked."""
    if len(entries) > PARTS_MOST:
        raise _refused(f"it has {len(entries):,} parts; a workbook has at most {PARTS_MOST}")
    if len({entry.filename for entry in entries}) < len(entries):
        raise _refused("it holds two parts of one name")
    total = sum(entry.file_size for entry in entries)
    if total > BYTES_MOST:
        raise _refused(f"it would unpack to {total:,} bytes; at most {BYTES_MOST:,} are read")
    for entry in entries:
        if entry.flag_bits & 1:
            raise _refused("it has a password; save it without one")
        if entry.file_size > RATIO_FROM and entry.file_size > RATIO_MOST * max(1, entry.compress_size):
            raise _refused(f"{entry.filename[:60]} would unpack to over {RATIO_MOST} times its size")


@dataclass(slots=True)
class _Found:
    """What all parts hold together."""

    cells: int = 0
    formulas: list[tuple[str, str]] = field(default_factory=list)


class _Look:
    """One XML part: counts cells, bounds their places, and finds formulas."""

    def __init__(self, name: str, sheet: str, found: _Found) -> None:
        self.name, self.sheet, self.found = name, sheet, found
        self.row, self.column, self.in_cell = 0, 0, False

    def through(self, content: bytes) -> None:
        parser = expat.ParserCreate()
        parser.StartDoctypeDeclHandler = self._doctype
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        try:
            parser.Parse(content, True)
        except expat.ExpatError as error:
            raise _refused(f"{self.name[:60]} is damaged") from error

    def _doctype(self, *_: Any) -> None:
        raise _refused(f"{self.name[:60]} declares a document type, which no workbook needs")

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        name = tag.rpartition(":")[2]
        if name == "row":
            self.row = _whole(attributes.get("r"), self.row + 1)
            self.column = 0
        elif name == "c":
            self._cell(attributes.get("r", ""))
        elif name == "f" and self.in_cell:
            place = f"{self.sheet}, row {self.row}, column {letter_of(self.column - 1)}"
            self.found.formulas.append((place, "the cell holds a formula; put its value there instead"))
        self._check_place()

    def _cell(self, reference: str) -> None:
        self.in_cell = True
        self.found.cells += 1
        letters = reference.rstrip("0123456789")
        self.column = self.column + 1
        if letters and letters.isascii() and letters.isalpha():
            self.column = 0
            for sign in letters.upper()[:4]:
                self.column = self.column * 26 + ord(sign) - 64
            self.row = _whole(reference[len(letters) :], self.row)

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
