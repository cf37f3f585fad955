"""The company's trucks: list, entry, change, retirement, and the addresses of their calendars."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from framing.common.access import grants, may
from framing.common.actors import person
from framing.common.clock import database_now
from framing.common.errors import Clash, Refused
from framing.common.links import link_list
from framing.common.templatetags.figures import shop_length
from orders import services
from orders.delivery_forms import FeedForm, TruckForm
from orders.delivery_reads import truck_all, truck_get
from orders.delivery_tabs import tabs_of
from orders.delivery_views import show_at_field
from orders.models import Truck
from orders.views.parts import user_of


@grants("truck", "read")
@require_GET
def truck_list(request: HttpRequest) -> HttpResponse:
    role = user_of(request).role
    context = {
        "trucks": truck_all(),
        "tabs": tabs_of(role, "orders:truck_list"),
        "may_change": may(role, "truck", "change"),
    }
    return render(request, "orders/truck_list.html", context)


@grants("truck", "change")
@require_http_methods(["GET", "HEAD", "POST"])
def truck_new(request: HttpRequest) -> HttpResponse:
    form = TruckForm(request.POST or None)
    if request.method == "POST" and _saved(request, form, None):
        return redirect("orders:truck_list")
    return render(request, "orders/truck_new.html", {"form": form}, status=422 if form.errors else 200)


@grants("truck", "read")
@require_GET
def truck_page(request: HttpRequest, public_id: str) -> HttpResponse:
    return _page(request, truck_get(public_id))


def _page(request: HttpRequest, truck: Truck, *, status: int = 200, **more: Any) -> HttpResponse:
    role = user_of(request).role
    context = {
        "truck": truck,
        "form": TruckForm(initial=_initial(truck)),
        "feed_form": FeedForm(prefix="feed"),
        "links": link_list(truck).filter(purpose="calendar"),
        "now": database_now(),
        "may_change": may(role, "truck", "change"),
        "may_make": truck.active and may(role, "calendar", "make"),
        "may_withdraw": may(role, "calendar", "withdraw"),
    }
    return render(request, "orders/truck_page.html", context | more, status=status)


def _initial(truck: Truck) -> dict[str, Any]:
    lengths = {
        name: shop_length(getattr(truck, f"{name}_16"))
        for name in ("deck_length", "deck_width", "stack_height")
    }
    plain = {name: getattr(truck, name) for name in ("name", "plate", "tiers", "payload_lb")}
    return plain | lengths


@grants("truck", "change")
@require_POST
def truck_change(request: HttpRequest, public_id: str) -> HttpResponse:
    truck, form = truck_get(public_id), TruckForm(request.POST)
    if _saved(request, form, truck):
        return redirect("orders:truck_page", public_id)
    return _page(request, truck, status=422, form=form)


def _saved(request: HttpRequest, form: TruckForm, truck: Truck | None) -> bool:
    if not form.is_valid():
        return False
    actor = person(user_of(request))
    try:
        row = services.truck_save(actor=actor, at=database_now(), truck=truck, **form.cleaned_data)
    except (Refused, Clash) as error:
        show_at_field(form, error)
        return False
    messages.success(request, f"{row.name} is saved.")
    return True


@grants("truck", "change")
@require_POST
def truck_retire(request: HttpRequest, public_id: str) -> HttpResponse:
    """Out of use, or with `active=1` into it again."""
    actor, active = person(user_of(request)), request.POST.get("active") == "1"
    try:
        row = services.truck_retire(actor=actor, at=database_now(), truck=truck_get(public_id), active=active)
    except Clash as error:
        messages.error(request, error.message)
    else:
        messages.success(request, f"{row.name} is {'in use again' if active else 'retired'}.")
    return redirect("orders:truck_page", public_id)


@grants("calendar", "make")
@require_POST
def truck_calendar_make(request: HttpRequest, public_id: str) -> HttpResponse:
    """Make an address of the truck's calendar and show it this once."""
    truck, form = truck_get(public_id), FeedForm(request.POST, prefix="feed")
    if form.is_valid():
        try:
            link, address = services.feed_make(
                actor=person(user_of(request)),
                at=database_now(),
                of=truck,
                for_name=form.cleaned_data["for_name"],
            )
        except (Refused, Clash) as error:
            show_at_field(form, error)
        else:
            return _page(request, truck, new_link=link, new_address=address)
    return _page(request, truck, status=422, feed_form=form)


@grants("calendar", "withdraw")
@require_POST
def truck_calendar_withdraw(request: HttpRequest, public_id: str, link_id: str) -> HttpResponse:
    actor = person(user_of(request))
    services.feed_withdraw(actor=actor, at=database_now(), of=truck_get(public_id), link_id=link_id)
    messages.success(request, "The calendar's address is withdrawn.")
    return redirect("orders:truck_page", public_id)
