"""Operations of drawings: plan, elevations and details of a floor's version as SVG, and their paper."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponseBase
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from framing.api.calculations import NOT_ASKED, REFUSED, VERSION, PdfRenderer
from framing.api.serializers import ProblemOutput
from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from framing.common.errors import NotThere
from framing.common.papers import paper_response
from framing.projects import selectors
from framing.projects.drawing_services import drawings_ask
from framing.projects.drawing_sheets import current_drawings, drawings_state
from framing.projects.models import FloorVersion
from framing.projects.sheets import SheetBasis, current_basis, version_named


class DrawnOutput(serializers.Serializer[Any]):
    """One drawing; user units of its SVG are millimetres of paper."""

    name = serializers.CharField()
    title = serializers.CharField()
    svg = serializers.CharField()


class DrawingsOutput(serializers.Serializer[Any]):
    """All drawings of a saved version, or the problems for which it can't be built."""

    floor = serializers.CharField()
    version = serializers.IntegerField()
    problems = ProblemOutput(many=True)
    plan = serializers.CharField(allow_blank=True)
    elevations = DrawnOutput(many=True)
    details = DrawnOutput(many=True)


class DrawingsPaperOutput(serializers.Serializer[Any]):
    """How far the paper of a version is; its PDF is at `.../pdf` once it is done."""

    version = serializers.IntegerField()
    state = serializers.ChoiceField(choices=[NOT_ASKED, "waiting", "started", "done", "parked"])


class DrawingsView(OperationView):
    access = Act("calculation", "read")

    @extend_schema(operation_id="drawings_get", parameters=[VERSION], responses={200: DrawingsOutput})
    def get(self, request: Request, public_id: str) -> Response:
        """The drawings of a floor: its plan, an elevation of each mark, the details that occur."""
        drawings = current_drawings(_version(request, public_id))
        there = drawings.result is not None
        answer = {
            "floor": drawings.version.floor.public_id,
            "version": drawings.version.number,
            "problems": drawings.problems,
            "plan": drawings.plan if there else "",
            "elevations": drawings.elevations if there else (),
            "details": drawings.details if there else (),
        }
        return Response(DrawingsOutput(answer).data)


class DrawingsPaperView(OperationView):
    access = Act("calculation", "read")

    @extend_schema(
        operation_id="drawings_paper_state", parameters=[VERSION], responses={200: DrawingsPaperOutput}
    )
    def get(self, request: Request, public_id: str) -> Response:
        """How far the paper is."""
        return Response(_state(current_basis(_version(request, public_id))))

    @extend_schema(
        operation_id="drawings_paper_ask",
        parameters=[VERSION],
        request=None,
        responses={202: DrawingsPaperOutput, 422: REFUSED},
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Ask for the drawings as PDF; equal asks are one paper."""
        version = _version(request, public_id)
        drawings_ask(actor=self.actor, at=database_now(), version=version)
        return Response(_state(current_basis(version)), status=202)


class DrawingsPdfView(OperationView):
    access = Act("calculation", "read")
    renderer_classes = (PdfRenderer,)

    @extend_schema(
        operation_id="drawings_paper",
        parameters=[VERSION],
        responses={(200, "application/pdf"): OpenApiTypes.BINARY},
    )
    def get(self, request: Request, public_id: str) -> HttpResponseBase:
        """The PDF; 404 while it is not made."""
        paper = drawings_state(current_basis(_version(request, public_id))).paper
        if paper is None:
            raise NotThere("These drawings are not on paper yet.")
        return paper_response(paper)


def _version(request: Request, public_id: str) -> FloorVersion:
    return version_named(request.query_params.get("version", ""), selectors.floor_get(public_id))


def _state(basis: SheetBasis) -> dict[str, Any]:
    state = drawings_state(basis)
    words = "done" if state.paper else state.job.state if state.job else NOT_ASKED
    return DrawingsPaperOutput({"version": basis.version.number, "state": words}).data
