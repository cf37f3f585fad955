"""The drawings of a floor as a paper: one landscape sheet each, with its own frame and title strip."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any, Final

from framing.common.company import Company, company
from framing.drawing import svg_address
from framing.projects.drawing_sheets import FloorDrawings
from framing.projects.versions import floor_file_name, version_title

if TYPE_CHECKING:
    from framing.common.documents import RenderedPaper

TEMPLATE: Final = "pdf/drawings.html"


@dataclass(frozen=True, slots=True)
class DrawingsPaper:
    """Everything that the paper shows."""

    drawings: FloorDrawings
    company: Company
    printed_at: datetime

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
        "sheets": [svg_address(svg) for svg in sheets],
        "floor": floor,
        "version": paper.drawings.version,
        "project": floor.project,
        "paper_size": paper.company.paper_size,
        "paper_name": "Drawings",
        "paper_number": version_title(paper.drawings.version),
        "paper_date": paper.printed_at,
        "company_name": paper.company.name,
        "company_lines": paper.company.lines,
    }
