"""The role that the program signs in with in production: enough for the company's days, and nothing more (C16)."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
import yaml
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection, transaction
from psycopg import sql

from framing.common.database_role import only_added_to, role_grant
from framing.common.errors import Refused
from framing.common.models import OutboxEntry, StoredPaper
from framing.common.outbox import outbox_run
from framing.config.prepare import prepare
from orders.demo.story import Story
from orders.models import Order
from quotes.models import QuoteRevision
from tests.factories import quotes

pytestmark = pytest.mark.django_db

ROOT = Path(__file__).resolve().parents[2]
ROLE = f"program_of_{os.getpid()}"  # roles belong to the whole server; each test's is rolled back
DENIED = "42501"


@contextmanager
def as_program() -> Iterator[None]:
    """Ask as the program's role; a refused statement breaks the savepoint, whose end gives the role back."""
    with connection.cursor() as cursor:
        cursor.execute(sql.SQL("SET LOCAL ROLE {}").format(sql.Identifier(ROLE)))
        yield
        cursor.execute("RESET ROLE")


def refusal(*statements: str) -> str:
    """The SQL state with which the program's role is refused; "" where nothing is."""
    try:
        with transaction.atomic(), as_program(), connection.cursor() as cursor:
            for statement in statements:
                cursor.execute(statement)
    except DatabaseError as error:
        return str(getattr(error.__cause__, "sqlstate", error))
    return ""


@pytest.mark.parametrize(
    "statement",
    [
        "TRUNCATE quotes_quoterevision CASCADE",
        "TRUNCATE common_auditentry",
        "DROP TABLE common_auditentry CASCADE",
        "ALTER TABLE quotes_quoterevision DISABLE TRIGGER ALL",
        "ALTER TABLE quotes_quoteline DISABLE TRIGGER USER",
        "ALTER TABLE quotes_quoterevision DROP COLUMN total",
        "ALTER TABLE common_storedpaper OWNER TO CURRENT_USER",
        "SET session_replication_role = replica",
        "CREATE TABLE public.kept_aside (id int)",
        "CREATE FUNCTION public.mine() RETURNS int LANGUAGE sql AS 'SELECT 1'",
        "DELETE FROM django_migrations",
        "CREATE ROLE another SUPERUSER",
        "COPY (SELECT 1) TO PROGRAM 'true'",
    ],
)
def test_the_program_owns_nothing(statement: str) -> None:
    role_grant(ROLE)
    assert refusal(statement) == DENIED


def test_no_trigger_of_ours_can_be_dropped() -> None:
    role_grant(ROLE)
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT tgname, tgrelid::regclass::text FROM pg_trigger"
            " WHERE tgname LIKE 'pgtrigger%%' AND NOT tgisinternal"
        )
        triggers = cursor.fetchall()
    assert len(triggers) > 20
    for name, table in triggers:
        assert refusal(f'DROP TRIGGER "{name}" ON {table}') == DENIED, name


def test_what_is_only_added_to_stays_even_where_triggers_look_away() -> None:
    tables = only_added_to()
    assert {
        "common_auditentry", "common_storedpaper", "quotes_acceptance", "quotes_approvalword", "quotes_quotemove",
        "orders_ordermove", "quotes_lostoffer",
    } <= set(tables)  # fmt: skip
    role_grant(ROLE)
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT tgrelid::regclass || ':' || tgname FROM pg_trigger WHERE tgname LIKE 'pgtrigger%%'"
        )
        away = "{" + ",".join(name for (name,) in cursor.fetchall()) + "}"
    look_away = f"SET LOCAL pgtrigger.ignore = '{away}'"
    for table in tables:
        assert refusal(look_away, f"UPDATE {table} SET id = id") == DENIED, table  # noqa: S608  # tables of ours
        assert refusal(look_away, f"DELETE FROM {table}") == DENIED, table  # noqa: S608


def test_the_whole_companys_days_go_by_under_that_role() -> None:
    """Quotes, approvals, alternates, threads, orders, deliveries by the services; then the worker makes a paper."""
    role_grant(ROLE, "a password that is long enough")
    role_grant(ROLE)
    with as_program():
        Story(datetime(2026, 11, 20, 15, tzinfo=UTC)).tell()
        entry = OutboxEntry.objects.filter(kind="quote_paper").order_by("id")[0]
        assert outbox_run(entry.pk)
    assert Order.objects.filter(stage="closed").exists()
    assert StoredPaper.objects.count() == 1


def test_triggers_speak_to_that_role_as_to_the_owner() -> None:
    revision = quotes.issued()
    role_grant(ROLE)
    statement = f"UPDATE quotes_quoterevision SET terms = 'none' WHERE id = {revision.pk}"  # noqa: S608
    assert refusal(statement) == "P0001"
    assert QuoteRevision.objects.get(pk=revision.pk).terms == revision.terms


def test_the_owner_is_no_role_for_the_program() -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT current_user")
        (owner,) = cursor.fetchone()
    with pytest.raises(Refused, match="owns the tables"):
        role_grant(owner)
    with pytest.raises(CommandError, match="Name another role"):
        call_command("grant_role", owner)


def test_preparing_the_database_makes_the_role_that_is_named(
    monkeypatch: pytest.MonkeyPatch, settings: Any
) -> None:
    settings.SPANYARD_DEMO = False
    monkeypatch.setenv("SPANYARD_DATABASE_ROLE", ROLE)
    monkeypatch.setenv("SPANYARD_DATABASE_ROLE_PASSWORD", "a password that is long enough")
    prepare()
    with connection.cursor() as cursor:
        cursor.execute("SELECT rolcanlogin, rolsuper, rolcreaterole FROM pg_roles WHERE rolname = %s", [ROLE])
        assert cursor.fetchone() == (True, False, False)
    with as_program():
        assert not QuoteRevision.objects.exists()


def test_the_containers_program_knows_no_owner() -> None:
    """Web, worker and beat sign in as the program's role; only what migrates has the owner's password."""
    services = yaml.safe_load((ROOT / "docker-compose.yml").read_text(encoding="utf-8"))["services"]
    for name in ("web", "worker", "beat"):
        told = services[name]["environment"]
        assert told["DATABASE_URL"].startswith("postgres://spanyard_program:"), name
        assert told["POSTGRES_PASSWORD"] == "", name  # env_file would bring it
    assert services["migrate"]["environment"]["SPANYARD_DATABASE_ROLE"] == "spanyard_program"
