"""Pages of trucks: a day, a plan to look at, a truck, moving a bundle (R47); the manifest of a load (R48)."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, timedelta
from typing import Any
from urllib.parse import quote

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from framing.common.access import grants, may
from framing.common.actors import person
from framing.common.audit import audit_list
from framing.common.clock import database_now
from framing.common.errors import ApplicationError, Clash, NotThere, Refused, StaleSave
from framing.common.zones import company_day
from orders import load_changes, load_pages, load_reads
from orders.load_forms import EditionForm, LockForm, NameForm, PlanForm, StepForm, VersionForm, stops_typed
from orders.manifest_files import manifest_response
from orders.models import Delivery, LoadPlan, Trip, TripChange
from orders.services import load_plans, trip_steps, trips
from orders.views.parts import user_of

DEEDS = {
    "trips_edit": "moved a load",
    "trips_undo": "took a step back",
    "trips_redo": "did a step again",
    "trip_tick": "ticked something onto it",
    "trip_untick": "took a tick back",
    "trip_lock": "locked the load",
    "trip_unlock": "unlocked the load",
    "trip_name": "named truck and driver",
    "trip_link_make": "made a link for the driver",
    "trip_stops": "put the stops in another order",
    "trip_load": "marked it loaded",
    "trip_leave": "said that it left",
    "trip_back": "said that it is back",
}


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise NotThere() from None


@grants("trip", "read")
@require_GET
def trucks(request: HttpRequest) -> HttpResponse:
    """Today's trucks, or those of the day that was picked."""
    picked = request.GET.get("day", "")
    return redirect("orders:trucks_day", picked or company_day(database_now()).isoformat())


@grants("trip", "read")
@require_GET
def trucks_day(request: HttpRequest, day: str) -> HttpResponse:
    return _day_page(request, _day(day))


def _day_page(
    request: HttpRequest,
    day: date,
    *,
    problem: ApplicationError | None = None,
    form: PlanForm | None = None,
    refused: str = "",
) -> HttpResponse:
    """The day; a step that was refused stands in words at the bundle that it was about."""
    role, page = user_of(request).role, load_pages.day_page(day)
    rest = load_changes.rest_of_day(day)
    context = {
        "page": page,
        "may_anew": bool(rest.deliveries),
        "movable": any(card.trip and not card.trip.locked for card in page.cards),
        "day": day,
        "before": day - timedelta(days=1),
        "after": day + timedelta(days=1),
        "deliveries": _by_stop(day, form.deliveries() if form else (), rest.deliveries),
        "loaded_alone": load_reads.loads_without_trip(day),
        "next_day": load_reads.next_day_to_load(day),
        "trucks": load_reads.trucks_active(),
        "plan": load_reads.load_plan_of(day),
        "steps": load_reads.trip_changes(day),
        "undo": load_reads.step_to_undo(day),
        "redo": load_reads.step_to_redo(day),
        "refused": refused,
        "can": {verb: may(role, "trip", verb) for verb in ("plan", "change", "load")},
        "problem": problem,
        "ticked": form.deliveries() if form else rest.deliveries,
        "ticked_trucks": form.trucks() if form else load_reads.trucks_free(day),
        "further": form.data.get("further") if form else True,
    }
    return render(request, "orders/trucks_day.html", context, status=problem.status if problem else 200)


def _by_stop(day: date, typed: Sequence[str], rest: Sequence[str]) -> list[Delivery]:
    """A day's deliveries by the stops that were typed, else those that they have; what stays where it is comes last."""
    order = {public_id: place for place, public_id in enumerate(dict.fromkeys((*typed, *rest)))}
    rows = sorted(load_reads.day_deliveries(day), key=lambda row: order.get(row.public_id, len(order)))
    for row in rows:
        row.stays = row.public_id not in rest  # type: ignore[attr-defined]  # for the page
    return rows


@grants("trip", "plan")
@require_POST
def load_plan_ask(request: HttpRequest, day: str) -> HttpResponse:
    form, when = PlanForm(request.POST), _day(day)
    further = bool(form.data.get("further"))
    try:
        plan = load_plans.load_plan_ask(
            actor=person(user_of(request)),
            at=database_now(),
            day=when,
            deliveries=form.deliveries(),
            trucks=form.trucks(),
            further=further,
        )
    except Refused as error:
        return _day_page(request, when, problem=error, form=form)
    return redirect("orders:load_plan_page", plan.public_id)


