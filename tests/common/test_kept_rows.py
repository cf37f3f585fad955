"""Rows copied within a run or put again are those that were made; what comes after them has numbers of its own."""

from typing import Any

import pytest
from django.core.cache import cache
from django.db import ProgrammingError, connection, transaction

from framing.common.models import User
from framing.projects.models import Floor
from orders.models import Order
from quotes.models import Quote, QuoteRevision
from tests.common.kept_rows import tell_or_copy
from tests.factories import orders, people, projects, quotes


def rows() -> dict[str, list[str]]:
    with connection.cursor() as cursor:
        found = {}
        for table in connection.introspection.table_names(cursor):
            cursor.execute(f"SELECT t::text FROM {connection.ops.quote_name(table)} t ORDER BY 1")  # noqa: S608
            found[table] = [row for (row,) in cursor.fetchall()]
        return found


@pytest.mark.django_db
def test_a_copy_is_what_was_told(tmp_path_factory: pytest.TempPathFactory) -> None:
    with transaction.atomic():
        tell_or_copy("a floor", tmp_path_factory, projects.floor)
        told, floor = rows(), Floor.objects.get()
        transaction.set_rollback(True)
    assert not Floor.objects.exists()
    tell_or_copy("a floor", tmp_path_factory, lambda: pytest.fail("told twice"))
    assert rows() == told
    assert Floor.objects.get() == floor
    assert projects.floor().pk > floor.pk


@pytest.mark.django_db
def test_what_a_browser_test_left_in_the_cache_is_in_nobodys_way(
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    with transaction.atomic():
        cache.set("left", 1)
        tell_or_copy("a floor beside it", tmp_path_factory, projects.floor)
        transaction.set_rollback(True)
    cache.set("left", 2)
    tell_or_copy("a floor beside it", tmp_path_factory, lambda: pytest.fail("told twice"))
    assert Floor.objects.count() == 1
    assert cache.get("left") == 2


def told_of(order: Order) -> tuple[Any, ...]:
    """What a making of the same order says again, whatever its keys are."""
    revision = order.revision
    return (
        order.stage, order.deliver_on, revision.total, revision.result["package"]["loads"],
        list(revision.lines.order_by("position").values_list("code", "quantity", "extension")),
        list(order.bundles.order_by("number").values_list("number", "length_16", "weight_lb")),
        list(order.pieces.order_by("pk").values_list("mark", "bundle__number", "length_16")),
        list(order.moves.order_by("pk").values_list("to_stage", "at")),
        {table: len(found) for table, found in rows().items() if found},
    )  # fmt: skip


@pytest.mark.django_db
def test_what_is_put_again_is_what_the_services_make() -> None:
    with transaction.atomic():
        made = told_of(orders.fresh(orders.bundled.__wrapped__()))  # type: ignore[attr-defined]
        transaction.set_rollback(True)
    put = orders.bundled()
    assert told_of(orders.fresh(put)) == made
    assert told_of(put) == made, "also as it was handed over"


@pytest.mark.django_db
def test_a_second_one_is_made_with_numbers_of_its_own() -> None:
    one, two = orders.booked(), orders.booked()
    assert one.pk != two.pk
    assert one.number != two.number
    assert Quote.objects.count() == 2


@pytest.mark.django_db
def test_what_was_there_before_is_in_nobodys_way() -> None:
    planner = people.user("planner")
    order = orders.approved()
    quotes.draft()
    assert orders.fresh(order).stage == order.stage
    assert User.objects.filter(pk=planner.pk, role="planner").exists()
    assert Quote.objects.count() == 2


@pytest.mark.django_db
def test_what_is_put_is_guarded_as_what_is_made() -> None:
    revision = quotes.issued()
    with pytest.raises(ProgrammingError, match="issued revision"), transaction.atomic():
        QuoteRevision.objects.filter(pk=revision.pk).update(total=1)
