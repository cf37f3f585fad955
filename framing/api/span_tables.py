"""Operations of span tables: the table as JSON and CSV, and its paper. The form of the page judges what is asked."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse, HttpResponseBase
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from framing.api.renderers import CsvRenderer, PdfRenderer
from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from framing.common.errors import NotThere, Refused
from framing.common.papers import paper_get, paper_response
from framing.engine.errors import LoadRefused
from framing.engine.method import Method
from framing.projects import selectors
from framing.projects.models import SpanTableAsk, UnitSystem
from framing.projects.span_asks import SpanAsk
from framing.projects.span_forms import DEAD_FROM, SPANS, SpanTableForm, filled
from framing.projects.span_services import ask_get, span_job, span_table_ask
from framing.projects.span_tables import PAPER_KIND, SpanSheet, file_name, sheet_csv, span_sheet

REFUSED = OpenApiResponse(description="Not possible as asked; `errors` lists the fields.")


class SpanTableInput(serializers.Serializer[Any]):
    """What a table is asked for; what is left out is usual."""

    use = serializers.CharField(
        required=False, max_length=40, help_text="Row of the table of occupancies, such as living_rooms."
    )
    live_psf = serializers.FloatField(required=False, help_text="Instead of the occupancy's live load.")
    partition_psf = serializers.FloatField(required=False)
    dead_from = serializers.ChoiceField(choices=DEAD_FROM, required=False)
    dead_psf = serializers.FloatField(required=False)
    layers = serializers.ListField(child=serializers.CharField(max_length=40), required=False, max_length=40)
    live_limit = serializers.IntegerField(required=False, help_text="480 for L/480.")
    total_limit = serializers.IntegerField(required=False)
    spans = serializers.ChoiceField(choices=SPANS, required=False)
    spacings = serializers.ListField(
        child=serializers.CharField(max_length=10),
        required=False,
        max_length=8,
        help_text="12, 16, 19.2, 24.",
    )
    depths = serializers.ListField(child=serializers.CharField(max_length=10), required=False, max_length=40)
    method = serializers.ChoiceField(choices=[method.value for method in Method], required=False)
    point_load = serializers.BooleanField(required=False, help_text="Hold the deflection under 1 kN too.")
    units = serializers.ChoiceField(choices=UnitSystem.choices, required=False)


class SpanCellOutput(serializers.Serializer[Any]):
    """`span_in` is whole inches, 0 where there is no span; `span` is written in the asked units."""

    spacing = serializers.CharField()
    span_in = serializers.FloatField()
    span = serializers.CharField(source="text")
    governs = serializers.CharField(source="governs.words", allow_null=True)


class SpanRowOutput(serializers.Serializer[Any]):
    profile = serializers.CharField(source="profile.designator")
    depth_in = serializers.FloatField(source="profile.depth_in")
    yield_ksi = serializers.IntegerField(source="profile.yield_ksi")
    weight_plf = serializers.FloatField(source="profile.weight_plf")
    cells = SpanCellOutput(many=True)


class SpanTableOutput(serializers.Serializer[Any]):
    """Allowable clear spans of the catalogue, and what they rest on."""

    reference = serializers.CharField()
    at = serializers.DateTimeField()
    asked = serializers.DictField()
    engine_version = serializers.CharField(source="basis.engine_version")
    catalogue_version = serializers.CharField(source="basis.catalogue_version")
    practice = serializers.CharField(source="basis.practice.name")
    practice_version = serializers.IntegerField(source="basis.practice.version")
    notes = serializers.ListField(child=serializers.CharField())
    cautions = serializers.ListField(child=serializers.CharField())
    rows = SpanRowOutput(many=True)


class SpanPaperOutput(serializers.Serializer[Any]):
    """A table asked for on paper and how far its making is; its PDF is at `.../pdf` once it is done."""

    id = serializers.CharField()
    reference = serializers.CharField()
    state = serializers.ChoiceField(choices=["waiting", "started", "done", "parked"])


def _ask(given: Any) -> SpanAsk:
    """What was asked, by the types above and then by the page's form. Raises ValidationError or Refused."""
    typed = SpanTableInput(data=given)
    typed.is_valid(raise_exception=True)
    values = {
        name: [str(item) for item in value] if isinstance(value, list) else [_text(value)]
        for name, value in typed.validated_data.items()
    }
    form = SpanTableForm(filled(values, selectors.practice_in_force()))
    if not form.is_valid():
        field = next(iter(form.errors))
        raise Refused(form.error_words, field=field, detail=dict(form.errors))
    return form.ask


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return f"{value:.10g}" if isinstance(value, float) else str(value)


def _sheet(given: Any) -> SpanSheet:
    try:
        return span_sheet(_ask(given), selectors.practice_in_force(), database_now())
    except LoadRefused as error:
        raise Refused(error.message) from error


class SpanTableView(OperationView):
    access = Act("catalogue", "read")

    @extend_schema(
        operation_id="span_table_get",
        parameters=[SpanTableInput],
        responses={200: SpanTableOutput, 422: REFUSED},
    )
    def get(self, request: Request) -> Response:
        """Clear spans of the catalogue's profiles under given loads, limits and spacings."""
        sheet = _sheet(request.query_params)
        return Response(SpanTableOutput(sheet).data)


class SpanCsvView(OperationView):
    access = Act("catalogue", "read")
    renderer_classes = (CsvRenderer,)

    @extend_schema(
        operation_id="span_table_csv",
        parameters=[SpanTableInput],
        responses={(200, "text/csv"): OpenApiTypes.STR, 422: REFUSED},
    )
    def get(self, request: Request) -> HttpResponse:
        """The same as CSV, a line for each profile and spacing."""
        sheet = _sheet(request.query_params)
        response = HttpResponse(sheet_csv(sheet), content_type="text/csv; charset=utf-8")
        response["Content-Disposition"] = f'attachment; filename="{file_name(sheet, "csv")}"'
        return response


class SpanPaperAskView(OperationView):
    access = Act("catalogue", "read")

    @extend_schema(
        operation_id="span_table_paper_ask",
        request=SpanTableInput,
        responses={202: SpanPaperOutput, 422: REFUSED},
    )
    def post(self, request: Request) -> Response:
        """Ask for a table as PDF; equal asks are one ask with one paper."""
        try:
            row = span_table_ask(actor=self.actor, at=database_now(), ask=_ask(request.data))
        except LoadRefused as error:
            raise Refused(error.message) from error
        return Response(_paper_state(row), status=202)


class SpanPaperStateView(OperationView):
    access = Act("catalogue", "read")

    @extend_schema(operation_id="span_table_paper_state", responses={200: SpanPaperOutput})
    def get(self, _request: Request, public_id: str) -> Response:
        """How far the making of an asked paper is."""
        return Response(_paper_state(ask_get(public_id)))


class SpanPaperView(OperationView):
    access = Act("catalogue", "read")
    renderer_classes = (PdfRenderer,)

    @extend_schema(operation_id="span_table_paper", responses={(200, "application/pdf"): OpenApiTypes.BINARY})
    def get(self, _request: Request, public_id: str) -> HttpResponseBase:
        """The PDF of an ask; 404 while it is not made."""
        paper = paper_get(PAPER_KIND, ask_get(public_id))
        if paper is None:
            raise NotThere("This table is not on paper yet.")
        return paper_response(paper)


def _paper_state(row: SpanTableAsk) -> dict[str, Any]:
    job = span_job(row)
    state = "done" if job is None else job.state
    return SpanPaperOutput({"id": row.public_id, "reference": row.reference, "state": state}).data
