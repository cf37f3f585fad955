"""Deliveries by day and truck, for a week or a month; and the addresses of calendars of builders."""

from __future__ import annotations

from datetime import date, timedelta

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from framing.common.access import grants, may
from framing.common.actors import person
from framing.common.clock import database_now
from framing.common.errors import Clash, Refused
from framing.common.links import link_list
from framing.common.zones import company_day
from framing.projects.selectors import builder_get
from orders import services
from orders.delivery_days import opening_day, week_words
from orders.delivery_forms import FeedForm
from orders.delivery_reads import board, first_day
from orders.delivery_tabs import tabs_of
from orders.delivery_views import show_at_field
from orders.views.parts import user_of

SPANS = ("week", "month")


@grants("delivery", "read")
@require_GET
def delivery_board(request: HttpRequest) -> HttpResponse:
    """A week or a month; without a day that can be read, the one of the next day on which we work."""
    at = database_now()
    today = company_day(at)
    opens = opening_day(today)
    span = request.GET.get("span", "week")
    span = span if span in SPANS else "week"
    asked = _day(request.GET.get("day", ""), opens)
    first, days = first_day(span, asked)
    middle = asked if span == "month" else first
    context = {
        "board": board(first, days, today, at),
        "span": span,
        "month": middle,
        "back": _step(span, middle, -1),
        "on": _step(span, middle, 1),
        "today": today,
        "opens": opens,
        "skipped": opens != today and asked == opens,
        "which": week_words(first, today) if span == "week" else "",
        "tabs": tabs_of(user_of(request).role, "orders:delivery_board"),
    }
    return render(request, "orders/delivery_board.html", context)


def _day(text: str, otherwise: date) -> date:
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return otherwise
    return day if 2000 <= day.year <= 2200 else otherwise


def _step(span: str, day: date, way: int) -> date:
    if span == "week":
        return day + timedelta(days=7 * way)
    first = day.replace(day=1)
    return (
        (first + timedelta(days=32)).replace(day=1) if way > 0 else (first - timedelta(days=1)).replace(day=1)
    )


@grants("calendar", "read")
@require_GET
def builder_calendar(request: HttpRequest, public_id: str) -> HttpResponse:
    """The addresses of one builder's calendar."""
    return _feeds(request, public_id, FeedForm())


def _feeds(
    request: HttpRequest, public_id: str, form: FeedForm, *, status: int = 200, **more: object
) -> HttpResponse:
    builder, role = builder_get(public_id), user_of(request).role
    context = {
        "builder": builder,
        "links": link_list(builder).filter(purpose="calendar"),
        "now": database_now(),
        "form": form,
        "may_make": may(role, "calendar", "make"),
        "may_withdraw": may(role, "calendar", "withdraw"),
    }
    return render(request, "orders/builder_calendar.html", context | more, status=status)


@grants("calendar", "make")
@require_POST
def builder_calendar_make(request: HttpRequest, public_id: str) -> HttpResponse:
    """Make an address and show it this once."""
    form = FeedForm(request.POST)
    if form.is_valid():
        try:
            link, address = services.feed_make(
                actor=person(user_of(request)),
                at=database_now(),
                of=builder_get(public_id),
                for_name=form.cleaned_data["for_name"],
            )
        except (Refused, Clash) as error:
            show_at_field(form, error)
        else:
            return _feeds(request, public_id, FeedForm(), new_link=link, new_address=address)
    return _feeds(request, public_id, form, status=422)


@grants("calendar", "withdraw")
@require_POST
def builder_calendar_withdraw(request: HttpRequest, public_id: str, link_id: str) -> HttpResponse:
    actor = person(user_of(request))
    services.feed_withdraw(actor=actor, at=database_now(), of=builder_get(public_id), link_id=link_id)
    messages.success(request, "The calendar's address is withdrawn.")
    return redirect("orders:builder_calendar", public_id)
