"""List and page of orders, and one address for each verb."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from framing.common.access import grants, may, owns
from framing.common.actors import Actor, person
from framing.common.clock import database_now
from framing.common.errors import NotThere, Refused
from framing.common.idempotency import new_key
from framing.common.listing_views import file_response, list_response
from framing.common.papers import paper_get, paper_response
from orders import selectors, services
from orders.claim_reads import claim_list
from orders.delivery_reads import left_of
from orders.forms import ReasonForm, show_refusal
from orders.models import Order
from orders.papers.standing import tags_outdated
from orders.release_forms import ResumeForm
from orders.services.delivery_stage import LOADS_AT
from orders.states import ORDER_MOVES, OrderStage
from orders.views.parts import order_history, user_of
from orders.views.release_parts import drawings_waiting, release_context


@grants("order", "read")
@require_GET
def order_page_list(request: HttpRequest) -> HttpResponse:
    return list_response(request, "orders", "orders/order_list.html", {})


@grants("order", "read")
@require_GET
def order_file(request: HttpRequest, form: str) -> FileResponse:
    """The list as a workbook or CSV."""
    return file_response(request, "orders", form)


@grants("order", "read")
@require_GET
def order_page(request: HttpRequest, public_id: str) -> HttpResponse:
    return show_order(request, selectors.order_get(public_id))


def show_order(request: HttpRequest, order: Order, *, status: int = 200, **shown: Any) -> HttpResponse:
    """The order's page; `shown` replaces parts of it, such as a form that was refused."""
    actor = person(user_of(request))
    role = actor.audience
    bundles = list(selectors.bundle_list(order=order).select_related("replaces_claim"))
    claims = list(claim_list(order=order)) if may(role, "claim", "read") else []
    context = {
        "order": order,
        "quote": order.revision.quote,
        "offer": selectors.offer_words(order),
        "project": order.revision.quote.project,
        "units": order.revision.quote.project.units,
        "stages": selectors.order_stage_line(order),
        "bundles": bundles,
        "bundle_count": len(bundles),
        "finished": sum(bundle.finished_at is not None for bundle in bundles),
        "cartons": selectors.order_cartons(order),
        "loose": selectors.mark_counts(selectors.loose_pieces(order)),
        "deliveries": order.deliveries.filter(dropped_at=None),
        "left": left_of(order) if order.stage in LOADS_AT else None,
        "claims": claims,
        "claims_waiting": [claim for claim in claims if claim.ended_at is None],
        "history": order_history(selectors.order_moves(order)),
        "tags": (tags := paper_get("bundle_tags", order)),
        "tags_since": tags_outdated(order, tags),
        "tags_job": selectors.job_of("bundle_tags", order.pk) if may(role, "job", "read") else None,
        "can": _can(order, actor),
        "may_quote": may(role, "quote", "read"),
        "hold_form": ReasonForm(prefix="hold"),
        "cancel_form": ReasonForm(prefix="cancel"),
        **release_context(order, actor, new_key()),
    }
    return render(request, "orders/order_page.html", context | shown, status=status)


def _can(order: Order, actor: Actor) -> dict[str, bool]:
    """Which acts the page offers: those the stage lists and the reader may do."""
    role, own = actor.audience, owns(actor, order.owner)
    approved = order.drawings_approved_at is not None

    def listed(action: str) -> bool:
        return order.stage in ORDER_MOVES[action]

    return {
        "approve": listed("release")
        and not approved
        and not drawings_waiting(order)
        and may(role, "order", "approve", own=own),
        "release": listed("release") and approved and may(role, "order", "release"),
        "roll": listed("roll") and may(role, "bundle", "roll"),
        "bundle": listed("bundle") and may(role, "bundle", "finish"),
        "deliver": order.stage in LOADS_AT and may(role, "delivery", "make") and bool(left_of(order).words),
        "close": listed("close")
        and may(role, "order", "close")
        and not order.claims.filter(ended_at=None).exists(),
        "hold": listed("hold") and may(role, "order", "hold"),
        "resume": order.stage == OrderStage.HELD and may(role, "order", "hold"),
        "cancel": listed("cancel") and may(role, "order", "cancel"),
        "notices": may(role, "notice", "read"),
        "see_delivery": may(role, "delivery", "read"),
        "papers": order.stage != OrderStage.BOOKED and may(role, "shop_paper", "read"),
    }


