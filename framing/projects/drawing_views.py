"""Drawings of a floor's saved version: plan, elevations by mark, details, and the PDF that the worker makes."""

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
from framing.projects.drawing_services import drawings_ask
from framing.projects.drawing_sheets import current_drawings, drawings_state
from framing.projects.models import FloorVersion
from framing.projects.sheets import SheetBasis, current_basis, version_named
from framing.projects.views import actor_of, role_may


@grants("calculation", "read")
@require_GET
def drawings_page(request: HttpRequest, public_id: str) -> HttpResponse:
    """All drawings of a floor, newest version unless `?version=` names one."""
    drawings = current_drawings(_version(request.GET.get("version", ""), public_id))
    context = _paper_context(request, drawings)
    context["may_ask"] &= not drawings.problems
    more = {"drawings": drawings, "sheets": drawings, "project": drawings.version.floor.project}
    return render(request, "projects/drawings.html", context | more | {"cautions": (SIZING, CHECKED)})


@grants("calculation", "ask")
@require_POST
def drawings_paper_ask(request: HttpRequest, public_id: str) -> HttpResponse:
    """Ask for the PDF, then wait for it on the drawings' page."""
    version = _version(request.POST.get("version", ""), public_id)
    drawings_ask(actor=actor_of(request), at=database_now(), version=version)
    return redirect(_address("projects:drawings_page", version))


@grants("calculation", "read")
@require_GET
def drawings_paper_state(request: HttpRequest, public_id: str) -> HttpResponse:
    """How far the PDF is; the page asks for it while work is under way."""
    basis = current_basis(_version(request.GET.get("version", ""), public_id))
    return render(request, "projects/_drawings_paper.html", _paper_context(request, basis))


@grants("calculation", "read")
@require_GET
def drawings_paper(request: HttpRequest, public_id: str) -> HttpResponse:
    """The stored PDF of a version by the engine, catalogue and practice set in force."""
    paper = drawings_state(current_basis(_version(request.GET.get("version", ""), public_id))).paper
    if paper is None:
        raise NotThere("These drawings are not on paper yet; ask for the PDF on their page.")
    return paper_response(paper)


def _version(text: str, public_id: str) -> FloorVersion:
    return version_named(text, selectors.floor_get(public_id))


def _query(version: FloorVersion) -> str:
    """What an address needs to stay at this version; nothing at the newest."""
    return "" if version.number == version.floor.version else f"?version={version.number}"


def _address(name: str, version: FloorVersion) -> str:
    return f"{reverse(name, args=[version.floor.public_id])}{_query(version)}"


def _paper_context(request: HttpRequest, basis: SheetBasis) -> dict[str, Any]:
    """The paper, or how far it is; nothing is designed for it."""
    state = drawings_state(basis)
    return {
        "floor": basis.version.floor,
        "version": basis.version,
        "query": _query(basis.version),
        "paper": state.paper,
        "job": state.job,
        "state_url": _address("projects:drawings_paper_state", basis.version),
        "may_ask": role_may(request, "calculation", "ask"),
    }
