"""Pages of the yard: trucks to load, and one of them with what goes on it, ticked by hand or by scan (R47)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import uuid4

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from framing.common.access import grants, may
from framing.common.actors import Actor, person
from framing.common.clock import database_now
from framing.common.errors import ApplicationError, NotThere
from framing.common.zones import company_day
from orders import load_reads
from orders.models import Trip
from orders.services.load_ticks import Tick, Ticked
from orders.services.load_ticks import load_tick as tick_one
from orders.site_forms import SentAct, read_act, read_batch, read_form
from orders.trip_loading import SAYS, codes_on, loading_list, loading_rows
from orders.views.parts import user_of

OFF = "off"


@grants("trip", "tick")
@require_GET
def loading(request: HttpRequest) -> HttpResponse:
    """Trucks of today and the next days, and earlier ones that are not loaded yet."""
    today = company_day(database_now())
    return render(request, "orders/trip_loading_list.html", {"today": today, "rows": loading_list(today)})


@grants("trip", "tick")
@require_GET
def loading_page(request: HttpRequest, public_id: str) -> HttpResponse:
    return _page(request, load_reads.trip_get(public_id))


def _page(
    request: HttpRequest, trip: Trip, *, problem: ApplicationError | None = None, typed: str = ""
) -> HttpResponse:
    user = user_of(request)
    context = {
        "trip": trip,
        "loading": loading_rows(trip),
        "problem": problem,
        "typed": typed,
        "number": uuid4(),
        "tapper": user.pk,
        "says": SAYS,
        "may_read": may(user.role, "trip", "read"),
        "may_load": may(user.role, "trip", "load"),
    }
    response = render(request, "orders/trip_loading.html", context, status=problem.status if problem else 200)
    response["Permissions-Policy"] = "camera=(self), microphone=(), geolocation=()"
    return response


@grants("trip", "tick")
@require_POST
def load_tick(request: HttpRequest, public_id: str) -> HttpResponse:
    """One tick of a page without script; what is refused is said on the page."""
    trip = load_reads.trip_get(public_id)
    try:
        done = _tick(person(user_of(request)), trip, read_form(request.POST))
    except NotThere:
        raise
    except ApplicationError as error:
        return _page(request, trip, problem=error, typed=request.POST.get("code", "")[:200])
    messages.success(request, done.words)
    return redirect("orders:loading_page", public_id)


@grants("trip", "tick")
@require_POST
def load_ticks(request: HttpRequest, public_id: str) -> HttpResponse:
    """A batch from a phone: each tick is answered by itself, in the order in which it was made."""
    trip = load_reads.trip_get(public_id)
    actor = person(user_of(request))
    answers = [_answered(actor, trip, act) for act in read_batch(request)]
    on, loaded = codes_on(load_reads.trip_get(public_id))
    return JsonResponse({"answers": answers, "on": on, "loaded": loaded})


def _answered(actor: Actor, trip: Trip, act: Mapping[str, Any]) -> dict[str, str]:
    number = str(act.get("id", ""))[:40]
    try:
        done = _tick(actor, trip, read_act(act))
    except NotThere:
        raise
    except ApplicationError as error:
        return {"id": number, "outcome": "refused", "words": error.message, "field": error.field}
    return {"id": number, "outcome": "done", "words": done.words, "field": ""}


def _tick(actor: Actor, trip: Trip, sent: SentAct) -> Ticked:
    tick = Tick(sent.action_id, sent.code, on=sent.verb != OFF, tapped_at=sent.tapped_at)
    return tick_one(actor=actor, at=database_now(), trip=trip, tick=tick)
