"""The shop floor page: today's bundles by line, one bundle's sheet, and an address for each tap and for scans.

A tap comes as a plain form, or from the page's script, which says so in a header and gets back, as JSON, what to say
and the parts of the page that read otherwise now.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from typing import Any, Final, TypedDict
from uuid import uuid4

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme, urlencode
from django.views.decorators.http import require_GET, require_POST

from framing.common.access import grants
from framing.common.actors import Actor, person
from framing.common.clock import database_now
from framing.common.errors import ApplicationError, NotThere, Refused
from orders import floor_forms as forms
from orders import floor_reads as reads
from orders import services
from orders.floor_words import looked_up, said
from orders.forms import show_refusal
from orders.models import ShopAction
from orders.views.parts import user_of

PAGE_LENGTH: Final = 48
HEADER: Final = "X-Tap"
PARTS: Final = ("state", "again", "told")
_TONES: Final = {"good": messages.SUCCESS, "care": messages.WARNING, "note": messages.INFO}


class Now(TypedDict):
    """Who taps, and when."""

    actor: Actor
    at: datetime


Act = Callable[[Any, Any, Now], ShopAction]
"""Does what a checked form asks for on a bundle."""


@grants("bundle", "finish")
@require_GET
def floor(request: HttpRequest) -> HttpResponse:
    """Today's bundles of a line, in running order."""
    return _floor(request, forms.ScanForm(initial={"action_id": uuid4()}))


def _floor(request: HttpRequest, scan: forms.ScanForm, status: int = 200) -> HttpResponse:
    found = reads.floor_list(request.GET.get("line", ""), database_now())
    page = Paginator(found.rows, PAGE_LENGTH).get_page(request.GET.get("page"))
    context = {
        "found": found,
        "page": page,
        "cards": reads.cards_of(page.object_list),
        "query": urlencode({"line": found.tab.key}),
        "back": request.get_full_path(),
        "scan": scan,
        **_frame(request),
    }
    return _with_camera(render(request, "orders/floor/list.html", context, status=status))


@grants("bundle", "finish")
@require_GET
def floor_bundle(request: HttpRequest, public_id: str) -> HttpResponse:
    """One bundle: its pieces, and everything that can be tapped on it."""
    return _sheet(request, reads.floor_bundle(public_id))


def _sheet(
    request: HttpRequest, bundle: Any, typed: forms.TapForm | None = None, status: int = 200
) -> HttpResponse:
    context = {
        **_sheet_context(request, bundle),
        "weigh": forms.WeighForm(),
        "scrap": forms.ScrapForm(),
        "reopen": forms.ReopenForm(),
        "scan": forms.ScanForm(initial={"action_id": uuid4(), "hand": bundle.public_id}),
        **({_NAMES[type(typed)]: typed} if type(typed) in _NAMES else {}),
        **_frame(request),
    }
    return _with_camera(render(request, "orders/floor/bundle.html", context, status=status))


_NAMES: Final[dict[type, str]] = {
    forms.WeighForm: "weigh",
    forms.ScrapForm: "scrap",
    forms.ReopenForm: "reopen",
    forms.ScanForm: "scan",
}


def _sheet_context(request: HttpRequest, bundle: Any) -> dict[str, Any]:
    return {
        "sheet": reads.bundle_sheet(bundle, user_of(request), database_now()),
        "bundle": bundle,
        "units": bundle.order.revision.quote.project.units,
        "back": reverse("orders:floor_bundle", args=[bundle.public_id]),
        "new_id": uuid4,
    }


def _frame(request: HttpRequest) -> dict[str, Any]:
    """What both pages need for their script: whose taps this browser keeps."""
    return {"tapper": user_of(request).pk, "new_id": uuid4}


def _with_camera(response: HttpResponse) -> HttpResponse:
    """Let this page alone ask for the camera, to scan with."""
    response["Permissions-Policy"] = "camera=(self), microphone=(), geolocation=()"
    return response


# --- taps ---


@grants("bundle", "roll")
@require_POST
def start(request: HttpRequest, public_id: str) -> HttpResponse:
    return _tap(request, public_id, forms.TapForm(request.POST), _start)


def _start(form: forms.TapForm, bundle: Any, now: Now) -> ShopAction:
    return services.bundle_start(bundle=bundle, tap=form.tap, **now)


@grants("bundle", "finish")
@require_POST
def finish(request: HttpRequest, public_id: str) -> HttpResponse:
    return _tap(request, public_id, forms.TapForm(request.POST), _finish)


