"""Doors that belong to no one app: a builder's link, health."""

from __future__ import annotations

from typing import Any

from django.core import signing
from django.db import connection
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, JsonResponse
from django.urls import reverse
from django.views.decorators.http import require_GET, require_safe

from framing.common.access import PUBLIC, grants
from framing.common.clock import database_now
from framing.common.errors import NotThere
from framing.common.limits import LINK_TRIES, address_of
from framing.common.links import link_get, link_open
from framing.common.models import AccessLink, LinkPurpose

LINK_COOKIE = "builder_link"
LINK_SALT = "framing.common.link"
DESTINATIONS = {
    LinkPurpose.QUOTE: "quotes:your_quote",
    LinkPurpose.DELIVERY: "orders:your_delivery",
    LinkPurpose.ORDER: "orders:your_order",
    LinkPurpose.TRIP: "orders:driver_trip",
}


@grants(PUBLIC)
@require_safe
def link_door(request: HttpRequest, secret: str) -> HttpResponse:
    """Trade a link's secret for a cookie and go on to a clean address; changes only the opening count.

    Raises NotThere, and TooMany after 30 wrong secrets of one address within a minute.
    """
    at = database_now()
    if request.method == "HEAD":
        return HttpResponse()  # a mail scanner neither opens the door nor learns whether it exists
    address = address_of(request)
    LINK_TRIES.check(address, at)
    try:
        link = link_open(secret, at)
    except NotThere:
        LINK_TRIES.count(address, at)
        raise
    url = reverse(DESTINATIONS[LinkPurpose(link.purpose)], args=[link.public_id])
    response = HttpResponseRedirect(url)
    response.set_cookie(
        LINK_COOKIE,
        signing.dumps(link.public_id, salt=LINK_SALT),
        path=url,
        expires=link.expires_at,
        httponly=True,
        samesite="Lax",
        secure=request.is_secure(),
    )
    response["Referrer-Policy"] = "no-referrer"  # the secret stands in this address
    return response


def link_of(request: HttpRequest, public_id: str, purpose: LinkPurpose) -> AccessLink:
    """The live link that this browser traded; anything else raises the same NotThere."""
    try:
        named: Any = signing.loads(request.COOKIES.get(LINK_COOKIE, ""), salt=LINK_SALT)
    except signing.BadSignature as error:
        raise NotThere() from error
    if named != public_id:
        raise NotThere()
    return link_get(public_id, purpose, database_now())


@grants(PUBLIC)
@require_GET
def health_live(request: HttpRequest) -> HttpResponse:
    """Answers without touching anything."""
    del request
    return HttpResponse("live\n", content_type="text/plain")


@grants(PUBLIC)
@require_GET
def health_ready(request: HttpRequest) -> HttpResponse:
    """Whether the database answers; no detail to strangers."""
    del request
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except Exception:
        return JsonResponse({"ready": False}, status=503)
    return JsonResponse({"ready": True})
