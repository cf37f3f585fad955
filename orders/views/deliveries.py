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
from framing.common.errors import Refused
from framing.common.links import link_list
from framing.common.listing_views import file_response, list_response
from framing.common.zones import zone_words
from orders import claim_reads, selectors, services
from orders.delivery_forms import DeliveryForm
from orders.delivery_gear import lift_of
from orders.delivery_loads import load_cards
from orders.delivery_reads import far_of, heavy_of, move_list, window_words
from orders.delivery_tabs import tabs_of
from orders.driver_reads import delivery_proofs
from orders.forms import LinkForm, ReceiptForm, show_refusal
from orders.load_reads import load_of, manifest_job
from orders.manifest_files import manifest_response
from orders.models import Delivery
from orders.notice_reads import builder_told_words
from orders.services.delivery_stage import LOADS_AT
from orders.states import OrderStage
from orders.views.parts import user_of

VERB_WORDS = {
    "delivery_make": "planned the delivery",
    "manifest_request": "asked for the manifest again",
    "delivery_change": "changed what is said of it",
    "delivery_drop": "dropped it",
    "delivery_load": "marked it loaded",
    "delivery_move_things": "moved bundles or cartons",
    "delivery_reschedule": "moved it to another day or window",
    "load_loaded": "loaded a truck",
    "delivery_deliver": "recorded the receipt",
    "delivery_link_make": "made a link",
    "receipt_short": "reported something short",
    "receipt_damaged": "reported something damaged",
    "receipt_wrong": "reported something wrong",
    "receipt_sign": "signed on site",
    "photo_take": "took a photo",
}
ON_THE_RECEIPT = ("receipt_tick", "receipt_untick")
"""One tick a thing: they stand on the page of the receipt, and would drown the rest here."""


@grants("delivery", "read")
@require_GET
def delivery_page_list(request: HttpRequest) -> HttpResponse:
    tabs = tabs_of(user_of(request).role, "orders:delivery_list")
    return list_response(request, "deliveries", "orders/delivery_list.html", {"tabs": tabs})


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
    known = {"planned_for": order.deliver_on, "contact": builder.contact_name, "phone": builder.phone}
    form = DeliveryForm(request.POST or None, initial=known, order=order)
    if request.method == "POST" and form.is_valid():
        try:
            delivery = services.delivery_make(
                actor=person(user_of(request)), at=database_now(), order=order, **form.asked
            )
        except Refused as error:
            show_refusal(form, error)
        else:
            told = builder_told_words(order, "planned")
            messages.success(request, f"Delivery {delivery.number} is planned. {told}")
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
        "loads": load_cards(delivery),
        "manifest": delivery.loads.exists(),
        "job": manifest_job(delivery),
        "proofs": delivery_proofs(delivery),
        "links": link_list(delivery),
        "now": database_now(),
        "entries": [
            (entry, VERB_WORDS.get(entry.verb, entry.verb))
            for entry in audit_list(delivery).exclude(verb__in=ON_THE_RECEIPT)
        ],
        "window": window_words(delivery),
        "clock": zone_words(order.revision.quote.project.site.time_zone),
        "lift": lift_of(delivery),
        "heavy": heavy_of(delivery),
        "far": far_of(delivery),
        "day_moves": move_list(delivery),
        "to_roll": delivery.bundles.filter(finished_at=None).count(),
        "can_load": delivery.state == "planned" and order.stage in LOADS_AT and may(role, "delivery", "load"),
        "can_deliver": delivery.state == "loaded" and may(role, "delivery", "deliver"),
        "can_change": _is_open(delivery) and may(role, "delivery", "change"),
        "can_calendar": may(role, "calendar", "read"),
        "can_link": order.stage != OrderStage.CANCELLED
        and not delivery.dropped_at
        and may(role, "delivery_link", "make"),
        "can_withdraw": may(role, "delivery_link", "withdraw"),
        "claims": claim_reads.claim_list().filter(delivery=delivery),
        "can_claim": claim_reads.may_open(person(user_of(request)), delivery),
        "receipt_form": ReceiptForm(),
        "link_form": LinkForm(),
    }
    return render(request, "orders/delivery_page.html", context | more, status=status)


def _is_open(delivery: Delivery) -> bool:
    """Whether it may still be changed: planned, none of its trucks loaded, its order not over."""
    over = (OrderStage.CLOSED, OrderStage.CANCELLED)
    loaded = any(load.loaded_at is not None for load in delivery.loads.all())
    return delivery.state == "planned" and not loaded and delivery.order.stage not in over


@grants("delivery", "load")
@require_POST
def load(request: HttpRequest, public_id: str) -> HttpResponse:
    delivery = selectors.delivery_get(public_id)
    services.delivery_load(actor=person(user_of(request)), at=database_now(), delivery=delivery)
    messages.success(request, "Loaded.")
    return redirect("orders:delivery_page", public_id)


@grants("delivery", "load")
@require_POST
def load_one(request: HttpRequest, public_id: str, number: int) -> HttpResponse:
    """One truck of a delivery is loaded."""
    load = selectors.load_get(selectors.delivery_get(public_id), number)
    services.load_loaded(actor=person(user_of(request)), at=database_now(), load=load)
    messages.success(request, f"Truck {number} is loaded.")
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
    """GET downloads the manifest of one truck, `?truck=2`, a draft until it is loaded; POST asks for the stored ones
    again where their making stopped."""
    delivery = selectors.delivery_get(public_id)
    if request.method == "POST":
        services.manifest_request(actor=person(user_of(request)), at=database_now(), delivery=delivery)
        return redirect("orders:delivery_page", public_id)
    return manifest_response(load_of(delivery, request.GET.get("truck", "")), "pdf")
