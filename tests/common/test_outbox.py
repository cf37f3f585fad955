"""Work is a row: done once, found by the sweep, parked after three tries (B2, B3, B10)."""

from collections.abc import Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from typing import Any

import pytest
from django.db import connections, transaction

from framing.common import outbox
from framing.common.models import NumberSeries, OutboxEntry
from framing.common.outbox import outbox_add, outbox_handler, outbox_retry, outbox_run
from framing.common.tasks import outbox_sweep


def count(payload: Mapping[str, Any]) -> None:
    row, _ = NumberSeries.objects.get_or_create(series="W", year=2026)
    row.last += 1
    row.save()
    if payload.get("fail"):
        raise RuntimeError("the paper ran out")


@pytest.fixture(autouse=True)
def handler() -> Iterator[None]:
    outbox_handler("count")(count)
    yield
    del outbox._handlers["count"]


def counted() -> int:
    row = NumberSeries.objects.filter(series="W").first()
    return row.last if row else 0


@pytest.mark.django_db
def test_equal_work_is_asked_for_and_done_once() -> None:
    first, second = outbox_add("count", "1", {}), outbox_add("count", "1", {})
    assert first == second
    assert [outbox_run(first.pk), outbox_run(first.pk)] == [True, False]
    assert counted() == 1
    first.refresh_from_db()
    assert (first.state, first.attempts) == ("done", 1)


@pytest.mark.django_db(transaction=True)
def test_work_of_a_rolled_back_act_is_never_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    hints: list[int] = []
    monkeypatch.setattr(outbox, "_hint", hints.append)
    with suppress(RuntimeError), transaction.atomic():
        outbox_add("count", "1", {})
        raise RuntimeError
    assert (OutboxEntry.objects.count(), hints) == (0, [])
    entry = outbox_add("count", "2", {})
    assert hints == [entry.pk]


@pytest.mark.django_db(transaction=True)
def test_a_dead_broker_costs_the_hint_only() -> None:
    """The test settings name a broker that nobody serves; the sweep does the work."""
    with transaction.atomic():
        entry = outbox_add("count", "1", {})
    outbox_sweep()
    entry.refresh_from_db()
    assert (entry.state, counted()) == ("done", 1)


@pytest.mark.django_db
def test_failing_work_leaves_nothing_and_is_parked_after_three_tries() -> None:
    good, bad = outbox_add("count", "good", {}), outbox_add("count", "bad", {"fail": True})
    for _ in range(5):
        outbox_sweep()
    good.refresh_from_db()
    bad.refresh_from_db()
    assert counted() == 1
    assert (good.state, bad.state, bad.attempts) == ("done", "parked", 3)
    assert bad.error == "RuntimeError: the paper ran out"
    outbox_retry(bad)
    bad.refresh_from_db()
    assert (bad.state, bad.attempts) == ("started", 0)


@pytest.mark.django_db
def test_work_that_kills_its_worker_is_parked_before_a_fourth_try() -> None:
    entry = outbox_add("count", "1", {})
    OutboxEntry.objects.filter(pk=entry.pk).update(attempts=3)  # three workers died without a word
    assert not outbox_run(entry.pk)
    entry.refresh_from_db()
    assert entry.state == "parked"
    assert "3 tries" in entry.error
    assert counted() == 0


@pytest.mark.django_db(transaction=True)
def test_one_entry_delivered_many_times_at_once_is_done_once() -> None:
    entry = outbox_add("count", "1", {})

    def deliver(_: int) -> bool:
        try:
            return outbox_run(entry.pk)
        finally:
            connections.close_all()

    with ThreadPoolExecutor(8) as pool:
        done = list(pool.map(deliver, range(24)))
    assert done.count(True) == 1
    assert counted() == 1
