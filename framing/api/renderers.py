"""Renderers of operations that answer with ready bytes: they let a reader ask for the type."""

from __future__ import annotations

from typing import Any

from rest_framework.renderers import BaseRenderer

from framing.projects.takeoff_files import DXF_TYPE, XLSX_TYPE


class ReadyRenderer(BaseRenderer):
    """What the operation made goes out as it is."""

    charset = None

    def render(self, data: Any, accepted_media_type: Any = None, renderer_context: Any = None) -> Any:
        del accepted_media_type, renderer_context
        return data


class CsvRenderer(ReadyRenderer):
    media_type, format = "text/csv", "csv"


class PdfRenderer(ReadyRenderer):
    media_type, format = "application/pdf", "pdf"


class XlsxRenderer(ReadyRenderer):
    media_type, format = XLSX_TYPE, "xlsx"


class DxfRenderer(ReadyRenderer):
    media_type, format = DXF_TYPE, "dxf"


class PngRenderer(ReadyRenderer):
    media_type, format = "image/png", "png"
