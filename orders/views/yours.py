"""The manifest of a builder's delivery, by link; its page is `orders/site_views.py`."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from framing.common.access import PUBLIC, grants, require
from framing.common.actors import by_link
from framing.common.models import LinkPurpose
from framing.common.views import link_of
from orders import selectors
from orders.load_reads import load_of
from orders.manifest_files import manifest_response
from orders.models import Delivery


def _opened(request: HttpRequest, public_id: str, object_: str) -> Delivery:
    link = link_of(request, public_id, LinkPurpose.DELIVERY)
    require(by_link(link), object_, "read")
    return selectors.delivery_of_link(link)


@grants(PUBLIC)
@require_GET
def your_manifest(request: HttpRequest, public_id: str) -> HttpResponse:
    """The manifest of one truck, `?truck=2`; of the first one where none is named."""
    load = load_of(_opened(request, public_id, "load_paper"), request.GET.get("truck", ""))
    return manifest_response(load, "pdf")
