"""A browser whose requests are answered in this process, on the test's own transaction: no server is started."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from urllib.parse import urlsplit

from django.db import DEFAULT_DB_ALIAS, connections
from django.test import Client
from playwright.sync_api import Browser, Page, Route

ORIGIN = "http://localhost"
# what the client works out anew, or what only concerns the network
_OWN_HEADERS = {"host", "cookie", "content-length", "connection", "accept-encoding"}
_STATIC: dict[str, dict[str, Any]] = {}  # files of ours do not change while tests run


def answer_by(client: Client) -> Callable[[Route], None]:
    """Return a handler that asks `client` for what the browser asks for."""
    ours = connections[DEFAULT_DB_ALIAS]

    def handle(route: Route) -> None:
        connections[DEFAULT_DB_ALIAS] = (
            ours  # the driver calls from a context of its own, which knows no connection
        )
        request = route.request
        address = urlsplit(request.url)
        if f"{address.scheme}://{address.netloc}" != ORIGIN:
            raise AssertionError(f"a page asks for {request.url}")
        path = f"{address.path}?{address.query}" if address.query else address.path
        if path in _STATIC:
            route.fulfill(**_STATIC[path])
            return
        headers = {name: text for name, text in request.headers.items() if name not in _OWN_HEADERS}
        answer = client.generic(
            request.method,
            path,
            request.post_data_buffer or b"",
            content_type=headers.pop("content-type", ""),
            headers=headers,
        )
        body = answer.getvalue() if answer.streaming else answer.content
        shown = {"status": answer.status_code, "headers": dict(answer.items()), "body": body}
        if path.startswith("/static/"):
            _STATIC[path] = shown
        route.fulfill(**shown)

    return handle


def open_browser(browser: Browser, client: Client, *, width: int, colors: str = "light") -> Page:
    """A new page of a browser signed in as `client` is."""
    context = browser.new_context(
        base_url=ORIGIN,
        viewport={"width": width, "height": 900},
        color_scheme="dark" if colors == "dark" else "light",
        reduced_motion="reduce",
    )
    context.route("**/*", answer_by(client))
    page = context.new_page()
    page.set_default_timeout(15_000)
    return page
