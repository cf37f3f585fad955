"""Operations of calculation sheets: all cases of a floor's version as JSON, and their paper."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponseBase
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.renderers import BaseRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from framing.api.serializers import ProblemOutput
from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from framing.common.errors import NotThere
from framing.common.papers import paper_response
from framing.engine.result import Curve
from framing.projects import selectors
from framing.projects.models import FloorVersion
from framing.projects.sheet_cases import Case
from framing.projects.sheet_services import calculation_sheet_ask
from framing.projects.sheets import SheetBasis, current_basis, current_sheets, paper_state, version_named

VERSION = OpenApiParameter("version", int, description="A saved version of the floor; the newest without it.")
REFUSED = OpenApiResponse(description="The version can't be built; `errors` lists the places.")
NOT_ASKED = "none"


class ValueOutput(serializers.Serializer[Any]):
    """One line of a calculation."""

    words = serializers.CharField()
    symbol = serializers.CharField()
    value = serializers.FloatField()
    unit = serializers.CharField()
    source = serializers.CharField()  # type: ignore[assignment]


class SheetCheckOutput(serializers.Serializer[Any]):
    """Demand over capacity; over 1 fails. A check that is not `required` is for information."""

    name = serializers.CharField()
    demand = serializers.FloatField()
    capacity = serializers.FloatField()
    unit = serializers.CharField()
    ratio = serializers.FloatField()
    passes = serializers.BooleanField()
    required = serializers.BooleanField()  # type: ignore[assignment]
    clause = serializers.CharField()
    inputs = serializers.ListField(child=serializers.ListField(child=serializers.CharField()))


class WorkingOutput(serializers.Serializer[Any]):
    title = serializers.CharField()
    clause = serializers.CharField()
    formula = serializers.CharField()
    values = ValueOutput(many=True)


class MarkCountOutput(serializers.Serializer[Any]):
    mark = serializers.CharField()
    count = serializers.IntegerField()


class SupportOutput(serializers.Serializer[Any]):
    """A support; its place is in inches from the member's low end."""

    at_in = serializers.FloatField()
    words = serializers.CharField()


class CurveOutput(serializers.Serializer[Any]):
    """Largest and smallest of all load patterns at each place: [inches from the low end, largest, smallest]."""

    name = serializers.CharField()
    unit = serializers.CharField()
    points = serializers.SerializerMethodField()

    def get_points(self, curve: Curve) -> list[list[float]]:
        return [list(point) for point in curve.points]


class SheetOutput(serializers.Serializer[Any]):
    """The calculation sheet of one case; `governing` is the index of the check with the largest ratio."""

    reference = serializers.CharField()
    title = serializers.CharField(source="sheet.check.title")
    passes = serializers.BooleanField()
    profile = serializers.CharField(source="sheet.check.profile")
    plies = serializers.IntegerField(source="sheet.check.plies")
    span_in = serializers.FloatField(source="sheet.check.span_in")
    length_in = serializers.FloatField(source="sheet.length_in")
    members = serializers.ListField(child=serializers.CharField(), source="sheet.check.members")
    marks = MarkCountOutput(many=True)
    supports = serializers.SerializerMethodField()
    loads = ValueOutput(many=True, source="sheet.loads")
    reactions = ValueOutput(many=True, source="sheet.reactions")
    section = ValueOutput(many=True, source="sheet.section")
    curves = CurveOutput(many=True, source="sheet.curves")
    workings = WorkingOutput(many=True, source="sheet.workings")
    checks = SheetCheckOutput(many=True, source="sheet.check.checks")
    governing = serializers.IntegerField(source="sheet.check.governing")
    notes = serializers.ListField(child=serializers.CharField(), source="sheet.check.notes")

    @extend_schema_field(SupportOutput(many=True))
    def get_supports(self, case: Case) -> list[dict[str, Any]]:
        return [{"at_in": at_in, "words": words} for at_in, words in case.sheet.supports]


class CalculationOutput(serializers.Serializer[Any]):
    """All cases of a saved version, or the problems for which it can't be built."""

    floor = serializers.CharField(source="version.floor.public_id")
    version = serializers.IntegerField(source="version.number")
    engine_version = serializers.CharField()
    catalogue_version = serializers.CharField()
    practice = serializers.CharField(source="practice.name")
    practice_version = serializers.IntegerField(source="practice.version")
    method = serializers.CharField(source="practice.method.value")
    problems = ProblemOutput(many=True)
    cases = SheetOutput(many=True)


class CalculationPaperOutput(serializers.Serializer[Any]):
    """How far the paper of a version is; its PDF is at `.../pdf` once it is done."""

    version = serializers.IntegerField()
    state = serializers.ChoiceField(choices=[NOT_ASKED, "waiting", "started", "done", "parked"])


class PdfRenderer(BaseRenderer):
    """Lets a reader ask for application/pdf; the operation answers with ready bytes."""

    media_type, format, charset = "application/pdf", "pdf", None

    def render(self, data: Any, accepted_media_type: Any = None, renderer_context: Any = None) -> Any:
        del accepted_media_type, renderer_context
        return data


class CalculationView(OperationView):
    access = Act("calculation", "read")

    @extend_schema(operation_id="calculation_get", parameters=[VERSION], responses={200: CalculationOutput})
    def get(self, request: Request, public_id: str) -> Response:
        """The calculation sheets of a floor: inputs, loads, curves, workings and checks of each case."""
        return Response(CalculationOutput(current_sheets(_version(request, public_id))).data)


class CalculationPaperView(OperationView):
    access = Act("calculation", "read")

    @extend_schema(
        operation_id="calculation_paper_state", parameters=[VERSION], responses={200: CalculationPaperOutput}
    )
    def get(self, request: Request, public_id: str) -> Response:
        """How far the paper is."""
        return Response(_state(current_basis(_version(request, public_id))))

    @extend_schema(
        operation_id="calculation_paper_ask",
        parameters=[VERSION],
        request=None,
        responses={202: CalculationPaperOutput, 422: REFUSED},
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Ask for the sheets as PDF; equal asks are one paper."""
        version = _version(request, public_id)
        calculation_sheet_ask(actor=self.actor, at=database_now(), version=version)
        return Response(_state(current_basis(version)), status=202)


class CalculationPdfView(OperationView):
    access = Act("calculation", "read")
    renderer_classes = (PdfRenderer,)

    @extend_schema(
        operation_id="calculation_paper",
        parameters=[VERSION],
        responses={(200, "application/pdf"): OpenApiTypes.BINARY},
    )
    def get(self, request: Request, public_id: str) -> HttpResponseBase:
        """The PDF; 404 while it is not made."""
        paper = paper_state(current_basis(_version(request, public_id))).paper
        if paper is None:
            raise NotThere("These calculation sheets are not on paper yet.")
        return paper_response(paper)


def _version(request: Request, public_id: str) -> FloorVersion:
    return version_named(request.query_params.get("version", ""), selectors.floor_get(public_id))


def _state(basis: SheetBasis) -> dict[str, Any]:
    state = paper_state(basis)
    words = "done" if state.paper else state.job.state if state.job else NOT_ASKED
    return CalculationPaperOutput({"version": basis.version.number, "state": words}).data
