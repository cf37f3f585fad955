"""The door of a calendar: its secret stands in the address, for calendars can't sign in."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_safe

from framing.common.access import PUBLIC, grants
from framing.common.clock import database_now
from framing.common.errors import NotThere
from framing.common.limits import LINK_TRIES, address_of
from framing.common.links import link_feed
from orders import services


@grants(PUBLIC)
@require_safe
def calendar_feed(request: HttpRequest, secret: str) -> HttpResponse:
    """The calendar behind a secret; 304 where the reader has it as it is.

    Raises NotThere, and TooMany after 30 wrong secrets of one address within a minute.
    """
    at = database_now()
    address = address_of(request)
    LINK_TRIES.check(address, at)
    try:
        feed = services.feed_read(link=link_feed(secret, at), at=at)
    except NotThere:
        LINK_TRIES.count(address, at)
        raise
    response = HttpResponse(feed.data, content_type="text/calendar; charset=utf-8")
    response["ETag"] = feed.etag
    response["Cache-Control"] = "private, no-cache"
    response["Content-Disposition"] = 'inline; filename="deliveries.ics"'
    response["Referrer-Policy"] = "no-referrer"
    changed = int(feed.changed_at.timestamp())
    kept = get_conditional_response(request, etag=feed.etag, last_modified=changed, response=response)
    kept = response if kept is None else kept
    kept["Last-Modified"] = f"{feed.changed_at:%a, %d %b %Y %H:%M:%S GMT}"
    return kept
