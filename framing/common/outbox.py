"""Work for the worker as rows of the database.

A service adds a row in its own transaction and gives the broker a hint after commit. The worker holds an
advisory lock of the database on the row's number for the whole run (the database drops it when the worker dies)
and runs the handler in one transaction with the row's end, so a row is done once however often it is delivered,
a killed worker leaves it waiting, and the sweep finds what no hint brought.
"""

from __future__ import annotations

import errno
import logging
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from datetime import UTC, datetime
from typing import Any

from celery import current_app
from django.db import connection, models, transaction
from django.db.models import F
from django.utils.module_loading import autodiscover_modules

from framing.common.clock import database_now
from framing.common.models import OutboxEntry
from framing.common.requests import request_id

Handler = Callable[[Mapping[str, Any]], None]
RUN_TASK = "framing.common.tasks.outbox_run"
ATTEMPTS_MOST = 3
DISK_FULL = (errno.ENOSPC, errno.EDQUOT)
SWEEP_MOST = 200
NOT_BEFORE = "not_before"  # in a payload: when its work may begin
LOCK_CLASS = 7401  # ours alone among the database's advisory locks

_handlers: dict[str, Handler] = {}
logger = logging.getLogger(__name__)


def outbox_handler(kind: str) -> Callable[[Handler], Handler]:
    """Register the handler of a kind, beside the thing it does (in an app's tasks.py)."""

    def register(handler: Handler) -> Handler:
        _handlers[kind] = handler
        return handler

    return register


def outbox_add(
    kind: str, key: str, payload: Mapping[str, Any], *, not_before: datetime | None = None
) -> OutboxEntry:
    """Ask for work in the caller's transaction. Equal (kind, key) is asked for once.

    What is asked for `not_before` a time waits for the sweep after it.
    """
    body = dict(payload) if not_before is None else {**payload, NOT_BEFORE: _stamp(not_before)}
    entry, made = OutboxEntry.objects.get_or_create(kind=kind, key=key, defaults={"payload": body})
    if made and not_before is None:
        transaction.on_commit(lambda: _hint(entry.pk), robust=True)
    return entry


def _stamp(at: datetime) -> str:
    """A time whose order is that of its letters, so that the database can compare it inside the payload."""
    return at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def _due() -> models.QuerySet[OutboxEntry]:
    """Entries neither done nor parked whose time has come."""
    at_once = models.Q(**{f"payload__{NOT_BEFORE}__isnull": True})
    come = models.Q(**{f"payload__{NOT_BEFORE}__lte": _stamp(database_now())})
    return OutboxEntry.objects.filter(at_once | come, done_at=None, parked_at=None)


def _hint(pk: int) -> None:
    try:
        current_app.send_task(RUN_TASK, (pk,), retry=False, ignore_result=True)
    except Exception:  # the broker is down: the sweep will find the row
        logger.warning("no hint sent for outbox entry %s; the sweep will run it", pk, exc_info=True)


def outbox_waiting(limit: int = SWEEP_MOST) -> list[int]:
    """Ids of entries neither done nor parked whose time has come, oldest first."""
    return list(_due().order_by("id").values_list("pk", flat=True)[:limit])


def outbox_run(pk: int) -> bool:
    """Run one entry's handler; True where this call did the work.

    The attempt is counted in a transaction of its own before the work, so that an entry that kills its worker
    is parked after three tries instead of killing the next one for ever.
    """
    token = request_id.set(f"job-{pk}")
    try:
        with _sole_runner(pk) as sole:
            return sole and _start(pk) and _finish(pk)
    finally:
        request_id.reset(token)


@contextmanager
def _sole_runner(pk: int) -> Iterator[bool]:
    """Hold the advisory lock of an entry, or tell that another worker holds it."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_try_advisory_lock(%s, %s)", [LOCK_CLASS, pk])
        (got,) = cursor.fetchone()
    try:
        yield bool(got)
    finally:
        if got:
            with connection.cursor() as cursor:
                cursor.execute("SELECT pg_advisory_unlock(%s, %s)", [LOCK_CLASS, pk])


def _waiting_entry(pk: int) -> OutboxEntry | None:
    return _due().select_for_update().filter(pk=pk).first()


def _start(pk: int) -> bool:
    """Count the attempt, or park the entry that has used up its attempts."""
    with transaction.atomic():
        entry = _waiting_entry(pk)
        if entry is None:
            return False
        if entry.attempts >= ATTEMPTS_MOST:
            entry.parked_at = database_now()
            entry.error = entry.error or f"gave up after {ATTEMPTS_MOST} tries that ended without a word"
        else:
            entry.attempts += 1
            entry.started_at = database_now()
        entry.save(update_fields=["parked_at", "error", "attempts", "started_at"])
        return entry.parked_at is None


def _finish(pk: int) -> bool:
    """Run the handler and end the entry in one transaction; a failure is noted and undoes its writes."""
    try:
        with transaction.atomic():
            entry = _waiting_entry(pk)
            if entry is None:
                return False
            _handler(entry.kind)(entry.payload)
            entry.done_at = database_now()
            entry.error = ""
            entry.save(update_fields=["done_at", "error"])
        return True
    except Exception as error:
        logger.exception("outbox entry %s failed", pk)
        _note_failure(pk, error)
        return False


def outbox_retry(entry: OutboxEntry) -> None:
    """Put a parked entry back, in the caller's transaction."""
    OutboxEntry.objects.filter(pk=entry.pk).update(parked_at=None, attempts=0, error="")
    transaction.on_commit(lambda: _hint(entry.pk), robust=True)


def _note_failure(pk: int, error: Exception) -> None:
    """Note why; park after the last attempt. A full disk is not the entry's fault: it waits until there is room."""
    rows = OutboxEntry.objects.filter(pk=pk, done_at=None, parked_at=None)
    rows.update(error=f"{type(error).__name__}: {error}"[:2000])
    if isinstance(error, OSError) and error.errno in DISK_FULL:
        rows.update(attempts=F("attempts") - 1)
    rows.filter(attempts__gte=ATTEMPTS_MOST).update(parked_at=database_now())


def _handler(kind: str) -> Handler:
    if kind not in _handlers:
        autodiscover_modules("tasks")
    return _handlers[kind]
