"""What a section of the shop's figures is made of: plots for wide pages and phones, a table that is a file too."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from framing.drawing.plots import NARROW, WIDE, PlotSize

LONG: Final = 20  # from so many weeks on a phone scrolls the wide plot
NOTHING: Final = "\N{EN DASH}"


@dataclass(frozen=True, slots=True)
class Drawn:
    """A plot as SVG for wide pages and one for phones; a long one scrolls there instead."""

    wide: str
    narrow: str | None


@dataclass(frozen=True, slots=True)
class Table:
    """A table of the page, which is also a file: its key, heading, columns and rows of plain values."""

    key: str
    caption: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    texts: int = 1
    """So many columns from the left are words, the others numbers."""
    links: tuple[tuple[str, ...], ...] = ()
    """Addresses of the lists that cells count, cell by cell; "" for none."""

    @property
    def cells(self) -> list[list[tuple[str, str]]]:
        """Rows of cells with their addresses."""
        links = self.links or tuple(("",) * len(row) for row in self.rows)
        return [list(zip(row, url, strict=True)) for row, url in zip(self.rows, links, strict=True)]


Plots = tuple[tuple[str, Drawn], ...]
"""Captions and what is drawn."""


@dataclass(frozen=True, slots=True)
class Part:
    """A section: its plots and its table, with what it counts in words."""

    key: str
    heading: str
    words: str
    plots: Plots
    table: Table
    nothing: str = "Nothing in this period."


def table_csv(table: Table) -> str:
    """A table as CSV; figures have no thousands' marks."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(table.columns)
    for row in table.rows:
        texts, numbers = row[: table.texts], row[table.texts :]
        writer.writerow([*texts, *(cell.replace(",", "").replace(NOTHING, "") for cell in numbers)])
    return out.getvalue()


def drawn_twice(draw: Callable[[PlotSize], str], count: int) -> Drawn:
    return Drawn(draw(WIDE), draw(NARROW) if count <= LONG else None)


def bundles_words(count: int) -> str:
    return "1 bundle" if count == 1 else f"{count:,} bundles"
