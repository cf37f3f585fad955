"""Calculation sheets of a floor's saved version: the list of cases, each case, and the PDF that the worker makes."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from framing.common.access import grants
from framing.common.cautions import SIZING
from framing.common.clock import database_now
from framing.common.errors import NotThere
from framing.common.papers import paper_response
from framing.projects import selectors
from framing.projects.models import Floor, FloorVersion
from framing.projects.sheet_services import calculation_sheet_ask
from framing.projects.sheets import FloorSheets, current_sheets, paper_state
from framing.projects.views import actor_of, role_may


@grants("calculation", "read")
@require_GET
def sheet_list(request: HttpRequest, public_id: str) -> HttpResponse:
    """All cases of a floor, newest version unless `?version=` names one."""
    floor = selectors.floor_get(public_id)
    sheets = _sheets(request.GET.get("version", ""), floor)
    return render(request, "projects/sheet_list.html", _context(request, floor, sheets))


@grants("calculation", "read")
@require_GET
def sheet_page(request: HttpRequest, public_id: str, reference: str) -> HttpResponse:
    """The calculation sheet of one case."""
    floor = selectors.floor_get(public_id)
    sheets = _sheets(request.GET.get("version", ""), floor)
    if sheets.problems:
        return redirect(_address("projects:sheet_list", sheets))
    case = sheets.case(reference)
    at = sheets.cases.index(case)
    context = _context(request, floor, sheets) | {
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
    version = _version(request.POST.get("version", ""), floor)
    calculation_sheet_ask(actor=actor_of(request), at=database_now(), version=version)
    messages.success(request, "The PDF is asked for.")
    return redirect(f"{reverse('projects:sheet_list', args=[floor.public_id])}{_query(version)}")


@grants("calculation", "read")
@require_GET
def sheet_paper_state(request: HttpRequest, public_id: str) -> HttpResponse:
    """The part of the page that tells how far the PDF is; the page asks for it while work is under way."""
    floor = selectors.floor_get(public_id)
    sheets = _sheets(request.GET.get("version", ""), floor)
    return render(request, "projects/_sheet_paper.html", _context(request, floor, sheets))


@grants("calculation", "read")
@require_GET
def sheet_paper(request: HttpRequest, public_id: str) -> HttpResponse:
    """The stored PDF of a version by the engine, catalogue and practice set in force."""
    floor = selectors.floor_get(public_id)
    paper = paper_state(_sheets(request.GET.get("version", ""), floor)).paper
    if paper is None:
        raise NotThere("These calculation sheets are not on paper yet; ask for the PDF on their page.")
    return paper_response(paper)


def _version(text: str, floor: Floor) -> FloorVersion:
    """The version that is named, the newest where none is. Raises NotThere."""
    if not text:
        number = None
    elif text.isascii() and text.isdigit() and len(text) < 9:
        number = int(text)
    else:
        raise NotThere
    version = selectors.floor_version(floor, number)
    version.floor = floor  # with its project at hand
    return version


def _sheets(text: str, floor: Floor) -> FloorSheets:
    return current_sheets(_version(text, floor))


def _query(version: FloorVersion) -> str:
    """What an address needs to stay at this version; nothing at the newest."""
    return "" if version.number == version.floor.version else f"?version={version.number}"


def _address(name: str, sheets: FloorSheets) -> str:
    floor = sheets.version.floor
    return f"{reverse(name, args=[floor.public_id])}{_query(sheets.version)}"


def _context(request: HttpRequest, floor: Floor, sheets: FloorSheets) -> dict[str, Any]:
    state = paper_state(sheets)
    return {
        "floor": floor,
        "project": floor.project,
        "version": sheets.version,
        "sheets": sheets,
        "query": _query(sheets.version),
        "paper": state.paper,
        "job": state.job,
        "state_url": _address("projects:sheet_paper_state", sheets),
        "may_ask": role_may(request, "calculation", "ask") and not sheets.problems,
        "caution": SIZING,
    }