@grants("trip", "plan")
@require_POST
def load_plan_anew(request: HttpRequest, day: str) -> HttpResponse:
    """The rest of the day anew; what it changes is shown before it is taken."""
    when = _day(day)
    try:
        plan = load_plans.load_plan_anew(actor=person(user_of(request)), at=database_now(), day=when)
    except (Refused, Clash) as error:
        return _day_page(request, when, problem=error)
    return redirect("orders:load_plan_page", plan.public_id)


@grants("trip", "read")
@require_GET
def load_plan_page(request: HttpRequest, public_id: str) -> HttpResponse:
    """A plan on its way, or to look at."""
    plan = load_reads.load_plan_get(public_id)
    context = {
        "plan": plan,
        "cards": load_pages.plan_cards(plan) if plan.state == "proposed" else (),
        "changes": load_changes.plan_changes(plan) if plan.state == "proposed" else None,
        "can_plan": may(user_of(request).role, "trip", "plan"),
    }
    return render(request, "orders/load_plan.html", context)


def _plan_act(request: HttpRequest, public_id: str, act: Callable[..., LoadPlan]) -> LoadPlan:
    plan = load_reads.load_plan_get(public_id)
    return act(actor=person(user_of(request)), at=database_now(), plan=plan)


@grants("trip", "plan")
@require_POST
def load_plan_stop(request: HttpRequest, public_id: str) -> HttpResponse:
    _plan_act(request, public_id, load_plans.load_plan_stop)
    return redirect("orders:load_plan_page", public_id)


@grants("trip", "plan")
@require_POST
def load_plan_take(request: HttpRequest, public_id: str) -> HttpResponse:
    plan = _plan_act(request, public_id, load_plans.load_plan_take)
    messages.success(request, "The trucks are planned.")
    return redirect("orders:trucks_day", plan.day.isoformat())


@grants("trip", "plan")
@require_POST
def load_plan_refuse(request: HttpRequest, public_id: str) -> HttpResponse:
    plan = _plan_act(request, public_id, load_plans.load_plan_refuse)
    messages.success(request, "The plan is laid aside; the trucks stay as they are.")
    return redirect("orders:trucks_day", plan.day.isoformat())


@grants("trip", "change")
@require_GET
def trip_move(request: HttpRequest, day: str) -> HttpResponse:
    """Where a bundle or carton may go, by form."""
    return _move_page(request, _day(day), request.GET.get("thing", "")[:40])


def _move_page(
    request: HttpRequest, day: date, thing: str, *, problem: ApplicationError | None = None
) -> HttpResponse:
    page = load_pages.day_page(day)
    rows: dict[str, tuple[load_pages.TruckCard | None, load_pages.ThingRow]] = {
        row.id: (card, row) for card in page.cards for row in card.things
    }
    rows |= {row.id: (None, row) for row in page.waiting}
    if thing not in rows:
        raise NotThere()
    context = {
        "page": page,
        "day": day,
        "card": rows[thing][0],
        "row": rows[thing][1],
        "others": [pair for key, pair in rows.items() if key != thing],
        "problem": problem,
        "typed": request.POST,
    }
    return render(request, "orders/trip_move.html", context, status=problem.status if problem else 200)


@grants("trip", "change")
@require_POST
def trips_edit(request: HttpRequest, day: str) -> HttpResponse:
    """One step; what was refused comes back with what was typed."""
    when, form = _day(day), StepForm(request.POST)
    thing = request.POST.get("thing", "")[:40]
    if not form.is_valid():
        words = next(iter(form.errors.values()))[0]
        return _step_refused(request, when, thing, Refused(str(words)))
    try:
        change = trip_steps.trips_edit(
            actor=person(user_of(request)),
            at=database_now(),
            day=when,
            version=form.cleaned_data["version"],
            step=form.step(),
        )
    except (Refused, StaleSave) as error:
        return _step_refused(request, when, thing, error)
    messages.success(request, change.words)
    return redirect(f"{reverse('orders:trucks_day', args=[when.isoformat()])}#thing-{quote(thing)}")


def _step_refused(request: HttpRequest, day: date, thing: str, problem: ApplicationError) -> HttpResponse:
    """At the bundle on the page where the step was made."""
    if request.POST.get("board"):
        return _day_page(request, day, problem=problem, refused=thing)
    return _move_page(request, day, thing, problem=problem)


@grants("trip", "change")
@require_POST
def trips_undo(request: HttpRequest, day: str) -> HttpResponse:
    return _turned(request, day, trip_steps.trips_undo, "Took back")


@grants("trip", "change")
@require_POST
def trips_redo(request: HttpRequest, day: str) -> HttpResponse:
    return _turned(request, day, trip_steps.trips_redo, "Did again")


