"""What every API operation shares: the route's act, the actor, one error shape (RFC 9457)."""

from __future__ import annotations

from typing import Any, ClassVar

from django.core.exceptions import PermissionDenied, SuspiciousOperation, ValidationError
from django.http import Http404
from rest_framework import exceptions
from rest_framework.permissions import BasePermission
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView
from rest_framework.views import exception_handler as drf_handler

from framing.common.access import Act, may
from framing.common.actors import Actor, person
from framing.common.errors import ApplicationError
from framing.common.problems import PROBLEM_TYPE, problem_body


class ActPermission(BasePermission):
    """Signed in, and the table lists the route's act for the role."""

    def has_permission(self, request: Request, view: APIView) -> bool:
        act: Act = view.access  # type: ignore[attr-defined]
        if not request.user.is_authenticated:
            return False
        return may(request.user.role, act.object, act.verb)


class OperationView(APIView):
    """Base of the API's operations; a subclass names its `access` act."""

    access: ClassVar[Act]
    permission_classes = (ActPermission,)

    @property
    def actor(self) -> Actor:
        return person(self.request.user)  # type: ignore[arg-type]

    @property
    def idempotency_key(self) -> str:
        return self.request.headers.get("Idempotency-Key", "")


class Problem(Response):
    """A problem document: JSON whatever the operation itself would answer with."""

    @property
    def rendered_content(self) -> str:
        self.accepted_renderer = JSONRenderer()
        rendered: str = super().rendered_content
        return rendered


def _problem(status: int, title: str, detail: Any, **more: Any) -> Response:
    return Problem(problem_body(status, title, detail, **more), status=status, content_type=PROBLEM_TYPE)


def problem_handler(error: Exception, context: dict[str, Any]) -> Response | None:
    """Turn every refusal into one problem document; an unknown exception stays a 500."""
    if isinstance(error, ApplicationError):
        return _problem(error.status, error.title, error.message, field=error.field, errors=error.detail)
    if isinstance(error, ValidationError):
        return _problem(422, "Not possible as asked", "; ".join(error.messages))
    if isinstance(error, (Http404, PermissionDenied)):
        return _problem(404, "Not found", "There is nothing at this address.")
    if isinstance(error, SuspiciousOperation):  # too many fields, a broken upload
        return _problem(400, "Not readable", "The body could not be read. Nothing was changed.")
    response = drf_handler(error, context)
    if response is None:
        return None
    if isinstance(error, exceptions.ValidationError):
        return _problem(422, "Not possible as asked", "Some fields need another look.", errors=response.data)
    detail = getattr(error, "detail", str(error))
    problem = _problem(response.status_code, response.status_text, str(detail))
    for name in ("WWW-Authenticate", "Retry-After", "Allow"):
        if name in response.headers:
            problem.headers[name] = response.headers[name]
    return problem
