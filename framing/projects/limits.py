"""Bodies that are too big are refused by their announced size, before a byte of them is read."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponseBase
from django.views.decorators.csrf import csrf_exempt, csrf_protect

from framing.common.errors import TooBig

View = Callable[..., HttpResponseBase]


def refuse_big(length: str | None) -> None:
    """Raise TooBig where an announced Content-Length is over DATA_UPLOAD_MAX_MEMORY_SIZE."""
    most = settings.DATA_UPLOAD_MAX_MEMORY_SIZE
    if length and length.isascii() and length.isdigit() and int(length) > most:
        raise TooBig(
            f"What was sent has {int(length):,} bytes; at most {most:,} are read here, and a floor document "
            "may have 1,000,000. Split the floor, or send its document alone."
        )


def small_body(view: View) -> View:
    """Check the size first, then the form's token: the token's check would read the whole body."""
    inner = csrf_protect(view)

    @csrf_exempt
    @wraps(view)
    def checked(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        refuse_big(request.META.get("CONTENT_LENGTH"))
        return inner(request, *args, **kwargs)

    return checked
