"""The driver's page of a trip, by link: stops in order, what comes off, arrived, unloaded (R48)."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import datetime
from typing import Any, Final

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_GET, require_POST

from framing.common.access import PUBLIC, grants, require
from framing.common.actors import Actor, by_link
from framing.common.clock import database_now
from framing.common.errors import ApplicationError, NotThere, Refused
from framing.common.intake import takes_bytes
from framing.common.models import AccessLink, LinkPurpose
from framing.common.views import link_of
from orders import driver_reads, services
from orders.driver_page import script_words, worker_facts
from orders.models import Trip, TruckLoad
from orders.photo_store import BODY_MOST
from orders.services.photos import photo_take
from orders.site_forms import SentAct, read_act, read_batch, read_form, read_number
from orders.site_language import language_choose

ARRIVE: Final = "arrive"
UNLOAD: Final = "unload"


def _opened(
    request: HttpRequest, public_id: str, object_: str = "trip_stop", verb: str = "read"
) -> tuple[AccessLink, Trip]:
    link = link_of(request, public_id, LinkPurpose.TRIP)
    require(by_link(link), object_, verb)
    return link, driver_reads.trip_of_link(link)


@gzip_page
@grants(PUBLIC)
@require_GET
def driver_trip(request: HttpRequest, public_id: str) -> HttpResponse:
    """All stops of the trip in their order."""
    link, trip = _opened(request, public_id)
    return _page(request, link, trip)


def _page(
    request: HttpRequest, link: AccessLink, trip: Trip, error: ApplicationError | None = None
) -> HttpResponse:
    """The page; what was refused stands at its stop with what was typed."""
    context = driver_reads.driver_context(trip, link) | {
        "at_s": f"{database_now().timestamp():.3f}",
        "words": script_words(),
        "refused": error,
        "refused_stop": request.POST.get("code", "") if error else "",
        "typed": request.POST,
    }
    return render(request, "orders/driver/page.html", context, status=error.status if error else 200)


@grants(PUBLIC)
@require_POST
def driver_acts(request: HttpRequest, public_id: str) -> HttpResponse:
    """A batch from a telephone: each act is answered by itself, in the order in which it was done."""
    link, trip = _opened(request, public_id, verb=ARRIVE)
    answers = [_answered(by_link(link), trip, act) for act in read_batch(request)]
    states, at = driver_reads.stop_states(trip), database_now()
    return JsonResponse({"answers": answers, "states": states, "at": at.timestamp()})


def _answered(actor: Actor, trip: Trip, act: Mapping[str, Any]) -> dict[str, str]:
    number = str(act.get("id", ""))[:40]
    try:
        _count(actor, trip, read_act(act))
    except NotThere:
        words = _("This stop is not on this trip any more. Load the page again, or call the yard.")
        return {"id": number, "outcome": "refused", "words": words, "field": "code"}
    except ApplicationError as error:
        return {"id": number, "outcome": "refused", "words": error.message, "field": error.field}
    return {"id": number, "outcome": "done", "words": "", "field": ""}


def _count(actor: Actor, trip: Trip, sent: SentAct) -> TruckLoad:
    load, at = driver_reads.stop_on(trip, sent.code), database_now()
    if sent.verb == ARRIVE:
        return services.stop_arrive(actor=actor, at=at, load=load, tapped_at=sent.tapped_at)
    if sent.verb != UNLOAD:
        raise Refused(_("Arrived or unloaded; there is nothing else to do here."), field="verb")
    return services.stop_unload(
        actor=actor,
        at=at,
        load=load,
        handed_to=sent.name,
        words=sent.words,
        proof_id=sent.action_id,
        tapped_at=sent.tapped_at,
    )


@grants(PUBLIC)
@takes_bytes(BODY_MOST, by_link=LinkPurpose.TRIP)
@require_POST
def driver_act(request: HttpRequest, public_id: str) -> HttpResponse:
    """One act of a page without script, with a photo if there is one; what is refused is said at its stop."""
    link, trip = _opened(request, public_id, verb=ARRIVE)
    actor, at = by_link(link), database_now()
    try:
        sent = read_form(request.POST)
        load = _count(actor, trip, sent)
        if sent.verb == UNLOAD:
            _photo_of_form(request, actor, at, load)
    except NotThere:
        raise
    except ApplicationError as error:
        return _page(request, link, trip, error)
    messages.success(request, _("Thank you, that is noted."))
    return redirect("orders:driver_trip", public_id)


def _photo_of_form(request: HttpRequest, actor: Actor, at: datetime, load: TruckLoad) -> None:
    file = request.FILES.get("file")
    if file is not None:
        photo_take(
            actor=actor,
            at=at,
            delivery=load.delivery,
            photo_id=read_number(request.POST.get("photo_id")),
            file=(file.name or "", file.read()),
            action_id=load.proof_id,
        )


@grants(PUBLIC)
@takes_bytes(BODY_MOST, by_link=LinkPurpose.TRIP)
@require_POST
def driver_photo_take(request: HttpRequest, public_id: str) -> HttpResponse:
    """A photo from a telephone, which follows its proof; sent again it counts once."""
    link, trip = _opened(request, public_id, "site_photo", "take")
    number = request.POST.get("photo_id", "")[:40]
    file = request.FILES.get("file")
    try:
        load = driver_reads.load_of_proof(trip, read_number(request.POST.get("action_id")))
        if file is None:
            raise Refused(_("The photo did not come with it. Take it again."), field="file")
        photo_take(
            actor=by_link(link),
            at=database_now(),
            delivery=load.delivery,
            photo_id=read_number(number),
            file=(file.name or "", file.read()),
            action_id=load.proof_id,
        )
    except NotThere:
        words = _("The stop that it belongs to was not taken, so the photo has no place yet.")
        return JsonResponse({"id": number, "outcome": "refused", "words": words})
    except ApplicationError as error:
        return JsonResponse({"id": number, "outcome": "refused", "words": error.message})
    return JsonResponse({"id": number, "outcome": "done", "words": ""})


@grants(PUBLIC)
@require_POST
def driver_language(request: HttpRequest, public_id: str) -> HttpResponse:
    link, _trip = _opened(request, public_id)
    language_choose(at=database_now(), link=link, code=request.POST.get("language", ""))
    return redirect("orders:driver_trip", public_id)


@grants(PUBLIC)
@require_GET
def driver_worker(request: HttpRequest, public_id: str) -> HttpResponse:
    """The script that serves this page where there is no line. It lies under the page, so it reaches no other."""
    _opened(request, public_id)
    facts = worker_facts(reverse("orders:driver_trip", args=[public_id]))
    script = render_to_string("orders/site/worker.js", {"facts": json.dumps(facts)})
    return HttpResponse(script, content_type="text/javascript; charset=utf-8")
