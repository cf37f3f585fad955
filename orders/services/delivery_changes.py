"""Deliveries changed before they are loaded: what is said of them, the day, what goes on them; and dropped."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, datetime, time
from typing import Any

from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_list, audit_record
from framing.common.errors import Clash, NotThere, Refused
from framing.common.links import link_list, link_withdraw
from framing.common.models import User
from framing.common.zones import day_words
from orders.models import Delivery, DeliveryMove, Order
from orders.services.deliveries import delivery_locked
from orders.services.delivery_stage import bundle_numbers
from orders.services.delivery_things import (
    Things,
    fill_by_weight,
    put_on,
    thing_words,
    things_chosen,
)
from orders.services.delivery_typed import (
    NAME_MOST,
    NOTES_MOST,
    PHONE_MOST,
    Window,
    check_day,
    check_open,
    read_gear,
    read_short,
    read_window,
    read_words,
)
from orders.services.moves import reason_given
from orders.services.notices import notice_ask
from orders.states import OrderStage

OVER = (OrderStage.CLOSED, OrderStage.CANCELLED)
NO_CHANGE = ("delivery_link_make", "manifest_request")
FIELDS = ("contact", "phone", "gear", "gear_limit_lb", "notes")


def delivery_change(
    *,
    actor: Actor,
    at: datetime,
    delivery: Delivery,
    contact: str,
    phone: str = "",
    gear: str,
    gear_limit_lb: int | None = None,
    notes: str = "",
    edition: int | None = None,
) -> Delivery:
    """Change what is said of a delivery, all but its day. Saying the same again changes nothing.

    Raises Clash once it is loaded, or where it is no longer of the `edition` that was seen; Refused for what makes no
    sense.
    """
    with transaction.atomic():
        _, row = _open(actor, delivery, edition)
        was = [getattr(row, field) for field in FIELDS]
        row.contact = read_words(contact, "contact", "Name whom the driver calls on site.", NAME_MOST)
        row.phone = read_short(phone, "phone", PHONE_MOST)
        row.gear, row.gear_limit_lb = read_gear(gear, gear_limit_lb)
        row.notes = read_short(notes, "notes", NOTES_MOST)
        now = [getattr(row, field) for field in FIELDS]
        if was != now:
            moved = {
                field: [old, new] for field, old, new in zip(FIELDS, was, now, strict=True) if old != new
            }
            _changed(row, at, *FIELDS)
            audit_record(actor, "delivery_change", row, at=at, change=moved)
    return row


def delivery_reschedule(
    *,
    actor: Actor,
    at: datetime,
    delivery: Delivery,
    planned_for: date,
    window_from: time | None = None,
    window_to: time | None = None,
    why: str,
    shut_ok: bool = False,
    edition: int | None = None,
) -> Delivery:
    """Put a delivery on another day or window; its bundles are due by that day from now on, and it leaves its trips.

    The builder is told where the company wants it.

    Args:
        shut_ok: it goes although the company is shut on that day.
        edition: which state of the delivery was seen; None where nobody looked.

    Raises Clash once it is loaded, where trucks are locked for it or somebody else changed it meanwhile; Refused
    without a reason, for a day that is over or shut, a window backwards, or where nothing would change.
    """
    with transaction.atomic():
        order, row = _open(actor, delivery, edition)
        zone = order.revision.quote.project.site.time_zone
        check_day(planned_for, at, zone)
        if planned_for != row.planned_for:
            check_open(planned_for, shut_ok=shut_ok)
        window = read_window(window_from, window_to, planned_for, zone)
        before = Window(row.window_from, row.window_to)
        if (row.planned_for, before) == (planned_for, window):
            raise Refused(f"Delivery {row.number} is on that day and window already.", field="planned_for")
        reason = reason_given(why)
        DeliveryMove.objects.create(
            delivery=row,
            at=at,
            by=_person(actor),
            from_day=row.planned_for,
            to_day=planned_for,
            from_window=before.words,
            to_window=window.words,
            why=reason,
        )
        change = {
            "planned_for": [str(row.planned_for), str(planned_for)],
            "window": [before.words, window.words],
        }
        if planned_for != row.planned_for:
            _off_trips(row)
        row.planned_for, row.window_from, row.window_to = planned_for, window.starts, window.ends
        _changed(row, at, "planned_for", "window_from", "window_to")
        audit_record(actor, "delivery_reschedule", row, at=at, change=change, why=reason)
        notice_ask("moved", order, at, about=row, why=reason)
    return row


def delivery_move_things(
    *,
    actor: Actor,
    at: datetime,
    delivery: Delivery,
    bundles: Collection[str] = (),
    cartons: Collection[int] = (),
) -> Delivery:
    """Put bundles (public ids) and cartons (numbers) on this delivery, from others of the order or from none.

    Raises Clash where it, or one that they come from, is loaded, or would be left with nothing; Refused for what is
    not of the order, or nothing chosen.
    """
    with transaction.atomic():
        order, row = _open(actor, delivery)
        things = things_chosen(order, bundles=bundles, cartons=cartons)
        coming = _coming(row, things)
        if not coming:
            return row
        sources = _sources(coming)
        for source in sources:
            _check_takes_from(source, coming)
        put_on(row, coming)
        for one in (*sources, row):
            fill_by_weight(one)
            _changed(one, at)
        _audit_moved(actor, at, row, coming, sources)
    return row


def _coming(delivery: Delivery, things: Things) -> Things:
    """What of the things is not on the delivery yet."""
    return Things(
        [row for row in things.bundles if row.delivery_id != delivery.pk],
        [row for row in things.cartons if row.delivery_id != delivery.pk],
    )


def _sources(things: Things) -> list[Delivery]:
    keys = {row.delivery_id for row in things.all if row.delivery_id is not None}
    return list(Delivery.objects.select_for_update(of=("self",)).filter(pk__in=keys).order_by("pk"))


def _check_takes_from(source: Delivery, things: Things) -> None:
    for row in things.all:
        if row.delivery_id == source.pk and row.load is not None and row.load.loaded_at is not None:
            raise Clash(f"{thing_words(row)} is loaded with delivery {source.number}; it stays there.")
    if source.state != "planned":
        raise Clash(f"Delivery {source.number} is {source.state}; what is on it stays there.")
    counts = [
        (source.bundles.count(), sum(row.delivery_id == source.pk for row in things.bundles)),
        (source.cartons.count(), sum(row.delivery_id == source.pk for row in things.cartons)),
    ]
    if all(held == taken for held, taken in counts):
        raise Clash(
            f"That would leave delivery {source.number} with nothing. Drop it instead, then put its things here."
        )


def _audit_moved(actor: Actor, at: datetime, row: Delivery, things: Things, sources: list[Delivery]) -> None:
    change = {
        "bundles": bundle_numbers(bundle.number for bundle in things.bundles),
        "cartons": [carton.number for carton in things.cartons],
        "from": [source.number for source in sources],
        "to": row.number,
    }
    for one in (*sources, row):
        audit_record(actor, "delivery_move_things", one, at=at, change=change)


def delivery_drop(
    *, actor: Actor, at: datetime, delivery: Delivery, why: str, edition: int | None = None
) -> Delivery:
    """Drop a planned delivery: its things are on none again, its links end, calendars show it as cancelled.

    Raises Clash once it is loaded, dropped already, or changed since that `edition`; Refused without a reason.
    """
    with transaction.atomic():
        order, row = _open(actor, delivery, edition)
        reason = reason_given(why)
        things = Things(list(row.bundles.all()), list(row.cartons.all()))
        _check_unlocked(row)
        put_on(None, things)
        fill_by_weight(row)
        row.dropped_at = at
        _changed(row, at, "dropped_at")
        for link in link_list(row).filter(withdrawn_at=None):
            link_withdraw(actor=actor, link=link, at=at)
        change = {"bundles": bundle_numbers(bundle.number for bundle in things.bundles)}
        audit_record(actor, "delivery_drop", row, at=at, change=change, why=reason)
        notice_ask("dropped", order, at, about=row, why=reason)
    return row


def _person(actor: Actor) -> User:
    if actor.user is None:
        raise NotThere()  # a move is a person's
    return actor.user


def _open(actor: Actor, delivery: Delivery, edition: int | None = None) -> tuple[Order, Delivery]:
    """The order and its delivery, locked, where the delivery may still be changed and is as it was seen."""
    order, row = delivery_locked(delivery)
    require(actor, "delivery", "change")
    if order.stage in OVER:
        raise Clash(f"Order {order.number} is at “{order.stage}”; its deliveries stay as they were.")
    if row.state != "planned":
        raise Clash(f"Delivery {row.number} is {row.state}; it is changed before it is loaded.")
    gone = row.loads.filter(loaded_at__isnull=False).order_by("number").first()
    if gone is not None:
        raise Clash(
            f"Truck {gone.number} of delivery {row.number} is loaded; the rest follows it as planned."
        )
    if edition is not None and edition != row.edition:
        raise Clash(_changed_words(row))
    return order, row


def _changed_words(row: Delivery) -> str:
    """Who changed a delivery while somebody else looked at it, and how it stands now."""
    last = audit_list(row).exclude(verb__in=NO_CHANGE).order_by("-id").first()
    who = last.actor_name if last else "Somebody"
    window = Window(row.window_from, row.window_to).words
    when = f"{day_words(row.planned_for)}{f', {window}' if window else ''}"
    return (
        f"{who} changed delivery {row.number} while you were here: it is planned for {when} now, with {row.contact}. "
        "What you typed is still here; send it again if it should hold."
    )


def _check_unlocked(delivery: Delivery) -> None:
    locked = delivery.loads.filter(trip__locked=True).select_related("trip").order_by("number").first()
    if locked is not None:
        raise Clash(f"Trip {locked.trip} of delivery {delivery.number} is locked; unlock it first.")


def _off_trips(delivery: Delivery) -> None:
    """Off trucks that go on the old day; it waits for a truck on the new one."""
    _check_unlocked(delivery)
    put_on(delivery, Things(list(delivery.bundles.all()), list(delivery.cartons.all())))
    fill_by_weight(delivery)


def _changed(delivery: Delivery, at: datetime, *fields: Any) -> None:
    delivery.edition += 1
    delivery.changed_at = at
    delivery.save(update_fields=[*fields, "edition", "changed_at"])
