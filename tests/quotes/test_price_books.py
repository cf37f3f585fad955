"""A price book's life: draft, review, in force from a day on; what the database itself refuses."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, ProgrammingError, connection, transaction

from framing.common.actors import person
from framing.common.audit import audit_list
from framing.common.errors import Clash, NotAllowed, Refused, StaleSave
from framing.common.models import AuditEntry, Role
from quotes import services
from quotes.models import PriceBook
from quotes.price_changes import changes_between
from quotes.price_files import csv_of, read_price_file, xlsx_of
from quotes.price_reads import document_data, document_of, price_book_in_force, price_book_list
from tests.factories import people, projects, quotes

pytestmark = pytest.mark.django_db
AT = projects.AT
TODAY = AT.date()
DAY = timedelta(days=1)


def manager() -> Any:
    return people.actor(Role.MANAGER)


def sent(**changes: Any) -> PriceBook:
    draft = quotes.price_draft(**changes)
    return services.price_book_send(actor=manager(), book=draft, note="Steel is up.", edit=draft.edit, at=AT)


def forced(begin: date = TODAY, end: date | None = None, **changes: Any) -> PriceBook:
    book = sent(**changes)
    return services.price_book_put_in_force(
        actor=manager(), book=book, valid_from=begin, valid_until=end, edit=book.edit, at=AT
    )


def test_a_draft_is_changed_sent_and_put_in_force_and_all_is_in_the_trail() -> None:
    draft = quotes.price_draft(surcharge_per_lb="0.0350")
    assert (draft.state, draft.version, draft.edit) == ("draft", 1, 1)
    data = document_data(draft) | {"surcharge_per_lb": "0.0400"}
    changed = services.price_book_change(actor=manager(), book=draft, data=data, edit=1, at=AT)
    assert (changed.surcharge_per_lb, changed.edit) == (Decimal("0.0400"), 2)
    review = services.price_book_send(actor=manager(), book=draft, note="Coil is up.", edit=2, at=AT)
    assert (review.state, review.note) == ("review", "Coil is up.")
    book = services.price_book_put_in_force(
        actor=manager(), book=draft, valid_from=TODAY + 3 * DAY, edit=2, at=AT
    )
    assert not book.holds_on(TODAY + 2 * DAY)
    assert book.holds_on(TODAY + 3 * DAY)
    entries = list(audit_list(book))
    assert [entry.verb for entry in entries] == [
        "price_book_draft",
        "price_book_change",
        "price_book_send",
        "price_book_put_in_force",
    ]
    assert entries[1].change["rows"] == ["changed terms: Steel surcharge per lb"]
    assert entries[2].why == "Coil is up."


def test_a_stored_book_is_the_document_that_came() -> None:
    zones = {
        "near": {
            "price": "390.00", "cost": "305.00", "from_mi": "0.0", "to_mi": "60.0",
            "trucks": [{"truck": "Van", "most_lb": 1500, "price": "95.00", "cost": "60.00"}],
        },
        "lakes": {"price": "685.00", "cost": "540.00", "regions": ["OH"], "postal": ["440"]},
    }  # fmt: skip
    data = quotes.price_document(freight=zones, line_discount_limit="0.15")
    book = services.price_book_draft(actor=manager(), data=data, at=AT)
    came = services.price_books.read(data | {"number": book.version})
    by_code = tuple(sorted(came.items, key=lambda item: item.code))
    assert document_of(book) == came.model_copy(update={"items": by_code})
    assert services.price_books.read(document_of(book).model_dump()) == document_of(book)


def test_a_stored_book_with_zones_and_trucks_comes_back_from_its_own_files_unchanged() -> None:
    book = quotes.price_draft()
    document = document_of(book)
    assert any(entry.trucks for entry in document.freight.values())
    assert all(entry.from_mi is not None for entry in document.freight.values())
    for data in (csv_of(document), xlsx_of(document, made_at=AT)):
        assert changes_between(document, read_price_file(data)) == ()


def test_a_version_of_its_name_has_the_next_number() -> None:
    assert [quotes.price_draft(name="List").version for _ in range(3)] == [1, 2, 3]
    assert quotes.price_draft(name="Other").version == 1


def test_what_changes_nothing_writes_nothing() -> None:
    draft = quotes.price_draft()
    before = AuditEntry.objects.count()
    same = services.price_book_change(actor=manager(), book=draft, data=document_data(draft), edit=9, at=AT)
    assert same.edit == 1
    assert AuditEntry.objects.count() == before


def test_a_change_of_what_somebody_changed_meanwhile_is_refused() -> None:
    draft = quotes.price_draft()
    data = document_data(draft)
    services.price_book_change(actor=manager(), book=draft, data=data | {"valid_days": 20}, edit=1, at=AT)
    with pytest.raises(StaleSave, match="Somebody changed"):
        services.price_book_change(actor=manager(), book=draft, data=data | {"valid_days": 10}, edit=1, at=AT)
    with pytest.raises(StaleSave):
        services.price_book_send(actor=manager(), book=draft, note="x", edit=1, at=AT)
    draft.refresh_from_db()
    assert (draft.valid_days, draft.edit, draft.state) == (20, 2, "draft")


def test_review_needs_a_note_and_rests_until_given_back() -> None:
    draft = quotes.price_draft()
    with pytest.raises(Refused, match="what is new"):
        services.price_book_send(actor=manager(), book=draft, note="  ", edit=1, at=AT)
    book = sent()
    with pytest.raises(Clash, match="no draft any more"):
        services.price_book_change(actor=manager(), book=book, data=quotes.price_document(), edit=1, at=AT)
    with pytest.raises(Clash, match="no draft"):
        services.price_book_discard(actor=manager(), book=book, at=AT)
    with pytest.raises(Refused, match="what is to change"):
        services.price_book_give_back(actor=manager(), book=book, why="", at=AT)
    back = services.price_book_give_back(actor=manager(), book=book, why="Straps are too dear.", at=AT)
    assert back.state == "draft"
    assert audit_list(book).last().why == "Straps are too dear."  # type: ignore[union-attr]


def test_a_draft_is_not_put_in_force_unreviewed() -> None:
    draft = quotes.price_draft()
    with pytest.raises(Clash, match="not in review"):
        services.price_book_put_in_force(actor=manager(), book=draft, valid_from=TODAY, edit=1, at=AT)


def test_a_draft_can_be_thrown_away_and_the_trail_keeps_that_it_was() -> None:
    draft = quotes.price_draft()
    key = draft.pk
    services.price_book_discard(actor=manager(), book=draft, at=AT)
    assert not PriceBook.objects.filter(pk=key).exists()
    assert AuditEntry.objects.filter(verb="price_book_discard", object_id=key).exists()
    draft.pk = key
    with pytest.raises(Clash, match="thrown away meanwhile"):
        services.price_book_send(actor=manager(), book=draft, note="x", edit=1, at=AT)


def test_the_next_book_ends_the_open_one_before_it() -> None:
    first = forced()
    second = forced(TODAY + 10 * DAY)
    first.refresh_from_db()
    assert (first.valid_until, second.valid_until) == (TODAY + 10 * DAY, None)
    days = [price_book_in_force(TODAY + n * DAY) for n in (0, 9, 10, 100)]
    assert days == [first, first, second, second]
    assert [row.pk for row in price_book_list()] == [second.pk, first.pk]


def test_overlapping_validity_is_refused_and_names_the_other_book() -> None:
    forced()
    later = forced(TODAY + 10 * DAY)
    with pytest.raises(Clash, match=rf"lie over {later}") as caught:
        forced(TODAY + 5 * DAY)
    assert caught.value.field == "valid_from"
    between = forced(TODAY + 5 * DAY, TODAY + 10 * DAY)  # ends where the later one begins
    assert price_book_in_force(TODAY + 9 * DAY) == between
    with pytest.raises(Clash, match=rf"lie over {between}"):
        forced(TODAY + 7 * DAY, TODAY + 8 * DAY)


def test_a_slip_is_replaced_on_the_same_day() -> None:
    slip, right = forced(), forced()
    slip.refresh_from_db()
    assert slip.valid_until == slip.valid_from
    assert price_book_in_force(TODAY) == right


@pytest.mark.parametrize(
    ("begin", "end", "field"),
    [(TODAY - DAY, None, "valid_from"), (TODAY, TODAY, "valid_until"), (TODAY, TODAY - DAY, "valid_until")],
)
def test_days_that_cannot_be(begin: date, end: date | None, field: str) -> None:
    with pytest.raises(Refused) as caught:
        forced(begin, end)
    assert caught.value.field == field


def test_without_a_book_for_the_day_nothing_is_quoted() -> None:
    forced(TODAY, TODAY + 5 * DAY)
    with pytest.raises(Refused, match="No price book is in force"):
        price_book_in_force(TODAY + 5 * DAY)


def test_quotes_keep_the_version_they_were_made_with() -> None:
    first = forced()
    draft = quotes.draft()
    assert draft.price_book == first
    second = forced(TODAY + DAY)
    draft.refresh_from_db()
    assert draft.price_book == first
    anew = services.draft_reprice(actor=person(draft.quote.owner), revision=draft, at=quotes.AT)
    assert anew.price_book == second  # quotes.AT is the day after


def test_a_book_with_a_wrong_row_is_not_stored() -> None:
    items = quotes.price_document()["items"]
    for wrong in ({"price": "0"}, {"price": "-1"}, {"description": "=cmd"}, {"code": "a\x00b"}):
        with pytest.raises(Refused) as caught:
            quotes.price_draft(items=[items[0] | wrong, *items[1:]])
        assert caught.value.detail[0]["place"].startswith("items.0.")
    assert not PriceBook.objects.exists()


@pytest.mark.parametrize("role", [role for role in Role.values if role != Role.MANAGER])
def test_only_managers_act_on_price_books(role: str) -> None:
    other, draft, review = people.actor(role), quotes.price_draft(), sent()
    with pytest.raises(NotAllowed):
        services.price_book_draft(actor=other, data=quotes.price_document(), at=AT)
    with pytest.raises(NotAllowed):
        services.price_book_change(actor=other, book=draft, data=document_data(draft), edit=1, at=AT)
    with pytest.raises(NotAllowed):
        services.price_book_send(actor=other, book=draft, note="x", edit=1, at=AT)
    with pytest.raises(NotAllowed):
        services.price_book_give_back(actor=other, book=review, why="x", at=AT)
    with pytest.raises(NotAllowed):
        services.price_book_put_in_force(actor=other, book=review, valid_from=TODAY, edit=1, at=AT)
    with pytest.raises(NotAllowed):
        services.price_book_discard(actor=other, book=draft, at=AT)
    with pytest.raises(NotAllowed):
        services.price_book_import(actor=other, data=quotes.price_document(), at=AT)


# --- what the database refuses whoever asks ---


def refused_by_database(statement: str, *values: Any) -> str:
    with (
        pytest.raises((IntegrityError, ProgrammingError)) as caught,
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(statement, values)
    return str(caught.value)


def test_plain_sql_cannot_change_a_book_in_force_or_its_rows() -> None:
    book = forced()
    for statement in (
        "UPDATE quotes_pricebook SET surcharge_per_lb = 0 WHERE id = %s",
        "UPDATE quotes_pricebook SET state = 'draft' WHERE id = %s",
        "DELETE FROM quotes_pricebook WHERE id = %s",
    ):
        assert "in force is fixed" in refused_by_database(statement, book.pk)
    for table in ("priceitem", "tierdiscount", "freightrate", "taxrate"):
        said = refused_by_database(f"DELETE FROM quotes_{table} WHERE book_id = %s", book.pk)  # noqa: S608
        assert "in a draft only" in said
    said = refused_by_database("UPDATE quotes_priceitem SET price = price / 2 WHERE book_id = %s", book.pk)
    assert "in a draft only" in said
    with transaction.atomic(), connection.cursor() as cursor:  # what the next book does
        cursor.execute("UPDATE quotes_pricebook SET valid_until = %s WHERE id = %s", (TODAY + DAY, book.pk))


def test_plain_sql_cannot_change_the_rows_of_what_is_in_review() -> None:
    book = sent()
    said = refused_by_database("UPDATE quotes_priceitem SET price = price / 2 WHERE book_id = %s", book.pk)
    assert "in a draft only" in said


def test_plain_sql_cannot_lay_one_book_over_another() -> None:
    first, other = forced(TODAY, TODAY + 5 * DAY), sent()
    said = refused_by_database(
        "UPDATE quotes_pricebook SET state = 'in_force', in_force_at = now(), valid_from = %s WHERE id = %s",
        first.valid_from + DAY,
        other.pk,
    )
    assert "price_book_no_overlap" in said


@pytest.mark.parametrize(
    ("assignment", "constraint"),
    [
        ("price = 0", "price_positive"),
        ("price = -1", "price_positive"),
        ("cost = -1", "price_positive"),
        ("code = 'strap'", "price_item_once"),
    ],
)
def test_plain_sql_cannot_make_an_item_without_a_price_or_with_two(assignment: str, constraint: str) -> None:
    draft = quotes.price_draft()
    said = refused_by_database(
        f"UPDATE quotes_priceitem SET {assignment} WHERE book_id = %s AND code = 'cutting'",  # noqa: S608
        draft.pk,
    )
    assert constraint in said


@pytest.mark.parametrize(
    ("assignment", "constraint"),
    [
        ("state = 'gone'", "price_book_state_listed"),
        ("state = 'review'", "price_book_review_has_note"),
        ("state = 'in_force'", "price_book_in_force_since"),
        ("valid_until = valid_from - 1", "price_book_ends_after"),
        ("discount_limit = 1", "discount_limits_are_shares"),
        ("line_discount_limit = -0.1", "discount_limits_are_shares"),
    ],
)
def test_plain_sql_cannot_make_a_book_that_cannot_be(assignment: str, constraint: str) -> None:
    draft = quotes.price_draft()
    statement = f"UPDATE quotes_pricebook SET {assignment} WHERE id = %s"  # noqa: S608
    assert constraint in refused_by_database(statement, draft.pk)
