"""Hostile text in every field people fill in, then every page and paper: it arrives as text (C10, B18)."""

from __future__ import annotations

import contextlib
import io
import re
import socket
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pypdf
import pytest
from django.conf import settings
from django.test import Client

from framing.common import documents
from framing.common.actors import person
from framing.common.clock import database_now
from framing.common.models import OutboxEntry, Role, StoredPaper, User
from framing.common.outbox import outbox_run
from framing.common.papers import paper_bytes, paper_response, write_bytes
from framing.projects import services as project_services
from orders import services as order_services
from orders.models import Order
from orders.selectors import order_get
from quotes import services as quote_services
from tests.common.demo import addresses
from tests.common.routes import all_routes
from tests.factories import people, projects, quotes

pytestmark = pytest.mark.django_db

MARK = "cnry"
ATTACKS = (
    "<script>cnry()</script>", "<img src=x onerror=cnry()>", "\"><svg onload=cnry()>", "'><b style=x:cnry>",
    "<style>@import url(file:///etc/passwd?cnry);</style>", "<link rel=stylesheet href=http://127.0.0.1:9/cnry>",
    "<img src='file:///etc/hostname#cnry'>", "<object data='ftp://127.0.0.1/cnry'></object>",
    "<svg><image href='http://127.0.0.1:9/cnry'/></svg>", "url(file:///etc/passwd?cnry)", "=1+1+cnry",
    "@SUM(cnry)", "{{ cnry }}{% cnry %}", "</td></tr></table><h1>cnry", "javascript:cnry()", "&lt;b&gt;cnry",
    "<base href=http://127.0.0.1:9/cnry>", "<iframe src=file:///etc/passwd?cnry>", "a\u202ecnry\u202c", "cnry';--",
    "<embed src=../../../etc/passwd?cnry>", "<a attachment rel=attachment href=file:///etc/passwd?cnry>x</a>",
)  # fmt: skip
TWO_LINES = "first line cnry\r\nSet-Cookie: cnry=1"
ROUTES = [route for route in all_routes() if not route.is_admin and not route.name.startswith("account_")]


