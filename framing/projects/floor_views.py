"""The floor page: the form at the left, the drawing at the right; all of it works without script too.

One POST form with named buttons: `intent` is save or draw, `rows` adds or takes away a row, and a second form
brings a whole document as text or file.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from framing.common.access import grants, require
from framing.common.clock import database_now
from framing.common.errors import Refused, StaleSave
from framing.engine.document import MAX_BYTES, FloorDocument, dump_document, read_document
from framing.engine.errors import DocumentRefused, Problem
from framing.engine.practice import Practice
from framing.projects import selectors, services
from framing.projects.differences import Difference
from framing.projects.entry import FloorEntry
from framing.projects.entry_fields import layer_names
from framing.projects.models import Floor, Project
from framing.projects.options import option_document, parse_option
from framing.projects.preview import Preview, preview_document
from framing.projects.views import actor_of, role_may


@dataclass
class FloorPage:
    """All that the page shows; the views fill it in and render it."""

    project: Project
    floor: Floor | None
    practice: Practice
    entry: FloorEntry
    preview: Preview
    base_version: int = 0
    status: int = 200
    document_text: str = ""
    document_problems: tuple[Problem, ...] = ()
    stale: dict[str, Any] = field(default_factory=dict)


@grants("floor", "make")
@require_http_methods(["GET", "HEAD", "POST"])
def floor_new(request: HttpRequest, public_id: str) -> HttpResponse:
    """Draw a new floor of a project."""
    project = selectors.project_get(public_id)
    practice = selectors.practice_in_force()
    entry = FloorEntry.blank(project.units, f"Floor {project.floors.count() + 1}")
    page = FloorPage(project, None, practice, entry, Preview())
    if request.method == "POST":
        return _post(request, page)
    return _render(request, page)


@grants("floor", "read")
@require_http_methods(["GET", "HEAD", "POST"])
def floor_page(request: HttpRequest, public_id: str) -> HttpResponse:
    """Look at a floor and change it."""
    floor = selectors.floor_get(public_id)
    practice = selectors.practice_in_force()
    if request.method == "POST":
        require(actor_of(request), "floor", "change")
        page = FloorPage(floor.project, floor, practice, FloorEntry.posted(request.POST), Preview())
        page.base_version = _whole(request.POST.get("base_version", ""))
        return _post(request, page)
    saved = selectors.floor_version(floor)
    document = _with_option(request, read_document(saved.document))
    page = _page_of(document, floor.project, floor, practice)
    page.base_version = saved.number
    return _render(request, page)


@grants("floor", "change")
@require_POST
def floor_preview(request: HttpRequest) -> HttpResponse:
    """The drawing and figures of what stands in the form now; nothing is saved.

    Where the form can't be read, only the words are swapped and the last drawing stays.
    """
    entry = FloorEntry.posted(request.POST)
    preview = preview_document(entry.raw_document(), selectors.practice_in_force())
    context = {
        "preview": preview,
        "problems": _placed(entry, preview.problems),
        "live": True,
        "matrix": preview.matrix,
        "choose_by": "form",
        "may_price": role_may(request, "price_book", "read"),
    }
    unread = preview.plan is None
    response = render(
        request, "projects/_preview_words.html" if unread else "projects/_preview.html", context
    )
    if unread:
        response["HX-Retarget"] = "#preview-words"
        response["HX-Reswap"] = "outerHTML"
    return response


def _with_option(request: HttpRequest, document: FloorDocument) -> FloorDocument:
    """The saved document, or with an option of the matrix that the address names, which is not saved yet."""
    option = parse_option(request.GET.get("option", ""))
    if option is None or not role_may(request, "floor", "change"):
        return document
    spacing = option[2].rstrip('"')
    messages.info(request, f"{option[1]} at {spacing} in is filled in and not saved yet.")
    return option_document(document, *option)


def _post(request: HttpRequest, page: FloorPage) -> HttpResponse:
    if request.POST.get("intent") == "document":
        return _post_document(request, page)
    page.entry = FloorEntry.posted(request.POST)
    if "option" in request.POST:
        page.entry.choose(request.POST["option"])
        return _draw(request, page)
    if "rows" in request.POST:
        page.entry.act(request.POST["rows"])
        return _draw(request, page)
    if request.POST.get("intent") != "save":
        return _draw(request, page)
    return _save(request, page, page.entry.raw_document())


def _draw(request: HttpRequest, page: FloorPage) -> HttpResponse:
    raw = page.entry.raw_document()
    page.preview = preview_document(raw, page.practice)
    page.entry.add_problems(page.preview.problems)
    page.document_text = _shown(raw)
    return _render(request, page)


def _save(request: HttpRequest, page: FloorPage, document: Any) -> HttpResponse:
    """Save and go to the floor's page; a refusal or a clash comes back with all that was typed."""
    try:
        floor = _store(request, page, document)
    except StaleSave as error:
        page.status, page.stale = error.status, _stale_context(page, error)
        page.preview = preview_document(document, page.practice)
    except Refused as error:
        page.status = error.status
        problems = tuple(Problem(item["place"], item["message"]) for item in error.detail or ())
        page.preview = preview_document(document, page.practice)
        page.entry.add_problems(problems or (Problem(error.field, error.message),))
    else:
        messages.success(request, f"Saved as version {floor.version}.")
        return redirect("projects:floor_page", floor.public_id)
    page.document_text = _shown(document)
    return _render(request, page)


