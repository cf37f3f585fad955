"""Operations of calculation sheets: all cases of a floor's version as JSON, and their paper."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema, extend_schema_field, extend_schema_view
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
from framing.engine.result import Curve
from framing.projects.sheet_cases import Case
from framing.projects.sheets import current_sheets
from framing.projects.version_services import calculation_sheet_ask
from framing.projects.versions import CALCULATION_PAPER


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
    warnings = serializers.ListField(child=serializers.CharField(), source="sheet.check.warnings")

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


class CalculationView(OperationView):
    access = Act("calculation", "read")

    @extend_schema(operation_id="calculation_get", parameters=[VERSION], responses={200: CalculationOutput})
    def get(self, request: Request, public_id: str) -> Response:
        """The calculation sheets of a floor: inputs, loads, curves, workings and checks of each case."""
        return Response(CalculationOutput(current_sheets(asked_version(request, public_id))).data)


@extend_schema_view(get=state_schema("calculation_paper_state"))
class CalculationPaperView(VersionPaperView):
    paper = CALCULATION_PAPER

    @ask_schema("calculation_paper_ask")
    def post(self, request: Request, public_id: str) -> Response:
        """Ask for the sheets as PDF; equal asks are one paper."""
        version = asked_version(request, public_id)
        calculation_sheet_ask(actor=self.actor, at=database_now(), version=version)
        return Response(self.answer(version), status=202)


@extend_schema_view(get=pdf_schema("calculation_paper"))
class CalculationPdfView(VersionPdfView):
    paper = CALCULATION_PAPER
    missing = "These calculation sheets are not on paper yet."
