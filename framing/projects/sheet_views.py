"""Calculation sheets of a floor's saved version: the list of cases, each case, and the PDF that the worker makes."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from framing.common.access import grants
from framing.common.cautions import CHECKED, SIZING
from framing.common.clock import database_now
from framing.common.errors import NotThere
from framing.common.papers import paper_response
from framing.projects import selectors
from framing.projects.models import FloorVersion
from framing.projects.sheet_services import calculation_sheet_ask
from framing.projects.sheets import (
    FloorSheets,
    SheetBasis,
    current_basis,
    current_sheets,
    paper_state,
    version_named,
)
from framing.projects.views import actor_of, role_may


@grants("calculation", "read")
@require_GET
def sheet_list(request: HttpRequest, public_id: str) -> HttpResponse:
    """All cases of a floor, newest version unless `?version=` names one."""
    sheets = current_sheets(version_named(request.GET.get("version", ""), selectors.floor_get(public_id)))
    return render(request, "projects/sheet_list.html", _context(request, sheets))


@grants("calculation", "read")
@require_GET
def sheet_page(request: HttpRequest, public_id: str, reference: str) -> HttpResponse:
    """The calculation sheet of one case."""
    sheets = current_sheets(version_named(request.GET.get("version", ""), selectors.floor_get(public_id)))
    if sheets.problems:
        return redirect(_address("projects:sheet_list", sheets.version))
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
    floor = selectors.floor_get(public_id)
    version = version_named(request.POST.get("version", ""), floor)
    calculation_sheet_ask(actor=actor_of(request), at=database_now(), version=version)
    return redirect(_address("projects:sheet_list", version))


@grants("calculation", "read")
@require_GET
def sheet_paper_state(request: HttpRequest, public_id: str) -> HttpResponse:
    """The part of the page that tells how far the PDF is; the page asks for it while work is under way."""
    basis = current_basis(version_named(request.GET.get("version", ""), selectors.floor_get(public_id)))
    return render(request, "projects/_sheet_paper.html", _paper_context(request, basis))


@grants("calculation", "read")
@require_GET
def sheet_paper(request: HttpRequest, public_id: str) -> HttpResponse:
    """The stored PDF of a version by the engine, catalogue and practice set in force."""
    floor = selectors.floor_get(public_id)
    paper = paper_state(current_basis(version_named(request.GET.get("version", ""), floor))).paper
    if paper is None:
        raise NotThere("These calculation sheets are not on paper yet; ask for the PDF on their page.")
    return paper_response(paper)


def _query(version: FloorVersion) -> str:
    """What an address needs to stay at this version; nothing at the newest."""
    return "" if version.number == version.floor.version else f"?version={version.number}"


def _address(name: str, version: FloorVersion) -> str:
    return f"{reverse(name, args=[version.floor.public_id])}{_query(version)}"


def _context(request: HttpRequest, sheets: FloorSheets) -> dict[str, Any]:
    """All that a page of a version shows; what can't be built can't be asked for on paper."""
    context = _paper_context(request, sheets)
    context["may_ask"] &= not sheets.problems
    project = sheets.version.floor.project
    return context | {"sheets": sheets, "project": project, "cautions": (SIZING, CHECKED)}


def _paper_context(request: HttpRequest, basis: SheetBasis) -> dict[str, Any]:
    """The paper, or how far it is; nothing is designed for it."""
    state = paper_state(basis)
    return {
        "floor": basis.version.floor,
        "version": basis.version,
        "query": _query(basis.version),
        "paper": state.paper,
        "job": state.job,
        "state_url": _address("projects:sheet_paper_state", basis.version),
        "may_ask": role_may(request, "calculation", "ask"),
    }
