"""The import page: what is in a file, which of it is the floor, the floor as it would be framed, the report."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from framing.common.access import grants
from framing.common.clock import database_now
from framing.common.errors import NotThere, Refused
from framing.projects import import_services, plan_selectors, selectors
from framing.projects.draw_selectors import Opened
from framing.projects.draw_views import editor_page
from framing.projects.import_choice import Choice
from framing.projects.import_dxf import unit_of
from framing.projects.import_floor import can_import, choice_for, import_floor
from framing.projects.import_found import Found
from framing.projects.import_picture import drawing_svg
from framing.projects.import_reports import layer_rows, list_words, unit_rows
from framing.projects.models import PlanFile, PlanKind
from framing.projects.preview import preview_document
from framing.projects.views import actor_of, role_may


@grants("floor", "read")
@require_http_methods(["GET", "HEAD", "POST"])
def import_file(request: HttpRequest, public_id: str, plan: str) -> HttpResponse:
    """Choose what of a file is the floor and look at it; a POST makes the floor."""
    found_plan = _plan(public_id, plan)
    choice = choice_for(found_plan, request.POST if request.method == "POST" else request.GET)
    if request.method == "POST":
        try:
            floor = import_services.floor_import(
                actor=actor_of(request), at=database_now(), plan=found_plan, choice=choice
            )
            return redirect("projects:floor_page", floor.public_id)
        except Refused as error:
            return _page(request, found_plan, choice, error)
    return _page(request, found_plan, choice)


@grants("floor", "make")
@require_http_methods(["GET", "HEAD"])
def import_draw(request: HttpRequest, public_id: str, plan: str) -> HttpResponse:
    """The plan editor with the file's floor as a new one; nothing is saved until the person saves."""
    found_plan = _plan(public_id, plan)
    choice = choice_for(found_plan, request.GET)
    found = import_floor(found_plan, choice)
    if found.document is None:
        return _page(request, found_plan, choice)
    return editor_page(request, found_plan.project, None, Opened(found.document, 0, from_draft=False))


def _plan(project_id: str, plan_id: str) -> PlanFile:
    """A file that floors can be taken from. Raises NotThere."""
    plan = plan_selectors.plan_file_get(project_id, plan_id)
    if not can_import(plan):
        raise NotThere()
    return plan


def _page(
    request: HttpRequest, plan: PlanFile, choice: Choice, refused: Refused | None = None
) -> HttpResponse:
    found = import_floor(plan, choice)
    context: dict[str, Any] = {
        "project": plan.project,
        "plan": plan,
        "choice": choice,
        "query": urlencode(choice.as_query()),
        "hidden": choice.as_query(),
        "found": found,
        "refused": refused,
        "may_make": role_may(request, "floor", "make"),
        **_kind_context(plan, choice),
        **_floor_context(plan, choice, found),
    }
    return render(request, "projects/import_page.html", context, status=422 if refused else 200)


def _kind_context(plan: PlanFile, choice: Choice) -> dict[str, Any]:
    if plan.kind == PlanKind.DXF:
        return {
            "layers": layer_rows(plan.facts),
            "units": unit_rows(plan.facts, choice.outline, plan.project.units),  # type: ignore[arg-type]
            "unit_words": unit_of(plan.facts, choice.outline).why,
            "picture": drawing_svg(plan.facts, choice),
        }
    return {"list_words": list_words(plan.facts)} if plan.kind == PlanKind.CSV else {}


def _floor_context(plan: PlanFile, choice: Choice, found: Found) -> dict[str, Any]:
    """The floor as it would be framed, whether its name is free, the other outlines as addresses."""
    if found.document is None:
        return {"preview": None, "name": choice.name, "level": choice.level}
    name = found.document["name"]
    query = choice.as_query()
    others = [
        (words, urlencode({**query, "loop": str(number)}), number == min(choice.loop, len(found.others) - 1))
        for number, words in enumerate(found.others)
    ]
    return {
        "preview": preview_document(found.document, selectors.practice_in_force()),
        "name": name,
        "level": found.document["level"],
        "name_taken": plan.project.floors.filter(name=name).exists(),
        "outlines": others if len(others) > 1 else [],
    }
