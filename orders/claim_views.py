"""Claims for staff: the list, one claim with all that was said, opening one, and its three ends."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from framing.common.access import grants, may
from framing.common.actors import person
from framing.common.audit import audit_list
from framing.common.clock import database_now
from framing.common.errors import Clash, NotThere, Refused
from framing.common.listing_views import file_response, list_response
from framing.common.papers import paper_get, paper_response
from orders import claim_facts, claim_reads, selectors, services
from orders.claim_forms import ClaimForm, CreditForm, RejectForm, ReplaceForm
from orders.claim_words import claim_thing, piece_words
from orders.forms import show_refusal
from orders.models import Claim, Delivery
from orders.papers.again import PAPER as AGAIN
from orders.states import ClaimState, OrderStage
from orders.views.parts import user_of

VERB_WORDS = {
    "claim_open": "opened the claim",
    "claim_report": "reported it again",
    "claim_replace": "gave it back to the shop",
    "claim_credit": "credited it",
    "claim_reject": "rejected it",
    "claim_replaced": "received the replacement",
    "claim_split": "left it open when the rest was made again",
}
SETTLED = (OrderStage.CLOSED, OrderStage.CANCELLED)


@grants("claim", "read")
@require_GET
def claim_page_list(request: HttpRequest) -> HttpResponse:
    context = {"can_figures": may(user_of(request).role, "shop_figures", "read")}
    return list_response(request, "claims", "orders/claim_list.html", context)


@grants("claim", "read")
@require_GET
def claim_file(request: HttpRequest, form: str) -> FileResponse:
    """The list as a workbook or CSV."""
    return file_response(request, "claims", form)


@grants("claim", "read")
@require_GET
def claim_page(request: HttpRequest, public_id: str) -> HttpResponse:
    return _page(request, claim_reads.claim_get(public_id))


def _page(request: HttpRequest, claim: Claim, *, status: int = 200, **more: Any) -> HttpResponse:
    role, order = user_of(request).role, claim.order
    undecided = claim.state == ClaimState.OPEN and order.stage not in SETTLED
    thing = claim.bundle_id is not None or claim.carton_id is not None
    step = claim_facts.next_step(claim)
    held = claim_facts.held_rows(claim)
    context = {
        "claim": claim,
        "order": order,
        "project": order.revision.quote.project,
        "units": order.revision.quote.project.units,
        "currency": order.revision.currency,
        "thing": claim_thing(claim),
        "step": step,
        "step_url": step and step.url and (step.act is None or may(role, *step.act)),
        "also": claim_facts.also_waiting(claim) if step else [],
        "held": held,
        "held_count": sum(row.count for row in held),
        "claimed_count": sum(row.claimed for row in held),
        "claimed_lb": claim_facts.claimed_lb(claim),
        "contents": selectors.content_words(claim.carton.contents) if claim.carton else [],
        "where": claim_facts.where_it_goes(claim),
        "room": claim_facts.credit_room(order) if undecided else None,
        "worth": claim_facts.worth_by_weight(claim) if undecided else None,
        "reports": claim_reads.claim_reports(claim),
        "photos": claim_reads.claim_photos(claim),
        "entries": [(entry, VERB_WORDS.get(entry.verb, entry.verb)) for entry in audit_list(claim)],
        "can_replace": undecided and thing and may(role, "claim", "replace"),
        "can_credit": undecided and may(role, "claim", "credit"),
        "can_reject": undecided and may(role, "claim", "reject"),
        "undecided": undecided,
        **_again(claim, may_print=may(role, "shop_paper", "read")),
        "replace_form": _replace_form(claim),
        "credit_form": CreditForm(),
        "reject_form": RejectForm(),
        "split_off": claim.split_off.order_by("id"),
    }
    return render(request, "orders/claim_page.html", context | more, status=status)


def _again(claim: Claim, *, may_print: bool) -> dict[str, Any]:
    """What is packed again in a carton, the delivery that brings what replaces something, and its tag or label."""
    made, carton = claim.replacement or claim.replacement_carton, claim.replacement_carton
    return {
        "again_contents": selectors.content_words(carton.contents) if carton else [],
        "again_delivery": made.delivery if made else None,
        "again_label": paper_get(AGAIN, claim) if made and may_print else None,
    }


def _replace_form(claim: Claim, data: Any = None) -> ReplaceForm:
    named = piece_words(claim_facts.claimed_pieces(claim)) if claim.bundle else ""
    return ReplaceForm(data, contents=claim.carton.contents if claim.carton else (), named=named)


@grants("shop_paper", "read")
@require_GET
def claim_label(request: HttpRequest, public_id: str) -> HttpResponse:
    """The tag of the bundle that is made again for a claim, or the label of the carton that is packed again."""
    del request
    paper = paper_get(AGAIN, claim_reads.claim_get(public_id))
    if paper is None:
        raise NotThere("The label is not made yet; try again in a moment.")
    return paper_response(paper)


@grants("claim", "open")
@require_http_methods(["GET", "HEAD", "POST"])
def claim_new(request: HttpRequest, public_id: str) -> HttpResponse:
    """Open a claim on a delivery; `?thing=` says what it is about."""
    delivery = selectors.delivery_get(public_id)
    first = {"thing": request.GET.get("thing", claim_reads.WHOLE)}
    form = ClaimForm(request.POST or None, initial=first, things=claim_reads.things_of(delivery))
    if request.method == "POST" and form.is_valid():
        claim = _opened(request, delivery, form)
        if claim is not None:
            messages.success(request, f"Claim {claim.number} is open; its order waits for it.")
            return redirect("orders:claim_page", claim.public_id)
    status = 422 if form.errors else 200
    context = {"form": form, "delivery": delivery, "order": delivery.order}
    return render(request, "orders/claim_new.html", context, status=status)


def _opened(request: HttpRequest, delivery: Delivery, form: ClaimForm) -> Claim | None:
    values = form.cleaned_data
    bundle, carton = claim_reads.thing_of(delivery, values["thing"])
    try:
        if values["marks"] and bundle is None:
            raise Refused(
                "Marks are of a bundle; choose the bundle above, or say it in words.", field="marks"
            )
        return services.claim_open(
            actor=person(user_of(request)),
            at=database_now(),
            order=delivery.order,
            kind=values["kind"],
            words=values["words"],
            bundle=bundle,
            carton=carton,
            pieces=services.pieces_by_mark(bundle, values["marks"]) if bundle else (),
            delivery=delivery,
        )
    except Refused as error:
        show_refusal(form, error)
    except Clash as error:
        form.add_error(None, error.message)
    return None


def _decide(
    request: HttpRequest, public_id: str, name: str, form: forms.Form, verb: Callable[..., Claim], said: str
) -> HttpResponse:
    """End a claim by a form on its page; what is refused comes back there with what was typed."""
    claim = claim_reads.claim_get(public_id)
    if form.is_valid():
        values = form.asked if isinstance(form, ReplaceForm) else form.cleaned_data
        try:
            verb(actor=person(user_of(request)), at=database_now(), claim=claim, **values)
        except Refused as error:
            show_refusal(form, error)
        else:
            messages.success(request, said)
            return redirect("orders:claim_page", public_id)
    return _page(request, claim, status=422, **{name: form})


@grants("claim", "replace")
@require_POST
def claim_replace(request: HttpRequest, public_id: str) -> HttpResponse:
    claim = claim_reads.claim_get(public_id)
    said = "It is with the shop. Put it on a delivery once it is made."
    if claim.carton is not None:
        said = "The shop packs it from stock by its label. Put it on a delivery."
    form = _replace_form(claim, request.POST)
    return _decide(request, public_id, "replace_form", form, services.claim_replace, said)


@grants("claim", "credit")
@require_POST
def claim_credit(request: HttpRequest, public_id: str) -> HttpResponse:
    said = "Credited; it stands among what there is to invoice."
    return _decide(request, public_id, "credit_form", CreditForm(request.POST), services.claim_credit, said)


@grants("claim", "reject")
@require_POST
def claim_reject(request: HttpRequest, public_id: str) -> HttpResponse:
    said = "Rejected; the builder reads why."
    return _decide(request, public_id, "reject_form", RejectForm(request.POST), services.claim_reject, said)
