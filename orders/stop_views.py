"""Staff's page of a trip's stops: the driver's link, what he told, and what he tells by phone."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from framing.common.access import grants, may
from framing.common.actors import person
from framing.common.clock import database_now
from framing.common.errors import Refused
from framing.common.links import link_list
from orders import driver_reads, services
from orders.forms import LinkForm, show_refusal
from orders.models import Trip
from orders.views.parts import user_of


class HandoverForm(forms.Form):
    """Who took a load, as the driver told it."""

    name = forms.CharField(label="Who took it", max_length=160)
    words = forms.CharField(label="In a few words", max_length=400, required=False)


@grants("trip_stop", "read")
@require_GET
def trip_stops(request: HttpRequest, public_id: str) -> HttpResponse:
    return _page(request, driver_reads.trip_by_id(public_id))


def _page(request: HttpRequest, trip: Trip, *, status: int = 200, **more: Any) -> HttpResponse:
    role = user_of(request).role
    stops = driver_reads.trip_stops(trip)
    proofs, told = driver_reads.trip_proofs(trip), more.pop("told", {})
    context = {
        "trip": trip,
        "stops": [
            (
                stop,
                proofs[stop.load.pk],
                told.get(stop.load.public_id) or HandoverForm(prefix=f"s{stop.load.stop}"),
            )
            for stop in stops
        ],
        "links": link_list(trip),
        "now": database_now(),
        "link_form": LinkForm(initial={"for_name": trip.driver}),
        "can_act": may(role, "trip_stop", "unload"),
        "can_link": may(role, "trip_link", "make"),
        "can_withdraw": may(role, "trip_link", "withdraw"),
    }
    return render(request, "orders/trip_stops.html", context | more, status=status)


@grants("trip_stop", "arrive")
@require_POST
def arrive(request: HttpRequest, public_id: str, load_id: str) -> HttpResponse:
    load = driver_reads.stop_on(driver_reads.trip_by_id(public_id), load_id)
    services.stop_arrive(actor=person(user_of(request)), at=database_now(), load=load)
    messages.success(request, f"Stop {load.stop}: arrived.")
    return redirect("orders:trip_driver", public_id)


@grants("trip_stop", "unload")
@require_POST
def unload(request: HttpRequest, public_id: str, load_id: str) -> HttpResponse:
    trip = driver_reads.trip_by_id(public_id)
    load = driver_reads.stop_on(trip, load_id)
    form = HandoverForm(request.POST, prefix=f"s{load.stop}")
    if form.is_valid():
        try:
            services.stop_unload(
                actor=person(user_of(request)),
                at=database_now(),
                load=load,
                handed_to=form.cleaned_data["name"],
                words=form.cleaned_data["words"],
            )
        except Refused as error:
            show_refusal(form, error)
        else:
            messages.success(request, f"Stop {load.stop}: unloaded.")
            return redirect("orders:trip_driver", public_id)
    return _page(request, trip, status=422, told={load_id: form})


@grants("trip_link", "make")
@require_POST
def link_new(request: HttpRequest, public_id: str) -> HttpResponse:
    """Make a driver's link and show its address this once."""
    trip = driver_reads.trip_by_id(public_id)
    form = LinkForm(request.POST)
    if form.is_valid():
        try:
            link, address = services.trip_link_make(
                actor=person(user_of(request)), at=database_now(), trip=trip, **form.cleaned_data
            )
        except Refused as error:
            show_refusal(form, error)
        else:
            return _page(request, trip, new_link=link, new_address=address)
    return _page(request, trip, status=422, link_form=form)


@grants("trip_link", "withdraw")
@require_POST
def link_end(request: HttpRequest, public_id: str, link_id: str) -> HttpResponse:
    services.trip_link_withdraw(
        actor=person(user_of(request)),
        at=database_now(),
        trip=driver_reads.trip_by_id(public_id),
        link_id=link_id,
    )
    messages.success(request, "The link is withdrawn.")
    return redirect("orders:trip_driver", public_id)
