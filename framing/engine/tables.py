"""Reads the engine's CSV tables and refuses bad rows by file, row and column."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from importlib.resources import files
from math import isfinite
from typing import TypeVar

from framing.engine.errors import CatalogueRefused

Row = TypeVar("Row")


@dataclass(frozen=True, slots=True)
class TableRow:
    """One row of a table while it is read; every refusal names file, row and column."""

    table: str
    number: int
    cells: Mapping[str, str]

    def refuse(self, column: str, why: str) -> CatalogueRefused:
        return CatalogueRefused(f"{self.table}, row {self.number}, column {column}: {why}")

    def text(self, column: str) -> str:
        value = self.cells[column].strip()
        if not value:
            raise self.refuse(column, "is empty.")
        return value

    def number_over_zero(self, column: str) -> float:
        value = self._number(column)
        if not isfinite(value) or value <= 0:
            raise self.refuse(column, f"{self.cells[column]} must be over 0.")
        return value

    def number_from_zero(self, column: str) -> float:
        value = self._number(column)
        if not isfinite(value) or value < 0:
            raise self.refuse(column, f"{self.cells[column]} must be 0 or more.")
        return value

    def _number(self, column: str) -> float:
        try:
            return float(self.text(column))
        except ValueError:
            raise self.refuse(column, f"{self.cells[column]} is not a number.") from None

    def count(self, column: str) -> int:
        value = self.number_over_zero(column)
        if value != int(value):
            raise self.refuse(column, f"{self.cells[column]} must be a whole number.")
        return int(value)

    def one_of(self, column: str, allowed: Sequence[str]) -> str:
        value = self.text(column)
        if value not in allowed:
            raise self.refuse(column, f"{value} is none of {', '.join(allowed)}.")
        return value


def data_text(name: str) -> str:
    """Text of one of the engine's own tables."""
    return (files("framing.engine") / "data" / name).read_text(encoding="utf-8")


def read_table(table: str, text: str, make: Callable[[TableRow], Row], *, key: str) -> tuple[Row, ...]:
    """Rows of a CSV text in file order, each made by `make`; row numbers count lines, the heading is 1.

    Raises:
        CatalogueRefused: no rows, a missing column or cell, a repeated key, or what `make` refuses.
    """
    rows: list[Row] = []
    seen: set[str] = set()
    for number, cells in enumerate(csv.DictReader(io.StringIO(text)), start=2):
        row = TableRow(table, number, _complete(table, number, cells))
        try:
            if row.text(key) in seen:
                raise row.refuse(key, f"{row.text(key)} is there twice.")
            seen.add(row.text(key))
            rows.append(make(row))
        except KeyError as missing:
            raise CatalogueRefused(f"{table}: column {missing.args[0]} is missing.") from None
    if not rows:
        raise CatalogueRefused(f"{table}: there are no rows.")
    return tuple(rows)


def _complete(table: str, number: int, cells: Mapping[str | None, str | None]) -> dict[str, str]:
    """The row's cells, refusing a row with more or fewer cells than headings."""
    for heading, value in cells.items():
        if heading is None or value is None:
            raise CatalogueRefused(
                f"{table}, row {number}: has {'more' if heading is None else 'fewer'} cells than headings."
            )
    return {str(heading): str(value) for heading, value in cells.items()}
