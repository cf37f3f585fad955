"""Pages that make floors from a floor, order and count them, take them off a project and put them back."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from framing.common.access import grants
from framing.common.clock import database_now
from framing.common.errors import Clash, Refused
from framing.drawing import thumbnail_svg
from framing.engine.document import read_document
from framing.engine.errors import DocumentRefused
from framing.projects import selectors
from framing.projects.design import plan_of
from framing.projects.mirrored import WAYS, mirrored
from framing.projects.models import Floor, Project
from framing.projects.repeat_forms import WAY_CHOICES, RepeatRows
from framing.projects.repeat_removal import floor_put_back, floor_take_off
from framing.projects.repeat_selectors import floor_state
from framing.projects.repeat_services import floor_place, floor_repeat, floor_times
from framing.projects.views import actor_of

REPEAT_MOST = 99


@grants("floor", "make")
@require_http_methods(["GET", "HEAD", "POST"])
def floor_repeat_page(request: HttpRequest, public_id: str) -> HttpResponse:
    """Make floors from this floor: storeys above it, or its mirror; `?mirror=1` proposes the mirror."""
    floor = selectors.floor_get(public_id)
    if request.method != "POST":
        rows = RepeatRows.proposed(floor, mirror="mirror" in request.GET)
        return _repeat_page(request, floor, rows, secrets.token_urlsafe(24))
    key = request.POST.get("idempotency_key", "")
    rows = RepeatRows.posted(request.POST)
    if verb := request.POST.get("rows", ""):
        return _repeat_page(request, floor, rows.act(floor, verb), key)
    if rows.is_valid():
        try:
            made = floor_repeat(
                actor=actor_of(request), at=database_now(), floor=floor, copies=rows.copies, key=key
            )
        except Refused as error:
            rows.refuse(error)
        else:
            names = ", ".join(new.name for new in made)
            messages.success(request, f"{floor.name} is repeated: {names}.")
            return redirect("projects:project_page", floor.project.public_id)
    return _repeat_page(request, floor, rows, key, status=422)


@grants("floor", "change")
@require_POST
def floor_times_set(request: HttpRequest, public_id: str) -> HttpResponse:
    """Say how often a floor is built alike."""
    floor = selectors.floor_get(public_id)
    repeat, base_version = (_whole(request.POST.get(name, "")) for name in ("repeat", "version"))

    def act() -> None:
        if repeat is None or not 1 <= repeat <= REPEAT_MOST:
            typed = request.POST.get("repeat", "")[:20]
            words = (
                f"{floor.name} can't be built “{typed}” times; write a whole number from 1 to {REPEAT_MOST}."
            )
            raise Refused(words, field="repeat")
        floor_times(
            actor=actor_of(request),
            at=database_now(),
            floor=floor,
            repeat=repeat,
            base_version=base_version or 0,
        )

    return _back(request, floor.project, act, floor)


@grants("floor", "change")
@require_POST
def floor_place_set(request: HttpRequest, public_id: str) -> HttpResponse:
    """Move a floor to a place in its project."""
    floor = selectors.floor_get(public_id)
    place = _whole(request.POST.get("place", "")) or 0
    at = database_now()
    return _back(
        request,
        floor.project,
        lambda: floor_place(actor=actor_of(request), at=at, floor=floor, place=place),
        floor,
    )


@grants("floor", "take_off")
@require_POST
def floor_off(request: HttpRequest, public_id: str) -> HttpResponse:
    """Take a floor off its project; the page that follows offers to put it back."""
    floor = selectors.floor_get(public_id)
    page = reverse("projects:project_page", args=[floor.project.public_id])
    try:
        floor_take_off(actor=actor_of(request), at=database_now(), floor=floor)
    except Refused as error:
        messages.error(request, error.message)
        return redirect(page)
    return redirect(f"{page}?off={public_id}")


@grants("floor", "make")
@require_POST
def floor_back(request: HttpRequest, public_id: str) -> HttpResponse:
    """Put a floor back on its project that was taken off."""
    project = selectors.project_get(public_id)
    gone = request.POST.get("floor", "")
    at = database_now()
    return _back(
        request,
        project,
        lambda: floor_put_back(actor=actor_of(request), at=at, project=project, public_id=gone),
        Floor(public_id=gone),
    )


def _back(request: HttpRequest, project: Project, act: Callable[[], Any], floor: Floor) -> HttpResponse:
    """Do it and go back to the project's page, at the floor; a refusal is told there."""
    try:
        act()
    except (Refused, Clash) as error:
        messages.error(request, error.message)
    page = reverse("projects:project_page", args=[project.public_id])
    return redirect(f"{page}?open={floor.public_id}#floor-{floor.public_id}")


def _repeat_page(
    request: HttpRequest, floor: Floor, rows: RepeatRows, key: str, *, status: int = 200
) -> HttpResponse:
    context = {
        "floor": floor,
        "project": floor.project,
        "rows": rows,
        "key": key,
        "ways": _ways(floor),
    }
    return render(request, "projects/repeat.html", context, status=status)


def _ways(floor: Floor) -> list[dict[str, str]]:
    """The floor's outline as drawn and both ways mirrored; none of an old document that can't be read."""
    practice = selectors.practice_in_force()
    try:
        document = read_document(floor_state(floor).document)
        plans = [plan_of(document, practice), *(plan_of(mirrored(document, way), practice) for way in WAYS)]
    except DocumentRefused:
        return []
    return [
        {"words": words, "svg": thumbnail_svg(plan)}
        for (_, words), plan in zip(WAY_CHOICES, plans, strict=True)
    ]


def _whole(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 9 else None
