"""Fixtures for every test: a real PostgreSQL, and how large the long tests run."""

import gc
import importlib
import os
import pkgutil
import sys
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import Any

import hypothesis
import pytest
from coverage import Coverage
from django.db import connection, connections, transaction
from django.test import TransactionTestCase
from pytest_django import DjangoDbBlocker
from whitenoise.middleware import WhiteNoiseMiddleware

from framing import engine
from framing.config import embedded
from tests.factories.kept import keep_all
from tests.migrated import Template
from tests.tables import company_tables, is_superuser

CHECKOUT = Path(__file__).resolve().parents[1]

# Workers and started processes mostly import: what one has compiled, the others read, whatever the machine is set to.
sys.dont_write_bytecode = False
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
gc.set_threshold(20_000, 20, 20)  # half a million objects live as long as the run: looked at seldom


# An ordinary run makes up the same input each time, so that it says something of the change and not of the day;
# `./run test --full` looks for new input. A shared machine makes no test's time worth a limit.
hypothesis.settings.register_profile("ordinary", derandomize=True, database=None, deadline=None)
hypothesis.settings.register_profile("full", deadline=None)
hypothesis.settings.load_profile("full" if os.environ.get("SPANYARD_TEST_SCALE") else "ordinary")


@pytest.fixture(scope="session")
def postgres() -> Iterator[None]:
    """Hold the checkout's own services for as long as tests run, unless DATABASE_URL names a server."""
    if os.environ.get("DATABASE_URL"):
        yield
        return
    with embedded.lease(CHECKOUT):
        yield


@pytest.fixture(scope="session")
def template(
    postgres: None,  # the server must run before pytest-django makes its database
    django_db_modify_db_settings_parallel_suffix: None,
    django_db_blocker: DjangoDbBlocker,
) -> Template:
    """What the test database is copied from, if it is there yet."""
    with django_db_blocker.unblock():
        return Template()


@pytest.fixture(scope="session")
def django_db_modify_db_settings(template: Template) -> None:
    """Put server and template before the test database."""


@pytest.fixture(scope="session")
def django_db_setup(
    template: Template, django_db_setup: None, django_db_blocker: DjangoDbBlocker
) -> Iterator[None]:
    """Before the test database is dropped, end sessions that killed processes and browser tests left in it.

    A running browser driver gives this thread connections of its own, which Django's teardown does not know.
    """
    with django_db_blocker.unblock():
        template.finish()
        emptying = _emptying()
        keep_all()
    with pytest.MonkeyPatch.context() as patch:
        if emptying:
            patch.setattr(TransactionTestCase, "_fixture_teardown", partial(_empty, emptying))
        yield
    with django_db_blocker.unblock(), connection.cursor() as cursor:
        cursor.execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
            " WHERE datname = current_database() AND pid <> pg_backend_pid()"
        )
    connections.close_all()


def _emptying() -> str:
    """The statement that empties the tables after a test which commits; nothing where the role is no superuser.

    Only tables with rows are touched, and no trigger asks: Django's TRUNCATE of all tables, which makes new files of
    them and of their indexes, and the signal that fills two anew take 0.5 s a test, this 0.01 s.
    """
    if not is_superuser():
        return ""
    tables = [connection.ops.quote_name(name) for name in company_tables()]
    body = " ".join(
        f"IF EXISTS (SELECT FROM {table}) THEN DELETE FROM {table}; END IF;"  # noqa: S608  # our own tables
        for table in tables
    )
    return f"DO $$ BEGIN SET LOCAL session_replication_role = replica; {body} END $$"


def _empty(emptying: str) -> None:
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(emptying)


@pytest.fixture(scope="session", autouse=True)
def static_files_once() -> Iterator[None]:
    """Each client of a test loads the middleware anew, and it would look at every static file: 15 ms a client."""
    look, kept = WhiteNoiseMiddleware.add_files_from_finders, {}

    def once(middleware: WhiteNoiseMiddleware) -> None:
        seen = (middleware.static_prefix, middleware.max_age)
        if seen not in kept:
            look(middleware)
            kept[seen] = middleware.files
        middleware.files = dict(kept[seen])

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(WhiteNoiseMiddleware, "add_files_from_finders", once)
        yield


@pytest.fixture(scope="session")
def scale() -> float:
    """Return the share of the full counts that long tests run: 0.1, or 1.0 with `./run test --full`."""
    return float(os.environ.get("SPANYARD_TEST_SCALE", "0.1"))


# These start processes and wait for them: begun first, they leave a core to the others instead of a tail to all.
WAITING = ("e2e/", "config/test_run.py", "config/test_embedded.py")
# Single files of 10 s and more: none of them is left for the end, when the other cores have nothing to do.
LONG = ("common/test_demo_walk.py", "common/test_lists_demo.py", "orders/test_demo.py", "fuzz/", "security/")
_HERE = Path(__file__).parent
_MEASURED = pytest.StashKey[bool]()


@pytest.hookimpl(wrapper=True)
def pytest_collection(session: pytest.Session) -> Iterator[None]:
    """Where branches are counted, load the engine as counted, and then all tests without; freeze what then lives."""
    controller = _counting(session.config)
    if controller:
        for module in pkgutil.walk_packages(engine.__path__, f"{engine.__name__}."):
            importlib.import_module(module.name)
        _pause_all(controller)
        session.config.stash[_MEASURED] = False
    yield
    gc.collect()
    gc.freeze()


@pytest.hookimpl(trylast=True)  # after pytest-django has put tests of one kind together
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with what waits, go on with what takes long; `./run test` hands files to its workers in this order."""

    def turn(item: pytest.Item) -> int:
        name = item.path.relative_to(_HERE).as_posix()
        return 0 if name.startswith(WAITING) else 1 if name.startswith(LONG) else 2

    items.sort(key=turn)


def _is_counted(item: pytest.Item) -> bool:
    """Measure the engine by its own worked tests alone: made-up input reaches a branch one day, not the next."""
    return _HERE / "engine" in item.path.parents and not item.get_closest_marker("hypothesis")


@pytest.hookimpl(tryfirst=True)  # before any fixture, so that what only prepares is not traced either
def pytest_runtest_setup(item: pytest.Item) -> None:
    """Where branches are counted, let a worked test find no answer that an uncounted one left in a cache."""
    controller = _counting(item.config)
    if controller is None:
        return
    counted, before = _is_counted(item), item.config.stash[_MEASURED]
    if counted and not before:
        _forget_answers()
    if counted != before:
        (controller.resume if counted else controller.pause)()
    item.config.stash[_MEASURED] = counted


def _counting(config: pytest.Config) -> Any:
    """The counter of branches, which has no type of its own; None where none is asked for."""
    return getattr(config.pluginmanager.getplugin("_cov"), "cov_controller", None)


def _pause_all(controller: Any) -> None:
    """Also the counter that pytest-cov starts in a worker before it knows it for one: nobody reads what it counts,
    and coverage takes it up again whenever the other pauses, so that every test of the suite was traced.
    """
    controller.pause()
    while forgotten := Coverage.current():
        forgotten.stop()


def _forget_answers() -> None:
    for name, module in list(sys.modules.items()):
        if name.startswith("framing.engine"):
            for kept in vars(module).values():
                if not isinstance(kept, type):
                    getattr(kept, "cache_clear", int)()
