"""HTML to PDF; the only module that imports the PDF library.

A paper may load `data:` addresses and the project's own static files (`static:framing/...`), nothing else: no
network, no file outside the static folders, no redirect.
"""

from __future__ import annotations

import gc
import mimetypes
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from email.message import EmailMessage
from functools import lru_cache
from pathlib import Path
from typing import Any

import weasyprint
from django.contrib.staticfiles import finders
from django.template.loader import render_to_string
from weasyprint.pdf import pydyf
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

from framing.common.sections import LaidOut, Section
from framing.common.tag_tree import Taken, take_apart

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
    wide, data = _written(html.replace("</head>", f"{dates}</head>", 1), pdf_tags=True)
    return RenderedPaper(data, len(wide))


def render_section(section: Section) -> LaidOut:
    """Lay out one section of a bound paper; equal sections give equal bytes.

    The context may hold `overlays`: an SVG a page, to be drawn over it at the binding.
    Raises AddressRefused as `render_paper` does.
    """
    context = dict(section.context())
    taken: list[Taken] = []
    wide, data = _written(
        render_to_string(section.template, context),
        finisher=lambda document, pdf: taken.append(take_apart(document, pdf, pydyf.String)),
        pdf_tags=True,
        pdf_version="1.4",  # plain tables of objects: the tags' objects, taken out, leave no gap in a packed one
    )
    overlays = tuple(context.get("overlays", ()))
    return LaidOut(
        data=data,
        wide=wide,
        overlays=overlays + ("",) * (len(wide) - len(overlays)),
        tags=taken[0].tags,
        bookmarks=taken[0].bookmarks,
        places=taken[0].places,
    )


def render_overlay(template: str, context: Mapping[str, Any]) -> bytes:
    """A PDF whose pages are drawn over those of a bound paper: heads, feet and numbers, without tags."""
    _, data = _written(render_to_string(template, dict(context)), pdf_version="1.4")
    return data


@contextmanager
def _uncollected() -> Iterator[None]:
    """Python looks for garbage once, afterwards, and only among what the paper made: its boxes all stay until then."""
    enabled = gc.isenabled()
    gc.disable()
    gc.freeze()
    try:
        yield
    finally:
        if enabled:
            gc.collect()
            gc.enable()
        gc.unfreeze()


@lru_cache(maxsize=1)
def _fonts() -> FontConfiguration:
    """The fonts of all papers of this process; unpacking them takes longer than a short paper."""
    return FontConfiguration()


def _written(html: str, **options: Any) -> tuple[tuple[bool, ...], bytes]:
    """For each page whether it lies on its side, and the PDF."""
    with _uncollected():
        return _drawn(html, options)


def _drawn(html: str, options: Mapping[str, Any]) -> tuple[tuple[bool, ...], bytes]:
    fetcher = OwnFilesFetcher()
    page = weasyprint.HTML(string=html, base_url=STATIC + "framing/", url_fetcher=fetcher)
    document = page.render(font_config=_fonts(), optimize_images=True)
    data = document.write_pdf(pdf_identifier=b"spanyard", **options)
    if fetcher.refused:  # the library swallows refusals inside pictures; a paper with a hole is no paper
        raise AddressRefused(f"A paper may not load {fetcher.refused[0]}")
    return tuple(page.width > page.height for page in document.pages), data
