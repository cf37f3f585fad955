"""What a calendar tells each time it is read, kept so that a later reading can take it back."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from datetime import UTC, datetime, timedelta
from typing import Final

from django.db import transaction
from django.db.models import Q

from framing.common.models import AccessLink
from framing.common.zones import day_begins, day_in
from orders.delivery_feeds import (
    DAYS_BACK,
    EVENTS_MOST,
    Feed,
    Stamped,
    Subject,
    Told,
    deliveries_of,
    feed_bytes,
    feed_subject,
    is_cancelled,
    told_gone,
    told_of,
)
from orders.models import CalendarEntry, Delivery, Truck
from orders.selectors import delivery_list

GONE_DAYS: Final = 30
"""How long what no longer comes is told as cancelled."""
_FIELDS: Final = ("sequence", "facts", "day", "window_from", "window_to", "changed_at", "gone_at")


def feed_read(*, link: AccessLink, at: datetime) -> Feed:
    """The calendar that a link opens, as it is now; what it tells is kept.

    What was told and no longer comes stays as a cancelled event for 30 days: dropped, its order cancelled, or moved
    off the truck. What was never told is not taken back either.

    Raises NotThere for a link to neither a truck nor a builder.
    """
    with transaction.atomic():
        subject = feed_subject(link)  # its lock: two readers at once tell the same
        since = day_in(at, "UTC") - timedelta(days=DAYS_BACK)
        chosen = deliveries_of(subject).filter(planned_for__gte=since).order_by("-planned_for", "-id")
        rows = {row.pk: row for row in chosen[:EVENTS_MOST]}
        entries = _entries(subject, rows, at)
        lines = _lines(subject, rows, entries)
        _keep(subject, lines, entries, at)
    shown = sorted((entry.day, line.delivery.pk, line, entry) for line, entry in _shown(lines, entries, at))
    data = feed_bytes(
        f"Deliveries: {subject.name}",
        [Stamped(line, entry.sequence, entry.changed_at) for _, _, line, entry in shown],
    )
    changed = [entry.changed_at for _, _, _, entry in shown]
    midnight = day_begins(day_in(at, "UTC"), "UTC")  # then days run out
    return Feed(
        data, f'"{hashlib.sha256(data).hexdigest()[:32]}"', max([link.created_at, midnight, *changed])
    )


def _own(subject: Subject) -> Q:
    return Q(truck=subject) if isinstance(subject, Truck) else Q(builder=subject)


def _entries(subject: Subject, rows: Mapping[int, Delivery], at: datetime) -> dict[int, CalendarEntry]:
    """What was told of these deliveries, and what was told of others and may be on its way out."""
    since = day_in(at, "UTC") - timedelta(days=DAYS_BACK)
    lately = Q(gone_at=None, day__gte=since) | Q(gone_at__gt=at - timedelta(days=GONE_DAYS))
    found = CalendarEntry.objects.filter(_own(subject), Q(delivery__in=list(rows)) | lately)
    return {entry.delivery_id: entry for entry in found}


def _lines(
    subject: Subject, rows: Mapping[int, Delivery], entries: Mapping[int, CalendarEntry]
) -> list[Told]:
    lines = [told_of(subject, row) for row in rows.values() if not is_cancelled(row)]
    gone = [row for row in rows.values() if is_cancelled(row) and row.pk in entries]
    missing = [pk for pk in entries if pk not in rows]
    if missing:
        still = set(deliveries_of(subject).filter(pk__in=missing).values_list("pk", flat=True))
        away = [pk for pk in missing if pk not in still]
        gone += delivery_list().filter(pk__in=away)
    for row in gone:
        entry = entries[row.pk]
        lines.append(told_gone(subject, row, entry.day, entry.window_from, entry.window_to))
    return lines


def _keep(subject: Subject, lines: Iterable[Told], entries: dict[int, CalendarEntry], at: datetime) -> None:
    """Write what is told for the first time or otherwise than before; `entries` hold it all afterwards."""
    last = max((entry.changed_at for entry in entries.values()), default=at - timedelta(days=1))
    stamp = max(at, last + timedelta(seconds=1)).astimezone(UTC)  # readers compare whole seconds
    new, changed = [], []
    for line in lines:
        entry = entries.get(line.delivery.pk)
        facts = line.facts
        if entry is None:
            entry = CalendarEntry(delivery=line.delivery, sequence=0, **_of(subject))
            entries[line.delivery.pk] = entry
            new.append(entry)
        elif entry.facts != facts:
            changed.append(entry)
        else:
            continue
        entry.sequence = max(entry.sequence + 1, line.delivery.edition)
        entry.facts, entry.changed_at = facts, stamp
        entry.day, entry.window_from, entry.window_to = line.day, line.window_from, line.window_to
        entry.gone_at = (entry.gone_at or at) if line.gone else None
    CalendarEntry.objects.bulk_create(new)
    if changed:
        CalendarEntry.objects.bulk_update(changed, _FIELDS)


def _of(subject: Subject) -> dict[str, Subject]:
    return {"truck" if isinstance(subject, Truck) else "builder": subject}


def _shown(
    lines: Iterable[Told], entries: Mapping[int, CalendarEntry], at: datetime
) -> Iterable[tuple[Told, CalendarEntry]]:
    since = at - timedelta(days=GONE_DAYS)
    for line in lines:
        entry = entries[line.delivery.pk]
        if entry.gone_at is None or entry.gone_at > since:
            yield line, entry
