"""Pages of the line plan: the board, a plan to look at, moving a bundle, a rush, coils."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from framing.common.access import grants, may
from framing.common.actors import person
from framing.common.clock import database_now
from framing.common.errors import Clash, Refused
from orders import line_reads, selectors, services
from orders.line_forms import CoilForm, MoveForm, RushForm
from orders.models import LinePlan
from orders.states import LinePlanState
from orders.views.line_setup import show_at_field, tabs_of
from orders.views.parts import user_of

UNPLANNED_SHOWN = 12


@grants("line_plan", "read")
@require_GET
def line_board(request: HttpRequest) -> HttpResponse:
    """The plan in force by day and line."""
    return _plan(request, line_reads.plan_in_force())


@grants("line_plan", "read")
@require_GET
def line_plan_page(request: HttpRequest, public_id: str) -> HttpResponse:
    """One plan: on its way, to look at, in force, or past."""
    return _plan(request, line_reads.plan_get(public_id))


def _plan(request: HttpRequest, plan: LinePlan | None, *, rush: RushForm | None = None) -> HttpResponse:
    at, role = database_now(), user_of(request).role
    context: dict[str, Any] = {
        "plan": plan,
        "tabs": tabs_of(role, "orders:line_board"),
        "open": line_reads.plan_open(),
        "past": line_reads.plan_list()[: line_reads.PLANS_SHOWN],
        "can": {verb: may(role, "line_plan", verb) for verb in ("ask", "take", "pin")},
        "may_change_lines": may(role, "line", "change"),
        "has_lines": line_reads.line_list().exists(),
        "rush_form": rush or _rush_form(),
        "wrong": rush,
    }
    if plan is not None and plan.figures:
        context |= _figures(plan, request, at)
    return render(request, "orders/line_board.html", context, status=422 if rush else 200)


def _figures(plan: LinePlan, request: HttpRequest, at: Any) -> dict[str, Any]:
    unplanned = line_reads.unplanned(plan) if plan.state == LinePlanState.IN_FORCE else None
    return {
        "board": line_reads.board(plan, _first_day(request, line_reads.today_of(at)), at),
        "sums": line_reads.sum_rows(plan),
        "late": line_reads.late_rows(plan),
        "pushed": line_reads.pushed_rows(plan),
        "unplanned": unplanned[:UNPLANNED_SHOWN] if unplanned is not None else (),
        "unplanned_count": unplanned.count() if unplanned is not None else 0,
    }


def _first_day(request: HttpRequest, today: date) -> date:
    """The day that the board begins with; what is no day counts as today."""
    try:
        return date.fromisoformat(request.GET.get("from", ""))
    except ValueError:
        return today


def _rush_form(data: Any = None) -> RushForm:
    form = RushForm(data, prefix="rush")
    field = form.fields["order"]
    if isinstance(field, forms.ModelChoiceField):
        field.queryset = line_reads.orders_to_roll()
    return form


@grants("line_plan", "ask")
@require_POST
def line_plan_ask(request: HttpRequest) -> HttpResponse:
    plan = services.line_plan_ask(actor=person(user_of(request)), at=database_now())
    return redirect("orders:line_plan_page", plan.public_id)


@grants("line_plan", "ask")
@require_POST
def line_plan_stop(request: HttpRequest, public_id: str) -> HttpResponse:
    plan = line_reads.plan_get(public_id)
    services.line_plan_stop(actor=person(user_of(request)), at=database_now(), plan=plan)
    messages.success(request, f"{plan} stops.")
    return redirect("orders:line_plan_page", public_id)


@grants("line_plan", "take")
@require_POST
def line_plan_take(request: HttpRequest, public_id: str) -> HttpResponse:
    plan = line_reads.plan_get(public_id)
    services.line_plan_take(actor=person(user_of(request)), at=database_now(), plan=plan)
    messages.success(request, f"{plan} is in force.")
    return redirect("orders:line_board")


@grants("line_plan", "take")
@require_POST
def line_plan_refuse(request: HttpRequest, public_id: str) -> HttpResponse:
    plan = line_reads.plan_get(public_id)
    services.line_plan_refuse(actor=person(user_of(request)), at=database_now(), plan=plan)
    messages.success(
        request, f"{plan} is laid aside; the plan in force stays. Pins stay until you take them away."
    )
    return redirect("orders:line_board")


@grants("line_plan", "ask")
@require_POST
def line_plan_rush(request: HttpRequest) -> HttpResponse:
    """Show what a rush pushes; nothing changes yet."""
    form = _rush_form(request.POST)
    if form.is_valid():
        try:
            plan = services.line_plan_rush(
                actor=person(user_of(request)), at=database_now(), order=form.cleaned_data["order"]
            )
        except (Refused, Clash) as error:
            show_at_field(form, error)
        else:
            return redirect("orders:line_plan_page", plan.public_id)
    return _plan(request, line_reads.plan_in_force(), rush=form)


@grants("line_plan", "pin")
@require_http_methods(["GET", "POST"])
def bundle_move(request: HttpRequest, public_id: str) -> HttpResponse:
    """Fix a bundle to a day and line, and see at once what that makes late."""
    bundle = selectors.bundle_get(public_id)
    asked = {name: request.GET[name] for name in ("day", "line") if name in request.GET}
    pin = getattr(bundle, "pin", None)
    held = {"day": pin.day, "line": pin.line.public_id if pin.line else ""} if pin else {}
    form = MoveForm(request.POST or None, initial=held | asked)
    if request.method == "POST" and form.is_valid():
        try:
            plan = services.bundle_pin(
                actor=person(user_of(request)), at=database_now(), bundle=bundle, **form.cleaned_data
            )
        except (Refused, Clash) as error:
            show_at_field(form, error)
        else:
            if plan is not None:
                return redirect("orders:line_plan_page", plan.public_id)
            messages.success(request, f"{bundle} is pinned; the next plan keeps it there.")
            return redirect("orders:line_board")
    context = {"bundle": bundle, "form": form, "pin": pin, "turn": line_reads.turn_of(bundle)}
    return render(request, "orders/bundle_move.html", context, status=422 if form.is_bound else 200)


@grants("line_plan", "pin")
@require_POST
def bundle_unpin(request: HttpRequest, public_id: str) -> HttpResponse:
    bundle = selectors.bundle_get(public_id)
    services.bundle_unpin(actor=person(user_of(request)), at=database_now(), bundle=bundle)
    messages.success(request, f"{bundle} is free; the next plan puts it where it fits.")
    return redirect("orders:line_board")


@grants("coil", "read")
@require_GET
def coil_page(request: HttpRequest) -> HttpResponse:
    """Steel that the plan takes by day and thickness, against what was counted."""
    return _coils(request, None)


@grants("coil", "count")
@require_POST
def coil_count(request: HttpRequest) -> HttpResponse:
    form = CoilForm(request.POST)
    if form.is_valid():
        try:
            row = services.coil_count(actor=person(user_of(request)), at=database_now(), **form.cleaned_data)
        except Refused as error:
            show_at_field(form, error)
        else:
            messages.success(request, f"{row} is entered.")
            return redirect("orders:coil_page")
    return _coils(request, form)


def _coils(request: HttpRequest, form: CoilForm | None) -> HttpResponse:
    plan = line_reads.plan_in_force()
    days = line_reads.coil_days(plan)
    context = {
        "plan": plan,
        "tabs": tabs_of(user_of(request).role, "orders:coil_page"),
        "days": days,
        "rows": line_reads.coil_rows(plan, days),
        "form": form or CoilForm(initial={"counted_on": line_reads.today_of(database_now())}),
        "wrong": form,
        "may_count": may(user_of(request).role, "coil", "count"),
    }
    return render(request, "orders/coil_page.html", context, status=422 if form else 200)
