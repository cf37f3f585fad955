"""What a tap's script gets back: a sentence, the parts of its page as they read now, and what may be taken back."""

from __future__ import annotations

from contextlib import suppress
from typing import Any, Final
from uuid import uuid4

from django.contrib import messages
from django.http import HttpRequest
from django.template.loader import render_to_string
from django.urls import reverse

from framing.common.errors import NotThere
from orders import floor_reads as reads
from orders.floor_views import sheet_context
from orders.models import ShopAction

HEADER: Final = "X-Tap"
PARTS: Final = ("state", "again", "told")
TONES: Final = {"good": messages.SUCCESS, "care": messages.WARNING, "note": messages.INFO}


def body(
    request: HttpRequest, public_id: str, words: str, tone: str, action: ShopAction | None
) -> dict[str, Any]:
    """What the page's script shows: a sentence, the parts as they read now, and the tap that may be taken back."""
    parts: dict[str, str] = {}
    with suppress(NotThere):  # bundled anew meanwhile
        parts = _parts(request, reads.floor_bundle(public_id))
    undo = ""
    if action is not None and action.changed and action.verb not in reads.UNDONE:
        undo = str(action.action_id)
    return {"said": words, "tone": tone, "parts": parts, "undo": undo, "bundle": public_id}


def _parts(request: HttpRequest, bundle: Any) -> dict[str, str]:
    """The parts of the page that asked which show a bundle, by their ids."""
    if request.headers[HEADER] == "sheet":
        context = sheet_context(request, bundle)
        return {
            f"floor-{name}": render_to_string(f"orders/floor/_{name}.html", context, request)
            for name in PARTS
        }
    context = {"card": reads.card_of(bundle), "back": reverse("orders:floor"), "new_id": uuid4}
    return {f"b-{bundle.public_id}": render_to_string("orders/floor/_card.html", context, request)}