def _store(request: HttpRequest, page: FloorPage, document: Any) -> Floor:
    actor, at = actor_of(request), database_now()
    if page.floor is None:
        return services.floor_create(actor=actor, at=at, project=page.project, document=document)
    return services.floor_save(
        actor=actor, at=at, floor=page.floor, document=document, base_version=page.base_version
    )


def _post_document(request: HttpRequest, page: FloorPage) -> HttpResponse:
    """A whole document, pasted or uploaded; on refusal the text stays in its field."""
    upload = request.FILES.get("document_file")
    source: bytes | str = request.POST.get("document_text", "")
    if upload is not None:
        source = upload.read(MAX_BYTES + 1)
    try:
        document = read_document(source)
        page_of_it = _page_of(document, page.project, page.floor, page.practice)
        page_of_it.base_version = page.base_version
        return _save(request, page_of_it, document)
    except DocumentRefused as error:
        page.document_problems = error.problems
    text = source if isinstance(source, str) else source.decode("utf-8", "replace")
    page.document_text = text[:MAX_BYTES]
    page.status = 422
    if page.floor is not None:
        saved = selectors.floor_version(page.floor)
        kept = _page_of(read_document(saved.document), page.project, page.floor, page.practice)
        page.entry, page.preview = kept.entry, kept.preview
    return _render(request, page)


def _page_of(document: FloorDocument, project: Project, floor: Floor | None, practice: Practice) -> FloorPage:
    entry = FloorEntry.of_document(document)
    preview = preview_document(document, practice)
    entry.raw_document()
    entry.add_problems(preview.problems)
    page = FloorPage(project, floor, practice, entry, preview)
    page.document_text = _shown(dump_document(document))
    return page


def _stale_context(page: FloorPage, error: StaleSave) -> dict[str, Any]:
    """Their version beside yours: who, when, what differs, both drawings."""
    detail = error.detail
    if page.floor is None:
        raise error
    theirs = selectors.floor_version(page.floor, detail["version"])
    return {
        "message": error.message,
        "version": detail["version"],
        "saved_by": detail["saved_by"],
        "saved_at": theirs.saved_at,
        "differences": [Difference(**row) for row in detail["differences"]],
        "preview": preview_document(theirs.document, page.practice),
        "document_text": _shown(theirs.document),
    }


def _placed(entry: FloorEntry, problems: tuple[Problem, ...]) -> list[dict[str, str]]:
    """Problems with the id of the field each is about; equal ones once."""
    found: dict[tuple[str, str], None] = {}
    for problem in problems:
        found.setdefault((entry.field_of(problem.place), problem.message))
    return [{"field": name and f"id_{name}", "message": message} for name, message in found]


def _render(request: HttpRequest, page: FloorPage) -> HttpResponse:
    if not page.entry.places_known:
        page.entry.raw_document()
    may_change = role_may(request, "floor", "change")
    context = {
        "page": page,
        "project": page.project,
        "floor": page.floor,
        "entry": page.entry,
        "preview": page.preview,
        "problems": _placed(page.entry, page.preview.problems),
        "may_change": may_change,
        "matrix": page.preview.matrix,
        "choose_by": "form" if may_change else "",
        "may_price": role_may(request, "price_book", "read"),
        "layer_names": layer_names(),
        "history": selectors.history_list(page.floor) if page.floor else (),
    }
    return render(request, "projects/floor_page.html", context, status=page.status)


def _shown(document: Any) -> str:
    if isinstance(document, FloorDocument):
        document = dump_document(document)
    return json.dumps(document, indent=2, ensure_ascii=False)


def _whole(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 9 else 0
