"""Request id, and the gate: a route that names no act of the access table is closed."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from typing import Any

from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from framing.common.access import LIBRARY_ROUTES, PUBLIC, SIGNED_IN, Act, require
from framing.common.actors import person
from framing.common.errors import ApplicationError, NotThere
from framing.common.problems import refusal
from framing.common.requests import request_id
from framing.common.zones import company_zone

GetResponse = Callable[[HttpRequest], HttpResponse]


class RequestIdMiddleware:
    """Gives each request an id for the audit trail and the error page."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        token = request_id.set(secrets.token_hex(8))
        try:
            response = self.get_response(request)
            response["X-Request-Id"] = request_id.get()
            return response
        finally:
            request_id.reset(token)


class CompanyZoneMiddleware:
    """Pages tell times by the company's clock; the API and everything kept stay in UTC."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.path.startswith("/api/"):
            return self.get_response(request)
        with timezone.override(company_zone()):
            return self.get_response(request)


def act_of(view: Any) -> Act | None:
    """The act a view was marked with: on the function, its class or its DRF class."""
    for holder in (view, getattr(view, "view_class", None), getattr(view, "cls", None)):
        act = getattr(holder, "access", None)
        if isinstance(act, Act):
            return act
    return None


class AccessMiddleware:
    """Checks the route's act against the access table and turns refusals into pages."""

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        response.setdefault("Cache-Control", "private, no-store")
        response.setdefault("Permissions-Policy", "camera=(), microphone=(), geolocation=()")
        response.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        return response

    def process_view(
        self, request: HttpRequest, view: Any, args: tuple[Any, ...], kwargs: dict[str, Any]
    ) -> HttpResponse | None:
        del args, kwargs
        act = act_of(view) or self._library_act(request)
        if act is None:
            return refusal(request, NotThere())
        if act.object == PUBLIC or getattr(view, "cls", None) is not None:
            return None  # the API checks in its permission class and answers in its own shape
        if not request.user.is_authenticated:
            return redirect_to_login(request.get_full_path())
        if act.object == SIGNED_IN:
            return None
        try:
            require(person(request.user), act.object, act.verb)
        except ApplicationError as error:
            return refusal(request, error)
        return None

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        if isinstance(exception, ApplicationError):
            return refusal(request, exception)
        return None

    @staticmethod
    def _library_act(request: HttpRequest) -> Act | None:
        match = request.resolver_match
        if match is None:
            return None
        if match.app_name == "admin":
            return Act(SIGNED_IN)  # the admin site checks is_staff itself
        known = LIBRARY_ROUTES.get(match.view_name)
        return Act(known) if known else None
