"""The plan editor: its page, and what the page asks while somebody draws.

The page is a shell with a start document; everything else is JSON. Looking needs the right to read floors, drafts and
saves that to change them.
"""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from framing.common.access import grants
from framing.common.clock import database_now
from framing.common.errors import Refused, StaleSave
from framing.projects import draw_selectors, draw_services, selectors, services
from framing.projects.differences import Difference, find_differences
from framing.projects.draw_answer import Pricer, draw_answer, draw_places, draw_problems, draw_shown, no_price
from framing.projects.draw_price import price_of
from framing.projects.draw_requests import answers_json, json_answer, posted_json, posted_whole
from framing.projects.draw_selectors import Opened, version_facts
from framing.projects.draw_start import Rights, blank_document, start_facts
from framing.projects.models import Floor, FloorVersion, Project
from framing.projects.views import actor_of, role_may


@grants("floor", "read")
@require_http_methods(["GET", "HEAD"])
def floor_draw(request: HttpRequest, public_id: str) -> HttpResponse:
    """Draw on a floor, or look at its drawing."""
    floor = selectors.floor_get(public_id)
    newest = selectors.floor_version(floor)
    drawer = actor_of(request).user if role_may(request, "floor", "change") else None
    return _page(request, floor.project, floor, draw_selectors.opened(floor, newest, drawer))


@grants("floor", "make")
@require_http_methods(["GET", "HEAD"])
def floor_draw_new(request: HttpRequest, public_id: str) -> HttpResponse:
    """Draw a new floor of a project; its first save makes it."""
    project = selectors.project_get(public_id)
    blank = blank_document(project.units, f"Floor {project.floors.count() + 1}")
    return _page(request, project, None, Opened(blank, 0, from_draft=False))


@grants("floor", "read")
@require_POST
@answers_json
def draw_answers(request: HttpRequest, public_id: str) -> HttpResponse:
    """What the document comes to, and where everything is. `public_id` is the project's: it decides prices."""
    project = selectors.project_get(public_id)
    body = posted_json(request)
    sequence = posted_whole(body, "sequence")
    answer = draw_answer(body.get("document"), selectors.practice_in_force(), _pricer(request, project))
    return json_answer({"sequence": sequence, **answer})


@grants("floor", "read")
@require_POST
@answers_json
def draw_code_places(request: HttpRequest, public_id: str) -> HttpResponse:
    """Where the things of one bill line are."""
    selectors.project_get(public_id)
    body = posted_json(request)
    code = body.get("code")
    if not isinstance(code, str):
        raise Refused("“code” must be the code of a bill line.", field="code")
    places = draw_places(body.get("document"), code, selectors.practice_in_force())
    return json_answer({"code": code, "places": places})


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
    others = [other.as_json() for other in kept.others]
    return json_answer({"saved_at": kept.saved_at.isoformat(), "draft": kept.draft, "others": others})


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
        return json_answer(_clash(floor, error), error.status)
    except Refused as error:
        return json_answer(_refused(document, error), error.status)
    return json_answer(version_facts(saved))


@grants("floor", "make")
@require_POST
@answers_json
def draw_create(request: HttpRequest, public_id: str) -> HttpResponse:
    """Save a new floor of a project."""
    project = selectors.project_get(public_id)
    document = posted_json(request).get("document")
    try:
        floor = services.floor_create(
            actor=actor_of(request), at=database_now(), project=project, document=_object(document)
        )
    except Refused as error:
        return json_answer(_refused(document, error), error.status)
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
@require_GET
@answers_json
def draw_version(request: HttpRequest, public_id: str, number: int) -> HttpResponse:
    """One saved version: its document, its drawing, and what the newest version has otherwise."""
    del request
    floor = selectors.floor_get(public_id)
    version = selectors.floor_version(floor, min(number, floor.version + 1))
    shown = draw_shown(version.document, selectors.practice_in_force())
    differences = _since(version, selectors.floor_version(floor))
    facts = version_facts(version)
    number_of = facts.pop("version")
    return json_answer(
        {"number": number_of, **facts, "document": version.document, **shown, "differences": differences}
    )


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
    newest = selectors.floor_version(floor)
    return json_answer({**version_facts(newest), "others": [other.as_json() for other in others]})


def _page(request: HttpRequest, project: Project, floor: Floor | None, opened: Opened) -> HttpResponse:
    rights = Rights(role_may(request, "floor", "change"), role_may(request, "price_book", "read"))
    start = start_facts(project, floor, opened, rights)
    context = {"project": project, "floor": floor, "may_change": rights.change, "start": start}
    return render(request, "projects/draw.html", context)


def _pricer(request: HttpRequest, project: Project) -> Pricer:
    """Prices for those who may see the price book."""
    if not role_may(request, "price_book", "read"):
        return no_price
    return lambda result, practice: price_of(result, practice, project)


def _object(document: Any) -> dict[str, Any]:
    """The posted document. Raises Refused where it is none, before a text could be read as one."""
    if isinstance(document, dict):
        return document
    raise Refused("A floor document is a JSON object.", field="document")


def _refused(document: Any, error: Refused) -> dict[str, Any]:
    """The problems of a refused save: the engine's with their places on the plan, else the refusal's own."""
    problems = draw_problems(document, selectors.practice_in_force())
    if not problems:
        plain = {"place": error.field, "message": error.message, "x": None, "y": None}
        problems = [plain]
    return {"message": error.message, "problems": problems}


def _clash(floor: Floor, error: StaleSave) -> dict[str, Any]:
    detail = error.detail
    theirs = selectors.floor_version(floor, detail["version"])
    return {
        "message": error.message,
        "version": detail["version"],
        "saved_by": detail["saved_by"],
        "saved_at": detail["saved_at"],
        "document": theirs.document,
        "differences": [_difference(Difference(**row)) for row in detail["differences"]],
    }


def _since(version: FloorVersion, newest: FloorVersion) -> list[dict[str, str]]:
    found = find_differences(base=version.document, yours=version.document, theirs=newest.document)
    return [_difference(difference) for difference in found]


def _difference(difference: Difference) -> dict[str, str]:
    return {"words": difference.words, **difference.as_json()}
