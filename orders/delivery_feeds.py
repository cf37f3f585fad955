"""Deliveries as a calendar (RFC 5545, published as RFC 5546 has it): of one truck, or of one builder.

Times are the site's own clock. What no longer comes is told as cancelled, on the day on which it was told before.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from django.db.models import Prefetch, QuerySet
from icalendar import Calendar, Event, vCalAddress

from framing.common.company import company
from framing.common.errors import NotThere
from framing.common.models import AccessLink
from framing.common.zones import day_words
from framing.projects.models import Builder
from orders.delivery_zones import zone_part
from orders.models import Delivery, Truck, TruckLoad
from orders.selectors import delivery_list
from orders.states import OrderStage

DAYS_BACK: Final = 60
EVENTS_MOST: Final = 1000
REFRESH: Final = timedelta(hours=1)
PRODUCT: Final = "-//Spanyard//Deliveries//EN"
Subject = Truck | Builder


@dataclass(frozen=True, slots=True)
class Feed:
    """What an address answers with."""

    data: bytes
    etag: str
    changed_at: datetime


@dataclass(frozen=True, slots=True)
class Told:
    """One delivery as a calendar tells it; `gone`: it does not come, or no longer with this truck."""

    delivery: Delivery
    uid: str
    day: date
    window_from: time | None
    window_to: time | None
    gone: bool
    words: str

    @property
    def facts(self) -> str:
        """Hash of all that is told."""
        return hashlib.sha256(_event(self).to_ical()).hexdigest()


@dataclass(frozen=True, slots=True)
class Stamped:
    """What is told, with its number among the versions of it, and since when it is so."""

    told: Told
    sequence: int
    changed_at: datetime


def feed_subject(link: AccessLink) -> Subject:
    """The truck or builder whose calendar a link opens, locked. Raises NotThere."""
    for model in (Truck, Builder):
        if link.subject_type == model._meta.label_lower:
            rows = model.objects.select_for_update(no_key=True)
            found: Subject | None = rows.filter(pk=link.subject_id).first()
            if found is not None:
                return found
    raise NotThere()


def deliveries_of(subject: Subject) -> QuerySet[Delivery]:
    """What a truck carries, or a builder gets, whenever; with trucks joined."""
    rows = delivery_list().select_related("order")
    if isinstance(subject, Truck):
        rows = rows.filter(pk__in=TruckLoad.objects.filter(trip__truck=subject).values("delivery"))
    else:
        rows = rows.filter(order__revision__quote__project__builder=subject)
    loads = TruckLoad.objects.select_related("trip__truck").order_by("number")
    return rows.prefetch_related(Prefetch("loads", loads))


def uid_of(subject: Subject, row: Delivery) -> str:
    """Never changes; a truck's event is another than the builder's, for each ends by itself."""
    own = f".{subject.public_id}" if isinstance(subject, Truck) else ".delivery"
    return f"{row.public_id}{own}@spanyard"


def told_of(subject: Subject, row: Delivery) -> Told:
    """A delivery that comes."""
    uid = uid_of(subject, row)
    return Told(row, uid, row.planned_for, row.window_from, row.window_to, False, _words(row))


def told_gone(
    subject: Subject, row: Delivery, day: date, window_from: time | None, window_to: time | None
) -> Told:
    """A delivery that was told for a day and window, and does not come then, or not with this truck."""
    return Told(row, uid_of(subject, row), day, window_from, window_to, True, _gone_words(row, day))


def is_cancelled(row: Delivery) -> bool:
    """Whether it does not come: dropped, or its order cancelled."""
    return row.dropped_at is not None or row.order.stage == OrderStage.CANCELLED


def feed_bytes(name: str, lines: Sequence[Stamped]) -> bytes:
    """A calendar of deliveries; equal lines give equal bytes."""
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    organizer = _organizer()
    if organizer is not None:
        calendar.add("method", "PUBLISH")  # which asks for an organizer
    calendar.add("name", name)
    calendar.add("refresh-interval", REFRESH, parameters={"VALUE": "DURATION"})
    for zone, first, last in _zone_years(lines):
        calendar.add_component(zone_part(zone, first - 1, last + 1))
    for line in lines:
        calendar.add_component(_stamped(line, organizer))
    data: bytes = calendar.to_ical()
    return data


def _zone_years(lines: Sequence[Stamped]) -> list[tuple[str, int, int]]:
    """The zones that windows are told in, by name, with the first and last year of them."""
    years: dict[str, list[int]] = {}
    for line in lines:
        if line.told.window_from is not None and (zone := _zone(line.told)) != "UTC":
            years.setdefault(zone, []).append(line.told.day.year)
    return [(zone, min(found), max(found)) for zone, found in sorted(years.items())]


def _zone(told: Told) -> str:
    name: str = told.delivery.order.revision.quote.project.site.time_zone
    return name


def _organizer() -> vCalAddress | None:
    firm = company()
    if not firm.email:
        return None
    found = vCalAddress(f"mailto:{firm.email}")
    found.params["CN"] = firm.name
    return found


def _stamped(line: Stamped, organizer: vCalAddress | None) -> Event:
    """An event with its number and times. SEQUENCE grows with whatever is told otherwise."""
    event = _event(line.told)
    event.add("sequence", line.sequence)
    event.add("dtstamp", line.changed_at.astimezone(UTC))
    event.add("last-modified", line.changed_at.astimezone(UTC))
    if organizer is not None:
        event.add("organizer", organizer)
    return event


def _event(told: Told) -> Event:
    project = told.delivery.order.revision.quote.project
    event = Event()
    event.add("uid", told.uid)
    event.add("summary", f"{'Cancelled: ' if told.gone else ''}{told.delivery.number} {project.name}")
    event.add("location", str(project.site))
    event.add("description", told.words)
    event.add("status", _status(told))
    if told.window_from is None or told.window_to is None:
        event.add("dtstart", told.day)
        event.add("dtend", told.day + timedelta(days=1))
    else:
        zone = ZoneInfo(_zone(told))
        event.add("dtstart", datetime.combine(told.day, told.window_from, zone))
        event.add("dtend", datetime.combine(told.day, told.window_to, zone))
    if told.gone or told.window_from is None:
        event.add("transp", "TRANSPARENT")
    return event


def _status(told: Told) -> str:
    if told.gone:
        return "CANCELLED"
    return "TENTATIVE" if told.delivery.order.stage == OrderStage.HELD else "CONFIRMED"


def _words(row: Delivery) -> str:
    lifts = f", lifts {row.gear_limit_lb:,} lb" if row.gear_limit_lb else ""
    lines = [
        *(["Held: ask before you go."] if row.order.stage == OrderStage.HELD else []),
        _order_words(row),
        f"Contact: {', '.join(filter(None, [row.contact, row.phone]))}",
        f"Unloads with: {row.get_gear_display()}{lifts}",
        *(f"{_truck(load)}, {load.weight_lb:,.0f} lb" for load in row.loads.all()),
        *([row.notes] if row.notes else []),
    ]
    return "\n".join(lines)


def _gone_words(row: Delivery, day: date) -> str:
    if row.order.stage == OrderStage.CANCELLED:
        why = "The order is cancelled: nothing comes."
    elif row.dropped_at is not None:
        why = "This delivery was dropped: nothing comes."
    elif row.planned_for != day:
        why = f"It goes on {day_words(row.planned_for)} now, and no longer with this truck."
    else:
        why = "It no longer goes with this truck."
    return f"{why}\n{_order_words(row)}"


def _order_words(row: Delivery) -> str:
    return f"Order {row.order.number}, {row.order.revision.quote.project.builder.name}"


def _truck(load: TruckLoad) -> str:
    if load.trip is None:
        return f"Truck {load.number}, not named yet"
    return load.trip.truck_name or f"Truck {load.number}"
