"""The running product and a browser for the tests of this folder."""

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.db import connections
from playwright.sync_api import Browser, sync_playwright

from tests.e2e.stack import Stack

# Playwright's synchronous driver keeps an event loop in this thread; the tests' own queries are plain ones.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "1")


def chromium_path() -> str | None:
    """The browser that `./run test` found, else an installed Chromium, else None for Playwright's own."""
    return os.environ.get("SPANYARD_CHROMIUM") or shutil.which("chromium")


@pytest.fixture
def stack(transactional_db: None, tmp_path: Path) -> Iterator[Stack]:
    """Web, worker and beat on the test database; everything is stopped afterwards."""
    running = Stack(tmp_path)
    try:
        yield running
    finally:
        running.stop_all()


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Chromium for one module: while the driver's loop runs, this thread's queries have a connection of their own."""
    with sync_playwright() as driver:
        as_root = ["--no-sandbox"] if os.geteuid() == 0 else []
        quiet = ["--disable-background-networking", "--disable-component-update", "--disable-sync"]
        chromium = driver.chromium.launch(executable_path=chromium_path(), args=[*as_root, *quiet])
        yield chromium
        connections.close_all()
        chromium.close()
