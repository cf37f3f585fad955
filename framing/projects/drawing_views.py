"""Drawings of a floor's saved version: plan, elevations by mark, details, and the PDF that the worker makes."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from framing.common.access import grants
from framing.common.cautions import CHECKED, SIZING
from framing.common.clock import database_now
from framing.projects.drawing_sheets import current_drawings
from framing.projects.version_pages import PaperPages, asked_version, version_address
from framing.projects.version_services import drawings_ask
from framing.projects.versions import DRAWINGS_PAPER
from framing.projects.views import actor_of

PAPER = PaperPages(
    DRAWINGS_PAPER,
    ask="projects:drawings_paper_ask",
    fetch="projects:drawings_paper",
    state="projects:drawings_paper_state",
    missing="These drawings are not on paper yet; ask for the PDF on their page.",
)


@grants("calculation", "read")
@require_GET
def drawings_page(request: HttpRequest, public_id: str) -> HttpResponse:
    """All drawings of a floor, newest version unless `?version=` names one."""
    drawings = current_drawings(asked_version(request, public_id))
    context = PAPER.context(request, drawings)
    context["may_ask"] &= not drawings.problems
    more = {"drawings": drawings, "sheets": drawings, "project": drawings.version.floor.project}
    return render(request, "projects/drawings.html", context | more | {"cautions": (SIZING, CHECKED)})


@grants("calculation", "ask")
@require_POST
def drawings_paper_ask(request: HttpRequest, public_id: str) -> HttpResponse:
    """Ask for the PDF, then wait for it on the drawings' page."""
    version = asked_version(request, public_id)
    drawings_ask(actor=actor_of(request), at=database_now(), version=version)
    return redirect(version_address("projects:drawings_page", version))


@grants("calculation", "read")
@require_GET
def drawings_paper_state(request: HttpRequest, public_id: str) -> HttpResponse:
    """How far the PDF is."""
    return PAPER.show_state(request, public_id)


@grants("calculation", "read")
@require_GET
def drawings_paper(request: HttpRequest, public_id: str) -> HttpResponse:
    """The stored PDF."""
    return PAPER.hand_out(request, public_id)
