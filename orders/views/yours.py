"""The manifest of a builder's delivery, by link; its page is `orders/site_views.py`."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from framing.common.access import PUBLIC, grants, require
from framing.common.actors import by_link
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
def your_manifest(request: HttpRequest, public_id: str) -> HttpResponse:
    paper = paper_get("manifest", _opened(request, public_id, "load_paper"))
    if paper is None:
        raise NotThere(_("The manifest is not ready yet; try again in a minute."))
    return paper_response(paper)
