"""Operations of drawings: plan, elevations and details of a floor's version as SVG, and their paper."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from framing.api.serializers import ProblemOutput
from framing.api.versions import (
    VERSION,
    VersionPaperView,
    VersionPdfView,
    ask_schema,
    asked_version,
    pdf_schema,
    state_schema,
)
from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from framing.projects.drawing_sheets import current_drawings
from framing.projects.version_services import drawings_ask
from framing.projects.versions import DRAWINGS_PAPER


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


class DrawingsView(OperationView):
    access = Act("calculation", "read")

    @extend_schema(operation_id="drawings_get", parameters=[VERSION], responses={200: DrawingsOutput})
    def get(self, request: Request, public_id: str) -> Response:
        """The drawings of a floor: its plan, an elevation of each mark, the details that occur."""
        drawings = current_drawings(asked_version(request, public_id))
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


@extend_schema_view(get=state_schema("drawings_paper_state"))
class DrawingsPaperView(VersionPaperView):
    paper = DRAWINGS_PAPER

    @ask_schema("drawings_paper_ask")
    def post(self, request: Request, public_id: str) -> Response:
        """Ask for the drawings as PDF; equal asks are one paper."""
        version = asked_version(request, public_id)
        drawings_ask(actor=self.actor, at=database_now(), version=version)
        return Response(self.answer(version), status=202)


@extend_schema_view(get=pdf_schema("drawings_paper"))
class DrawingsPdfView(VersionPdfView):
    paper = DRAWINGS_PAPER
    missing = "These drawings are not on paper yet."
