"""What every answer tells a browser, and what no page holds (C9)."""

import hashlib
import os
import re
import subprocess
import sys
from base64 import b64encode
from collections.abc import Iterator
from html.parser import HTMLParser

import pytest
from django.conf import settings
from django.test import Client

from framing.common.actors import person
from framing.common.clock import database_now
from framing.common.models import Role, User
from orders.models import Delivery
from orders.services import delivery_link_make
from quotes.models import QuoteRevision
from quotes.services import quote_link_make
from tests.common.demo import addresses
from tests.common.routes import all_routes

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo")]
ROUTES = [route for route in all_routes() if not route.is_admin]
UNSAFE = ("post", "put", "patch", "delete")
POLICY = {
    f"{name} {' '.join(values)}" for name, values in settings.CONTENT_SECURITY_POLICY["DIRECTIVES"].items()
}
HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
}

CAMERA = {"Permissions-Policy": "camera=(self), microphone=(), geolocation=()"}
# the shop scans with the tablet's camera on its list and on a bundle's sheet, the builder on his delivery's page; no
# other page may ask for it
CAMERA_PAGES = re.compile(r"(shop|planner) /orders/floor/([0-9a-f]{20}/)?|/orders/your/[0-9a-f]{20}/")
DATA = "application/json"

MAIL_FRAME = {"class", "sandbox", "srcdoc", "title"}
MAIL_PAGES = ("/send/",)


class Page(HTMLParser):
    """Notes whatever the policy would forbid: inline script, style, handlers, addresses that are script.

    `mails` are letters shown in a frame without rights and without an address.
    """

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[str] = []
        self.mails: list[str] = []
        self.tags = 0
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags += 1
        given = dict(attrs)
        if tag == "iframe" and given.keys() == MAIL_FRAME and not given["sandbox"]:
            self.mails.append(given["srcdoc"] or "")
            return
        if tag in ("style", "base", "iframe", "object", "embed") or (
            tag == "script" and not given.get("src") and given.get("type") != DATA
        ):
            self.found.append(f"<{tag}>")
        for name, value in attrs:
            text = (value or "").strip().lower()
            if name == "style" or name.startswith(("on", "hx-on")):
                self.found.append(f"{tag} {name}={value}")
            if name in ("href", "src", "action", "formaction", "xlink:href") and (
                text.startswith(("javascript:", "data:text", "http:", "https:", "//")) and tag != "a"
            ):
                self.found.append(f"{tag} {name}={value}")


def signed_in(role: str) -> Client:
    client = Client(raise_request_exception=False)
    client.force_login(User.objects.filter(role=role).order_by("id")[0])
    return client


def builders_pages() -> Iterator[tuple[Client, str]]:
    """Both builders' pages, each with a browser that came by its link."""
    manager = person(User.objects.get(role=Role.MANAGER))
    dispatcher = person(User.objects.get(role=Role.DISPATCHER))
    at = database_now()
    revision = QuoteRevision.objects.filter(quote__stage="issued", issued_at__isnull=False).latest("id")
    delivery = Delivery.objects.filter(delivered_at=None).order_by("id")[0]
    made = [
        quote_link_make(actor=manager, revision=revision, for_name="Rae", at=at),
        delivery_link_make(actor=dispatcher, delivery=delivery, for_name="Rae", at=at),
    ]
    for _, address in made:
        client = Client()
        opened = client.get("/l/" + address.rstrip("/").rsplit("/", 1)[1] + "/")
        yield client, opened["Location"]


def walk() -> Iterator[tuple[str, object]]:
    """The answers of every page: as the manager, lists of the shop, as a stranger, by link, refused."""
    for role in (Role.MANAGER, Role.SHOP):
        client = signed_in(role)
        for route in ROUTES:
            whole = addresses(route)[-1:] if role == Role.MANAGER else [route.path]
            for address in whole:
                yield f"{role} {address}", client.get(address)
        yield "refused", client.post("/projects/new/", CONTENT_LENGTH="9999999")
    stranger = Client()
    for route in ROUTES:
        yield f"stranger {route.path}", stranger.get(route.path)
    for path in ("/no-such-page", "/api/v1/no-such-operation", "/l/wrong/"):
        yield path, stranger.get(path)
    for client, address in builders_pages():
        yield address, client.get(address)


def policy_of(mails: list[str]) -> set[str]:
    """The policy, which on a page that shows a mail lets that letter's one style through and nothing else."""
    if not mails:
        return POLICY
    (mail,) = mails
    (style,) = re.findall(r"<style>(.*?)</style>", mail, re.DOTALL)
    assert Page(mail).found == ["<style>"]
    digest = b64encode(hashlib.sha256(style.encode()).digest()).decode()
    return POLICY - {"style-src 'self'"} | {f"style-src 'self' 'sha256-{digest}'"}


