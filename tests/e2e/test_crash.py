"""A killed worker and a flushed broker lose nothing and double nothing (B1-B3): exactly one stored paper each."""

from pathlib import Path

import pytest
from kombu import Connection

from framing.common.models import OutboxEntry, StoredPaper
from framing.config.celery import app
from framing.config.embedded import broker_url
from quotes.models import QuoteRevision
from tests.e2e.stack import Stack, own_broker, wait_for
from tests.factories import quotes

pytestmark = [pytest.mark.e2e, pytest.mark.django_db(transaction=True)]


def hint(entry: OutboxEntry) -> None:
    """What a web process tells the broker after commit."""
    with Connection(broker_url(own_broker())) as connection:
        app.send_task("framing.common.tasks.outbox_run", (entry.pk,), connection=connection)


def paper_work(revision: QuoteRevision) -> OutboxEntry:
    return OutboxEntry.objects.get(kind="quote_paper", key=str(revision.pk))


def fresh(entry: OutboxEntry) -> OutboxEntry:
    entry.refresh_from_db()
    return entry


def assert_exactly_one_paper(stack: Stack, revision: QuoteRevision) -> None:
    paper = StoredPaper.objects.get(kind="quote", subject_id=revision.pk)
    files = list(Path(stack.papers).rglob("*.pdf"))
    assert [path.stem for path in files] == [paper.sha256]
    assert files[0].read_bytes().startswith(b"%PDF-")
    assert files[0].stat().st_size == paper.size


def test_a_worker_killed_in_the_middle_of_a_render_leaves_exactly_one_paper(stack: Stack) -> None:
    revision = quotes.issued()
    entry = paper_work(revision)
    for attempt in (1, 2):
        stack.start("worker")
        hint(entry)
        wait_for("the render to begin", lambda n=attempt: fresh(entry).attempts == n, pause_s=0.005)
        stack.kill("worker")
        assert fresh(entry).state == "started", "the render ended before the kill; nothing was tested"
        assert not StoredPaper.objects.exists()
    stack.start("worker")
    stack.start("beat")  # nobody hints a third time: the sweep must find the row
    wait_for("the paper", lambda: fresh(entry).state == "done")
    assert entry.attempts == 3
    assert_exactly_one_paper(stack, revision)


def test_a_flushed_broker_costs_no_paper(stack: Stack) -> None:
    revision = quotes.issued()
    entry = paper_work(revision)
    hint(entry)
    hint(entry)
    stack.flush_broker()
    stack.start("worker")
    stack.start("beat")
    wait_for("the paper", lambda: fresh(entry).state == "done")
    assert entry.attempts == 1
    assert_exactly_one_paper(stack, revision)


def test_one_paper_asked_for_many_times_is_stored_once(stack: Stack) -> None:
    revision = quotes.issued()
    entry = paper_work(revision)
    for _ in range(10):
        hint(entry)
    stack.start("worker")
    wait_for("the paper", lambda: fresh(entry).state == "done")
    hint(entry)
    assert entry.attempts == 1
    assert_exactly_one_paper(stack, revision)
