"""Deliveries: list, page, planning, loading, receipt, the builder's link, the manifest."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from framing.common.access import grants, may
from framing.common.actors import person
from framing.common.audit import audit_list
from framing.common.clock import database_now
from framing.common.errors import NotThere, Refused
from framing.common.links import link_list
from framing.common.listing_views import file_response, list_response
from framing.common.papers import paper_get, paper_response
from orders import claim_reads, selectors, services
from orders.forms import DeliveryForm, LinkForm, ReceiptForm, show_refusal
from orders.models import Delivery
from orders.states import OrderStage
from orders.views.parts import user_of

VERB_WORDS = {
    "delivery_make": "planned the delivery",
    "manifest_request": "asked for the manifest again",
    "delivery_load": "marked it loaded",
    "delivery_deliver": "recorded the receipt",
    "delivery_link_make": "made a link",
}


@grants("delivery", "read")
@require_GET
def delivery_page_list(request: HttpRequest) -> HttpResponse:
    return list_response(request, "deliveries", "orders/delivery_list.html", {})


@grants("delivery", "read")
@require_GET
def delivery_file(request: HttpRequest, form: str) -> FileResponse:
    """The list as a workbook or CSV."""
    return file_response(request, "deliveries", form)


@grants("delivery", "make")
@require_http_methods(["GET", "HEAD", "POST"])
def delivery_new(request: HttpRequest, public_id: str) -> HttpResponse:
    """Plan the delivery of an order."""
    order = selectors.order_get(public_id)
    builder = order.revision.quote.project.builder
    known = f"{builder.contact_name}, {builder.phone}".strip(", ")
    form = DeliveryForm(
        request.POST or None, initial={"planned_for": order.deliver_on, "contact": known[:160]}
    )
    if request.method == "POST" and form.is_valid():
        try:
            delivery = services.delivery_make(
                actor=person(user_of(request)), at=database_now(), order=order, **form.cleaned_data
            )
        except Refused as error:
            show_refusal(form, error)
        else:
            messages.success(request, f"Delivery {delivery.number} is planned; its manifest is being made.")
            return redirect("orders:delivery_page", delivery.public_id)
    status = 422 if form.errors else 200
    return render(request, "orders/delivery_new.html", {"form": form, "order": order}, status=status)


@grants("delivery", "read")
@require_GET
def delivery_page(request: HttpRequest, public_id: str) -> HttpResponse:
    return _page(request, selectors.delivery_get(public_id))


def _page(request: HttpRequest, delivery: Delivery, *, status: int = 200, **more: Any) -> HttpResponse:
    role = user_of(request).role
    order = delivery.order
    context = {
        "delivery": delivery,
        "order": order,
        "project": order.revision.quote.project,
        "units": order.revision.quote.project.units,
        "stages": selectors.order_stage_line(order),
        "trucks": selectors.truck_list(delivery),
        "manifest": paper_get("manifest", delivery),
        "job": selectors.job_of("manifest_paper", delivery.pk),
        "links": link_list(delivery),
        "now": database_now(),
        "entries": [(entry, VERB_WORDS.get(entry.verb, entry.verb)) for entry in audit_list(delivery)],
        "can_load": order.stage == OrderStage.BUNDLED and may(role, "delivery", "load"),
        "can_deliver": order.stage == OrderStage.LOADED and may(role, "delivery", "deliver"),
        "can_link": order.stage != OrderStage.CANCELLED and may(role, "delivery_link", "make"),
        "can_withdraw": may(role, "delivery_link", "withdraw"),
        "claims": claim_reads.claim_list().filter(delivery=delivery),
        "can_claim": claim_reads.may_open(person(user_of(request)), delivery),
        "receipt_form": ReceiptForm(),
        "link_form": LinkForm(),
    }
    return render(request, "orders/delivery_page.html", context | more, status=status)


@grants("delivery", "load")
@require_POST
def load(request: HttpRequest, public_id: str) -> HttpResponse:
    delivery = selectors.delivery_get(public_id)
    services.delivery_load(actor=person(user_of(request)), at=database_now(), delivery=delivery)
    messages.success(request, "Loaded.")
    return redirect("orders:delivery_page", public_id)


@grants("delivery", "deliver")
@require_POST
def deliver(request: HttpRequest, public_id: str) -> HttpResponse:
    delivery = selectors.delivery_get(public_id)
    form = ReceiptForm(request.POST)
    if form.is_valid():
        try:
            services.delivery_deliver(
                actor=person(user_of(request)), at=database_now(), delivery=delivery, **form.cleaned_data
            )
        except Refused as error:
            show_refusal(form, error)
        else:
            messages.success(request, "Receipt recorded.")
            return redirect("orders:delivery_page", public_id)
    return _page(request, delivery, status=422, receipt_form=form)


@grants("delivery_link", "make")
@require_POST
def link_new(request: HttpRequest, public_id: str) -> HttpResponse:
    """Make a link and show its address this once."""
    delivery = selectors.delivery_get(public_id)
    form = LinkForm(request.POST)
    if form.is_valid():
        try:
            link, address = services.delivery_link_make(
                actor=person(user_of(request)), at=database_now(), delivery=delivery, **form.cleaned_data
            )
        except Refused as error:
            show_refusal(form, error)
        else:
            return _page(request, delivery, new_link=link, new_address=address)
    return _page(request, delivery, status=422, link_form=form)


@grants("delivery_link", "withdraw")
@require_POST
def link_end(request: HttpRequest, public_id: str, link_id: str) -> HttpResponse:
    services.delivery_link_withdraw(
        actor=person(user_of(request)),
        at=database_now(),
        delivery=selectors.delivery_get(public_id),
        link_id=link_id,
    )
    messages.success(request, "The link is withdrawn.")
    return redirect("orders:delivery_page", public_id)


@grants("load_paper", "read")
@require_http_methods(["GET", "HEAD", "POST"])
def manifest(request: HttpRequest, public_id: str) -> HttpResponse:
    """GET downloads the stored manifest; POST asks for it again where its making stopped."""
    delivery = selectors.delivery_get(public_id)
    if request.method == "POST":
        services.manifest_request(actor=person(user_of(request)), at=database_now(), delivery=delivery)
        return redirect("orders:delivery_page", public_id)
    paper = paper_get("manifest", delivery)
    if paper is None:
        raise NotThere("The manifest of this delivery is not made yet.")
    return paper_response(paper)