@dataclass
class Reading(HTMLParser):
    """A page as a browser takes it: what runs, what is fetched, and the text."""

    page: str

    def __post_init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.fired: list[str] = []
        self.said: list[str] = []
        self.is_data = False
        self.feed(self.page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if MARK in tag or any(MARK in name for name, _ in attrs):
            self.fired.append(f"<{tag} {attrs}>")
        self.is_data = tag == "script" and ("type", "application/json") in attrs
        for name, value in attrs:
            self.said.append(value or "")
            active = name.startswith("on") or name in ("style", "href", "src", "action", "data", "formaction")
            if active and value and MARK in value and not value.startswith(("mailto:", "tel:")):
                self.fired.append(f"<{tag} {name}={value}>")

    def handle_data(self, data: str) -> None:
        self.said.append(data)
        # a block of JSON is never run; what could end it early must not stand in it
        runs = self.lasttag in ("script", "style") and (not self.is_data or "<" in data)
        if runs and MARK in data:
            self.fired.append(data)


@pytest.fixture(autouse=True)
def no_network(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[Any]]:
    """Every socket that somebody opens from Python; the database's driver opens its own, in C."""
    asked: list[Any] = []

    def refuse(self: socket.socket, address: Any) -> None:
        asked.append(address)
        raise OSError(f"no network in this test: {address}")

    monkeypatch.setattr(socket.socket, "connect", refuse)
    monkeypatch.setattr(socket.socket, "connect_ex", refuse)
    yield asked
    assert asked == []


@pytest.fixture
def papers(settings: Any, tmp_path: Path) -> Path:
    settings.PAPERS_DIR = tmp_path
    return tmp_path


@pytest.fixture
def files_read(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Files that a paper loaded."""
    found: list[str] = []
    plain = documents._file_response

    def noted(url: str, path: Path) -> Any:
        found.append(str(path.resolve()))
        return plain(url, path)

    monkeypatch.setattr(documents, "_file_response", noted)
    monkeypatch.setattr(
        documents, "_fonts", documents._fonts.__wrapped__
    )  # unpacked anew, so that they are read
    return found


_watched: list[list[str]] = []
sys.addaudithook(
    lambda event, args: [seen.append(str(args[0])) for seen in _watched] if event == "open" else None
)


@pytest.fixture
def opened() -> Iterator[list[str]]:
    """Every file that Python opens meanwhile; a hook cannot be taken away, so it is emptied."""
    seen: list[str] = []
    _watched.append(seen)
    yield seen
    _watched.remove(seen)


def hostile_floor(attack: str) -> dict[str, Any]:
    document = projects.document(name=attack[:80])
    document["openings"] = [
        {"id": "O1", "name": attack[:60], "kind": "stair", "corner": ["4'", "4'"], "size": ["4'", "4'"]}
    ]
    document["load_case"]["layers"][0]["name"] = attack[:60]
    return document


def job(attack: str) -> tuple[str, str]:
    """A quote accepted and a delivery planned, with the text in every field on the way; the links' addresses."""
    people.user(Role.MANAGER)
    quotes.price_book()
    seller = people.user(Role.SELLER, name=attack[:160])
    at, actor = database_now(), person(seller)
    builder = project_services.builder_create(
        actor=actor, at=at, name=attack, contact_name=attack, email="rae@example.test", phone=attack[:40]
    )
    site = project_services.SiteAddress(attack, attack[:80], attack[:40], attack[:16], "near", "OH")
    project = project_services.project_create(actor=actor, at=at, builder=builder, name=attack, site=site)
    project_services.floor_create(actor=actor, at=at, project=project, document=hostile_floor(attack))
    revision = quote_services.quote_create(actor=actor, project=project, at=at)
    revision = quote_services.revision_change(
        actor=actor,
        revision=revision,
        at=at,
        terms="\n".join((TWO_LINES, *ATTACKS)),
        discount_share=revision.discount_share,
        lead_time_days=21,
    )
    revision = quote_services.revision_issue(
        actor=actor, revision=revision, key=quotes.key(), at=at, release_reason=attack
    )
    _, link = quote_services.quote_link_make(actor=actor, revision=revision, for_name=attack, at=at)
    quote_services.quote_accept(
        actor=actor,
        revision=revision,
        name=attack[:120],
        title=attack[:120],
        key=quotes.key(),
        at=at,
        why=attack,
    )
    run_outbox()
    return link, delivered(revision, attack, at)


def delivered(revision: Any, attack: str, at: Any) -> str:
    """Plan the delivery; returns the address of its link."""
    planner, dispatcher = people.actor(Role.PLANNER), people.actor(Role.DISPATCHER)
    order = Order.objects.get(revision=revision)
    order_services.order_hold(actor=planner, at=at, order=order, why=attack)
    order_services.order_resume(actor=planner, at=at, order=order_get(order.public_id), why=attack)
    order_services.drawings_approve(actor=planner, at=at, order=order_get(order.public_id))
    order_services.order_release(actor=planner, at=at, order=order_get(order.public_id))
    delivery = order_services.delivery_make(
        actor=dispatcher,
        at=at,
        order=order_get(order.public_id),
        planned_for=at.date(),
        contact=attack,
        notes=attack,
    )
    shop = people.actor(Role.SHOP)
    order_services.order_roll(actor=shop, at=at, order=order_get(order.public_id))
    order_services.order_bundle(actor=shop, at=at, order=order_get(order.public_id))
    order_services.delivery_load(actor=dispatcher, at=at, delivery=delivery)
    _, link = order_services.delivery_link_make(actor=dispatcher, delivery=delivery, for_name=attack, at=at)
    run_outbox()
    return link


def run_outbox() -> None:
    for entry in OutboxEntry.objects.filter(done_at=None).order_by("id"):
        outbox_run(entry.pk)
        entry.refresh_from_db()
        assert entry.done_at, entry.error


def words(data: bytes) -> str:
    pages = pypdf.PdfReader(io.BytesIO(data)).pages
    return "".join("".join(page.extract_text() for page in pages).split())


def pages_of(role: str) -> Iterator[tuple[str, Any]]:
    client = Client()
    client.force_login(User.objects.filter(role=role).order_by("id")[0])
    for route in ROUTES:
        for address in addresses(route)[:1]:
            yield address, client.get(address)


SECOND = " ".join(ATTACKS[9:15])[:120]
FIRST = " ".join(ATTACKS[:5])[:120]


def test_hostile_text_arrives_as_text_on_every_page(papers: Path) -> None:
    links = job(FIRST)
    seen = 0
    for address, answer in pages_of(Role.MANAGER):
        assert answer.status_code < 500, address
        if answer["Content-Type"].startswith("text/html"):
            page = Reading(answer.content.decode())
            assert page.fired == [], address
            seen += MARK in "".join(page.said)
        assert MARK not in str(answer.headers.items()), address
    assert seen >= 12
    for link in links:
        builders_page(link)


def builders_page(link: str) -> None:
    """What the builder sees by a link, and the second look before he accepts."""
    client = Client()
    base = client.get("/l/" + link.rstrip("/").rsplit("/", 1)[1] + "/")["Location"]
    answers = [client.get(base)]
    if base.startswith("/quotes/"):
        answers.append(client.post(base + "accept/", {"name": FIRST, "title": FIRST, "idempotency_key": "k"}))
    for answer in answers:
        page = Reading(answer.content.decode())
        assert page.fired == []
        assert plain(FIRST) in plain("".join(page.said))


def test_hostile_text_arrives_as_text_on_papers(papers: Path, files_read: list[str]) -> None:
    job(SECOND)
    kinds = {paper.kind: words(paper_bytes(paper)) for paper in StoredPaper.objects.all()}
    assert set(kinds) == {"quote", "manifest", "bundle_tags"}
    assert plain(SECOND[:60]) in kinds["quote"]
    assert plain(SECOND[:60]) in kinds["manifest"]
    lost = [one for one in ATTACKS if plain(one) not in kinds["quote"] and "\u202e" not in one]
    assert lost == [], "the terms hold them all"
    assert files_read
    home = str((settings.BASE_DIR / "framing/common/static").resolve())
    assert [path for path in files_read if not path.startswith(home)] == []


def plain(text: str) -> str:
    return "".join(text.split())


NAMES = ('a"; filename="b.html', "a\r\nSet-Cookie: x=1.pdf", "../../etc/passwd", "é\u202efdp.exe", "\x00")


@pytest.mark.parametrize("name", NAMES)
def test_a_papers_name_cannot_leave_its_header(name: str, papers: Path) -> None:
    paper = StoredPaper(file_name=name, sha256=write_bytes(b"%PDF-1.7 one"))
    header = paper_response(paper)["Content-Disposition"]
    assert re.fullmatch(r'attachment; filename="[A-Za-z0-9_][A-Za-z0-9._-]*"', header)


SVG = "data:image/svg+xml,<svg xmlns='http://www.w3.org/2000/svg'><image href='file:///etc/hostname'/></svg>"
ADDRESSES = (
    "http://127.0.0.1:9/x", "https://127.0.0.1:9/x", "ftp://127.0.0.1/x", "//127.0.0.1:9/x", "file:///etc/hostname",
    "FILE:///etc/hostname", "/etc/hostname", "../../../../../../../../etc/hostname", "static:../../../pyproject.toml",
    "static:framing/../../../../pyproject.toml", "static:framing/%2e%2e/%2e%2e/pyproject.toml", SVG,
)  # fmt: skip
WAYS = (
    '<img src="{}">', "<p style=\"background:url('{}')\">x</p>", '<link rel="stylesheet" href="{}">',
    "<style>@import url('{}');</style>", '<a rel="attachment" href="{}">x</a>', '<object data="{}"></object>',
)  # fmt: skip


@pytest.mark.parametrize(
    ("way", "address"),
    [
        (WAYS[(number + turn) % len(WAYS)], address)
        for turn in (0, 3)
        for number, address in enumerate(ADDRESSES)
    ],
)
def test_even_markup_of_ours_cannot_load_what_is_not_ours(
    way: str, address: str, tmp_path: Path, settings: Any, opened: list[str]
) -> None:
    """The second line: were a text ever to become markup, the paper still loads nothing."""
    page = f"<html><head></head><body>x{way.format(address)}</body></html>"
    (tmp_path / "hostile.html").write_text(page)
    settings.TEMPLATES = [settings.TEMPLATES[0] | {"DIRS": [tmp_path]}]
    with contextlib.suppress(documents.AddressRefused):
        documents.render_paper("hostile.html", {}, issued_at=projects.AT)
    assert [path for path in opened if path.endswith(("hostname", "passwd", "pyproject.toml"))] == []


def test_the_watch_over_files_sees_them(opened: list[str]) -> None:
    Path("/etc/hostname").read_bytes()
    assert "/etc/hostname" in opened
