"""The page of change-over minutes: a grid of profiles in use, and on a phone a pair at a time (R46)."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from framing.common.access import grants, may
from framing.common.actors import person
from framing.common.clock import database_now
from framing.common.errors import Clash, Refused
from orders import line_reads, services
from orders.change_over_forms import GridForm
from orders.change_over_reads import Grid, change_over_grid
from orders.line_forms import ChangeOverForm
from orders.views.line_setup import show_at_field, tabs_of
from orders.views.parts import user_of


@grants("line", "read")
@require_GET
def change_overs(request: HttpRequest) -> HttpResponse:
    """The grid, with the rule's figure where nothing is timed."""
    grid = change_over_grid(database_now())
    return _page(request, grid, GridForm(None, grid=grid), ChangeOverForm(prefix="pair"))


def _page(request: HttpRequest, grid: Grid, form: GridForm, pair: ChangeOverForm) -> HttpResponse:
    wrong = next((one for one in (form, pair) if one.errors), None)
    rows = [
        (before, [(cell, form[cell.field] if cell else None) for cell in row]) for before, row in grid.rows
    ]
    context = {
        "grid": grid,
        "rows": rows,
        "form": form,
        "pair_form": pair,
        "pairs": line_reads.change_over_list(),
        "settings": line_reads.settings_now(),
        "tabs": tabs_of(user_of(request).role, "orders:line_setup"),
        "may_change": may(user_of(request).role, "line", "change"),
        "wrong": wrong,
    }
    return render(request, "orders/change_overs.html", context, status=422 if wrong else 200)


@grants("line", "change")
@require_POST
def change_overs_save(request: HttpRequest) -> HttpResponse:
    """Keep the cells that were changed, all or none."""
    grid = change_over_grid(database_now())
    form = GridForm(request.POST, grid=grid)
    if form.is_valid():
        try:
            count = services.change_overs_set(
                actor=person(user_of(request)), at=database_now(), minutes=form.typed()
            )
        except (Refused, Clash) as error:
            show_at_field(form, error)
        else:
            messages.success(request, _saved(count))
            return redirect("orders:change_overs")
    return _page(request, grid, form, ChangeOverForm(prefix="pair"))


def _saved(count: int) -> str:
    if not count:
        return "Nothing was changed."
    pairs, them = ("pair is", "it") if count == 1 else ("pairs are", "them")
    return f"{count} {pairs} saved. The next plan goes by {them}."


@grants("line", "change")
@require_POST
def change_over(request: HttpRequest) -> HttpResponse:
    """Keep one pair."""
    form = ChangeOverForm(request.POST, prefix="pair")
    if form.is_valid():
        try:
            services.change_over_set(actor=person(user_of(request)), at=database_now(), **form.cleaned_data)
        except (Refused, Clash) as error:
            show_at_field(form, error)
        else:
            messages.success(request, "Saved. The next plan goes by it.")
            return redirect("orders:change_overs")
    grid = change_over_grid(database_now())
    return _page(request, grid, GridForm(None, grid=grid), form)
