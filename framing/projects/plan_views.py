"""Pages of the plans that people bring to a project, their pictures, and where a page lies under a floor.

A form posts files, a page answers; what the plan editor says of a page's place is JSON.
"""

from __future__ import annotations

from typing import Any, Final

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import NoReverseMatch, reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from framing.common.access import grants, require
from framing.common.clock import database_now
from framing.common.errors import ApplicationError, Refused, TooBig
from framing.common.intake import takes_bytes
from framing.projects import plan_selectors, plan_services, selectors
from framing.projects.draw_requests import answers_json, json_answer, posted_json
from framing.projects.models import PlanFile, PlanKind, PlanPage, PlanState, Project
from framing.projects.plan_store import picture_bytes
from framing.projects.views import actor_of, role_may

FILES_AT_ONCE: Final = 10
BODY_MOST: Final = plan_services.FILE_MOST * 2
"""Several files come in one body; each is held to its own limit."""
YEAR_S: Final = 365 * 24 * 3600


@grants("project", "read")
@takes_bytes(BODY_MOST)
@require_http_methods(["GET", "HEAD", "POST"])
def plan_list(request: HttpRequest, public_id: str) -> HttpResponse:
    """The plans of a project; those who may change it add files."""
    project = selectors.project_get(public_id)
    if request.method != "POST":
        return _list(request, project)
    require(actor_of(request), "project", "change")
    added, problems = _add_posted(request, project)
    if problems:
        return _list(request, project, problems)
    if len(added) == 1:
        return redirect("projects:plan_page", project.public_id, added[0].public_id)
    messages.success(request, f"{len(added)} plans added.")
    return redirect("projects:plan_list", project.public_id)


def _add_posted(request: HttpRequest, project: Project) -> tuple[list[PlanFile], list[str]]:
    """What became of each posted file: the plans added, and why others were not."""
    files = request.FILES.getlist("file")
    if not files:
        return [], ["Choose a file first."]
    if len(files) > FILES_AT_ONCE:
        return [], [f"{len(files)} files at once; add at most {FILES_AT_ONCE} at a time."]
    added, problems = [], []
    for file in files:
        try:
            added.append(
                plan_services.plan_file_add(
                    actor=actor_of(request),
                    at=database_now(),
                    project=project,
                    name=file.name or "",
                    data=file.read(plan_services.FILE_MOST + 1),
                )
            )
        except (Refused, TooBig) as error:
            problems.append(error.message)
    return added, problems


def _list(request: HttpRequest, project: Project, problems: list[str] | None = None) -> HttpResponse:
    context = {
        "project": project,
        "plans": plan_selectors.plan_file_list(project),
        "problems": problems,
        "may_change": role_may(request, "project", "change"),
    }
    return render(request, "projects/plan_list.html", context, status=422 if problems else 200)


@grants("project", "read")
@require_GET
def plan_page(request: HttpRequest, public_id: str, plan: str) -> HttpResponse:
    """One plan: how far its reading is, what was found, its pages, what to do with them."""
    plan_file = plan_selectors.plan_file_get(public_id, plan)
    context: dict[str, Any] = {
        "project": plan_file.project,
        "plan": plan_file,
        "job": plan_selectors.reading_job(plan_file),
        "pages": plan_selectors.plan_page_list(plan_file),
        "floors": plan_file.project.floors.all(),
        "import_url": _import_url(plan_file),
        "may_change": role_may(request, "project", "change"),
        "may_draw": role_may(request, "floor", "change"),
    }
    return render(request, "projects/plan_page.html", context)


def _import_url(plan_file: PlanFile) -> str:
    """Where floors are taken from a file that is no picture; empty for pictures, and until it is read."""
    if plan_file.kind in (PlanKind.PDF, PlanKind.IMAGE) or plan_file.state != PlanState.READ:
        return ""
    try:
        return reverse("projects:import_file", args=[plan_file.project.public_id, plan_file.public_id])
    except NoReverseMatch:
        return ""


@grants("project", "change")
@require_POST
def plan_remove(request: HttpRequest, public_id: str, plan: str) -> HttpResponse:
    """Take a plan away; floors that were traced over it stay."""
    plan_file = plan_selectors.plan_file_get(public_id, plan)
    plan_services.plan_file_remove(actor=actor_of(request), at=database_now(), plan_file=plan_file)
    messages.success(request, f"“{plan_file.name}” was taken away.")
    return redirect("projects:plan_list", public_id)


@grants("project", "read")
@require_http_methods(["GET", "HEAD"])
def plan_picture(request: HttpRequest, page: str) -> HttpResponse:
    """The picture of a page: PNG of our own making, never what somebody brought."""
    del request
    return picture_response(plan_selectors.plan_page_get(page))


def picture_response(page: PlanPage) -> HttpResponse:
    """The picture of a page; its address never shows another one, so a browser may keep it."""
    response = HttpResponse(picture_bytes(page), content_type="image/png")
    response["Cache-Control"] = f"private, max-age={YEAR_S}, immutable"
    response["X-Content-Type-Options"] = "nosniff"
    return response


@grants("floor", "change")
@require_POST
def plan_lay(request: HttpRequest, page: str) -> HttpResponse:
    """Lay a page under the floor that the form names, and go on to its drawing."""
    found = plan_selectors.plan_page_get(page)
    floor = selectors.floor_get(request.POST.get("floor", ""))
    plan_services.floor_underlay_set(actor=actor_of(request), floor=floor, page=found)
    return redirect("projects:floor_draw", floor.public_id)


# --- what the plan editor says ---


@grants("project", "change")
@require_POST
@answers_json
def plan_place(request: HttpRequest, page: str) -> HttpResponse:
    """Where a page lies now: any of the placement's fields."""
    found = plan_selectors.plan_page_get(page)
    placement = posted_json(request)
    try:
        placed = plan_services.plan_page_place(actor=actor_of(request), page=found, placement=placement)
    except ApplicationError as error:
        told = {"message": error.message, **plan_selectors.placement_facts(found)}
        return json_answer(told, error.status)
    return json_answer(plan_selectors.placement_facts(placed))


@grants("floor", "change")
@require_POST
@answers_json
def draw_under(request: HttpRequest, public_id: str) -> HttpResponse:
    """Lay the page that `page` names under a floor, or take the one there away (null)."""
    floor = selectors.floor_get(public_id)
    named = posted_json(request).get("page")
    page = plan_selectors.plan_page_get(named, floor.project) if isinstance(named, str) else None
    if page is None and named is not None:
        raise Refused("“page” must name a page of a plan, or be null.", field="page")
    plan_services.floor_underlay_set(actor=actor_of(request), floor=floor, page=page)
    return json_answer({"under": plan_selectors.under_facts(page) if page else None})
