"""Deliveries as a calendar (RFC 5545): of one truck, or of one builder. Times are the site's own clock."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from django.db.models import Max, Prefetch
from icalendar import Calendar, Event

from framing.common.errors import NotThere
from framing.common.models import AccessLink
from framing.common.zones import day_in
from framing.projects.models import Builder
from orders.models import Delivery, LoadPlan, Trip, TripChange, Truck, TruckLoad
from orders.selectors import delivery_list
from orders.states import OrderStage

DAYS_BACK: Final = 60
EVENTS_MOST: Final = 1000
ZONE_YEARS: Final = 3
PRODUCT: Final = "-//Spanyard//Deliveries//EN"


@dataclass(frozen=True, slots=True)
class Feed:
    """What an address answers with."""

    data: bytes
    etag: str
    changed_at: datetime


def feed_of(link: AccessLink, at: datetime) -> Feed:
    """The calendar that a link opens. Raises NotThere for a link to neither a truck nor a builder."""
    if link.subject_type == Truck._meta.label_lower:
        truck = Truck.objects.filter(pk=link.subject_id).first()
        name = truck.name if truck else ""
        rows = delivery_list().filter(loads__trip__truck=truck).distinct() if truck else None
    elif link.subject_type == Builder._meta.label_lower:
        builder = Builder.objects.filter(pk=link.subject_id).first()
        name = builder.name if builder else ""
        rows = delivery_list().filter(order__revision__quote__project__builder=builder) if builder else None
    else:
        rows = None
    if rows is None:
        raise NotThere()
    since = day_in(at, "UTC") - timedelta(days=DAYS_BACK)
    loads = TruckLoad.objects.select_related("trip__truck").order_by("number")
    chosen = rows.filter(planned_for__gte=since).order_by("-planned_for", "-id").select_related("order")
    found = sorted(
        chosen.prefetch_related(Prefetch("loads", loads))[:EVENTS_MOST],
        key=lambda row: (row.planned_for, row.pk),
    )
    data = calendar_bytes(f"Deliveries: {name}", found)
    return Feed(data, f'"{hashlib.sha256(data).hexdigest()[:32]}"', _changed_at(link, found))


def _changed_at(link: AccessLink, rows: list[Delivery]) -> datetime:
    """When any of it changed last: a delivery, its order's stage, or the trucks of a day."""
    orders = {row.order_id for row in rows}
    others = (
        TripChange.objects.aggregate(at=Max("at"))["at"],
        LoadPlan.objects.aggregate(at=Max("ended_at"))["at"],
        Trip.objects.aggregate(at=Max("left_at"))["at"],
        Delivery.objects.filter(order__in=orders).aggregate(at=Max("order__moves__at"))["at"],
    )
    times: list[datetime] = [link.created_at, *(row.changed_at for row in rows)]
    latest: datetime = max([*times, *(at for at in others if at is not None)])
    return latest


def calendar_bytes(name: str, rows: list[Delivery]) -> bytes:
    """A calendar of deliveries; equal rows give equal bytes."""
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", "PUBLISH")
    calendar.add("name", name)
    for row in rows:
        calendar.add_component(event_of(row))
    if any(row.window_from for row in rows):
        days = [row.planned_for for row in rows]
        calendar.add_missing_timezones(
            first_date=date(min(days).year - 1, 1, 1), last_date=date(max(days).year + ZONE_YEARS, 1, 1)
        )
    data: bytes = calendar.to_ical()
    return data


def event_of(row: Delivery) -> Event:
    """One delivery. Its UID never changes; SEQUENCE grows with each change up to loading."""
    project = row.order.revision.quote.project
    event = Event()
    event.add("uid", f"{row.public_id}.delivery@spanyard")
    event.add("sequence", row.edition)
    event.add("dtstamp", row.changed_at.astimezone(UTC))
    event.add("last-modified", row.changed_at.astimezone(UTC))
    event.add("summary", f"{row.number} {project.name}")
    event.add("location", str(project.site))
    event.add("description", _words(row))
    event.add("status", "CANCELLED" if is_cancelled(row) else "CONFIRMED")
    zone = ZoneInfo(project.site.time_zone)
    if row.window_from is None or row.window_to is None:
        event.add("dtstart", row.planned_for)
        event.add("dtend", row.planned_for + timedelta(days=1))
        event.add("transp", "TRANSPARENT")
    else:
        event.add("dtstart", datetime.combine(row.planned_for, row.window_from, zone))
        event.add("dtend", datetime.combine(row.planned_for, row.window_to, zone))
    return event


def is_cancelled(row: Delivery) -> bool:
    """Whether it does not come: dropped, or its order cancelled."""
    return row.dropped_at is not None or row.order.stage == OrderStage.CANCELLED


def _words(row: Delivery) -> str:
    lifts = f", lifts {row.gear_limit_lb:,} lb" if row.gear_limit_lb else ""
    lines = [
        f"Order {row.order.number}, {row.order.revision.quote.project.builder.name}",
        f"Contact: {', '.join(filter(None, [row.contact, row.phone]))}",
        f"Unloads with: {row.get_gear_display()}{lifts}",
        *(f"{_truck(load)}, {load.weight_lb:,.0f} lb" for load in row.loads.all()),
    ]
    if row.order.stage == OrderStage.HELD:
        lines.insert(0, "Held: ask before you go.")
    if row.notes:
        lines.append(row.notes)
    return "\n".join(lines)


def _truck(load: TruckLoad) -> str:
    if load.trip is None:
        return f"Truck {load.number}, not named yet"
    return load.trip.truck.name if load.trip.truck else load.trip.truck_words or f"Truck {load.number}"
