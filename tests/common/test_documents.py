"""A paper loads nothing from outside (B18), and equal input gives equal bytes."""

import socket
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.template import engines
from django.template.backends.django import Template
from pypdf import PdfReader

from framing.common import documents
from framing.common.documents import AddressRefused, OwnFilesFetcher, render_paper

AT = datetime(2026, 3, 1, 12, tzinfo=UTC)
OUTSIDE = [
    "http://127.0.0.1:9/x.png",
    "https://127.0.0.1:9/x.png",
    "ftp://127.0.0.1/x.png",
    "file:///etc/hostname",
    "static:framing/../../../manage.py",
    "static:framing/%2e%2e/x",
    "static:framing/..\\x",
    "static:admin/css/base.css",
    "static:framing/no-such-file.css",
    "gopher://x/",
]


@pytest.fixture(autouse=True)
def no_sockets(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*args: Any, **kwargs: Any) -> None:
        raise AssertionError("a paper opened a socket")

    monkeypatch.setattr(socket.socket, "connect", refuse)
    monkeypatch.setattr(socket, "create_connection", refuse)


@pytest.fixture
def paper(monkeypatch: pytest.MonkeyPatch) -> Any:
    """Render a page given as text, through the real path."""

    def render(body: str, **context: Any) -> documents.RenderedPaper:
        text = f"<!doctype html><html lang=en><head><title>Paper</title></head><body>{body}</body></html>"
        template = engines["django"].from_string(text)
        assert isinstance(template, Template)
        monkeypatch.setattr(documents, "render_to_string", lambda _name, values: template.render(values))
        return render_paper("any.html", context, issued_at=AT)

    return render


@pytest.mark.parametrize("url", OUTSIDE)
def test_the_fetcher_refuses_everything_that_is_not_ours(url: str) -> None:
    with pytest.raises(AddressRefused):
        OwnFilesFetcher().fetch(url)


@pytest.mark.parametrize("url", OUTSIDE)
@pytest.mark.parametrize(
    "markup",
    [
        '<img src="{}">',
        '<link rel="stylesheet" href="{}">',
        '<style>@import url("{}");</style>',
        '<p style="background: url({})">x</p>',
        '<svg xmlns="http://www.w3.org/2000/svg"><image href="{}" width="9" height="9"/></svg>',
    ],
)
def test_a_page_that_asks_for_outside_files_is_not_rendered(paper: Any, markup: str, url: str) -> None:
    with pytest.raises(AddressRefused):
        paper(markup.format(url))


def test_a_user_text_with_markup_is_text(paper: Any) -> None:
    done = paper("{{ name }}", name='<img src="file:///etc/hostname">')
    assert done.pages == 1


def test_our_own_files_and_data_addresses_load() -> None:
    fetcher = OwnFilesFetcher()
    folder = Path(documents.__file__).parent / "static" / "framing"
    name = next(path for path in sorted(folder.rglob("*")) if path.suffix == ".css")
    ours = fetcher.fetch(f"static:framing/{name.relative_to(folder).as_posix()}")
    assert ours.read() == name.read_bytes()
    assert fetcher.fetch("data:text/plain,hello").read() == b"hello"


def test_equal_input_gives_equal_bytes_and_a_tagged_file(paper: Any) -> None:
    first, second = paper("<h1>Quote</h1><p>One</p>"), paper("<h1>Quote</h1><p>One</p>")
    assert first.data == second.data
    root = PdfReader(BytesIO(first.data)).trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert "/StructTreeRoot" in root
    assert first.data != paper("<h1>Quote</h1><p>Two</p>").data
