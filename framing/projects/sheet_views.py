"""Calculation sheets of a floor's saved version: the list of cases, each case, and the PDF that the worker makes."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from framing.common.access import grants
from framing.common.cautions import CHECKED, SIZING
from framing.common.clock import database_now
from framing.projects.sheets import FloorSheets, current_sheets
from framing.projects.version_pages import PaperPages, asked_version, version_address
from framing.projects.version_services import calculation_sheet_ask
from framing.projects.versions import CALCULATION_PAPER
from framing.projects.views import actor_of

PAPER = PaperPages(
    CALCULATION_PAPER,
    ask="projects:sheet_paper_ask",
    fetch="projects:sheet_paper",
    state="projects:sheet_paper_state",
    missing="These calculation sheets are not on paper yet; ask for the PDF on their page.",
)


@grants("calculation", "read")
@require_GET
def sheet_list(request: HttpRequest, public_id: str) -> HttpResponse:
    """All cases of a floor, newest version unless `?version=` names one."""
    sheets = current_sheets(asked_version(request, public_id))
    return render(request, "projects/sheet_list.html", _context(request, sheets))


@grants("calculation", "read")
@require_GET
def sheet_page(request: HttpRequest, public_id: str, reference: str) -> HttpResponse:
    """The calculation sheet of one case."""
    sheets = current_sheets(asked_version(request, public_id))
    if sheets.problems:
        return redirect(version_address("projects:sheet_list", sheets.version))
    case = sheets.case(reference)
    at = sheets.cases.index(case)
    context = _context(request, sheets) | {
        "case": case,
        "before": sheets.cases[at - 1] if at else None,
        "after": sheets.cases[at + 1] if at + 1 < len(sheets.cases) else None,
    }
    return render(request, "projects/sheet.html", context)


@grants("calculation", "ask")
@require_POST
def sheet_paper_ask(request: HttpRequest, public_id: str) -> HttpResponse:
    """Ask for the PDF, then wait for it on the list's page."""
    version = asked_version(request, public_id)
    calculation_sheet_ask(actor=actor_of(request), at=database_now(), version=version)
    return redirect(version_address("projects:sheet_list", version))


@grants("calculation", "read")
@require_GET
def sheet_paper_state(request: HttpRequest, public_id: str) -> HttpResponse:
    """How far the PDF is."""
    return PAPER.show_state(request, public_id)


@grants("calculation", "read")
@require_GET
def sheet_paper(request: HttpRequest, public_id: str) -> HttpResponse:
    """The stored PDF."""
    return PAPER.hand_out(request, public_id)


def _context(request: HttpRequest, sheets: FloorSheets) -> dict[str, Any]:
    """All that a page of a version shows; what can't be built can't be asked for on paper."""
    context = PAPER.context(request, sheets)
    context["may_ask"] &= not sheets.problems
    project = sheets.version.floor.project
    return context | {"sheets": sheets, "project": project, "cautions": (SIZING, CHECKED)}
