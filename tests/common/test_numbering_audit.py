"""Numbers without gap or twin; an audit trail that nobody alters."""

from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from datetime import UTC, datetime

import pytest
from django.db import connection, connections, transaction
from django.db.utils import DatabaseError

from framing.common.actors import SYSTEM, person
from framing.common.audit import audit_list, audit_record
from framing.common.models import AuditEntry, Role, User
from framing.common.numbering import next_number

AT = datetime(2026, 3, 1, 12, tzinfo=UTC)


def make_user(email: str = "ada@example.test") -> User:
    return User.objects.create_user(email, "a long enough password", name="Ada Vale", role=Role.SELLER)


@pytest.mark.django_db
def test_numbers_run_by_series_and_year() -> None:
    later = AT.replace(year=2027)
    numbers = [next_number("Q", AT), next_number("Q", AT), next_number("SO", AT), next_number("Q", later)]
    assert numbers == ["Q-2026-0001", "Q-2026-0002", "SO-2026-0001", "Q-2027-0001"]


@pytest.mark.django_db
def test_a_rolled_back_act_gives_its_number_back() -> None:
    with suppress(RuntimeError), transaction.atomic():
        next_number("Q", AT)
        raise RuntimeError
    assert next_number("Q", AT) == "Q-2026-0001"


@pytest.mark.django_db(transaction=True)
def test_numbers_taken_at_once_have_no_twin_and_no_gap() -> None:
    def take(_: int) -> str:
        try:
            with transaction.atomic():
                return next_number("Q", AT)
        finally:
            connections.close_all()

    with ThreadPoolExecutor(8) as pool:
        numbers = list(pool.map(take, range(24)))
    assert sorted(numbers) == [f"Q-2026-{n:04d}" for n in range(1, 25)]


@pytest.mark.django_db
def test_audit_tells_who_what_and_why_in_order() -> None:
    user = make_user()
    audit_record(person(user), "rename", user, at=AT, change={"name": ["Ada", "Ada Vale"]}, why="married")
    audit_record(SYSTEM, "note", user, at=AT)
    first, second = audit_list(user)
    assert (first.actor_name, first.user, first.verb, first.why) == ("Ada Vale", user, "rename", "married")
    assert first.change == {"name": ["Ada", "Ada Vale"]}
    assert (second.actor_kind, second.user) == ("system", None)


@pytest.mark.django_db
@pytest.mark.parametrize(
    "statement", ["UPDATE common_auditentry SET why = 'x'", "DELETE FROM common_auditentry"]
)
def test_plain_sql_cannot_alter_the_audit_trail(statement: str) -> None:
    audit_record(SYSTEM, "note", make_user(), at=AT)
    with pytest.raises(DatabaseError, match="Cannot"), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement)
    assert AuditEntry.objects.get().why == ""
