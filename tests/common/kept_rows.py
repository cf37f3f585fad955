"""Rows that take long to make are made once a run and then copied, such as the demo company's."""

from __future__ import annotations

import fcntl
import os
import pickle
from collections.abc import Callable
from pathlib import Path

import pytest
from django.db import connection
from psycopg.sql import SQL, Identifier

from tests.tables import company_tables, is_superuser


def tell_or_copy(name: str, folders: pytest.TempPathFactory, tell: Callable[[], object]) -> None:
    """Fill a database without rows: by `tell`, or by the rows that it made in this run, maybe in another process.

    Copying passes triggers and constraints over, which only a superuser may; without one it is told each time.
    """
    base = folders.getbasetemp()
    shared = base.parent if os.environ.get("PYTEST_XDIST_WORKER") else base
    with (shared / f"{name}.lock").open("a") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        file = shared / f"{name}.rows"
        if not file.exists():
            tell()
            if is_superuser():
                file.write_bytes(pickle.dumps(_rows()))
            return
    _put(file)


def _rows() -> tuple[dict[str, bytes], dict[str, int]]:
    """Every model's rows as PostgreSQL writes them, and how far each sequence is.

    The cache's table is nobody's model: a browser test may have left rows there, in each database of a run.
    """
    tables: dict[str, bytes] = {}
    with connection.cursor() as cursor:
        for table in company_tables():
            with cursor.copy(SQL("COPY {} TO STDOUT").format(Identifier(table))) as rows:
                tables[table] = b"".join(rows)
        cursor.execute("SELECT sequencename, last_value FROM pg_sequences WHERE last_value IS NOT NULL")
        return {table: rows for table, rows in tables.items() if rows}, dict(cursor.fetchall())


def _put(file: Path) -> None:
    tables, sequences = pickle.loads(file.read_bytes())  # noqa: S301  # written by this run
    with connection.cursor() as cursor:
        cursor.execute("SET LOCAL session_replication_role = replica")
        for table, rows in tables.items():
            with cursor.copy(SQL("COPY {} FROM STDIN").format(Identifier(table))) as copy:
                copy.write(rows)
        cursor.execute("SET LOCAL session_replication_role = origin")
        for sequence, last in sequences.items():  # what was given out is not given out again
            statement = SQL("SELECT setval({}, greatest(%s, nextval({})))")
            named = connection.ops.quote_name(sequence)
            cursor.execute(statement.format(named, named), [last])
