"""Reads a printed table from CSV text; refuses by file, row (the line in the file) and column."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation

from framing.engine.errors import CatalogueRefused
from framing.engine.section.shape import Shape, Steel, shape, shape_of, steel_of
from framing.engine.tables import TableRow

SECTION = "section"
YIELD = "Fy_ksi"
TENSILE = "Fu_ksi"
DIMENSIONS = ("depth_in", "flange_in", "lip_in", "design_t_in", "inside_radius_in")
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Printed:
    """A printed number with half a unit of its last digit."""

    line: int
    value: float
    half_unit: float

    @property
    def is_whole(self) -> bool:
        return self.half_unit >= 0.5


def read_rows(file: str, text: str) -> tuple[TableRow, ...]:
    """All rows under the heading. Raises CatalogueRefused for no rows, uneven rows or text that is no CSV."""
    reader = csv.DictReader(io.StringIO(text.removeprefix("\ufeff")), strict=True)
    rows = []
    try:
        for cells in reader:
            if None in cells or None in cells.values():
                many = "more" if None in cells else "fewer"
                raise CatalogueRefused(f"{file}, row {reader.line_num}: has {many} cells than headings.")
            rows.append(TableRow(file, reader.line_num, {name.strip(): cell for name, cell in cells.items()}))
    except csv.Error as error:
        raise CatalogueRefused(f"{file}, row {reader.line_num + 1}: is no CSV ({error}).") from None
    if not rows:
        raise CatalogueRefused(f"{file}: there are no rows.")
    return tuple(rows)


def column_named(file: str, first: TableRow, names: Sequence[str]) -> str:
    """The one of several names of a column that the file has. Raises CatalogueRefused for none."""
    for name in names:
        if name in first.cells:
            return name
    raise CatalogueRefused(f"{file}: column {' or '.join(names)} is missing.")


def is_blank(row: TableRow, column: str) -> bool:
    return not row.cells.get(column, "").strip()


def printed(row: TableRow, column: str) -> Printed:
    """A number other than 0, negative or not, as printed. Raises CatalogueRefused."""
    words = row.text(column)
    try:
        value = Decimal(words)
    except InvalidOperation:
        raise row.refuse(column, f"{words} is not a number.") from None
    if not value.is_finite() or not value:
        raise row.refuse(column, f"{words} is nothing to compare with.")
    exponent = value.as_tuple().exponent
    digits = exponent if isinstance(exponent, int) else 0
    return Printed(row.number, float(value), 0.5 * 10.0**digits * (1 + _ROUNDING))


def shape_and_steel(row: TableRow) -> tuple[Shape, Steel]:
    """The row's section: by its dimensions where the file has them all, else by its designator.

    Raises:
        CatalogueRefused: a column is missing or is no number.
        SectionImpossible: no such section can be rolled, or a yield strength that is not standard without Fu_ksi.
    """
    yield_ksi = row.number_over_zero(YIELD)
    tensile = None if is_blank(row, TENSILE) else row.number_over_zero(TENSILE)
    steel = steel_of(yield_ksi) if tensile is None else Steel(yield_ksi, tensile)
    if any(is_blank(row, name) for name in DIMENSIONS):
        return shape_of(row.text(SECTION)), steel
    return shape(*(row.number_over_zero(name) for name in DIMENSIONS)), steel


def check_section_columns(file: str, first: TableRow) -> None:
    """Yield, and a designator or all dimensions. Raises CatalogueRefused."""
    column_named(file, first, (YIELD,))
    missing = [name for name in DIMENSIONS if name not in first.cells]
    if missing:
        column_named(file, first, (SECTION, missing[0]))


def row_name(row: TableRow) -> str:
    """What a row is called in a report: designator or dimensions, and the yield."""
    sizes = (row.cells.get(name, "").strip() for name in DIMENSIONS)
    called = " x ".join(sizes) if is_blank(row, SECTION) else row.text(SECTION)
    return f"{called} ({row.text(YIELD)} ksi)"
