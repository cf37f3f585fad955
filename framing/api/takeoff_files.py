"""Operations that hand out a floor's take-off as CSV and workbook, and its plan as DXF."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.renderers import BaseRenderer
from rest_framework.request import Request

from framing.api.calculations import REFUSED, VERSION
from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.projects import selectors
from framing.projects.models import FloorVersion
from framing.projects.sheets import version_named
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


class _ReadyBytes(BaseRenderer):
    """Lets a reader ask for the type; the operation answers with ready bytes."""

    charset = None

    def render(self, data: Any, accepted_media_type: Any = None, renderer_context: Any = None) -> Any:
        del accepted_media_type, renderer_context
        return data


class CsvRenderer(_ReadyBytes):
    media_type, format = "text/csv", "csv"


class XlsxRenderer(_ReadyBytes):
    media_type, format = XLSX_TYPE, "xlsx"


class DxfRenderer(_ReadyBytes):
    media_type, format = DXF_TYPE, "dxf"


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
        return download_response(csv_download(_version(request, public_id), table))


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
        return download_response(xlsx_download(_version(request, public_id)))


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
        return download_response(dxf_download(_version(request, public_id)))


def _version(request: Request, public_id: str) -> FloorVersion:
    return version_named(request.query_params.get("version", ""), selectors.floor_get(public_id))