def test_every_answer_carries_the_headers_and_no_page_holds_what_they_forbid() -> None:
    wrong, pages, letters = [], 0, set()
    for name, answer in walk():
        is_page = answer["Content-Type"].startswith("text/html") and bool(answer.content)
        page = Page(answer.content.decode() if is_page else "")
        headers = HEADERS | CAMERA if CAMERA_PAGES.fullmatch(name) and answer.status_code == 200 else HEADERS
        lacking = {key: answer.get(key) for key, value in headers.items() if answer.get(key) != value}
        if answer.get("Referrer-Policy") not in ("same-origin", "no-referrer"):
            lacking["Referrer-Policy"] = answer.get("Referrer-Policy")
        if "no-store" not in answer.get("Cache-Control", ""):
            lacking["Cache-Control"] = answer.get("Cache-Control")
        if set(answer.get("Content-Security-Policy", "").split("; ")) != policy_of(page.mails):
            lacking["Content-Security-Policy"] = answer.get("Content-Security-Policy")
        if lacking:
            wrong.append((name, lacking))
        pages += is_page and answer.status_code == 200
        letters |= {name} if page.mails else set()
        if page.found:
            wrong.append((name, page.found))
    assert wrong == []
    assert pages > 30
    assert letters
    assert all(any(end in name for end in MAIL_PAGES) for name in letters), letters


def test_the_policy_is_as_strict_as_it_was_meant() -> None:
    assert {
        "default-src 'none'", "base-uri 'none'", "object-src 'none'", "frame-ancestors 'none'", "script-src 'self'",
        "style-src 'self'", "img-src 'self' data: blob:", "font-src 'self'", "connect-src 'self'",
        "worker-src 'self'", "manifest-src 'self'", "form-action 'self'",
    } == POLICY  # fmt: skip


def test_the_check_of_pages_sees_what_it_looks_for() -> None:
    bad = (
        '<style>a{}</style><p style="x">', '<a onclick="x()">', "<script>x()</script>", '<img src="http://x/">',
        '<form action="javascript:x()">', '<base href="/">', '<b hx-on:click="x">', "<iframe></iframe>",
        '<iframe class="" sandbox="allow-scripts" srcdoc="" title=""></iframe>',
    )  # fmt: skip
    assert all(Page(text).found for text in bad)
    assert not Page('<script type="module" src="/static/a.js"></script><a href="/x">y</a>').found


@pytest.mark.parametrize("method", UNSAFE)
def test_nothing_is_changed_without_a_token(method: str) -> None:
    client = Client(enforce_csrf_checks=True)
    client.force_login(User.objects.get(role=Role.MANAGER))
    wrong = []
    for route in ROUTES:
        data = {} if not route.is_api else {"data": "{}", "content_type": "application/json"}
        status = getattr(client, method)(route.path, **data).status_code
        if status not in (403, 405) and not (route.name.startswith("account_") and status == 404):
            wrong.append((route.name, status))
    assert wrong == []


@pytest.mark.parametrize("method", UNSAFE)
def test_nothing_is_changed_for_another_site_even_with_a_token(method: str) -> None:
    client = Client()  # the test client's token always passes
    client.force_login(User.objects.get(role=Role.MANAGER))
    wrong = []
    for route in ROUTES:
        answer = getattr(client, method)(route.path, headers={"Sec-Fetch-Site": "cross-site"})
        shape = "application/problem+json" if route.is_api else "text/html"
        if answer.status_code != 403 or not answer["Content-Type"].startswith(shape):
            wrong.append((route.name, answer.status_code, answer["Content-Type"]))
    assert wrong == []


def test_pages_of_ones_own_and_links_from_elsewhere_still_open() -> None:
    client = signed_in(Role.MANAGER)
    assert client.get("/quotes/", headers={"Sec-Fetch-Site": "cross-site"}).status_code == 200
    for site in ("same-origin", "none", ""):
        answer = client.post("/projects/preview/", {}, headers={"Sec-Fetch-Site": site})
        assert answer.status_code == 200


def test_production_asks_for_https_for_a_year() -> None:
    names = ("SECURE_HSTS_SECONDS", "SECURE_SSL_REDIRECT", "SESSION_COOKIE_SECURE", "CSRF_COOKIE_SECURE")
    found = production_values(*names)
    assert found == ["31536000", "True", "True", "True"]


def production_values(*names: str) -> list[str]:
    """Values of the production settings, read in a fresh interpreter."""
    code = f"from framing.config.settings import prod; print(*(getattr(prod, n) for n in {names!r}))"
    given = {
        "SECRET_KEY": "s" * 60, "LINK_KEY": "l" * 60, "SPANYARD_HOSTS": "joists.example.com",
        "DATABASE_URL": "postgres://u:p@db/x", "REDIS_URL": "redis://broker/0", "PATH": os.environ["PATH"],
    }  # fmt: skip
    done = subprocess.run([sys.executable, "-c", code], env=given, capture_output=True, text=True, check=True)
    return done.stdout.split()
