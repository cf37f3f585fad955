"""Reading a list of corners: rows of x and y, maybe with what each row is a corner of.

Only the text is taken apart here; lengths are read later (R50), in the units that a person chooses.
"""

from __future__ import annotations

import codecs
import csv
import io
from collections.abc import Mapping, Sequence
from typing import Any, Final

from framing.common.bounded import JobRefused

BYTES_MOST: Final = 1_000_000
ROWS_MOST: Final = 2_000
CELL_MOST: Final = 80
CELLS_MOST: Final = 20
_SEPARATORS: Final = ("\t", ";", ",")
_MARKS: Final = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
_WORDS: Final = {"\t": "tabs", ";": "semicolons", ",": "commas"}


def read_corners(data: bytes, options: Mapping[str, Any]) -> tuple[dict[str, Any], list[bytes]]:
    """The facts of a list of corners: `rows` as [row number in the file, cells], how they were separated.

    `columns` gives the places of x, y and what among the cells; a heading row decides them. Raises JobRefused.
    """
    del options
    if len(data) > BYTES_MOST:
        raise JobRefused(
            f"The list has {len(data):,} bytes; at most {BYTES_MOST:,} are read. Keep only the corners."
        )
    text, encoding = _text(data)
    separator = _separator(text)
    rows = _rows(text, separator)
    if not rows:
        raise JobRefused("The list has no rows. Write a corner a row: x, y.")
    heading = not any(sign.isdigit() for sign in "".join(rows[0][1][:2]))
    columns = _columns(rows[0][1]) if heading else [0, 1, 2]
    body = rows[1:] if heading else rows
    if not body:
        raise JobRefused("The list has a heading but no corners. Write a corner a row: x, y.")
    facts = {
        "rows": [[number, [cell[:CELL_MOST] for cell in cells[:CELLS_MOST]]] for number, cells in body],
        "heading": heading,
        "columns": columns,
        "separator": _WORDS[separator],
        "encoding": encoding,
    }
    return facts, []


def _text(data: bytes) -> tuple[str, str]:
    """The text and its encoding: by its mark, else two-byte text by its zeros, else UTF-8, else Windows-1252."""
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            return data[len(mark) :].decode(encoding, "replace"), encoding.upper()
    for encoding, zeros in (("utf-16-le", data[1:64:2]), ("utf-16-be", data[0:64:2])):
        if len(data) >= 4 and zeros and zeros.count(0) * 2 > len(zeros):
            return data.decode(encoding, "replace"), encoding.upper()
    try:
        return data.decode("utf-8"), "UTF-8"
    except UnicodeDecodeError:
        return data.decode("cp1252", "replace"), "WINDOWS-1252"


def _separator(text: str) -> str:
    """The first of tab, semicolon and comma that most of the first rows hold; a comma where none does."""
    lines = [line for line in text.splitlines()[:50] if line.strip()]
    for sign in _SEPARATORS:
        if lines and 2 * sum(sign in line for line in lines) > len(lines):
            return sign
    return ","


def _rows(text: str, separator: str) -> list[tuple[int, list[str]]]:
    reader = csv.reader(io.StringIO(text.replace("\x00", ""), newline=""), delimiter=separator)
    rows: list[tuple[int, list[str]]] = []
    try:
        for cells in reader:
            clean = [_plain(cell) for cell in cells]
            if any(clean):
                rows.append((reader.line_num, clean))
            if len(rows) > ROWS_MOST:
                raise JobRefused(f"The list has over {ROWS_MOST:,} rows; at most {ROWS_MOST:,} are read.")
    except csv.Error as error:
        raise JobRefused(
            f"Row {reader.line_num} can't be taken apart ({error}). Save the list as plain CSV and add that."
        ) from error
    return rows


def _plain(cell: str) -> str:
    return " ".join("".join(sign if sign.isprintable() else " " for sign in cell[:400]).split())


def _columns(heading: Sequence[str]) -> list[int]:
    """Places of x, y and what by their headings, else the first three."""
    names = [cell.casefold() for cell in heading]
    if "x" not in names or "y" not in names:
        return [0, 1, 2]
    x, y = names.index("x"), names.index("y")
    free = next(place for place in range(3) if place not in (x, y))
    what = (
        free if not "".join(names[free : free + 1]) else -1
    )  # a further column with another heading is none of ours
    return [x, y, next((names.index(name) for name in ("what", "of", "part") if name in names), what)]
