"""Bodies that are a file: read whole, up to the limit of a price book's file."""

from __future__ import annotations

from collections.abc import Mapping
from typing import IO, Any

from rest_framework.parsers import BaseParser

from framing.common.errors import TooBig
from quotes.price_files import FILE_MOST, XLSX_TYPE


class _FileParser(BaseParser):
    """The body's bytes. Raises TooBig over the limit."""

    def parse(
        self,
        stream: IO[bytes],
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> Any:
        del media_type, parser_context
        body = stream.read(FILE_MOST + 1)
        if len(body) > FILE_MOST:
            raise TooBig(f"The file is over {FILE_MOST:,} bytes. Nothing was changed.")
        return body


class XlsxParser(_FileParser):
    media_type = XLSX_TYPE


class CsvParser(_FileParser):
    media_type = "text/csv"
