"""Disk full at any byte, killed between file and commit: never half a paper, never a row without its file (B4)."""

from __future__ import annotations

import io
import os
import signal
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from hashlib import sha256
from itertools import count
from pathlib import Path
from random import Random
from threading import Barrier
from typing import Any

import pytest
from django.core.management import call_command
from django.db import connection, transaction

from framing.common.clock import database_now
from framing.common.documents import RenderedPaper
from framing.common.models import OutboxEntry, StoredPaper
from framing.common.outbox import ATTEMPTS_MOST, outbox_run, outbox_waiting
from framing.common.papers import paper_bytes, paper_get, paper_store, papers_sweep, write_bytes
from framing.common.tasks import papers_sweep_task
from quotes import tasks as quote_tasks
from tests.factories import people, quotes

CHECKOUT = Path(__file__).resolve().parents[2]
TWO_HOURS = 7200


@pytest.fixture
def store(settings: Any, tmp_path: Path) -> Path:
    settings.PAPERS_DIR = tmp_path
    return tmp_path


@pytest.fixture
def short_paper(monkeypatch: pytest.MonkeyPatch) -> bytes:
    """A quote's paper that takes no time to render."""
    data = b"%PDF-1.7 " + b"x" * 20_000
    monkeypatch.setattr(quote_tasks, "render_quote", lambda _: RenderedPaper(data, 1))
    return data


def files(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.rglob("*") if path.is_file())


def age(folder: Path, seconds: float = TWO_HOURS) -> None:
    """Make every file look older."""
    for path in folder.rglob("*"):
        if path.is_file():
            moment = path.stat().st_mtime - seconds
            os.utime(path, (moment, moment))


