"""What is refused before a byte of its body is read: posts from other sites, bodies too big or of unknown size,
and the NUL sign, which no text of ours may hold and the database cannot take.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.urls import Resolver404, resolve
from django.utils.formats import number_format
from django.utils.translation import gettext as _

from framing.common.errors import ApplicationError, LengthMissing, NotAllowed, NotThere, TooBig, Unreadable
from framing.common.models import LinkPurpose
from framing.common.problems import refusal
from framing.common.views import link_of

GetResponse = Callable[[HttpRequest], HttpResponse]
View = TypeVar("View", bound=Callable[..., Any])
DIGITS_MOST = 15  # of a size that is worth reading as a number
SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS", "TRACE"})


class IntakeMiddleware:
    """Stands innermost, so that what it refuses still gets every header; the token's check comes after it."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        try:
            refuse_nul(request)
            refuse_foreign(request)
            refuse_big(request)
        except ApplicationError as error:
            return refusal(request, error)
        return self.get_response(request)


def refuse_foreign(request: HttpRequest) -> None:
    """Raise NotAllowed where the browser itself says that another site makes it change something."""
    if request.method not in SAFE_METHODS and request.headers.get("Sec-Fetch-Site") == "cross-site":
        raise NotAllowed("Another site asked for this. Open the page here and repeat.")


def refuse_nul(request: HttpRequest) -> None:
    """Raise NotThere for a NUL in the address, Unreadable for one in the query or in the idempotency key."""
    if "\x00" in request.path:
        raise NotThere()
    asked = request.META.get("QUERY_STRING", "") + request.headers.get("Idempotency-Key", "")
    if "%00" in asked or "\x00" in asked:
        raise Unreadable("The address holds a sign that no text has. Nothing was changed.")


def refuse_big(request: HttpRequest) -> None:
    """Raise TooBig for an announced size over the limit, LengthMissing for a body that announces none.

    A body is never read past its announced size, so this bounds what a request can make us read.
    """
    length = request.META.get("CONTENT_LENGTH") or ""
    whole = length.isascii() and length.isdigit()
    if not whole and (length or request.headers.get("Transfer-Encoding")):
        raise LengthMissing(
            "The body's size must be announced as a number (Content-Length). Nothing was read."
        )
    most = settings.DATA_UPLOAD_MAX_MEMORY_SIZE
    if not whole or (len(length) <= DIGITS_MOST and int(length) <= most):
        return
    more = _route_most(request)
    if len(length) <= DIGITS_MOST and int(length) <= more:
        return
    size = number_format(length, force_grouping=True) if len(length) <= DIGITS_MOST else "far too many"
    words = (
        _(
            "What was sent has %(size)s bytes; at most %(most)s are read here. Send fewer files at once, or smaller "
            "ones."
        )
        if more
        else "What was sent has %(size)s bytes; at most %(most)s are read here, and a floor document may have "
        "1,000,000. Split the floor, or send its document alone."
    )
    raise TooBig(words % {"size": size, "most": number_format(max(most, more), force_grouping=True)})


def takes_bytes(most: int, *, by_link: LinkPurpose | None = None) -> Callable[[View], View]:
    """Mark a view that takes files: bodies of so many bytes, from those who are signed in.

    `by_link`: from the browser of a live link of this purpose instead, which the route's `public_id` names.
    """

    def mark(view: View) -> View:
        view.body_most = most  # type: ignore[attr-defined]
        view.body_by_link = by_link  # type: ignore[attr-defined]
        return view

    return mark


def _route_most(request: HttpRequest) -> int:
    """What the route asked for takes beyond the others' limit; 0 for strangers and for all other routes."""
    try:
        match = resolve(request.path_info)
    except Resolver404:
        return 0
    view = match.func
    most: int = getattr(view, "body_most", 0) or getattr(getattr(view, "cls", None), "body_most", 0)
    purpose: LinkPurpose | None = getattr(view, "body_by_link", None)
    if purpose is not None:
        return most if _came_by_link(request, match.kwargs.get("public_id", ""), purpose) else 0
    return most if most and request.user.is_authenticated else 0


def _came_by_link(request: HttpRequest, public_id: str, purpose: LinkPurpose) -> bool:
    try:
        link_of(request, public_id, purpose)
    except NotThere:
        return False
    return True
