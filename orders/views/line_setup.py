"""Pages where the planner sets up lines, closed days and what holds for all lines."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from framing.common.access import grants, may
from framing.common.actors import person
from framing.common.clock import database_now
from framing.common.errors import Clash, Refused
from orders import line_reads, services
from orders.line_forms import ClosureForm, LineForm, SettingsForm
from orders.line_typed import WEEKDAYS
from orders.models import Line
from orders.views.parts import user_of

SETTINGS = tuple(SettingsForm.base_fields)
TABS = (
    ("Plan", "orders:line_board", "line_plan"),
    ("Coils", "orders:coil_page", "coil"),
    ("Lines and hours", "orders:line_setup", "line"),
)


def tabs_of(role: str, here: str) -> list[tuple[str, str, bool]]:
    """The pages about lines that a role may read, with label, address and whether it is this one."""
    return [
        (label, reverse(route), route == here) for label, route, thing in TABS if may(role, thing, "read")
    ]


def show_at_field(form: forms.Form, error: Refused | Clash) -> None:
    """Put a refusal at its field, or above the form where it has none here."""
    form.add_error(error.field if error.field in form.fields else None, error.message)


@grants("line", "read")
@require_GET
def line_setup(request: HttpRequest) -> HttpResponse:
    """Lines, closed days, pairs that are timed, what holds for all lines."""
    return _setup(request)


def _setup(request: HttpRequest, **forms_given: forms.Form) -> HttpResponse:
    at = database_now()
    settings = line_reads.settings_now()
    initial = {name: getattr(settings, name) for name in SETTINGS}
    context: dict[str, Any] = {
        "lines": [(line, line_reads.shift_summary(line)) for line in line_reads.line_list()],
        "closures": line_reads.closure_list(at),
        "holidays": line_reads.holidays_next(at),
        "pairs": line_reads.change_over_list(),
        "settings": settings,
        "tabs": tabs_of(user_of(request).role, "orders:line_setup"),
        "may_change": may(user_of(request).role, "line", "change"),
        "settings_form": SettingsForm(initial=initial, prefix="all"),
        "closure_form": ClosureForm(prefix="closure"),
    }
    wrong = next(iter(forms_given.values()), None)
    context |= forms_given | {"wrong": wrong}
    return render(request, "orders/line_setup.html", context, status=422 if wrong else 200)


@grants("line", "change")
@require_http_methods(["GET", "POST"])
def line_new(request: HttpRequest) -> HttpResponse:
    return _line(request, None)


@grants("line", "change")
@require_http_methods(["GET", "POST"])
def line_page(request: HttpRequest, public_id: str) -> HttpResponse:
    return _line(request, line_reads.line_get(public_id))


def _line(request: HttpRequest, line: Line | None) -> HttpResponse:
    form = LineForm(request.POST or None, initial=_initial(line))
    if request.method == "POST" and form.is_valid():
        data = dict(form.cleaned_data)
        shifts = [data.pop(f"shifts_{day}") for day in range(len(WEEKDAYS))]
        try:
            made = services.line_save(
                actor=person(user_of(request)), at=database_now(), line=line, shifts=shifts, **data
            )
        except (Refused, Clash) as error:
            show_at_field(form, error)
        else:
            messages.success(request, f"Line {made.name} is saved. The next plan goes by it.")
            return redirect("orders:line_setup")
    status = 422 if form.is_bound else 200
    return render(request, "orders/line_page.html", {"form": form, "line": line}, status=status)


def _initial(line: Line | None) -> dict[str, Any]:
    if line is None:
        return {"works": True, **{f"shifts_{day}": "6:00-14:30" for day in range(5)}}
    texts = line_reads.shift_texts(line)
    return {
        "name": line.name,
        "feet_per_minute": line.feet_per_minute,
        "capacity_ft_per_shift": line.capacity_ft_per_shift,
        "depths": line.depths,
        "works": line.works,
        **{f"shifts_{day}": text for day, text in enumerate(texts)},
    }


@grants("line", "change")
@require_POST
def closure_add(request: HttpRequest) -> HttpResponse:
    form = ClosureForm(request.POST, prefix="closure")
    if form.is_valid():
        try:
            row = services.closure_add(actor=person(user_of(request)), at=database_now(), **form.cleaned_data)
        except (Refused, Clash) as error:
            show_at_field(form, error)
        else:
            messages.success(request, f"{row.line or 'The shop'} stands on {row.day:%b} {row.day.day}.")
            return redirect("orders:line_setup")
    return _setup(request, closure_form=form)


@grants("line", "change")
@require_POST
def closure_remove(request: HttpRequest, pk: int) -> HttpResponse:
    row = line_reads.closure_get(pk)
    services.closure_remove(actor=person(user_of(request)), at=database_now(), closure=row)
    messages.success(request, f"{row.day:%b} {row.day.day} is open again.")
    return redirect("orders:line_setup")


@grants("line", "change")
@require_POST
def line_settings(request: HttpRequest) -> HttpResponse:
    form = SettingsForm(request.POST, prefix="all")
    if form.is_valid():
        try:
            services.line_settings_save(
                actor=person(user_of(request)), at=database_now(), **_upper(form.cleaned_data)
            )
        except (Refused, Clash) as error:
            show_at_field(form, error)
        else:
            messages.success(request, "Saved. The next plan goes by it.")
            return redirect("orders:line_setup")
    return _setup(request, settings_form=form)


def _upper(data: dict[str, Any]) -> dict[str, Any]:
    return data | {name: data[name].strip().upper() for name in ("country", "subdivision")}
