"""The builder's delivery, by link: what comes, where it goes, whom to call."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from framing.common.access import PUBLIC, grants, require
from framing.common.actors import by_link
from framing.common.cautions import SITE_CAUTIONS
from framing.common.company import company
from framing.common.errors import NotThere
from framing.common.models import LinkPurpose
from framing.common.papers import paper_get, paper_response
from framing.common.views import link_of
from orders import selectors
from orders.models import Delivery


def _opened(request: HttpRequest, public_id: str, object_: str) -> Delivery:
    link = link_of(request, public_id, LinkPurpose.DELIVERY)
    require(by_link(link), object_, "read")
    return selectors.delivery_of_link(link)


@grants(PUBLIC)
@require_GET
def your_delivery(request: HttpRequest, public_id: str) -> HttpResponse:
    delivery = _opened(request, public_id, "delivery")
    order = delivery.order
    supplier = company()
    context = {
        "delivery": delivery,
        "order": order,
        "project": order.revision.quote.project,
        "units": order.revision.quote.project.units,
        "trucks": selectors.truck_list(delivery),
        "manifest": paper_get("manifest", delivery),
        "link_id": public_id,
        "cautions": SITE_CAUTIONS,
        "supplier": supplier,
        **supplier.context,
    }
    return render(request, "orders/your_delivery.html", context)


@grants(PUBLIC)
@require_GET
def your_manifest(request: HttpRequest, public_id: str) -> HttpResponse:
    paper = paper_get("manifest", _opened(request, public_id, "load_paper"))
    if paper is None:
        raise NotThere("The manifest is not ready yet; try again in a minute.")
    return paper_response(paper)
