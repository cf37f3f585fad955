"""The door behind the codes of tags and labels: each role lands where it goes on working."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET

from framing.common.access import PUBLIC, grants, may, require
from framing.common.actors import by_link
from framing.common.company import company
from framing.common.errors import NotThere, Refused
from framing.common.models import LinkPurpose, Role
from framing.common.views import link_of
from orders import selectors
from orders.manifest_words import carton_title
from orders.papers.codes import read_code
from orders.papers.reads import Tagged, tagged, tagged_on
from orders.past_codes import past_code
from orders.views.parts import user_of

CODE_TYPED_MOST = 200


@grants("bundle", "read")
@require_GET
def tag_door(request: HttpRequest, code: str) -> HttpResponse:
    """Where a scanned code leads; a code that is not in use gets words, the same for all of them."""
    try:
        found = tagged(code)
    except NotThere as error:
        return _old(request, code, error.message)
    return redirect(*_place(found, user_of(request).role))


def _old(request: HttpRequest, code: str, words: str) -> HttpResponse:
    """A tag from before its bundle changed leads to that bundle all the same, with what to do about it."""
    try:
        old = past_code(read_code(code))
    except Refused as error:
        old, words = None, error.message
    if old is None:
        return render(request, "orders/tag_unknown.html", {"words": words}, status=404)
    messages.warning(request, old.words)
    return redirect(*_place(Tagged("bundle", old.bundle.order, bundle=old.bundle), user_of(request).role))


def _place(found: Tagged, role: str) -> tuple[str, str]:
    """The page of a role: the shop's is that of its tablet, the dispatcher's the delivery once one is planned."""
    load = found.bundle.load if found.bundle else found.carton.load if found.carton else None
    if role == Role.DISPATCHER and load is not None and may(role, "delivery", "read"):
        return "orders:delivery_page", load.delivery.public_id
    if found.bundle is not None:
        if role == Role.SHOP:
            return "orders:floor_bundle", found.bundle.public_id
        return "orders:bundle_page", found.bundle.public_id
    return "orders:order_page", found.order.public_id


@grants(PUBLIC)
@require_GET
def your_tag(request: HttpRequest, public_id: str) -> HttpResponse:
    """A code typed or scanned by whoever has the delivery's link: what it stands on, if it comes with this delivery."""
    link = link_of(request, public_id, LinkPurpose.DELIVERY)
    require(by_link(link), "bundle", "read")
    delivery = selectors.delivery_of_link(link)
    context: dict[str, Any] = {"link_id": public_id, "delivery": delivery, **company().context}
    try:
        found = tagged_on(delivery, request.GET.get("code", "")[:CODE_TYPED_MOST])
    except NotThere:
        return render(request, "orders/your_tag.html", context, status=404)
    thing = found.bundle or found.carton
    context |= {
        "found": found,
        "units": delivery.order.revision.quote.project.units,
        "marks": selectors.mark_counts(list(found.bundle.pieces.all())) if found.bundle else (),
        "title": carton_title(found.carton.title) if found.carton else "",
        "thing_code": thing.code if thing else "",
        "contents": selectors.content_words(found.carton.contents) if found.carton else (),
    }
    return render(request, "orders/your_tag.html", context)
