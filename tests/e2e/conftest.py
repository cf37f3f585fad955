"""The running product and a browser for the tests of this folder."""

import os
import shutil
from collections.abc import Iterator

import pytest
from django.db import connections
from playwright.sync_api import Browser, expect, sync_playwright

from tests.e2e.stack import Nursery, Stack

# Playwright's synchronous driver keeps an event loop in this thread; the tests' own queries are plain ones.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "1")

expect.set_options(timeout=15_000)  # other tests have the cores meanwhile

# For each window of its own the browser loads two pages for what is typed into its address bar: more than half of the
# processor time that opening one of our pages takes.
NOBODY_SEES = ("WebUIOmniboxPopup", "WebUIOmniboxAimPopup")
# A second list stands in place of the driver's, so what it leaves out is here again.
DRIVERS_OWN = (
    "AvoidUnnecessaryBeforeUnloadCheckSync", "DestroyProfileOnBrowserClose", "HttpsUpgrades",
    "HttpsFirstBalancedModeAutoEnable", "LensOverlay", "MediaRouter", "PaintHolding", "ThirdPartyStoragePartitioning",
    "AvoidCorsURLLoaderRestartOnRedirect", "OptimizationHints", "NetworkTimeServiceQuerying", "AimEnabled",
    "PreconnectToSearch",
)  # fmt: skip


def chromium_path() -> str | None:
    """The browser that `./run test` found, else an installed Chromium, else None for Playwright's own."""
    return os.environ.get("SPANYARD_CHROMIUM") or shutil.which("chromium")


@pytest.fixture(scope="package")
def nursery(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Nursery]:
    """What the running product's processes are forked from."""
    held = Nursery(tmp_path_factory.mktemp("stack"))
    yield held
    held.close()


@pytest.fixture
def stack(transactional_db: None, nursery: Nursery) -> Iterator[Stack]:
    """Web, worker and beat on the test database; everything is killed afterwards."""
    running = Stack(nursery)
    try:
        yield running
    finally:
        running.kill_all()


@pytest.fixture(scope="package")
def chromium() -> Iterator[Browser]:
    """Chromium for this folder: while the driver's loop runs, this thread's queries have a connection of their own."""
    with sync_playwright() as driver:
        as_root = ["--no-sandbox"] if os.geteuid() == 0 else []
        quiet = ["--disable-background-networking", "--disable-component-update", "--disable-sync"]
        without = f"--disable-features={','.join((*DRIVERS_OWN, *NOBODY_SEES))}"
        started = driver.chromium.launch(executable_path=chromium_path(), args=[*as_root, *quiet, without])
        yield started
        connections.close_all()
        started.close()


@pytest.fixture(scope="module")
def browser(chromium: Browser) -> Iterator[Browser]:
    """The browser as a module finds it: without windows, which would ask on behalf of those of another module."""
    yield chromium
    for left in chromium.contexts:
        left.close()
