"""Downloads of a floor's saved version: take-off as CSV and workbook, plan as DXF."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from framing.common.access import grants
from framing.projects.takeoff_downloads import csv_download, download_response, dxf_download, xlsx_download
from framing.projects.version_pages import asked_version


@grants("floor", "read")
@require_GET
def takeoff_csv(request: HttpRequest, public_id: str) -> HttpResponse:
    """One table of `?table=` materials, schedule or cuts; materials without it."""
    return download_response(csv_download(asked_version(request, public_id), request.GET.get("table", "")))


@grants("floor", "read")
@require_GET
def takeoff_xlsx(request: HttpRequest, public_id: str) -> HttpResponse:
    """All three tables as a workbook."""
    return download_response(xlsx_download(asked_version(request, public_id)))


@grants("floor", "read")
@require_GET
def plan_dxf(request: HttpRequest, public_id: str) -> HttpResponse:
    """The framing plan as a DXF drawing."""
    return download_response(dxf_download(asked_version(request, public_id)))