@pytest.mark.django_db(transaction=True)
def test_twenty_renders_of_one_revision_store_one_paper(store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each render has bytes of its own; whoever is first is stored, and that is what everybody reads for good."""
    revision = quotes.issued()
    entry = OutboxEntry.objects.get(kind="quote_paper")
    gate, numbers = Barrier(20), count()

    def render(_: object) -> RenderedPaper:
        gate.wait(30)  # all have seen that there is no paper yet
        return RenderedPaper(b"%PDF-1.7 " + str(next(numbers)).encode(), 1)

    monkeypatch.setattr(quote_tasks, "render_quote", render)

    def run(_: int) -> str:
        try:
            quote_tasks.quote_paper(entry.payload)
            return paper_bytes(paper_get("quote", revision)).decode()
        finally:
            connection.close()

    with ThreadPoolExecutor(20) as pool:
        read = set(pool.map(run, range(20)))
    assert len(read) == 1
    stored = StoredPaper.objects.get()
    assert paper_bytes(stored).decode() == read.pop()
    assert sha256(paper_bytes(stored)).hexdigest() == stored.sha256


class FullDisk(io.FileIO):
    """A file on a disk with room for so many bytes more; what fits is written, as a real disk does."""

    room = 0

    def write(self, data: Any) -> int:
        fits = bytes(data)[: self.room]
        super().write(fits)
        type(self).room -= len(fits)
        if len(fits) < len(data):
            raise OSError(28, "No space left on device")
        return len(fits)


@pytest.fixture
def full_disk(monkeypatch: pytest.MonkeyPatch) -> Any:
    """Call it with the bytes of room; `undo` makes room again."""
    plain = os.fdopen

    def fill(room: int) -> None:
        monkeypatch.setattr(FullDisk, "room", room)
        monkeypatch.setattr(os, "fdopen", lambda handle, mode: FullDisk(handle, mode.replace("b", "")))

    fill.undo = lambda: monkeypatch.setattr(os, "fdopen", plain)  # type: ignore[attr-defined]
    return fill


@pytest.mark.django_db
def test_a_disk_full_at_any_byte_leaves_nothing(store: Path, full_disk: Any, scale: float) -> None:
    rng = Random("disk full")  # noqa: S311
    subject = people.user()
    for number in range(int(100 * scale) + 10):
        data = rng.randbytes(rng.randrange(1, 60_000))
        full_disk(rng.randrange(len(data)))
        with pytest.raises(OSError, match="No space"), transaction.atomic():
            paper_store("quote", subject, data=data, pages=1, file_name=f"q{number}.pdf")
        assert files(store) == []
        assert StoredPaper.objects.count() == 0
    full_disk(10**9)
    assert paper_bytes(paper_store("quote", subject, data=data, pages=1, file_name="q.pdf")) == data


@pytest.mark.django_db
def test_a_paper_waits_for_room_and_then_comes_by_itself(
    store: Path, full_disk: Any, short_paper: bytes
) -> None:
    revision = quotes.issued()
    entry = OutboxEntry.objects.get(kind="quote_paper", payload={"revision": revision.pk})
    full_disk(1000)
    for _ in range(ATTEMPTS_MOST + 2):
        assert outbox_run(entry.pk) is False
    entry.refresh_from_db()
    assert (entry.state, files(store), StoredPaper.objects.count()) == ("started", [], 0)
    assert "No space left" in entry.error
    assert entry.pk in outbox_waiting()
    full_disk.undo()
    assert outbox_run(entry.pk) is True
    assert paper_bytes(StoredPaper.objects.get()) == short_paper
    entry.refresh_from_db()
    assert (entry.state, entry.error) == ("done", "")


@pytest.mark.django_db
def test_other_faults_still_park_an_entry(
    store: Path, monkeypatch: pytest.MonkeyPatch, short_paper: bytes
) -> None:
    def broken(*_: Any) -> None:
        raise OSError(5, "Input/output error")

    entry = OutboxEntry.objects.get(kind="quote_paper", payload={"revision": quotes.issued().pk})
    monkeypatch.setattr(os, "fsync", broken)
    for _ in range(ATTEMPTS_MOST):
        outbox_run(entry.pk)
    entry.refresh_from_db()
    assert (entry.state, files(store), StoredPaper.objects.count()) == ("parked", [], 0)


KILLED = """
import os, signal, sys
import django
django.setup()
from django.conf import settings
from pathlib import Path
settings.PAPERS_DIR = Path(sys.argv[1])
from framing.common import papers
from framing.common.models import StoredPaper, User
from django.db import transaction
step = sys.argv[2]
die = lambda *a, **k: os.kill(os.getpid(), signal.SIGKILL)
if step == "before the rename":
    os.fsync = die
with transaction.atomic():
    subject = User.objects.get(pk=int(sys.argv[3]))
    if step == "before the row":
        StoredPaper.objects.create = die
    papers.paper_store("quote", subject, data=b"%PDF-killed", pages=1, file_name="q.pdf")
    die()
"""


def killed(store: Path, step: str, subject: int) -> None:
    """Run a writer of its own on this database and kill it at a step."""
    known = connection.settings_dict
    url = f"postgres://{known['USER']}:{known['PASSWORD']}@/{known['NAME']}"
    given = os.environ | {
        "DJANGO_SETTINGS_MODULE": "framing.config.settings.test", "DATABASE_URL": url, "PGHOST": str(known["HOST"]),
        "PGPORT": str(known["PORT"] or 5432),
    }  # fmt: skip
    done = subprocess.run(
        [sys.executable, "-c", KILLED, str(store), step, str(subject)],
        env=given, cwd=CHECKOUT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == -signal.SIGKILL, done.stderr


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("step", ["before the rename", "before the row", "before the commit"])
def test_a_killed_writer_leaves_no_row_and_its_file_is_swept(store: Path, step: str) -> None:
    subject = people.user()
    killed(store, step, subject.pk)
    assert StoredPaper.objects.count() == 0
    left = files(store)
    assert len(left) == 1
    assert left[0].startswith(".part-") == (step == "before the rename")
    assert papers_sweep(database_now()) == [], "too young: its writer may live"
    age(store)
    assert papers_sweep(database_now()) == left
    assert files(store) == []
    paper = paper_store("quote", subject, data=b"%PDF-killed", pages=1, file_name="q.pdf")
    assert paper_bytes(paper) == b"%PDF-killed"


@pytest.mark.django_db
def test_the_sweep_keeps_papers_and_what_is_not_its_own(store: Path) -> None:
    paper = paper_store("quote", people.user(), data=b"%PDF-one", pages=1, file_name="q.pdf")
    write_bytes(b"%PDF-orphan")
    (store / "readme.txt").write_text("kept")
    (store / paper.sha256[:2] / "notes.txt").write_text("kept")
    age(store)
    write_bytes(b"%PDF-young orphan")
    (removed,) = papers_sweep(database_now())
    assert removed not in files(store)
    assert len(files(store)) == 4
    assert paper_bytes(paper) == b"%PDF-one"


@pytest.mark.django_db
def test_the_sweep_runs_as_a_command_and_by_the_hour(
    store: Path, capsys: pytest.CaptureFixture[str], settings: Any
) -> None:
    orphan = write_bytes(b"%PDF-orphan")
    age(store)
    call_command("sweep_papers")
    assert capsys.readouterr().out.split("\n")[:2] == [f"{orphan}.pdf", "1 removed"]
    write_bytes(b"%PDF-orphan")
    age(store)
    papers_sweep_task()
    assert files(store) == []
    assert settings.CELERY_BEAT_SCHEDULE["papers"]["task"] == papers_sweep_task.name


@pytest.mark.django_db(transaction=True)
def test_the_sweep_waits_for_a_writer_between_file_and_row(store: Path) -> None:
    """An old orphan of equal bytes: the writer takes it over, and the sweep may not take it away."""
    from concurrent.futures import ThreadPoolExecutor

    subject = people.user()

    def sweep() -> list[str]:
        try:
            return papers_sweep(database_now())
        finally:
            connection.close()

    with ThreadPoolExecutor(1) as pool:
        with transaction.atomic():
            paper = paper_store("quote", subject, data=b"%PDF-one", pages=1, file_name="q.pdf")
            age(store, seconds=timedelta(hours=3).total_seconds())
            waiting = pool.submit(sweep)
            while not waits_for_lock():
                assert not waiting.done()
        assert waiting.result(30) == []
    assert paper_bytes(paper) == b"%PDF-one"


def waits_for_lock() -> bool:
    with connection.cursor() as cursor:
        cursor.execute("SELECT count(*) FROM pg_locks WHERE locktype = 'advisory' AND NOT granted")
        return bool(cursor.fetchone()[0])
