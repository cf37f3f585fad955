"""Bundles for the shop: what is to finish, and one bundle drawn from the side."""

from __future__ import annotations

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_GET, require_POST

from framing.common.access import grants, may
from framing.common.actors import person
from framing.common.clock import database_now
from orders import selectors, services
from orders.states import OrderStage
from orders.views.parts import user_of

PAGE_LENGTH = 100
SHOP_STAGES = (OrderStage.RELEASED, OrderStage.ROLLING, OrderStage.BUNDLED, OrderStage.LOADED)


@grants("bundle", "read")
@require_GET
def bundle_page_list(request: HttpRequest) -> HttpResponse:
    """Bundles of orders at one stage, those that roll now first."""
    stage = request.GET.get("stage", OrderStage.ROLLING.value)
    if stage not in [choice.value for choice in SHOP_STAGES]:
        stage = OrderStage.ROLLING.value
    context = {
        "page": Paginator(selectors.bundle_list(stage=stage), PAGE_LENGTH).get_page(request.GET.get("page")),
        "stage": stage,
        "stages": [(choice.value, choice.label) for choice in SHOP_STAGES],
        "query": f"stage={stage}",
        "may_finish": may(user_of(request).role, "bundle", "finish"),
        "rolling": stage == OrderStage.ROLLING,
        "may_papers": may(user_of(request).role, "shop_paper", "read"),
    }
    return render(request, "orders/bundle_list.html", context)


@grants("bundle", "read")
@require_GET
def bundle_page(request: HttpRequest, public_id: str) -> HttpResponse:
    bundle = selectors.bundle_get(public_id)
    context = {
        "bundle": bundle,
        "order": bundle.order,
        "units": bundle.order.revision.quote.project.units,
        "runs": selectors.piece_runs(list(bundle.pieces.all())),
        "flagged": selectors.mark_counts(list(bundle.pieces.exclude(dropped_by=None))),
        "drawing": selectors.bundle_drawing(bundle),
        "lift_16": bundle.length_16 // 5,
        "may_finish": bundle.finished_at is None
        and bundle.order.stage == OrderStage.ROLLING
        and may(user_of(request).role, "bundle", "finish"),
    }
    return render(request, "orders/bundle_page.html", context)


@grants("bundle", "finish")
@require_POST
def finish(request: HttpRequest, public_id: str) -> HttpResponse:
    bundle = selectors.bundle_get(public_id)
    services.bundle_finish(actor=person(user_of(request)), at=database_now(), bundle=bundle)
    messages.success(request, f"{bundle} is finished.")
    back = request.POST.get("back", "")
    if url_has_allowed_host_and_scheme(back, allowed_hosts=None):
        return redirect(back)
    return redirect("orders:bundle_page", public_id)
