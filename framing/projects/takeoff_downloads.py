"""What pages and API hand out of a saved version's take-off: bytes, their type and their name."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from django.http import HttpResponse

from framing.common.errors import NotThere, Refused
from framing.engine.errors import EngineError
from framing.engine.result import FloorResult
from framing.projects.design import problems_of
from framing.projects.models import FloorVersion
from framing.projects.takeoff_files import (
    CSV_TYPE,
    DXF_TYPE,
    XLSX_TYPE,
    TakeoffSubject,
    csv_bytes,
    plan_bytes,
    workbook_bytes,
)
from framing.projects.takeoff_tables import TABLES, takeoff_tables
from framing.projects.versions import VersionBasis, current_basis, floor_file_name

USUAL_TABLE: Final = "materials"


@dataclass(frozen=True, slots=True)
class Download:
    name: str
    content_type: str
    data: bytes


def csv_download(version: FloorVersion, table: str) -> Download:
    """One table as CSV, the materials for an empty name. Raises NotThere, and Refused as `_designed`."""
    code = table or USUAL_TABLE
    if code not in TABLES:
        raise NotThere(f"The take-off has the tables {', '.join(TABLES)}.")
    basis = current_basis(version)
    found = next(t for t in takeoff_tables(_designed(basis), basis.practice) if t.code == code)
    return Download(floor_file_name(version, f"{code}.csv"), CSV_TYPE, csv_bytes(found))


def xlsx_download(version: FloorVersion) -> Download:
    """All tables as a workbook. Raises Refused as `_designed`."""
    basis = current_basis(version)
    subject = _subject(basis)
    tables = takeoff_tables(_designed(basis), basis.practice)
    return Download(floor_file_name(version, "takeoff.xlsx"), XLSX_TYPE, workbook_bytes(tables, subject))


def dxf_download(version: FloorVersion) -> Download:
    """The plan as DXF. Raises Refused as `_designed`."""
    basis = current_basis(version)
    subject = _subject(basis)
    return Download(floor_file_name(version, "plan.dxf"), DXF_TYPE, plan_bytes(_designed(basis), subject))


def download_response(download: Download) -> HttpResponse:
    response = HttpResponse(download.data, content_type=download.content_type)
    response["Content-Disposition"] = f'attachment; filename="{download.name}"'
    return response


def _designed(basis: VersionBasis) -> FloorResult:
    """The version by the practice set in force. Raises Refused, with the reasons, where it can't be built."""
    try:
        return basis.design()
    except EngineError as error:
        detail = [{"place": p.place, "message": p.message} for p in problems_of(error)]
        words = f"This floor can't be built, so it has no take-off. {error.message}"
        raise Refused(words, detail=detail) from error


def _subject(basis: VersionBasis) -> TakeoffSubject:
    version = basis.version
    return TakeoffSubject(
        floor=version.floor.name,
        version=version.number,
        project=version.floor.project.name,
        basis=(
            f"Engine {basis.engine_version}, catalogue {basis.catalogue_version}, "
            f"practice set {basis.practice_words}"
        ),
        made_at=version.saved_at,
    )
