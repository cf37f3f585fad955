"""Papers of the shop: what an order's are, making one, and fetching it as PDF, workbook or CSV."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from framing.common.access import grants, may
from framing.common.actors import person
from framing.common.clock import database_now
from framing.common.errors import NotThere, Refused
from framing.common.papers import paper_get, paper_response
from framing.common.zones import company_day
from orders import selectors, services
from orders.forms import show_refusal
from orders.label_forms import DayForm, LabelsForm
from orders.models import Order
from orders.papers import files, reads
from orders.states import LABEL_PAPERS, OrderStage, ShopPaperKind
from orders.views.parts import user_of

ABOUT = {
    ShopPaperKind.CUT_LIST: "What is left to roll, by profile and bundle, with lengths and holes.",
    ShopPaperKind.BUNDLE_TAGS: "One a bundle: pieces by mark, weight, where to lift, and its code.",
    ShopPaperKind.PIECE_LABELS: "One a piece: mark, length, where it goes, and its code.",
    ShopPaperKind.CARTON_LABELS: "One a carton or pack, with its code.",
    ShopPaperKind.PACKING_LIST: "What goes in each carton and pack, to tick while packing.",
}
NOT_YET = (OrderStage.BOOKED, OrderStage.CANCELLED)


@grants("shop_paper", "read")
@require_GET
def order_papers(request: HttpRequest, public_id: str) -> HttpResponse:
    """The papers of an order, and a button for each kind."""
    return _page(request, selectors.order_get(public_id))


@grants("shop_paper", "make")
@require_http_methods(["POST"])
def paper_make(request: HttpRequest, public_id: str, kind: str) -> HttpResponse:
    """Ask for a paper of an order; what it cannot take stands at its field."""
    order = selectors.order_get(public_id)
    if kind not in ShopPaperKind.values:
        raise NotThere()
    more: dict[str, Any] = {}
    form = LabelsForm(request.POST, kind=kind) if kind in LABEL_PAPERS else None
    if form is not None:
        if not form.is_valid():
            return _page(request, order, kind=kind, form=form)
        more = {"stock": form.chosen, "start": form.cleaned_data["start"]}
    try:
        services.shop_paper_make(
            actor=person(user_of(request)), at=database_now(), order=order, kind=kind, **more
        )
    except Refused as error:
        if form is None:
            messages.error(request, error.message)
            return redirect("orders:order_papers", public_id)
        show_refusal(form, error)
        return _page(request, order, kind=kind, form=form)
    return redirect("orders:order_papers", public_id)


def _page(
    request: HttpRequest, order: Order, *, kind: str = "", form: LabelsForm | None = None
) -> HttpResponse:
    role = user_of(request).role
    made = reads.order_papers(order)
    can = order.stage not in NOT_YET and may(role, "shop_paper", "make")
    kinds = [
        {
            "kind": choice.value,
            "label": choice.label,
            "about": ABOUT[choice],
            "form": _form(choice, kind, form) if can else None,
        }
        for choice in ABOUT
    ]
    context = {
        "order": order,
        "project": order.revision.quote.project,
        "kinds": kinds,
        "papers": made,
        "waiting": next((state for state in made if state.stored is None and state.job), None),
        "can_make": can,
        "not_yet": order.stage == OrderStage.BOOKED,
        "may_stocks": may(role, "label_stock", "read"),
        "wrong": form,
    }
    return render(request, "orders/order_papers.html", context, status=422 if form else 200)


def _form(choice: ShopPaperKind, kind: str, form: LabelsForm | None) -> LabelsForm | None:
    if choice not in LABEL_PAPERS:
        return None
    return form if form is not None and choice == kind else LabelsForm(kind=choice)


@grants("shop_paper", "read")
@require_GET
def paper_file(request: HttpRequest, public_id: str, form: str) -> HttpResponse:
    """A paper as PDF, once the worker has made it, or what stands on it as a workbook or CSV."""
    del request
    paper = reads.shop_paper_get(public_id)
    if form != "pdf":
        return files.table_response(paper, form)
    stored = paper_get(reads.JOB, paper)
    if stored is None:
        raise NotThere("This paper is being made; try again in a moment.")
    return paper_response(stored)


@grants("shop_paper", "read")
@require_GET
def cut_lists(request: HttpRequest) -> HttpResponse:
    """Days of the line plan in force, each line with its cut list."""
    return _days(request)


@grants("shop_paper", "make")
@require_http_methods(["POST"])
def cut_list_make(request: HttpRequest) -> HttpResponse:
    """Ask for the cut list of a line's day."""
    form = DayForm(request.POST)
    if not form.is_valid():
        raise NotThere()
    try:
        services.cut_list_make(
            actor=person(user_of(request)),
            at=database_now(),
            line=reads.line_get(form.cleaned_data["line"]),
            day=form.cleaned_data["day"],
        )
    except Refused as error:
        messages.error(request, error.message)
    return redirect("orders:cut_lists")


def _days(request: HttpRequest) -> HttpResponse:
    today = company_day(database_now())
    days = reads.line_days(today)
    papers = reads.day_papers({one.day for one in days})
    newest = {(state.paper.line_id, state.paper.day): state for state in reversed(papers)}
    context = {
        "days": [(one, newest.get((one.line.pk, one.day))) for one in days],
        "waiting": next((state for state in papers if state.stored is None and state.job), None),
        "can_make": may(user_of(request).role, "shop_paper", "make"),
        "today": today,
    }
    return render(request, "orders/cut_lists.html", context)
