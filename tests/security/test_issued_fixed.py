"""An issued offer is fixed whatever asks: every column by plain SQL, rows that come, go or move, services, data pages.

The statements run as the role that the application signs in with. What it may still do as the owner of the tables is
listed in `test_database_role.py`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from copy import deepcopy
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.contrib import admin
from django.db import DatabaseError, connection, models, transaction
from django.test import Client
from pytest_django import DjangoDbBlocker

from framing.common.actors import Actor, by_link, person
from framing.common.errors import ApplicationError, Clash
from framing.common.models import AuditEntry, Role, StoredPaper, User
from framing.common.outbox import outbox_run, outbox_waiting
from quotes import services
from quotes.models import (
    Acceptance,
    Alternate,
    AlternateLine,
    Approval,
    ApprovalWord,
    LineDiscount,
    PriceBook,
    PriceItem,
    QuoteLine,
    QuoteMove,
    QuoteRevision,
    TaxRate,
    ThreadMessage,
)
from tests.factories import people, quotes
from tests.factories.alternates import alternate

pytestmark = pytest.mark.django_db

RAISED = "P0001"  # what a trigger of ours says; a broken constraint has another state
# columns that go on living: when a message was read and by whom, and the day on which a price book ends
LIVING = {"quotes_threadmessage": {"seen_at", "seen_by_id"}, "quotes_pricebook": {"valid_until"}}
OTHER = {
    "bool": "NOT {0}",
    "text": "{0} || 'x'",
    "varchar": "CASE {0} WHEN 'Z' THEN 'Y' ELSE 'Z' END",
    "jsonb": """'{{"not": "this"}}'::jsonb""",
    "timestamptz": "coalesce({0}, now()) + interval '1 day'",
    "date": "coalesce({0}, current_date) + 1",
}
TABLES: tuple[type[models.Model], ...] = (
    QuoteRevision, QuoteLine, LineDiscount, Alternate, AlternateLine, Approval, ApprovalWord, Acceptance, QuoteMove,
    ThreadMessage, StoredPaper, AuditEntry, PriceBook, PriceItem, TaxRate,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Offer:
    """An accepted offer with all that can belong to one, and a draft of another quote beside it."""

    revision: QuoteRevision
    draft: QuoteRevision
    manager: Actor
    builder: Actor

    @property
    def seller(self) -> Actor:
        return person(self.revision.quote.owner)


@pytest.fixture(scope="module")
def made(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[Offer]:
    """The offer, made once for this module and rolled back afterwards: each test's own changes go before."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield make_offer()
        transaction.set_rollback(True)


@pytest.fixture
def offer(made: Offer) -> Offer:
    """The offer as it was made, whatever another test did to its rows in memory."""
    return deepcopy(made)


def make_offer() -> Offer:
    """Discounts of a line and the total over the limit, approved after a question; alternates; a thread; accepted."""
    manager = people.actor(Role.MANAGER)
    draft = quotes.draft(discount_share=Decimal("0.07"))
    seller = person(draft.quote.owner)
    code = draft.lines.filter(group="members")[0].code
    shares = {code: Decimal("0.02")}
    services.revision_change(actor=seller, revision=draft, at=quotes.AT, line_discounts=shares)
    alternate(draft)
    services.approval_ask(actor=seller, revision=draft, reason="Five houses", at=quotes.AT)
    services.approval_question(actor=manager, revision=draft, text="When?", at=quotes.AT)
    services.approval_answer(actor=seller, revision=draft, text="In June.", at=quotes.AT)
    total = QuoteRevision.objects.get(pk=draft.pk).total
    services.approval_decide(
        actor=manager, revision=draft, granted=True, answer="Yes.", total_seen=total, at=quotes.AT
    )
    revision = services.revision_issue(actor=seller, revision=draft, key="issue", at=quotes.AT)
    for pk in outbox_waiting():
        outbox_run(pk)
    builder = by_link(quotes.link(revision)[0])
    services.thread_ask(actor=builder, revision=revision, text="Can it wait?", at=quotes.AT)
    services.quote_accept(
        actor=builder, revision=revision, name="Rae", key="yes", at=quotes.AT, alternate="A"
    )
    return Offer(revision, quotes.draft(people.user(Role.SELLER)), manager, builder)


