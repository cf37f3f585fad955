"""Sheets and rolls for labels: a list, a form beside a drawing of the sheet, and which one is usual."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from framing.common.access import grants, may
from framing.common.actors import person
from framing.common.clock import database_now
from framing.common.errors import Refused
from orders import services
from orders.forms import show_refusal
from orders.label_forms import StockForm, preset_initial, stock_initial
from orders.models import LabelStock
from orders.papers.contents import stock_facts
from orders.papers.reads import stock_get, stock_list
from orders.papers.sheet_drawing import stock_drawing
from orders.papers.sizes import PRESETS, label_words
from orders.views.parts import user_of


@grants("label_stock", "read")
@require_GET
def stock_page_list(request: HttpRequest) -> HttpResponse:
    """Every stock with the size of one label, and common ones to begin with."""
    rows = [(row, label_words(stock_facts(row))) for row in stock_list()]
    context = {
        "stocks": rows,
        "presets": [(key, name, use.label) for key, (use, name, _) in PRESETS.items()],
        "may_change": may(user_of(request).role, "label_stock", "change"),
    }
    return render(request, "orders/stock_list.html", context)


@grants("label_stock", "change")
@require_http_methods(["GET", "HEAD", "POST"])
def stock_new(request: HttpRequest) -> HttpResponse:
    """Make a stock; `?like=` begins with a common one."""
    like = request.GET.get("like", "")
    form = StockForm(request.POST or None, initial=preset_initial(like))
    if request.method == "POST" and form.is_valid():
        try:
            made = services.stock_make(
                actor=person(user_of(request)),
                at=database_now(),
                name=form.cleaned_data["name"],
                use=form.cleaned_data["use"],
                sizes=form.sizes,
            )
        except Refused as error:
            show_refusal(form, error)
        else:
            messages.success(request, f"“{made.name}” is there to print on.")
            return redirect("orders:stock_page", made.public_id)
    common = PRESETS.get(like) if request.method != "POST" else None
    return _form_page(request, form, None, stock_drawing(common[2], common[1]) if common else "")


@grants("label_stock", "read")
@require_GET
def stock_page(request: HttpRequest, public_id: str) -> HttpResponse:
    """One stock: its sizes to change, beside its drawing."""
    row = stock_get(public_id)
    form = StockForm(initial={"name": row.name, **stock_initial(row)}, fixed_use=True)
    return _form_page(request, form, row)


@grants("label_stock", "change")
@require_POST
def stock_change(request: HttpRequest, public_id: str) -> HttpResponse:
    row = stock_get(public_id)
    form = StockForm(request.POST, fixed_use=True)
    if form.is_valid():
        try:
            services.stock_change(
                actor=person(user_of(request)),
                at=database_now(),
                stock=row,
                name=form.cleaned_data["name"],
                sizes=form.sizes,
            )
        except Refused as error:
            show_refusal(form, error)
        else:
            messages.success(request, "Saved. Papers that were made before stay as they are.")
            return redirect("orders:stock_page", public_id)
    return _form_page(request, form, row)


def _form_page(
    request: HttpRequest, form: StockForm, row: LabelStock | None, drawing: str = ""
) -> HttpResponse:
    context: dict[str, Any] = {
        "form": form,
        "stock": row,
        "drawing": stock_drawing(stock_facts(row), row.name) if row else drawing,
        "may_change": may(user_of(request).role, "label_stock", "change"),
    }
    return render(request, "orders/stock_page.html", context, status=422 if form.errors else 200)


@grants("label_stock", "change")
@require_POST
def stock_choose(request: HttpRequest, public_id: str) -> HttpResponse:
    row = services.stock_choose(actor=person(user_of(request)), at=database_now(), stock=stock_get(public_id))
    messages.success(request, f"{row.get_use_display()} are printed on “{row.name}” from now on.")
    return redirect("orders:stock_list")


@grants("label_stock", "change")
@require_POST
def stock_remove(request: HttpRequest, public_id: str) -> HttpResponse:
    row = stock_get(public_id)
    services.stock_remove(actor=person(user_of(request)), at=database_now(), stock=row)
    messages.success(request, f"“{row.name}” is removed.")
    return redirect("orders:stock_list")
