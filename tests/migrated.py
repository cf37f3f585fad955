"""A migrated database, kept as a template: a test database is a copy of it, for migrating costs 6 s of a processor."""

from __future__ import annotations

import fcntl
import hashlib
from pathlib import Path

from django.db import Error, connection, connections

CHECKOUT = Path(__file__).resolve().parents[1]
PREFIX = "spanyard_migrated_"


class Template:
    """The template of this checkout's migrations; between looking for it and copying it nobody makes or drops one."""

    def __init__(self) -> None:
        """Wait for one's turn; where the template is there, have the test database copied from it."""
        folder = CHECKOUT / ".data"
        folder.mkdir(exist_ok=True)
        self._lock = (folder / "test-template.lock").open("a")
        fcntl.flock(self._lock, fcntl.LOCK_EX)
        self.name = _name()
        self.is_there = self.name in _templates()
        if self.is_there:  # migrating still looks for what is not applied
            connection.settings_dict["TEST"]["TEMPLATE"] = self.name

    def finish(self) -> None:
        """Keep the test database that was made as the template where there was none, and let the next one look."""
        if not self.is_there:
            made = connection.settings_dict["NAME"]
            connections.close_all()
            _run(f'CREATE DATABASE "{self.name}" TEMPLATE "{made}"')
            for old in _templates() - {self.name}:
                _run(f'DROP DATABASE IF EXISTS "{old}"')
        self._lock.close()


def _name() -> str:
    """It follows from what migrates: our migrations and the libraries' versions."""
    digest = hashlib.sha256((CHECKOUT / "requirements.lock").read_bytes())
    for app in ("framing", "quotes", "orders"):
        for path in sorted((CHECKOUT / app).rglob("migrations/*.py")):
            digest.update(path.read_bytes())
    return PREFIX + digest.hexdigest()[:16]


def _templates() -> set[str]:
    with connection._nodb_cursor() as cursor:
        cursor.execute("SELECT datname FROM pg_database WHERE starts_with(datname, %s)", [PREFIX])
        return {name for (name,) in cursor.fetchall()}


def _run(statement: str) -> None:
    """A server may refuse to copy or drop: then the next one migrates, and all is as well but slower."""
    try:
        with connection._nodb_cursor() as cursor:
            cursor.execute(statement)
    except Error:
        return
