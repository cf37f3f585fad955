"""The plan editor: its page, and what the page asks while somebody draws.

The page is a shell with a start document; everything else is JSON. Looking needs the right to read floors, drafts and
saves that to change them.
"""

from __future__ import annotations

import json
from typing import Any, Final

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from framing.common.access import grants
from framing.common.clock import database_now
from framing.common.errors import Refused, StaleSave
from framing.projects import draw_selectors, draw_services, selectors
from framing.projects.draw_answer import draw_places
from framing.projects.draw_codes import draw_codes
from framing.projects.draw_panel import panel_html
from framing.projects.draw_reports import (
    answer_json,
    changed_json,
    clash_json,
    compared_json,
    kept_json,
    presence_json,
    refused_json,
    version_json,
)
from framing.projects.draw_requests import answers_json, json_answer, posted_json, posted_whole
from framing.projects.draw_selectors import Opened, version_facts
from framing.projects.draw_start import Rights, blank_document, start_facts
from framing.projects.models import Floor, PlanPage, Project
from framing.projects.plan_selectors import floor_under, plan_page_find, plan_page_get
from framing.projects.plan_services import floor_create_over
from framing.projects.views import actor_of, role_may

IN_THE_PANEL: Final = frozenset({"counts", "weight_lb", "checks", "passes", "failing", "bill", "options"})
"""Figures of an answer that come ready in the panel; the API has them as such."""


@grants("floor", "read")
@require_http_methods(["GET", "HEAD"])
def floor_draw(request: HttpRequest, public_id: str) -> HttpResponse:
    """Draw on a floor, or look at its drawing."""
    floor = selectors.floor_get(public_id)
    newest = selectors.floor_version(floor)
    drawer = actor_of(request).user if role_may(request, "floor", "change") else None
    opened = draw_selectors.opened(floor, newest, drawer)
    return editor_page(request, floor.project, floor, opened, floor_under(floor))


@grants("floor", "make")
@require_http_methods(["GET", "HEAD"])
def floor_draw_new(request: HttpRequest, public_id: str) -> HttpResponse:
    """Draw a new floor of a project; its first save makes it. `?under=` names a page of a plan to trace."""
    project = selectors.project_get(public_id)
    named = request.GET.get("under", "")
    under = plan_page_get(named, project) if named else None
    blank = blank_document(project.units, f"Floor {project.floors.count() + 1}")
    return editor_page(request, project, None, Opened(blank, 0, from_draft=False), under)


@grants("floor", "read")
@require_POST
@answers_json
def draw_answers(request: HttpRequest, public_id: str) -> HttpResponse:
    """What the document comes to, and where everything is. `public_id` is the project's: it decides prices."""
    project = selectors.project_get(public_id)
    body = posted_json(request)
    priced = role_may(request, "price_book", "read")
    document = body.get("document")
    answer = answer_json(posted_whole(body, "sequence"), document, project, priced=priced)
    drawn = {key: value for key, value in answer.items() if key not in IN_THE_PANEL}
    return json_answer({**drawn, "panel": panel_html(answer, document)})


@grants("floor", "read")
@require_POST
@answers_json
def draw_code_places(request: HttpRequest, public_id: str) -> HttpResponse:
    """Where the things of one bill line are; or, with `near`, which lines count what is there."""
    selectors.project_get(public_id)
    body = posted_json(request)
    practice, near, code = selectors.practice_in_force(), body.get("near"), body.get("code")
    if isinstance(near, str):
        return json_answer({"near": near, "codes": draw_codes(body.get("document"), near, practice)})
    if not isinstance(code, str):
        raise Refused("“code” must be the code of a bill line.", field="code")
    return json_answer({"code": code, "places": draw_places(body.get("document"), code, practice)})


@grants("floor", "change")
@require_POST
@answers_json
def draw_draft(request: HttpRequest, public_id: str) -> HttpResponse:
    """Keep the own draft."""
    floor = selectors.floor_get(public_id)
    body = posted_json(request)
    kept = draw_services.draft_keep(
        actor=actor_of(request),
        at=database_now(),
        floor=floor,
        document=body.get("document"),
        base_version=posted_whole(body, "base_version"),
    )
    return json_answer(kept_json(kept))