def rows_of(table: type[models.Model], offer: Offer) -> models.QuerySet[Any]:
    """The rows of a table that belong to the issued offer."""
    revision = offer.revision
    kinds: dict[str, dict[str, Any]] = {
        "quoterevision": {"pk": revision.pk},
        "alternateline": {"alternate__revision": revision},
        "approvalword": {"approval__revision": revision},
        "quotemove": {"quote": revision.quote},
        "threadmessage": {"quote": revision.quote},
        "storedpaper": {"subject_type": "quotes.quoterevision", "subject_id": revision.pk},
        "auditentry": {"object_type": "quotes.quote", "object_id": revision.quote_id},
        "pricebook": {"pk": revision.price_book_id},
        "priceitem": {"book": revision.price_book},
        "taxrate": {"book": revision.price_book},
    }
    where = kinds.get(table._meta.model_name or "", {"revision": revision})
    found = table._default_manager.filter(**where)
    assert found.exists(), f"the offer has no {table.__name__}: the test would prove nothing"
    return found


def columns_of(table: type[models.Model]) -> Iterator[tuple[str, str]]:
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT column_name, udt_name FROM information_schema.columns"
            " WHERE table_schema = 'public' AND table_name = %s",
            [table._meta.db_table],
        )
        yield from cursor.fetchall()


def refusal(statement: str, *values: Any) -> str:
    """The SQL state with which a statement is refused; "" where it goes through and touches a row."""
    with connection.cursor() as cursor:
        try:
            with transaction.atomic():
                cursor.execute(statement, values)
                touched = cursor.rowcount
        except DatabaseError as error:
            return str(getattr(error.__cause__, "sqlstate", error))
    return "" if touched else "no row"


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.__name__)
def test_no_column_changes_and_no_row_goes(offer: Offer, table: type[models.Model]) -> None:
    name, pk = table._meta.db_table, rows_of(table, offer)[0].pk
    passed = []
    for column, kind in columns_of(table):
        if column in LIVING.get(name, set()):
            continue
        value = OTHER.get(kind, "coalesce({0}, 0) + 1").format(f'"{column}"')
        statement = f'UPDATE "{name}" SET "{column}" = {value} WHERE id = %s'  # noqa: S608
        if (said := refusal(statement, pk)) != RAISED:
            passed.append((column, said))
    assert passed == []
    assert refusal(f'DELETE FROM "{name}" WHERE id = %s', pk) == RAISED  # noqa: S608  # a table of ours


@pytest.mark.parametrize("table", [QuoteLine, LineDiscount, Alternate], ids=lambda table: table.__name__)
def test_nothing_moves_out_of_an_issued_revision_or_into_it(offer: Offer, table: type[models.Model]) -> None:
    name, row = table._meta.db_table, rows_of(table, offer).last()
    assert row
    away = f'UPDATE "{name}" SET revision_id = %s WHERE id = %s'  # noqa: S608
    assert refusal(away, offer.draft.pk, row.pk) == RAISED


def test_no_line_of_a_draft_becomes_one_of_an_issued_revision(offer: Offer) -> None:
    line = offer.draft.lines.last()
    assert line
    statement = "UPDATE quotes_quoteline SET revision_id = %s, position = 900 WHERE id = %s"
    assert refusal(statement, offer.revision.pk, line.pk) == RAISED


@pytest.mark.parametrize(
    "table", [QuoteLine, LineDiscount, Alternate, AlternateLine], ids=lambda t: t.__name__
)
def test_nothing_is_added_to_an_issued_revision(offer: Offer, table: type[models.Model]) -> None:
    columns = ", ".join(f'"{column}"' for column, _ in columns_of(table) if column != "id")
    fresh = {"position": "position + 500", "code": "code || 'x'", "letter": "'D'"}
    values = ", ".join(fresh.get(column, f'"{column}"') for column, _ in columns_of(table) if column != "id")
    name = table._meta.db_table
    statement = f'INSERT INTO "{name}" ({columns}) SELECT {values} FROM "{name}" WHERE id = %s'  # noqa: S608
    assert refusal(statement, rows_of(table, offer)[0].pk) == RAISED