def _turned(request: HttpRequest, day: str, act: Callable[..., TripChange], said: str) -> HttpResponse:
    when, form = _day(day), VersionForm(request.POST)
    version = form.cleaned_data["version"] if form.is_valid() else ""
    try:
        change = act(actor=person(user_of(request)), at=database_now(), day=when, version=version)
    except ApplicationError as error:
        return _day_page(request, when, problem=error)
    messages.success(request, f"{said}: {change.words}")
    return redirect("orders:trucks_day", when.isoformat())


@grants("trip", "read")
@require_GET
def trip_page(request: HttpRequest, public_id: str) -> HttpResponse:
    return _trip_page(request, load_reads.trip_get(public_id))


def _trip_page(
    request: HttpRequest,
    trip: Trip,
    *,
    problem: ApplicationError | None = None,
    name_form: NameForm | None = None,
) -> HttpResponse:
    role = user_of(request).role
    loads = list(trip.loads.all())
    context = {
        "trip": trip,
        "loads": loads,
        "card": load_pages.trip_card(trip),
        "is_loaded": bool(loads) and all(load.loaded_at for load in loads),
        "any_loaded": any(load.loaded_at for load in loads),
        "unfinished": sum(load.unfinished for load in loads),  # type: ignore[attr-defined]
        "can": {verb: may(role, "trip", verb) for verb in ("change", "load", "tick")},
        "name_form": name_form or NameForm(trucks=load_reads.trucks_active(), trip=trip),
        "entries": [(entry, DEEDS.get(entry.verb, entry.verb)) for entry in audit_list(trip)],
        "problem": problem,
    }
    return render(request, "orders/trip_page.html", context, status=problem.status if problem else 200)


def _act(
    request: HttpRequest, public_id: str, act: Callable[..., Trip], said: str, **more: Any
) -> HttpResponse:
    """A verb on a trip; what is refused stands on its page."""
    trip = load_reads.trip_get(public_id)
    try:
        act(actor=person(user_of(request)), at=database_now(), trip=trip, **more)
    except ApplicationError as error:
        if error.status not in (409, 422):
            raise
        return _trip_page(request, load_reads.trip_get(public_id), problem=error)
    messages.success(request, said)
    return redirect("orders:trip_page", public_id)


def _edition(request: HttpRequest) -> int:
    form = EditionForm(request.POST)
    return int(form.cleaned_data["edition"]) if form.is_valid() else 0


@grants("trip", "change")
@require_POST
def trip_lock(request: HttpRequest, public_id: str) -> HttpResponse:
    form = LockForm(request.POST)
    locked = form.is_valid() and bool(form.cleaned_data["locked"])
    said = "The load is locked." if locked else "The load is unlocked."
    return _act(request, public_id, trips.trip_lock, said, edition=_edition(request), locked=locked)


@grants("trip", "change")
@require_POST
def trip_name(request: HttpRequest, public_id: str) -> HttpResponse:
    trip = load_reads.trip_get(public_id)
    form = NameForm(request.POST, trucks=load_reads.trucks_active(), trip=trip)
    if not form.is_valid():
        words = next(iter(form.errors.values()))[0]
        return _trip_page(request, trip, problem=Refused(str(words)), name_form=form)
    try:
        trips.trip_name(actor=person(user_of(request)), at=database_now(), trip=trip, **form.cleaned_data)
    except (Refused, StaleSave) as error:
        return _trip_page(request, load_reads.trip_get(public_id), problem=error, name_form=form)
    messages.success(request, "Truck and driver are named.")
    return redirect("orders:trip_page", public_id)


@grants("trip", "change")
@require_POST
def trip_stops(request: HttpRequest, public_id: str) -> HttpResponse:
    stops = stops_typed(request.POST)
    said = "The stops are in their new order."
    return _act(request, public_id, trips.trip_stops, said, edition=_edition(request), deliveries=stops)


@grants("trip", "load")
@require_POST
def trip_load(request: HttpRequest, public_id: str) -> HttpResponse:
    return _act(
        request, public_id, trips.trip_load, "Loaded; its manifests are stored.", edition=_edition(request)
    )


@grants("trip", "load")
@require_POST
def trip_leave(request: HttpRequest, public_id: str) -> HttpResponse:
    return _act(request, public_id, trips.trip_leave, "It left the yard.")


@grants("trip", "load")
@require_POST
def trip_back(request: HttpRequest, public_id: str) -> HttpResponse:
    return _act(request, public_id, trips.trip_back, "It is back.")


@grants("load_paper", "read")
@require_GET
def load_manifest(request: HttpRequest, public_id: str, form: str) -> HttpResponse:
    """The manifest of one load: pdf, csv or json."""
    del request
    return manifest_response(load_reads.load_get(public_id), form)
