"""Fixtures for every test: a real PostgreSQL, and how large the long tests run."""

import os
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from framing.config import embedded

CHECKOUT = Path(__file__).resolve().parents[1]


@pytest.fixture(scope="session")
def postgres() -> Iterator[None]:
    """Hold the checkout's own services for as long as tests run, unless DATABASE_URL names a server."""
    if os.environ.get("DATABASE_URL"):
        yield
        return
    with embedded.lease(CHECKOUT):
        yield


@pytest.fixture(scope="session")
def django_db_modify_db_settings(
    postgres: None,  # the server must run before pytest-django makes its database
    django_db_modify_db_settings_parallel_suffix: None,
) -> None:
    """Put the server before the test database."""


@pytest.fixture(scope="session")
def scale() -> float:
    """Return the share of the full counts that long tests run: 0.1, or 1.0 with `./run test --full`."""
    return float(os.environ.get("SPANYARD_TEST_SCALE", "0.1"))


@pytest.hookimpl(trylast=True)  # after hypothesis has set its marks
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Measure the engine by its own worked tests alone: made-up input reaches a branch one day, not the next."""
    own = Path(__file__).with_name("engine")
    for item in items:
        if own not in item.path.parents or item.get_closest_marker("hypothesis"):
            item.add_marker(pytest.mark.no_cover)


_MEASURED = pytest.StashKey[bool]()


def pytest_runtest_setup(item: pytest.Item) -> None:
    """Where branches are counted, let a worked test find no answer that an uncounted one left in a cache."""
    counted = item.config.pluginmanager.hasplugin("_cov") and not item.get_closest_marker("no_cover")
    if counted and not item.config.stash.get(_MEASURED, False):
        for name, module in list(sys.modules.items()):
            if name.startswith("framing.engine"):
                for kept in vars(module).values():
                    getattr(kept, "cache_clear", int)()
    item.config.stash[_MEASURED] = counted