@grants("floor", "change")
@require_POST
@answers_json
def draw_draft_drop(request: HttpRequest, public_id: str) -> HttpResponse:
    """Let go of the own draft and answer with the newest version."""
    floor = selectors.floor_get(public_id)
    draw_services.draft_drop(actor=actor_of(request), floor=floor)
    newest = selectors.floor_version(floor)
    return json_answer({**version_facts(newest), "document": newest.document})


@grants("floor", "change")
@require_POST
@answers_json
def draw_save(request: HttpRequest, public_id: str) -> HttpResponse:
    """Save the drawing as the next version; a clash tells what somebody else saved meanwhile."""
    floor = selectors.floor_get(public_id)
    body = posted_json(request)
    document, base_version = body.get("document"), posted_whole(body, "base_version")
    try:
        saved = draw_services.draw_save(
            actor=actor_of(request),
            at=database_now(),
            floor=floor,
            document=_object(document),
            base_version=base_version,
        )
    except StaleSave as error:
        return json_answer(clash_json(floor, error), error.status)
    except Refused as error:
        return json_answer(refused_json(document, error), error.status)
    return json_answer(version_facts(saved))


@grants("floor", "make")
@require_POST
@answers_json
def draw_create(request: HttpRequest, public_id: str) -> HttpResponse:
    """Save a new floor of a project; `under`, in body or address, names the page that it was traced over."""
    project = selectors.project_get(public_id)
    body = posted_json(request)
    document = body.get("document")
    under = body.get("under", request.GET.get("under"))
    page = plan_page_find(under, project)  # one taken away meanwhile keeps no floor from being saved
    try:
        floor = floor_create_over(
            actor=actor_of(request), at=database_now(), project=project, document=_object(document), page=page
        )
    except Refused as error:
        return json_answer(refused_json(document, error), error.status)
    facts = version_facts(selectors.floor_version(floor))
    url = reverse("projects:floor_draw", args=[floor.public_id])
    return json_answer({**facts, "public_id": floor.public_id, "url": url}, 201)


@grants("floor", "read")
@require_GET
@answers_json
def draw_versions(request: HttpRequest, public_id: str) -> HttpResponse:
    """The saved versions of a floor, newest first."""
    del request
    return json_answer({"versions": draw_selectors.version_list(selectors.floor_get(public_id))})


@grants("floor", "read")
@require_http_methods(["GET", "HEAD", "POST"])
@answers_json
def draw_version(request: HttpRequest, public_id: str, number: int) -> HttpResponse:
    """One saved version: its document, its drawing, and what the newest one has otherwise.

    A drawing posted to it is compared with it, and both are made one; nothing is saved.
    """
    floor = selectors.floor_get(public_id)
    if request.method == "POST":
        return json_answer(compared_json(floor, number, posted_json(request)))
    return json_answer(version_json(floor, number))


@grants("floor", "read")
@require_POST
@answers_json
def draw_change(request: HttpRequest, public_id: str) -> HttpResponse:
    """A drawing mirrored, turned or put into other units as a whole; nothing is saved."""
    selectors.project_get(public_id)
    return json_answer(changed_json(posted_json(request)))


@grants("floor", "read")
@require_POST
@answers_json
def draw_presence(request: HttpRequest, public_id: str) -> HttpResponse:
    """Tell that the editor is open; who else is there, and whether somebody saved meanwhile."""
    floor = selectors.floor_get(public_id)
    base_version = posted_whole(posted_json(request), "base_version")
    others = draw_services.presence_ask(
        actor=actor_of(request), at=database_now(), floor=floor, base_version=base_version
    )
    return json_answer(presence_json(floor, others))


def editor_page(
    request: HttpRequest, project: Project, floor: Floor | None, opened: Opened, under: PlanPage | None = None
) -> HttpResponse:
    """The editor with what somebody goes on with; floor None is a new floor, nothing of it is saved yet."""
    rights = Rights(role_may(request, "floor", "change"), role_may(request, "price_book", "read"))
    start = start_facts(project, floor, opened, rights, under)
    # As text the page can hold it in a hidden element: no page of ours has a script without an address.
    more = {"start": start, "start_text": json.dumps(start)}
    context = {"project": project, "floor": floor, "may_change": rights.change, **more}
    return render(request, "projects/draw.html", context)


def _object(document: Any) -> dict[str, Any]:
    """The posted document. Raises Refused where it is none, before a text could be read as one."""
    if isinstance(document, dict):
        return document
    raise Refused("A floor document is a JSON object.", field="document")