def _act(request: HttpRequest, public_id: str, act: Callable[..., Order], said: str) -> HttpResponse:
    order = selectors.order_get(public_id)
    act(actor=person(user_of(request)), at=database_now(), order=order)
    messages.success(request, said)
    return redirect("orders:order_page", public_id)


@grants("order", "approve")
@require_POST
def approve_drawings(request: HttpRequest, public_id: str) -> HttpResponse:
    return _act(request, public_id, services.drawings_approve, "Drawings approved.")


@grants("order", "release")
@require_POST
def release(request: HttpRequest, public_id: str) -> HttpResponse:
    """Release, or show the page again with what is missing."""
    try:
        return _act(request, public_id, services.order_release, "Released to the shop; bundles are made.")
    except Refused as error:
        return show_order(request, selectors.order_get(public_id), status=422, release_refused=error.message)


@grants("bundle", "roll")
@require_POST
def roll(request: HttpRequest, public_id: str) -> HttpResponse:
    return _act(request, public_id, services.order_roll, "Rolling has started.")


@grants("bundle", "finish")
@require_POST
def bundle(request: HttpRequest, public_id: str) -> HttpResponse:
    return _act(request, public_id, services.order_bundle, "All bundles are finished.")


@grants("order", "close")
@require_POST
def close(request: HttpRequest, public_id: str) -> HttpResponse:
    return _act(request, public_id, services.order_close, "Order closed; links end in 30 days.")


@grants("order", "hold")
@require_POST
def resume(request: HttpRequest, public_id: str) -> HttpResponse:
    order = selectors.order_get(public_id)
    form = ResumeForm(request.POST)
    if _stop(request, form, order, services.order_resume):
        messages.success(request, "The order goes on where it was held.")
        return redirect("orders:order_page", public_id)
    return show_order(request, order, status=422, resume_form=form)


@grants("order", "hold")
@require_POST
def hold(request: HttpRequest, public_id: str) -> HttpResponse:
    order = selectors.order_get(public_id)
    form = ReasonForm(request.POST, prefix="hold")
    if _stop(request, form, order, services.order_hold):
        messages.success(request, "The order is held.")
        return redirect("orders:order_page", public_id)
    return show_order(request, order, status=422, hold_form=form)


@grants("order", "cancel")
@require_POST
def cancel(request: HttpRequest, public_id: str) -> HttpResponse:
    order = selectors.order_get(public_id)
    form = ReasonForm(request.POST, prefix="cancel")
    if _stop(request, form, order, services.order_cancel):
        messages.success(request, "The order is cancelled.")
        return redirect("orders:order_page", public_id)
    return show_order(request, order, status=422, cancel_form=form)


def _stop(
    request: HttpRequest, form: ReasonForm | ResumeForm, order: Order, act: Callable[..., Order]
) -> bool:
    if not form.is_valid():
        return False
    try:
        act(actor=person(user_of(request)), at=database_now(), order=order, why=form.cleaned_data["why"])
    except Refused as error:
        show_refusal(form, error)
        return False
    return True


@grants("bundle", "read")
@require_GET
def tags(request: HttpRequest, public_id: str) -> HttpResponse:
    """The stored bundle tags."""
    del request
    paper = paper_get("bundle_tags", selectors.order_get(public_id))
    if paper is None:
        raise NotThere("The tags of this order are not made yet.")
    return paper_response(paper)
