"""The drawings of a floor as a paper: one landscape sheet each, with its own frame and title strip."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any, Final

from framing.common.company import Company, company
from framing.projects.drawing_sheets import FloorDrawings, address_of
from framing.projects.sheets import floor_file_name

if TYPE_CHECKING:
    from framing.common.documents import RenderedPaper

TEMPLATE: Final = "pdf/drawings.html"
_NAME_MOST: Final = 24


@dataclass(frozen=True, slots=True)
class DrawingsPaper:
    """Everything that the paper shows."""

    drawings: FloorDrawings
    company: Company
    printed_at: datetime

    @property
    def number(self) -> str:
        """The floor and its version as the line under each sheet names them."""
        name = self.drawings.version.floor.name
        short = name if len(name) <= _NAME_MOST else f"{name[: _NAME_MOST - 1]}\N{HORIZONTAL ELLIPSIS}"
        return f"{short} v{self.drawings.version.number}"

    @property
    def file_name(self) -> str:
        return floor_file_name(self.drawings.version, "drawings.pdf")


def drawings_paper_of(drawings: FloorDrawings, printed_at: datetime) -> DrawingsPaper:
    return DrawingsPaper(drawings, company(), printed_at)


def render_drawings(paper: DrawingsPaper) -> RenderedPaper:
    """The PDF; equal papers give equal bytes."""
    from framing.common.documents import render_paper  # loads the PDF library: a second, and only here

    return render_paper(TEMPLATE, _context(paper), issued_at=paper.printed_at)


def _context(paper: DrawingsPaper) -> dict[str, Any]:
    floor = paper.drawings.version.floor
    sheets = paper.drawings.sheets(paper.printed_at)
    return {
        "sheets": [address_of(svg) for svg in sheets],
        "floor": floor,
        "version": paper.drawings.version,
        "project": floor.project,
        "paper_size": paper.company.paper_size,
        "paper_name": "Drawings",
        "paper_number": paper.number,
        "paper_date": paper.printed_at,
        "company_name": paper.company.name,
        "company_lines": paper.company.lines,
    }