def _finish(form: forms.TapForm, bundle: Any, now: Now) -> ShopAction:
    return services.bundle_finish(bundle=bundle, tap=form.tap, **now)


@grants("bundle", "reopen")
@require_POST
def reopen(request: HttpRequest, public_id: str) -> HttpResponse:
    return _tap(request, public_id, forms.ReopenForm(request.POST), _reopen)


def _reopen(form: forms.TapForm, bundle: Any, now: Now) -> ShopAction:
    return services.bundle_reopen(bundle=bundle, why=form.cleaned_data["why"], tap=form.tap, **now)


@grants("bundle", "weigh")
@require_POST
def weigh(request: HttpRequest, public_id: str) -> HttpResponse:
    return _tap(request, public_id, forms.WeighForm(request.POST), _weigh)


def _weigh(form: forms.TapForm, bundle: Any, now: Now) -> ShopAction:
    weighed = form.cleaned_data["weighed_lb"]
    return services.bundle_weigh(bundle=bundle, weighed_lb=weighed, tap=form.tap, **now)


@grants("bundle", "remake")
@require_POST
def scrap(request: HttpRequest, public_id: str) -> HttpResponse:
    return _tap(request, public_id, forms.ScrapForm(request.POST), _scrap)


def _scrap(form: forms.TapForm, bundle: Any, now: Now) -> ShopAction:
    data = form.cleaned_data
    piece = services.piece_of_bundle(bundle, data["piece"])
    return services.piece_scrap(piece=piece, reason=data["reason"], words=data["words"], tap=form.tap, **now)


@grants("bundle", "remake")
@require_POST
def remade(request: HttpRequest, public_id: str) -> HttpResponse:
    return _tap(request, public_id, forms.PieceForm(request.POST), _remade)


def _remade(form: forms.TapForm, bundle: Any, now: Now) -> ShopAction:
    piece = services.piece_of_bundle(bundle, form.cleaned_data["piece"])
    return services.piece_remade(piece=piece, tap=form.tap, **now)


@grants("bundle", "finish")
@require_POST
def undo(request: HttpRequest, public_id: str) -> HttpResponse:
    return _tap(request, public_id, forms.UndoForm(request.POST), _undo)


def _undo(form: forms.TapForm, bundle: Any, now: Now) -> ShopAction:
    del bundle
    return services.tap_undo(undoes=form.cleaned_data["undoes"], tap=form.tap, **now)


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
    words, tone = said(found.action) if found.action else (looked_up(found.bundle, found.piece), "note")
    if HEADER in request.headers:
        piece = found.piece.code if found.piece else ""
        body = _body(request, found.bundle.public_id, words, tone, found.action)
        return JsonResponse({**body, "piece": piece, "bundle": found.bundle.public_id})
    messages.add_message(request, _TONES[tone], words)
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
        return _sheet(request, reads.floor_bundle(hand.public_id), form, 422)
    return _floor(request, form, 422)


def _tap(request: HttpRequest, public_id: str, form: forms.TapForm, act: Act) -> HttpResponse:
    """Count a tap and answer its page, or its script, in words."""
    try:
        bundle = reads.floor_bundle(public_id)
        form.checked()
        action = act(form, bundle, {"actor": person(user_of(request)), "at": database_now()})
    except ApplicationError as error:
        return _refused(request, public_id, form, error)
    words, tone = said(action)
    if HEADER in request.headers:
        return JsonResponse(_body(request, public_id, words, tone, action))
    messages.add_message(request, _TONES[tone], words)
    back = request.POST.get("back", "")
    if url_has_allowed_host_and_scheme(back, allowed_hosts=None):
        return redirect(back)
    return redirect("orders:floor_bundle", public_id)


def _refused(
    request: HttpRequest, public_id: str, form: forms.TapForm, error: ApplicationError
) -> HttpResponse:
    """In words for the script; a page of its own forms again with what was typed, else the page of refusals."""
    if HEADER in request.headers:
        return JsonResponse(_body(request, public_id, error.message, "bad", None), status=error.status)
    if not isinstance(error, Refused) or type(form) not in _NAMES:
        raise error
    if error.field not in form.errors:
        show_refusal(form, error)
    return _sheet(request, reads.floor_bundle(public_id), form, 422)


def _body(
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
        context = _sheet_context(request, bundle)
        return {
            f"floor-{name}": render_to_string(f"orders/floor/_{name}.html", context, request)
            for name in PARTS
        }
    context = {"card": reads.card_of(bundle), "back": reverse("orders:floor"), "new_id": uuid4}
    return {f"b-{bundle.public_id}": render_to_string("orders/floor/_card.html", context, request)}
