"""An address for each tap of the shop.

A tap comes as a plain form, or from the page's script, which says so in a header and is answered by `floor_answers`.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any, TypedDict

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

from framing.common.access import grants
from framing.common.actors import Actor, person
from framing.common.clock import database_now
from framing.common.errors import ApplicationError, Refused
from orders import floor_forms as forms
from orders import floor_reads as reads
from orders import services
from orders.floor_answers import HEADER, TONES, body
from orders.floor_views import FORMS, sheet_page
from orders.floor_words import said
from orders.forms import show_refusal
from orders.models import ShopAction
from orders.views.parts import user_of


class Now(TypedDict):
    """Who taps, and when."""

    actor: Actor
    at: datetime


Act = Callable[[Any, Any, Now], ShopAction]
"""Does what a checked form asks for on a bundle."""


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
        return JsonResponse(body(request, public_id, words, tone, action))
    messages.add_message(request, TONES[tone], words)
    back = request.POST.get("back", "")
    if url_has_allowed_host_and_scheme(back, allowed_hosts=None):
        return redirect(back)
    return redirect("orders:floor_bundle", public_id)


def _refused(
    request: HttpRequest, public_id: str, form: forms.TapForm, error: ApplicationError
) -> HttpResponse:
    """In words for the script; a page of its own forms again with what was typed, else the page of refusals."""
    if HEADER in request.headers:
        return JsonResponse(body(request, public_id, error.message, "bad", None), status=error.status)
    if not isinstance(error, Refused) or type(form) not in FORMS:
        raise error
    if error.field not in form.errors:
        show_refusal(form, error)
    return sheet_page(request, reads.floor_bundle(public_id), form, 422)
