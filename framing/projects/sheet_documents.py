"""The calculation sheets of a floor as a paper: a list of contents, then each case on a sheet of its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any, Final

from framing.common.cautions import CHECKED, SIZING
from framing.common.company import Company, company
from framing.engine.result import Working
from framing.projects.sheet_cases import Case
from framing.projects.sheets import FloorSheets
from framing.projects.versions import floor_file_name, version_title

if TYPE_CHECKING:
    from framing.common.documents import RenderedPaper

TEMPLATE: Final = "pdf/calculation.html"


@dataclass(frozen=True, slots=True)
class Part:
    """A working, or the section's values, and the case that prints the same already: "" prints it here."""

    working: Working
    same_as: str


@dataclass(frozen=True, slots=True)
class CaseParts:
    """A case with what of it stands on an earlier sheet."""

    case: Case
    section_same_as: str
    workings: tuple[Part, ...]


def case_parts(cases: Sequence[Case]) -> tuple[CaseParts, ...]:
    """Cases in order; what equals an earlier case's is printed once and pointed to."""
    first: dict[object, str] = {}

    def earlier(thing: object, reference: str) -> str:
        found = first.setdefault(thing, reference)
        return "" if found == reference else found

    return tuple(
        CaseParts(
            case,
            earlier(case.sheet.section, case.reference),
            tuple(Part(working, earlier(working, case.reference)) for working in case.sheet.workings),
        )
        for case in cases
    )


@dataclass(frozen=True, slots=True)
class CalculationPaper:
    """Everything that the paper shows."""

    sheets: FloorSheets
    company: Company
    printed_at: datetime

    @property
    def file_name(self) -> str:
        return floor_file_name(self.sheets.version, "calculation.pdf")


def calculation_paper_of(sheets: FloorSheets, printed_at: datetime) -> CalculationPaper:
    return CalculationPaper(sheets, company(), printed_at)


def render_calculation(paper: CalculationPaper) -> RenderedPaper:
    """The PDF; equal papers give equal bytes."""
    from framing.common.documents import render_paper  # loads the PDF library: a second, and only here

    return render_paper(TEMPLATE, _context(paper), issued_at=paper.printed_at)


def _context(paper: CalculationPaper) -> dict[str, Any]:
    version = paper.sheets.version
    return {
        "sheets": paper.sheets,
        "parts": case_parts(paper.sheets.cases),
        "version": version,
        "floor": version.floor,
        "project": version.floor.project,
        "paper_size": paper.company.paper_size,
        "paper_name": "Calculation sheets",
        "paper_number": version_title(version),
        "paper_date": paper.printed_at,
        "company_name": paper.company.name,
        "company_lines": paper.company.lines,
        "cautions": (SIZING, CHECKED),
    }
