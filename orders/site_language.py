"""The language in which somebody reads what a link opens: his choice, else what his browser asks for.

Staff read English; only addresses of links (`your_…`, `driver_…`, and the door before them) are told in other
languages.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Final

from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.urls import Resolver404, ResolverMatch, resolve
from django.utils import translation
from django.utils.cache import patch_vary_headers
from django.utils.translation.trans_real import parse_accept_lang_header

from framing.common.access import require
from framing.common.actors import by_link
from framing.common.audit import audit_record
from framing.common.errors import Refused
from framing.common.models import AccessLink
from orders.models import LinkLanguage

LANGUAGES: Final = (("en", "English"), ("fr", "Français"), ("es", "Español"))
CODES: Final = tuple(code for code, _ in LANGUAGES)
_DOOR: Final = "link_door"
_OF_LINKS: Final = ("your_", "driver_")
_PLACES: Final = ("/l/", "/quotes/your", "/orders/your", "/orders/driver/")  # also of what is no page there
HEADER_MOST: Final = 500


class BuilderLanguageMiddleware:
    """Stands outside of what refuses, so that a link's only refusal is read in the same language."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        match = _of_link(request.path_info)
        if match is None and not request.path_info.startswith(_PLACES):
            return self.get_response(request)
        request.by_link = True  # type: ignore[attr-defined]  # what refuses then names whom to call
        link_id = match.kwargs.get("public_id", "") if match else ""
        code = language_of(link_id, request.headers.get("Accept-Language", ""))
        with translation.override(code):
            response = self.get_response(request)
        response.headers["Content-Language"] = code
        patch_vary_headers(response, ("Accept-Language",))
        return response


def _of_link(path: str) -> ResolverMatch | None:
    try:
        match = resolve(path)
    except Resolver404:
        return None
    name = match.url_name or ""
    return match if name.startswith(_OF_LINKS) or name == _DOOR else None


def language_of(link_id: str, accepted: str) -> str:
    """The choice of a link's reader, else the first language of ours that the browser accepts, else English."""
    if not link_id.isalnum():  # none, or no id of ours: a NUL sign, say
        return _accepted(accepted)
    chosen = LinkLanguage.objects.filter(link__public_id=link_id).values_list("code", flat=True)
    return chosen.first() or _accepted(accepted)


def _accepted(header: str) -> str:
    for tag, _ in parse_accept_lang_header(header[:HEADER_MOST].lower()):
        code = tag.split("-")[0]
        if code in CODES:
            return code
    return CODES[0]


def language_choose(*, at: datetime, link: AccessLink, code: str) -> LinkLanguage:
    """Keep the language in which a link is read; the same again changes nothing. Raises Refused for any other code."""
    with transaction.atomic():
        actor = by_link(link)
        require(actor, "link_language", "choose")
        if code not in CODES:
            raise Refused("Choose English, Français or Español.", field="language")
        row, made = LinkLanguage.objects.select_for_update().get_or_create(link=link, defaults={"code": code})
        if made or row.code != code:
            row.code = code
            row.save(update_fields=["code"])
            audit_record(actor, "language_choose", link, at=at, change={"language": code})
    return row
