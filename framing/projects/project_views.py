"""The project's page: its floors as thumbnails, what they come to, what still stands in the way of a quote."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from framing.common.access import grants
from framing.projects import selectors
from framing.projects.draw_ready import project_ready
from framing.projects.models import Project
from framing.projects.repeat_selectors import taken_off
from framing.projects.views import role_may


@grants("project", "read")
@require_GET
def project_page(request: HttpRequest, public_id: str) -> HttpResponse:
    """A project with its floors. What was designed before is shown at once; the page asks for the rest.

    `?off=` names a floor that was taken off just now, to put it back; `?open=` one that is being arranged.
    """
    project = selectors.project_get(public_id)
    off = request.GET.get("off", "").replace("\x00", "")[:40]
    context = {
        **_ready_context(request, project, design=False),
        "history": selectors.history_list(project),
        "may_make": role_may(request, "floor", "make"),
        "may_take_off": role_may(request, "floor", "take_off"),
        "may_quote": role_may(request, "draft", "make"),
        "open": request.GET.get("open", ""),
        "off": taken_off(project, off) if off else None,
    }
    return render(request, "projects/project_page.html", context)


@grants("floor", "read")
@require_GET
def project_ready_part(request: HttpRequest, public_id: str) -> HttpResponse:
    """What stands between a project and its quote, with the thumbnails known by now: parts of the project's page."""
    project = selectors.project_get(public_id)
    context = _ready_context(request, project, design=True) | {"part": True}
    return render(request, "projects/_project_ready.html", context)


def _ready_context(request: HttpRequest, project: Project, *, design: bool) -> dict[str, Any]:
    return {
        "project": project,
        "ready": project_ready(project, design=design),
        "may_price": role_may(request, "price_book", "read"),
    }
