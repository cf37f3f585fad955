"""The find page, and its hits as a part of any page while one types."""

from __future__ import annotations

from typing import Any, cast

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from framing.common.access import SIGNED_IN, grants
from framing.common.errors import Refused
from framing.common.find import Findings, check_asked, find, kinds_for
from framing.common.models import User


@grants(SIGNED_IN)
@require_safe
def find_page(request: HttpRequest) -> HttpResponse:
    """What `q` finds; a whole page, or only its hits where the find box asks."""
    asked = request.GET.get("q", "")
    role = cast("User", request.user).role
    context: dict[str, Any] = {"asked": asked, "kinds": [kind.title.lower() for kind in kinds_for(role)]}
    if asked.strip():
        try:
            context |= {"found": find(asked, role), "asked": check_asked(asked)}
        except Refused as error:
            context |= {"found": Findings(), "refused": error.message, "asked": asked.replace("\x00", "")}
    part = bool(request.headers.get("HX-Request"))
    return render(request, "includes/find_hits.html" if part else "lists/find.html", context | {"part": part})
