"""HTML to PDF; the only module that imports the PDF library.

A paper may load `data:` addresses and the project's own static files (`static:framing/...`), nothing else: no
network, no file outside the static folders, no redirect.
"""

from __future__ import annotations

import mimetypes
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from email.message import EmailMessage
from pathlib import Path
from typing import Any

import weasyprint
from django.contrib.staticfiles import finders
from django.template.loader import render_to_string
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

STATIC = "static:"


class AddressRefused(FatalURLFetchingError):  # type: ignore[misc]  # the library ships no types
    """A paper asked for an address it may not load; the render stops."""


class OwnFilesFetcher(URLFetcher):  # type: ignore[misc]  # the library ships no types
    """Serves `data:` and `static:` addresses only."""

    def __init__(self) -> None:
        super().__init__(allowed_protocols=("data",), allow_redirects=False, fail_on_errors=True)
        self.refused: list[str] = []

    def fetch(self, url: str, headers: Mapping[str, str] | None = None) -> URLFetcherResponse:
        if url.startswith("data:"):
            return super().fetch(url, headers)
        path = _static_path(url)
        if path is None:
            self.refused.append(url[:200])
            raise AddressRefused(f"A paper may not load {url[:200]}")
        return _file_response(url, path)


def _static_path(url: str) -> Path | None:
    name = url.removeprefix(STATIC)
    if name == url or not name.startswith("framing/"):
        return None
    if ".." in Path(name).parts or "\\" in name or "%" in name:
        return None
    found = finders.find(name)
    return Path(found) if isinstance(found, str) and Path(found).is_file() else None


def _file_response(url: str, path: Path) -> URLFetcherResponse:
    headers = EmailMessage()
    headers["Content-Type"] = mimetypes.guess_type(path.name)[0] or "application/octet-stream"
    return URLFetcherResponse(url, path.read_bytes(), headers)


@dataclass(frozen=True, slots=True)
class RenderedPaper:
    """A PDF and how many pages it has."""

    data: bytes
    pages: int


def render_paper(template: str, context: Mapping[str, Any], *, issued_at: datetime) -> RenderedPaper:
    """Render a template of `templates/pdf/` to a tagged PDF; equal input gives equal bytes.

    Raises AddressRefused where the page asks for anything outside the project's own files.
    """
    html = render_to_string(template, dict(context))
    stamp = issued_at.strftime("%Y-%m-%dT%H:%M:%SZ")
    dates = "".join(f'<meta name="dcterms.{name}" content="{stamp}">' for name in ("created", "modified"))
    page_text = html.replace("</head>", f"{dates}</head>", 1)
    fetcher = OwnFilesFetcher()
    page = weasyprint.HTML(string=page_text, base_url=STATIC + "framing/", url_fetcher=fetcher)
    document = page.render(font_config=FontConfiguration(), optimize_images=True)
    data = document.write_pdf(pdf_tags=True, pdf_identifier=b"spanyard")
    if fetcher.refused:  # the library swallows refusals inside pictures; a paper with a hole is no paper
        raise AddressRefused(f"A paper may not load {fetcher.refused[0]}")
    return RenderedPaper(data, len(document.pages))
