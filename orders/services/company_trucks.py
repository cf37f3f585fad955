"""The company's trucks: entered, changed, retired (R47). Axle loads and overhang are the driver's and local law's."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, Refused
from framing.common.zones import company_day, day_words
from framing.engine.errors import LengthUnreadable
from framing.engine.units import parse_length
from orders.models import Trip, Truck
from orders.services.delivery_typed import read_short, read_words

NAME_MOST = 80
PLATE_MOST = 20
TIERS_MOST = 20
PAYLOAD_MOST_LB = 150_000
FOOT_16 = 192
MOST_16 = {"deck_length": 80 * FOOT_16, "deck_width": 12 * FOOT_16, "stack_height": 14 * FOOT_16}
TITLES = {"deck_length": "deck length", "deck_width": "deck width", "stack_height": "stack height"}


def truck_save(
    *,
    actor: Actor,
    at: datetime,
    truck: Truck | None,
    name: str,
    deck_length: str,
    deck_width: str,
    stack_height: str,
    tiers: int,
    payload_lb: int,
    plate: str = "",
) -> Truck:
    """Enter a truck, or change one. Lengths are read as people type them (R50); trips planned by then keep theirs.

    Raises Refused at the field that does not hold.
    """
    with transaction.atomic():
        require(actor, "truck", "change")
        row = Truck() if truck is None else Truck.objects.select_for_update().get(pk=truck.pk)
        was = _facts(row) if truck else {}
        row.name = read_words(name, "name", "Name the truck, as people call it in the yard.", NAME_MOST)
        row.plate = read_short(plate, "plate", PLATE_MOST)
        row.deck_length_16 = _length(deck_length, "deck_length")
        row.deck_width_16 = _length(deck_width, "deck_width")
        row.stack_height_16 = _length(stack_height, "stack_height")
        row.tiers = _count(tiers, "tiers", TIERS_MOST, "tiers")
        row.payload_lb = _count(payload_lb, "payload_lb", PAYLOAD_MOST_LB, "lb")
        _save(row)
        change = {key: [was.get(key), now] for key, now in _facts(row).items() if was.get(key) != now}
        if change:
            audit_record(actor, "truck_change" if truck else "truck_make", row, at=at, change=change)
    return row


def _facts(row: Truck) -> dict[str, Any]:
    names = ("name", "plate", "deck_length_16", "deck_width_16", "stack_height_16", "tiers", "payload_lb")
    return {name: getattr(row, name) for name in names}


def _save(row: Truck) -> None:
    try:
        with transaction.atomic():
            row.save()
    except IntegrityError as error:
        if "name" not in str(error):
            raise
        raise Refused(f"Another truck is called {row.name}; tell them apart.", field="name") from error


def _length(text: str, field: str) -> int:
    try:
        found = parse_length(text, "imperial")
    except LengthUnreadable as error:
        raise Refused(str(error), field=field) from error
    if not 0 < found <= MOST_16[field]:
        raise Refused(
            f"A {TITLES[field]} is over nothing and at most {MOST_16[field] // FOOT_16} ft; look at the unit.",
            field=field,
        )
    return found


def _count(value: int, field: str, most: int, unit: str) -> int:
    if not 1 <= value <= most:
        raise Refused(f"1 to {most:,} {unit}, not {value:,}.", field=field)
    return value


def truck_retire(*, actor: Actor, at: datetime, truck: Truck, active: bool) -> Truck:
    """Take a truck out of use, or into it again; a second time changes nothing. Past trips keep its name.

    Raises Clash where a trip from today on is planned with it.
    """
    with transaction.atomic():
        require(actor, "truck", "change")
        row = Truck.objects.select_for_update().get(pk=truck.pk)
        if row.active == active:
            return row
        ahead = Trip.objects.filter(truck=row, back_at=None, day__gte=company_day(at))
        trip = None if active else ahead.order_by("day").first()
        if trip is not None:
            raise Clash(
                f"{row.name} goes out on {day_words(trip.day)} as trip {trip}; give that another truck first."
            )
        row.active = active
        row.save(update_fields=["active"])
        audit_record(actor, "truck_retire", row, at=at, change={"active": [not active, active]})
    return row
