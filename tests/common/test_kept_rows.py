"""Rows copied within a run are those that were told, and what comes after them has numbers of its own."""

import pytest
from django.core.cache import cache
from django.db import connection, transaction

from framing.projects.models import Floor
from tests.common.kept_rows import tell_or_copy
from tests.factories import projects


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
