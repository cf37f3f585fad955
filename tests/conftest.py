"""Fixtures for every test: a real PostgreSQL, and how large the long tests run."""

import os
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.db import connection, connections
from pytest_django import DjangoDbBlocker

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
def django_db_setup(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[None]:
    """Before the test database is dropped, end sessions that killed processes and browser tests left in it.

    A running browser driver gives this thread connections of its own, which Django's teardown does not know.
    """
    yield
    with django_db_blocker.unblock(), connection.cursor() as cursor:
        cursor.execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
            " WHERE datname = current_database() AND pid <> pg_backend_pid()"
        )
    connections.close_all()


@pytest.fixture(scope="session")
def scale() -> float:
    """Return the share of the full counts that long tests run: 0.1, or 1.0 with `./run test --full`."""
    return float(os.environ.get("SPANYARD_TEST_SCALE", "0.1"))


# These start processes and wait for them: begun first, they leave a core to the others instead of a tail to all.
WAITING = ("e2e/", "config/test_run.py", "config/test_embedded.py")
_HERE = Path(__file__).parent
_MEASURED = pytest.StashKey[bool]()


@pytest.hookimpl(trylast=True)  # after pytest-django has put tests of one kind together
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with what waits; `./run test` hands files to its workers in this order."""
    items.sort(key=lambda item: not item.path.relative_to(_HERE).as_posix().startswith(WAITING))


def _is_counted(item: pytest.Item) -> bool:
    """Measure the engine by its own worked tests alone: made-up input reaches a branch one day, not the next."""
    return _HERE / "engine" in item.path.parents and not item.get_closest_marker("hypothesis")


@pytest.hookimpl(tryfirst=True)  # before any fixture, so that what only prepares is not traced either
def pytest_runtest_setup(item: pytest.Item) -> None:
    """Where branches are counted, let a worked test find no answer that an uncounted one left in a cache."""
    plugin = item.config.pluginmanager.getplugin("_cov")
    if plugin is None or plugin.cov_controller is None:
        return
    counted, before = _is_counted(item), item.config.stash.get(_MEASURED, None)
    if counted and not before:
        _forget_answers()
    if counted != (before is not False):  # pytest-cov counts from the start
        (plugin.cov_controller.resume if counted else plugin.cov_controller.pause)()
    item.config.stash[_MEASURED] = counted


def _forget_answers() -> None:
    for name, module in list(sys.modules.items()):
        if name.startswith("framing.engine"):
            for kept in vars(module).values():
                if not isinstance(kept, type):
                    getattr(kept, "cache_clear", int)()
