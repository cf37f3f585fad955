"""A browser whose requests are answered in this process, on the test's own transaction: no server is started."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from urllib.parse import urlsplit

from django.db import DEFAULT_DB_ALIAS, connections
from django.test import Client
from playwright.sync_api import Browser, ConsoleMessage, Page, Request, Response, Route

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


class Watch:
    """What a browser must not do while somebody works: fetch from elsewhere, fail, or complain."""

    def __init__(self, origin: str) -> None:
        self.origin = origin
        self.faults: list[str] = []

    def follow(self, page: Page) -> Page:
        """Listen to a page from its first request on."""
        page.on("pageerror", lambda error: self.faults.append(f"script error: {error}"))
        page.on("console", self._line)
        page.on("request", self._request)
        page.on("requestfailed", self._failed)
        page.on("response", self._response)
        return page

    def _line(self, line: ConsoleMessage) -> None:
        if line.type in ("error", "warning"):
            self.faults.append(f"console: {line.text}")

    def _request(self, request: Request) -> None:
        if not request.url.startswith((self.origin, "data:", "blob:")):
            self.faults.append(f"asks for {request.url}")

    def _failed(self, request: Request) -> None:
        # a download, or a poll that the next page ends, counts as aborted
        if request.failure != "net::ERR_ABORTED":
            self.faults.append(f"{request.url}: {request.failure}")

    def _response(self, response: Response) -> None:
        if response.status >= 400:
            self.faults.append(f"{response.url} answered {response.status}")
