"""The planner's page of an order's bundles: every bundle from the side, and the steps on them."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from framing.common.access import grants, may
from framing.common.actors import person
from framing.common.clock import database_now
from framing.common.errors import ApplicationError, NotThere, Refused, StaleSave
from framing.common.papers import paper_get, paper_response
from orders import bundle_reads as reads
from orders import selectors, services
from orders.bundle_forms import StepForm, VersionForm
from orders.models import BundleChange, Order
from orders.views.parts import user_of

STEPS_SHOWN = 20


@grants("bundle", "read")
@require_GET
def bundle_plan(request: HttpRequest, public_id: str) -> HttpResponse:
    return _page(request, selectors.order_get(public_id))


@grants("bundle", "change")
@require_GET
def bundle_anew(request: HttpRequest, public_id: str) -> HttpResponse:
    """What bundling the rest anew would give, in both ways, before it is done."""
    order = selectors.order_get(public_id)
    table = reads.bundle_table(order)
    context = {
        "order": order,
        "units": table.rules.units,
        "version": table.version,
        "now": reads.offer_now(table),
        "offers": reads.anew_offers(table),
        "kept": sum(stack.fixed or stack.started for stack in table.stacks),
        "closed": reads.closed_words(order),
    }
    return render(request, "orders/bundle_anew.html", context)


@grants("bundle", "change")
@require_POST
def bundle_edit(request: HttpRequest, public_id: str) -> HttpResponse:
    """One step; what was refused comes back on the page with what was ticked and typed."""
    order = selectors.order_get(public_id)
    form = StepForm(request.POST)
    if not form.is_valid():
        field, words = next((name, errors[0]) for name, errors in form.errors.items())
        return _refused(request, order, form, Refused(str(words), field=field))
    try:
        change = services.bundles_edit(
            actor=person(user_of(request)),
            at=database_now(),
            order=order,
            version=form.cleaned_data["version"],
            step=form.step(),
        )
    except (Refused, StaleSave) as error:
        return _refused(request, order, form, error)
    messages.success(request, change.words if change else "They come out as they are; nothing was changed.")
    return redirect(_back(order, change))


@grants("bundle", "change")
@require_POST
def bundle_undo(request: HttpRequest, public_id: str) -> HttpResponse:
    return _turn(request, public_id, services.bundles_undo, "Took back: ")


@grants("bundle", "change")
@require_POST
def bundle_redo(request: HttpRequest, public_id: str) -> HttpResponse:
    return _turn(request, public_id, services.bundles_redo, "Did again: ")


@grants("bundle", "read")
@require_GET
def bundle_change_tags(request: HttpRequest, public_id: str, step: int) -> HttpResponse:
    """The tags of the bundles that one step changed."""
    del request
    change = selectors.order_get(public_id).bundle_changes.filter(pk=step).first()
    paper = paper_get("bundle_tags", change) if change else None
    if paper is None:
        raise NotThere("There are no tags of this step.")
    return paper_response(paper)


def _turn(request: HttpRequest, public_id: str, act: Callable[..., BundleChange], said: str) -> HttpResponse:
    order = selectors.order_get(public_id)
    form = VersionForm(request.POST)
    version = form.cleaned_data["version"] if form.is_valid() else ""
    try:
        change = act(actor=person(user_of(request)), at=database_now(), order=order, version=version)
    except (Refused, StaleSave) as error:
        return _page(request, order, problem=error)
    messages.success(request, said + change.words)
    return redirect(_back(order, change))


def _back(order: Order, change: BundleChange | None) -> str:
    """The page again, at the bundle that changed first."""
    address = reverse("orders:bundle_plan", args=[order.public_id])
    touched = sorted(entry["number"] for entry in change.after) if change else []
    return f"{address}#bundle-{touched[0]}" if len(touched) in (1, 2) else address


def _refused(request: HttpRequest, order: Order, form: StepForm, problem: ApplicationError) -> HttpResponse:
    return _page(request, order, form=form, problem=problem)


def _page(
    request: HttpRequest,
    order: Order,
    *,
    form: StepForm | None = None,
    problem: ApplicationError | None = None,
) -> HttpResponse:
    role = user_of(request).role
    table = reads.bundle_table(order)
    closed = reads.closed_words(order)
    typed = form.data if form else None
    context = {
        "order": order,
        "project": order.revision.quote.project,
        "units": table.rules.units,
        "table": table,
        "cards": reads.bundle_cards(table),
        "counts": reads.bundle_counts(table),
        "closed": closed,
        "may_change": not closed and may(role, "bundle", "change"),
        "may_read_jobs": may(role, "job", "read"),
        "steps": reads.bundle_steps(order, STEPS_SHOWN),
        "problem": problem,
        "problem_at": _number(typed.get("number", "")) if typed else 0,
        "ticked": frozenset(typed.getlist("pieces")) if typed else frozenset(),  # type: ignore[attr-defined]
        "typed": {name: typed.get(name, "") for name in ("at", "other", "to")} if typed else {},
    }
    return render(request, "orders/bundle_plan.html", context, status=problem.status if problem else 200)


def _number(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 6 else 0
