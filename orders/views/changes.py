"""A change order's page and its verbs: asked for, taken back, put into the order (R45)."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from framing.common.access import grants, may, owns
from framing.common.actors import Actor, person
from framing.common.clock import database_now
from framing.common.errors import Clash, NotThere, Refused
from framing.common.papers import paper_get, paper_response
from orders import change_reads, selectors, services
from orders.change_facts import change_closed_words
from orders.change_reads import STATE_WORDS, ChangeState, change_state
from orders.forms import ReasonForm, show_refusal
from orders.models import ChangeOrder, Order
from orders.views.parts import user_of

OPEN = (ChangeState.DRAFT, ChangeState.OFFERED, ChangeState.OVER, ChangeState.ACCEPTED)


def change_can(order: Order, change: ChangeOrder, state: ChangeState, actor: Actor) -> dict[str, bool]:
    """Which acts the page of a change offers."""
    own, closed = owns(actor, order.owner), bool(change_closed_words(order))
    del change
    return {
        "apply": state == ChangeState.ACCEPTED
        and not closed
        and may(actor.audience, "change_order", "apply", own=own),
        "withdraw": (state in OPEN and (state != ChangeState.ACCEPTED or closed))
        and may(actor.audience, "change_order", "withdraw", own=own),
        "see_price": may(actor.audience, "quote", "read"),
        "papers": may(actor.audience, "shop_paper", "read"),
    }


def show_change(
    request: HttpRequest, order: Order, change: ChangeOrder, *, status: int = 200, **more: Any
) -> HttpResponse:
    """The page of a change; `more` replaces parts of it, such as a form that was refused."""
    actor = person(user_of(request))
    state = change_state(change, database_now())
    shown = change_reads.change_shown(change)
    project = order.revision.quote.project
    context = {
        "order": order,
        "change": change,
        "project": project,
        "units": project.units,
        "shown": shown,
        "bundles": change.difference.get("bundles", {}),
        "state": state,
        "state_words": STATE_WORDS[state],
        "closed": change_closed_words(order) if state in OPEN else "",
        "price": change_reads.change_price(change),
        "acceptance": change_reads.acceptance_of(change),
        "tags": paper_get("bundle_tags", change),
        "can": change_can(order, change, state, actor),
        "withdraw_form": ReasonForm(),
    }
    return render(request, "orders/change.html", context | more, status=status)


@grants("change_order", "read")
@require_GET
def change_page(request: HttpRequest, public_id: str, number: int) -> HttpResponse:
    order = selectors.order_get(public_id)
    return show_change(request, order, change_reads.change_get(order, number))


@grants("change_order", "ask")
@require_http_methods(["GET", "HEAD", "POST"])
def change_ask(request: HttpRequest, public_id: str) -> HttpResponse:
    """Why the order changes; the draft is made of the floors as saved now."""
    order = selectors.order_get(public_id)
    form, status = ReasonForm(request.POST or None), 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            try:
                made = services.change_ask(
                    actor=person(user_of(request)),
                    at=database_now(),
                    order=order,
                    why=form.cleaned_data["why"],
                )
            except Refused as error:
                show_refusal(form, error)
            except Clash as error:
                form.add_error(None, error.message)
            else:
                messages.success(request, "The change is drafted. Look at its price, then issue it.")
                return redirect("orders:change_page", public_id, made.number)
    return render(
        request, "orders/change_ask.html", {"order": order, "form": form, **floors_part(order)}, status=status
    )


def floors_part(order: Order) -> dict[str, Any]:
    """What the floors as saved now would change, or why that can't be told."""
    project = order.revision.quote.project
    context: dict[str, Any] = {"project": project, "units": project.units}
    try:
        return context | {"found": change_reads.floors_now(order, database_now())}
    except Refused as error:
        return context | {"refused": error.message}


@grants("change_order", "withdraw")
@require_POST
def change_withdraw(request: HttpRequest, public_id: str, number: int) -> HttpResponse:
    order = selectors.order_get(public_id)
    change, form = change_reads.change_get(order, number), ReasonForm(request.POST)
    if form.is_valid():
        try:
            services.change_withdraw(
                actor=person(user_of(request)), at=database_now(), change=change, why=form.cleaned_data["why"]
            )
        except Refused as error:
            show_refusal(form, error)
        else:
            messages.success(request, "The change is taken back; the order stays as agreed.")
            return redirect("orders:change_page", public_id, number)
    return show_change(request, order, change, status=422, withdraw_form=form)


@grants("change_order", "apply")
@require_POST
def change_apply(request: HttpRequest, public_id: str, number: int) -> HttpResponse:
    change = change_reads.change_get(selectors.order_get(public_id), number)
    services.change_apply(actor=person(user_of(request)), at=database_now(), change=change)
    messages.success(request, "The change is in the order.")
    return redirect("orders:change_page", public_id, number)


@grants("bundle", "read")
@require_GET
def change_tags(request: HttpRequest, public_id: str, number: int) -> HttpResponse:
    """Tags of the bundles that a change made anew."""
    del request
    paper = paper_get("bundle_tags", change_reads.change_get(selectors.order_get(public_id), number))
    if paper is None:
        raise NotThere("The tags of this change are not made yet.")
    return paper_response(paper)
