"""Operations that hand out a floor's take-off as CSV and workbook, and its plan as DXF."""

from __future__ import annotations

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request

from framing.api.renderers import CsvRenderer, DxfRenderer, XlsxRenderer
from framing.api.versions import REFUSED, VERSION, asked_version
from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.projects.takeoff_downloads import (
    USUAL_TABLE,
    csv_download,
    download_response,
    dxf_download,
    xlsx_download,
)
from framing.projects.takeoff_files import DXF_TYPE, XLSX_TYPE
from framing.projects.takeoff_tables import TABLES

TABLE = OpenApiParameter(
    "table", str, enum=list(TABLES), default=USUAL_TABLE, description="Which table of the take-off."
)


class TakeoffCsvView(OperationView):
    access = Act("floor", "read")
    renderer_classes = (CsvRenderer,)

    @extend_schema(
        operation_id="takeoff_csv",
        parameters=[VERSION, TABLE],
        responses={(200, "text/csv"): OpenApiTypes.STR, 422: REFUSED},
    )
    def get(self, request: Request, public_id: str) -> HttpResponse:
        """One table of the take-off as CSV in UTF-8 with its mark; lengths in inches are exact."""
        table = request.query_params.get("table", "")
        return download_response(csv_download(asked_version(request, public_id), table))


class TakeoffXlsxView(OperationView):
    access = Act("floor", "read")
    renderer_classes = (XlsxRenderer,)

    @extend_schema(
        operation_id="takeoff_xlsx",
        parameters=[VERSION],
        responses={(200, XLSX_TYPE): OpenApiTypes.BINARY, 422: REFUSED},
    )
    def get(self, request: Request, public_id: str) -> HttpResponse:
        """Bill of materials, joist schedule and cut list as a workbook of three sheets."""
        return download_response(xlsx_download(asked_version(request, public_id)))


class PlanDxfView(OperationView):
    access = Act("floor", "read")
    renderer_classes = (DxfRenderer,)

    @extend_schema(
        operation_id="plan_dxf",
        parameters=[VERSION],
        responses={(200, DXF_TYPE): OpenApiTypes.BINARY, 422: REFUSED},
    )
    def get(self, request: Request, public_id: str) -> HttpResponse:
        """The framing plan as DXF in inches, one layer a kind of thing."""
        return download_response(dxf_download(asked_version(request, public_id)))
