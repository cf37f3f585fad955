"""The database's role that web, worker and beat sign in with: it reads and writes rows, and owns nothing.

The tables belong to the role that migrates. So the program can neither empty a table nor drop a trigger or switch it
off, and what is only ever added to (trail, history, papers, acceptances) it can't change even by a statement that
tells our triggers to look away.
"""

from __future__ import annotations

from collections.abc import Iterator

import pgtrigger
from django.apps import apps
from django.db import connection, transaction
from psycopg import sql

from framing.common.errors import Refused

OUTSIDE = ("django_migrations",)
"""Tables that only migrating writes."""


def only_added_to() -> list[str]:
    """Tables whose rows never change or go: those with a trigger that refuses both, whatever the row holds."""
    return sorted(
        model._meta.db_table
        for model in apps.get_models()
        if any(_refuses_all(trigger) for trigger in getattr(model._meta, "triggers", ()))
    )


def _refuses_all(trigger: pgtrigger.Trigger) -> bool:
    both = str(trigger.operation) == str(pgtrigger.Update | pgtrigger.Delete)
    return isinstance(trigger, pgtrigger.Protect) and both and trigger.condition is None


def role_grant(role: str, password: str = "") -> None:
    """Make the role where it is missing, and give it just what the program needs; twice does no harm.

    Args:
        password: it signs in with this one; "" makes or leaves a role that can't sign in by password.

    Raises Refused for the role that asks: it owns the tables, and owners need no rights.
    """
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SELECT current_user, EXISTS (SELECT 1 FROM pg_roles WHERE rolname = %s)", [role])
        owner, known = cursor.fetchone()
        if role == owner:
            raise Refused(f"{role} owns the tables. Name another role for the program.", field="role")
        for statement in _statements(role, password, known=known):
            cursor.execute(statement)


def _statements(role: str, password: str, *, known: bool) -> Iterator[sql.Composed]:
    name = sql.Identifier(role)
    plain = "NOSUPERUSER NOCREATEDB NOCREATEROLE NOREPLICATION NOBYPASSRLS"
    if not known:
        yield sql.SQL("CREATE ROLE {}").format(name)
    yield sql.SQL("ALTER ROLE {} " + plain).format(name)
    if password:
        yield sql.SQL("ALTER ROLE {} LOGIN PASSWORD {}").format(name, sql.Literal(password))
    yield sql.SQL("REVOKE ALL ON ALL TABLES IN SCHEMA public FROM {}").format(name)
    yield sql.SQL("GRANT USAGE ON SCHEMA public TO {}").format(name)
    yield sql.SQL("GRANT SELECT, INSERT, UPDATE, DELETE ON ALL TABLES IN SCHEMA public TO {}").format(name)
    yield sql.SQL("GRANT USAGE ON ALL SEQUENCES IN SCHEMA public TO {}").format(name)
    added = sql.SQL(", ").join(map(sql.Identifier, only_added_to()))
    yield sql.SQL("REVOKE UPDATE, DELETE ON {} FROM {}").format(added, name)
    outside = sql.SQL(", ").join(map(sql.Identifier, OUTSIDE))
    yield sql.SQL("REVOKE INSERT, UPDATE, DELETE ON {} FROM {}").format(outside, name)