def verbs(offer: Offer) -> dict[str, Callable[[], Any]]:
    """Every service that changes a draft or its approval, asked of the issued revision by who may most."""
    revision, at = offer.revision, quotes.AT
    more: dict[str, Any] = {"revision": revision, "at": at}
    code = revision.lines.filter(group="members")[0].code
    return {
        "issue": lambda: services.revision_issue(actor=offer.manager, key="again", **more),
        "reprice": lambda: services.draft_reprice(actor=offer.manager, **more),
        "discount": lambda: services.revision_change(
            actor=offer.manager, discount_share=Decimal("0.01"), **more
        ),
        "line discount": lambda: services.revision_change(
            actor=offer.manager, line_discounts={code: Decimal("0.01")}, **more
        ),
        "terms": lambda: services.revision_change(actor=offer.manager, terms="Net 90", **more),
        "alternate": lambda: alternate(revision, spacing="12"),
        "rename": lambda: services.alternate_rename(actor=offer.manager, letter="A", label="Other", **more),
        "remove": lambda: services.alternate_remove(actor=offer.manager, letter="A", **more),
        "ask": lambda: services.approval_ask(actor=offer.seller, reason="More", **more),
        "decide": lambda: services.approval_decide(
            actor=offer.manager, granted=True, answer="", total_seen=revision.total, **more
        ),
        "question": lambda: services.approval_question(actor=offer.manager, text="Why?", **more),
        "answer": lambda: services.approval_answer(actor=offer.seller, text="So.", **more),
        "accept": lambda: services.quote_accept(
            actor=offer.manager, name="Bo", key="other", why="by phone", **more
        ),
        "accept by link": lambda: services.quote_accept(actor=offer.builder, name="Bo", key="third", **more),
        "revise": lambda: services.revision_revise(actor=offer.manager, quote=revision.quote, at=at),
        "send": lambda: services.quote_send(
            actor=offer.manager, people=[("Bo", "bo@builder.example")], key="send", **more
        ),
    }


def stored(offer: Offer) -> dict[str, list[Any]]:
    """All rows that belong to the offer."""
    return {table.__name__: list(rows_of(table, offer).order_by("pk").values()) for table in TABLES}


def test_no_service_changes_an_issued_revision_and_each_says_why(offer: Offer) -> None:
    before = stored(offer)
    said = {}
    for name, verb in verbs(offer).items():
        with pytest.raises(ApplicationError) as caught, transaction.atomic():
            verb()
        assert isinstance(caught.value, Clash), (name, caught.value)
        said[name] = caught.value.message
        assert len(caught.value.message) > 20, name
    assert services.quotes_lapse_due(at=quotes.AT + timedelta(days=400)) == 0
    assert stored(offer) == before
    assert (
        said["terms"]
        == f"{offer.revision} was issued and never changes. Revise the quote to make a new revision."
    )
    assert said["accept"] == f"{offer.revision} was accepted by Rae on {quotes.AT:%b %d, %Y} already."


def test_the_data_pages_change_none_of_it(offer: Offer) -> None:
    """An administrator finds no form that saves, no deletion, and nothing to add."""
    before = stored(offer)
    root = User.objects.create_superuser("root@spanyard.example", people.PASSWORD, name="Root")
    client = Client(raise_request_exception=False)
    client.force_login(root)
    shown = [table for table in TABLES if table in admin.site._registry]
    assert {AuditEntry, StoredPaper} <= set(shown)
    for table in shown:
        base = f"/admin/{table._meta.app_label}/{table._meta.model_name}/"
        row = rows_of(table, offer)[0]
        form = {field.name: "1" for field in table._meta.fields}
        marked = {"action": "delete_selected", "_selected_action": row.pk, "post": "yes"}
        for address, data in (
            (f"{base}{row.pk}/change/", form), (f"{base}{row.pk}/delete/", {"post": "yes"}), (f"{base}add/", form),
            (base, marked),
        ):  # fmt: skip
            answer = client.post(address, data)
            assert answer.status_code in (302, 403, 405, 200), (address, answer.status_code)
    assert stored(offer) == before
