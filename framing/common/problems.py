"""How a refusal is shown: a page to people, a problem document (RFC 9457) under `/api/`."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.utils.translation import gettext

from framing.common.company import company
from framing.common.errors import ApplicationError, TooMany
from framing.common.requests import request_id

PROBLEM_TYPE = "application/problem+json"
API_PREFIX = "/api/"


def problem_body(status: int, title: str, detail: Any, **more: Any) -> dict[str, Any]:
    """The members of a problem document; empty extras are left out."""
    body = {"type": "about:blank", "title": title, "status": status, "detail": detail}
    body |= {key: value for key, value in more.items() if value}
    body["request_id"] = request_id.get()
    return body


def refusal(request: HttpRequest, error: ApplicationError) -> HttpResponse:
    """The answer of a refusal, in the shape of the address that was asked."""
    if request.path.startswith(API_PREFIX):
        body = problem_body(error.status, error.title, error.message)
        response: HttpResponse = JsonResponse(body, status=error.status, content_type=PROBLEM_TYPE)
    else:
        response = refusal_page(request, error)
    if isinstance(error, TooMany):
        response["Retry-After"] = str(error.retry_after_s)
    return response


def refusal_page(request: HttpRequest, error: ApplicationError) -> HttpResponse:
    """The page of a refusal: what happened, what is kept, what to do."""
    context = {
        "error": error,
        "title": gettext(error.title),
        "request_id": request_id.get(),
        **company().context,
    }
    name = "404.html" if error.status == 404 else "403.html" if error.status == 403 else "refused.html"
    return render(request, name, context, status=error.status)
