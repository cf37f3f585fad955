"""Answers to what no view could answer: they name the request and tell nothing of the inside.

An exception that nobody caught leaves its transaction undone; its trace goes to the log only.
"""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.template.loader import render_to_string

from framing.common.errors import NotAllowed, NotThere, TooMany
from framing.common.problems import API_PREFIX, PROBLEM_TYPE, problem_body, refusal
from framing.common.requests import request_id

WAIT_S = 60


def unreadable(request: HttpRequest, exception: Exception) -> HttpResponse:
    """400: a request that Django itself could not take."""
    del exception
    return _bare(request, 400, "Not readable", "The request could not be read. Nothing was changed.")


def not_allowed(request: HttpRequest, exception: Exception) -> HttpResponse:
    """403 of a library."""
    del exception
    return refusal(request, NotAllowed("This is not open to you. Nothing was changed."))


def token_missing(request: HttpRequest, reason: str = "") -> HttpResponse:
    """403: a post without the form's token."""
    del reason
    return refusal(request, NotAllowed("The form's safety token is missing or ran out. Nothing was changed."))


def not_there(request: HttpRequest, exception: Exception) -> HttpResponse:
    """404: no such address; the same answer as for a thing that is not there."""
    del exception
    return refusal(request, NotThere())


def too_many(request: HttpRequest) -> HttpResponse:
    """429 of the sign-in pages, whose limits count by the minute or five."""
    return refusal(request, TooMany("Too many tries. Wait a little and try again.", WAIT_S))


def broken(request: HttpRequest) -> HttpResponse:
    """500: rendered without the request, since the database behind the page's frame may be what broke."""
    detail = "What was being saved was not saved. If it stays so, name the request to your administrator."
    return _bare(request, 500, "Something broke on our side", detail)


def _bare(request: HttpRequest, status: int, title: str, detail: str) -> HttpResponse:
    if request.path.startswith(API_PREFIX):
        body = problem_body(status, title, detail)
        return JsonResponse(body, status=status, content_type=PROBLEM_TYPE)
    page = render_to_string(f"{status}.html", {"request_id": request_id.get()})
    return HttpResponse(page, status=status)
