"""The address for scans: a tag's next step, or where a piece belongs, wherever on the page the code came in."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from framing.common.access import grants
from framing.common.actors import person
from framing.common.clock import database_now
from framing.common.errors import ApplicationError, Refused
from orders import floor_forms as forms
from orders import floor_reads as reads
from orders import services
from orders.floor_answers import HEADER, TONES, body
from orders.floor_views import list_page, sheet_page
from orders.floor_words import scan_said
from orders.forms import show_refusal
from orders.views.parts import user_of


@grants("bundle", "finish")
@require_POST
def scan(request: HttpRequest) -> HttpResponse:
    """A scanned or typed code, wherever on the page it came in."""
    form = forms.ScanForm(request.POST)
    hand = None
    try:
        form.checked()
        hand = reads.hand_bundle(form.cleaned_data["hand"])
        code, at = form.cleaned_data["code"], database_now()
        found = services.code_scan(actor=person(user_of(request)), at=at, text=code, hand=hand, tap=form.tap)
    except ApplicationError as error:
        return _scan_refused(request, form, error, hand)
    words, tone = scan_said(found.action, found.bundle, found.piece, found.told)
    if HEADER in request.headers:
        piece = found.piece.code if found.piece else ""
        answer = body(request, found.bundle.public_id, words, tone, found.action)
        return JsonResponse({**answer, "piece": piece, "bundle": found.bundle.public_id})
    messages.add_message(request, TONES[tone], words)
    return redirect("orders:floor_bundle", found.bundle.public_id)


def _scan_refused(
    request: HttpRequest, form: forms.ScanForm, error: ApplicationError, hand: Any
) -> HttpResponse:
    if HEADER in request.headers:
        return JsonResponse({"said": error.message, "tone": "bad", "parts": {}}, status=error.status)
    if not isinstance(error, Refused):
        raise error
    show_refusal(form, error)
    if hand is not None:
        return sheet_page(request, reads.floor_bundle(hand.public_id), form, 422)
    return list_page(request, form, 422)
