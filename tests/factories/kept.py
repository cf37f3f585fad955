"""What factories make of an empty database is made once a process and then put again, as the services left it.

Making an order from its plan to its bundles takes 250 statements. Its rows, with the keys that the database once gave
them and gives nobody else, are put by one; triggers and constraints, which they passed before, are not asked again.
They are made before the first test, so that none finds what another one's settings or patches made.
"""

from __future__ import annotations

import functools
import pickle
from collections.abc import Callable
from typing import Any, ParamSpec, TypeVar, cast

from django.db import connection, transaction

from tests.tables import company_tables, is_superuser

P = ParamSpec("P")
R = TypeVar("R")
_ADDED_TO = {"common_user", "common_auditentry", "common_outboxentry"}  # a test may have added rows before
_factories: list[Callable[[], object]] = []
_rows: dict[Callable[[], object], _Rows] = {}


class _Rows:
    """One factory's: the statement that puts them, the tables that must be empty, and what it returned."""

    def __init__(self, made: object) -> None:
        self.made = pickle.dumps(made)
        found = {table: rows for table in company_tables() if (rows := _literals(table))}
        self.put = "".join(_insert(table, rows) for table, rows in found.items())
        self.barring = [table for table in found if table not in _ADDED_TO]

    def fit(self) -> bool:
        return not _any_in(self.barring)

    def again(self) -> Any:
        role = "SET LOCAL session_replication_role = "
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(f"{role}replica; {self.put} {role}origin")
        return pickle.loads(self.made)  # noqa: S301  # this process's own


def kept(make: Callable[P, R]) -> Callable[P, R]:
    """Keep what this factory makes where it is given nothing; those that it calls are marked before it."""

    @functools.wraps(make)
    def wrapped(*args: P.args, **kwargs: P.kwargs) -> R:
        rows = _rows.get(cast("Callable[[], object]", wrapped))
        if rows is None or args or kwargs or not rows.fit():
            return make(*args, **kwargs)
        return cast("R", rows.again())

    _factories.append(cast("Callable[[], object]", wrapped))
    return wrapped


def keep_all() -> None:
    """Make each once, in an empty database and rolled back; nothing where the role may not put rows past triggers."""
    if not is_superuser():
        return
    for make in _factories:
        with transaction.atomic():
            _rows[make] = _Rows(make())
            transaction.set_rollback(True)


def _any_in(tables: list[str]) -> bool:
    asked = " OR ".join(f'EXISTS (SELECT FROM "{table}")' for table in tables)
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {asked}")
        return bool(cursor.fetchone()[0])


def _literals(table: str) -> list[str]:
    with connection.cursor() as cursor:
        cursor.execute(f'SELECT quote_literal(one::text) FROM "{table}" one')  # noqa: S608  # our own table
        return [row for (row,) in cursor.fetchall()]


def _insert(table: str, rows: list[str]) -> str:
    names = _columns(table)
    told = ", ".join(f"(kept.one).{name}" for name in names)
    values = ",".join(f'({row}::"{table}")' for row in rows)
    return f'INSERT INTO "{table}" ({", ".join(names)}) SELECT {told} FROM (VALUES {values}) kept (one);'  # noqa: S608


@functools.cache
def _columns(table: str) -> list[str]:
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT quote_ident(column_name) FROM information_schema.columns"
            " WHERE table_schema = current_schema() AND table_name = %s AND is_generated = 'NEVER'",
            [table],
        )
        return [name for (name,) in cursor.fetchall()]
