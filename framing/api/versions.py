"""What operations on a floor's saved version share: the version asked for, and how its papers are had."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, ClassVar, TypeVar

from django.http import HttpResponseBase
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from framing.api.renderers import PdfRenderer
from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.errors import NotThere
from framing.common.papers import paper_response
from framing.projects import selectors
from framing.projects.models import FloorVersion
from framing.projects.versions import VersionPaper, current_basis, version_named

VERSION = OpenApiParameter("version", int, description="A saved version of the floor; the newest without it.")
REFUSED = OpenApiResponse(description="The version can't be built; `errors` lists the places.")
_NOT_ASKED = "none"
Handler = TypeVar("Handler", bound=Callable[..., Any])


def asked_version(request: Request, public_id: str) -> FloorVersion:
    """The version that `?version=` names, the newest without it. Raises NotThere."""
    return version_named(request.query_params.get("version", ""), selectors.floor_get(public_id))


class VersionPaperOutput(serializers.Serializer[Any]):
    """How far a paper of a version is; its PDF is at `.../pdf` once it is done."""

    version = serializers.IntegerField()
    state = serializers.ChoiceField(choices=[_NOT_ASKED, "waiting", "started", "done", "parked"])


class VersionPaperView(OperationView):
    """How far a paper is; a subclass names the paper and adds the operation that asks for it."""

    access = Act("calculation", "read")
    paper: ClassVar[VersionPaper]

    def get(self, request: Request, public_id: str) -> Response:
        """How far the paper is."""
        return Response(self.answer(asked_version(request, public_id)))

    def answer(self, version: FloorVersion) -> dict[str, Any]:
        state = self.paper.state(current_basis(version))
        words = "done" if state.paper else state.job.state if state.job else _NOT_ASKED
        return VersionPaperOutput({"version": version.number, "state": words}).data


class VersionPdfView(OperationView):
    """The stored paper; a subclass names it, and the sentence for one that is not made."""

    access = Act("calculation", "read")
    renderer_classes = (PdfRenderer,)
    paper: ClassVar[VersionPaper]
    missing: ClassVar[str]

    def get(self, request: Request, public_id: str) -> HttpResponseBase:
        """The PDF; 404 while it is not made."""
        paper = self.paper.state(current_basis(asked_version(request, public_id))).paper
        if paper is None:
            raise NotThere(self.missing)
        return paper_response(paper)


def state_schema(operation_id: str) -> Callable[[Handler], Handler]:
    return extend_schema(operation_id=operation_id, parameters=[VERSION], responses={200: VersionPaperOutput})


def ask_schema(operation_id: str) -> Callable[[Handler], Handler]:
    return extend_schema(
        operation_id=operation_id,
        parameters=[VERSION],
        request=None,
        responses={202: VersionPaperOutput, 422: REFUSED},
    )


def pdf_schema(operation_id: str) -> Callable[[Handler], Handler]:
    return extend_schema(
        operation_id=operation_id,
        parameters=[VERSION],
        responses={(200, "application/pdf"): OpenApiTypes.BINARY},
    )
