"""What came back from the site, for staff: how each thing stands, what was said when, photos (R48)."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from framing.common.access import grants, may
from framing.common.actors import person
from framing.common.clock import database_now
from framing.common.errors import Clash, Refused, TooBig
from framing.common.intake import takes_bytes
from orders import selectors
from orders.forms import show_refusal
from orders.models import Delivery
from orders.photo_store import BODY_MOST
from orders.receipt_forms import ReceiptActForm, ReceiptPhotoForm
from orders.services.photos import photo_take
from orders.services.receipts import SiteAct, receipt_act
from orders.site_reads import photo_get, photo_list, receipt_actions, site_loads, thing_name, thing_on
from orders.site_terms import site_terms
from orders.site_views import photo_response
from orders.views.parts import user_of


@grants("receipt", "read")
@require_GET
def receipt_page(request: HttpRequest, public_id: str) -> HttpResponse:
    return _page(request, selectors.delivery_get(public_id))


def _page(request: HttpRequest, delivery: Delivery, *, status: int = 200, **more: Any) -> HttpResponse:
    role, loads = user_of(request).role, site_loads(delivery)
    things = [(one.line.code, thing_name(one)) for load in loads for one in load.things]
    terms = site_terms(delivery, database_now())
    open_ = terms.left and not terms.ended
    context = {
        "delivery": delivery,
        "terms": terms,
        "loads": [(load.manifest, [(one, thing_name(one)) for one in load.things]) for load in loads],
        "actions": receipt_actions(delivery),
        "photos": photo_list(delivery),
        "zone": delivery.order.revision.quote.project.site.time_zone,
        "act_form": ReceiptActForm(things=things) if open_ and may(role, "receipt", "act") else None,
        "photo_form": ReceiptPhotoForm() if open_ and may(role, "site_photo", "take") else None,
    }
    return render(request, "orders/site/receipt.html", context | more, status=status)


@grants("receipt", "act")
@require_POST
def receipt_act_of_staff(request: HttpRequest, public_id: str) -> HttpResponse:
    """One act that somebody on site told by telephone."""
    delivery = selectors.delivery_get(public_id)
    things = [(one.line.code, thing_name(one)) for load in site_loads(delivery) for one in load.things]
    form = ReceiptActForm(request.POST, things=things)
    if form.is_valid():
        data = form.cleaned_data
        try:
            act = SiteAct(
                data["action_id"], data["verb"], thing_on(delivery, data["code"]), words=data["words"]
            )
            receipt_act(actor=person(user_of(request)), at=database_now(), delivery=delivery, act=act)
        except (Refused, Clash) as error:
            show_refusal(form, error if isinstance(error, Refused) else Refused(error.message))
        else:
            return redirect("orders:receipt_page", public_id)
    return _page(request, delivery, status=422, act_form=form)


@grants("site_photo", "take")
@takes_bytes(BODY_MOST)
@require_POST
def photo_of_staff(request: HttpRequest, public_id: str) -> HttpResponse:
    """A photo that came by mail or message."""
    delivery = selectors.delivery_get(public_id)
    form = ReceiptPhotoForm(request.POST, request.FILES)
    if form.is_valid():
        file = form.cleaned_data["file"]
        try:
            photo_take(
                actor=person(user_of(request)),
                at=database_now(),
                delivery=delivery,
                photo_id=form.cleaned_data["photo_id"],
                file=(file.name or "", file.read()),
            )
        except (Refused, Clash, TooBig) as error:
            show_refusal(form, Refused(error.message, field=error.field))
        else:
            return redirect("orders:receipt_page", public_id)
    return _page(request, delivery, status=422, photo_form=form)


@grants("site_photo", "read")
@require_GET
def site_photo(request: HttpRequest, public_id: str) -> HttpResponse:
    """The picture, as we made it; never what was sent."""
    del request
    return photo_response(photo_get(public_id))
