"""Deliveries changed: what is said of them, their day, what is on them; and dropped."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from framing.common.access import grants
from framing.common.actors import Actor, person
from framing.common.clock import database_now
from framing.common.errors import Clash, Refused
from orders import selectors, services
from orders.delivery_forms import ChangeForm, DropForm, MoveForm, PlaceForm, ThingsForm
from orders.models import Delivery
from orders.notice_reads import builder_told_words
from orders.views.parts import user_of

PLACE = (*PlaceForm.base_fields, "edition")


def show_at_field(form: forms.Form, error: Refused | Clash) -> None:
    """Put a refusal at its field, or above the form where it has none here; nothing typed is lost."""
    form.add_error(error.field if error.field in form.fields else None, error.message)


def _act(
    request: HttpRequest,
    delivery: Delivery,
    form: forms.Form,
    act: Callable[..., Delivery],
    words: dict[str, Any],
) -> HttpResponse:
    """Show a form about a delivery, or do what it asks; what is refused stands in the form."""
    if request.method == "POST" and form.is_valid():
        actor: Actor = person(user_of(request))
        try:
            act(actor=actor, at=database_now(), delivery=delivery, **form.cleaned_data)
        except (Refused, Clash) as error:
            show_at_field(form, error)
            _see_anew(form, delivery)
        else:
            told = f" {builder_told_words(delivery.order, words['move'])}" if "move" in words else ""
            messages.success(request, f"{words['said']}{told}")
            return redirect("orders:delivery_page", delivery.public_id)
    context = {"form": form, "delivery": delivery, "order": delivery.order, **words}
    if words.get("move"):  # it would leave its trucks
        context["locked"] = [
            load.trip for load in delivery.loads.filter(trip__locked=True).select_related("trip")
        ]
    return render(request, "orders/delivery_form.html", context, status=422 if form.errors else 200)


def _see_anew(form: forms.Form, delivery: Delivery) -> None:
    """Let the form hold for the delivery as the refusal tells it, so that it can be sent again."""
    if "edition" in form.fields:
        data = form.data.copy()  # type: ignore[attr-defined]  # a QueryDict
        data["edition"] = str(selectors.delivery_get(delivery.public_id).edition)
        form.data = data


@grants("delivery", "change")
@require_http_methods(["GET", "HEAD", "POST"])
def change(request: HttpRequest, public_id: str) -> HttpResponse:
    """All but the day."""
    delivery = selectors.delivery_get(public_id)
    first = {name: getattr(delivery, name) for name in PLACE}
    words = {"title": "Change delivery", "verb": "Save", "said": "Saved."}
    return _act(
        request, delivery, ChangeForm(request.POST or None, initial=first), services.delivery_change, words
    )


@grants("delivery", "change")
@require_http_methods(["GET", "HEAD", "POST"])
def reschedule(request: HttpRequest, public_id: str) -> HttpResponse:
    """Another day or window, with why."""
    delivery = selectors.delivery_get(public_id)
    first = {name: getattr(delivery, name) for name in ("planned_for", "window_from", "window_to", "edition")}
    words = {
        "title": "Move to another day",
        "verb": "Move delivery",
        "said": "Moved. Its bundles are due by the new day.",
        "move": "moved",
        "note": "On another day it leaves its trucks and waits for new ones. The line plan goes by the new day.",
    }
    zone = delivery.order.revision.quote.project.site.time_zone
    form = MoveForm(request.POST or None, initial=first, zone=zone)
    return _act(request, delivery, form, services.delivery_reschedule, words)


@grants("delivery", "change")
@require_http_methods(["GET", "HEAD", "POST"])
def things(request: HttpRequest, public_id: str) -> HttpResponse:
    """Put more of the order on this delivery."""
    delivery = selectors.delivery_get(public_id)
    words = {
        "title": "Put more on this delivery",
        "verb": "Put on",
        "said": "They are on this delivery now.",
        "note": "What is on another delivery leaves it, and its truck; what is loaded stays where it is.",
        "nothing": "All that can move is on this delivery already.",
    }
    form = ThingsForm(request.POST if request.method == "POST" else None, delivery=delivery)
    return _act(request, delivery, form, services.delivery_move_things, words)


@grants("delivery", "change")
@require_http_methods(["GET", "HEAD", "POST"])
def drop(request: HttpRequest, public_id: str) -> HttpResponse:
    """Drop a planned delivery, with why."""
    delivery = selectors.delivery_get(public_id)
    words = {
        "title": "Drop delivery",
        "verb": "Drop delivery",
        "said": "Dropped. What was on it waits for another delivery.",
        "move": "dropped",
        "note": "What is on it is on no delivery after that, its links end, and calendars show it as cancelled.",
        "danger": True,
    }
    form = DropForm(request.POST or None, initial={"edition": delivery.edition})
    return _act(request, delivery, form, services.delivery_drop, words)
