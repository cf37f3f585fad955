"""Deliveries: trucks filled, loaded, received; the builder's link."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.conf import settings
from django.db import transaction
from django.urls import reverse

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, NotThere, Refused
from framing.common.links import link_list, link_make, link_withdraw
from framing.common.models import AccessLink, LinkPurpose, OutboxEntry
from framing.common.numbering import next_number
from framing.common.outbox import outbox_add, outbox_retry
from framing.engine.result import Bundle, Carton
from framing.engine.trucks import load_trucks
from framing.projects.selectors import practice_of
from orders.models import Delivery, Order, TruckLoad
from orders.services.moves import move_order, next_stage, order_locked
from orders.services.release import weight
from orders.services.stops import LINK_DAYS_AFTER_CLOSE
from orders.states import OrderStage
from quotes.selectors import package_accepted
from quotes.snapshots import PackageResult

SERIES = "D"
MANIFEST = "manifest_paper"
LINK_DAYS_AFTER_PLANNED = 90
PLANNED_AT = (OrderStage.RELEASED, OrderStage.ROLLING, OrderStage.BUNDLED)


def delivery_make(
    *, actor: Actor, at: datetime, order: Order, planned_for: date, contact: str, notes: str = ""
) -> Delivery:
    """Plan the delivery of all that an order holds, on the trucks of the snapshot, and ask for the manifest.

    Raises:
        Clash: not released yet, loaded already, or on a delivery already.
        Refused: no contact on site, or a day that is over.
    """
    with transaction.atomic():
        row = order_locked(order.pk)
        require(actor, "delivery", "make")
        if row.stage not in PLANNED_AT:
            raise Clash(
                f"Order {row.number} is at “{row.stage}”; a delivery is planned between release and loading."
            )
        known = row.deliveries.first()
        if known is not None:
            raise Clash(f"Order {row.number} is on delivery {known.number} already.")
        _check_plan(planned_for, contact, notes, at)
        delivery = Delivery.objects.create(
            order=row,
            number=next_number(SERIES, at),
            planned_for=planned_for,
            contact=contact.strip(),
            notes=notes.strip(),
            created_at=at,
        )
        _fill_trucks(delivery, package_accepted(row.revision))
        audit_record(actor, "delivery_make", delivery, at=at, change={"planned_for": str(planned_for)})
        outbox_add(MANIFEST, str(delivery.pk), {"delivery": delivery.pk})
    return delivery


def manifest_request(*, actor: Actor, at: datetime, delivery: Delivery) -> OutboxEntry:
    """Ask for the manifest; it is made once. Asking again is harmless, and puts stopped work back in line."""
    with transaction.atomic():
        require(actor, "load_paper", "read")
        entry = outbox_add(MANIFEST, str(delivery.pk), {"delivery": delivery.pk})
        if entry.state == "parked":
            outbox_retry(entry)
        audit_record(actor, "manifest_request", delivery, at=at)
    return entry


def delivery_load(*, actor: Actor, at: datetime, delivery: Delivery) -> Delivery:
    """All is on the trucks. Raises Clash unless the order is at “bundled” (so also the second time)."""
    with transaction.atomic():
        order = order_locked(delivery.order_id)
        require(actor, "delivery", "load")
        stage = next_stage(order, "load")
        row = Delivery.objects.select_for_update().get(pk=delivery.pk)
        row.loaded_at = at
        row.save(update_fields=["loaded_at"])
        audit_record(actor, "delivery_load", row, at=at)
        move_order(order, stage, actor=actor, at=at, verb="delivery_load")
    return row


def delivery_deliver(*, actor: Actor, at: datetime, delivery: Delivery, received_by: str) -> Delivery:
    """Record who received the delivery on site.

    Raises Clash where it is not loaded (so also the second time), Refused without a name.
    """
    with transaction.atomic():
        order = order_locked(delivery.order_id)
        require(actor, "delivery", "deliver")
        stage = next_stage(order, "deliver")
        name = _words(received_by, "received_by", "Name who received the load on site.", 160)
        row = Delivery.objects.select_for_update().get(pk=delivery.pk)
        row.delivered_at = at
        row.received_by = name
        row.save(update_fields=["delivered_at", "received_by"])
        audit_record(actor, "delivery_deliver", row, at=at, change={"received_by": ["", name]})
        move_order(order, stage, actor=actor, at=at, verb="delivery_deliver")
    return row


def delivery_link_make(
    *, actor: Actor, at: datetime, delivery: Delivery, for_name: str
) -> tuple[AccessLink, str]:
    """Make a builder's link to a delivery; returns it with its address, which is shown once and never kept.

    It lives until 90 days after the planned day; closing the order moves that to 30 days later. An earlier
    link for the same person is withdrawn.

    Raises Clash where the order is cancelled, Refused without a name.
    """
    with transaction.atomic():
        order = order_locked(delivery.order_id)
        require(actor, "delivery_link", "make")
        if order.stage == OrderStage.CANCELLED:
            raise Clash(f"Order {order.number} is cancelled; its delivery gets no links.")
        name = _words(for_name, "for_name", "Name the person the link is for.", 160)
        link, secret = link_make(
            actor=actor,
            purpose=LinkPurpose.DELIVERY,
            subject=delivery,
            for_name=name,
            expires_at=_link_end(order, delivery, at),
            at=at,
        )
        audit_record(actor, "delivery_link_make", delivery, at=at, change={"for": name})
    return link, settings.PUBLIC_URL.rstrip("/") + reverse("common:link_door", args=[secret])


def delivery_link_withdraw(*, actor: Actor, at: datetime, delivery: Delivery, link_id: str) -> None:
    """Withdraw one link of a delivery at once; a second time changes nothing. Raises NotThere."""
    with transaction.atomic():
        require(actor, "delivery_link", "withdraw")
        link = link_list(delivery).filter(public_id=link_id).first()
        if link is None:
            raise NotThere()
        link_withdraw(actor=actor, link=link, at=at)


def _check_plan(planned_for: date, contact: str, notes: str, at: datetime) -> None:
    _words(contact, "contact", "Name whom the driver calls on site.", 160)
    if len(notes.strip()) > 400:
        raise Refused(f"Notes have at most 400 signs; these have {len(notes.strip())}.", field="notes")
    if planned_for < at.date():
        raise Refused(f"{planned_for:%b %-d, %Y} is over; plan today or later.", field="planned_for")


def _words(text: str, field: str, missing: str, most: int) -> str:
    words = text.strip()
    if not words:
        raise Refused(missing, field=field)
    if len(words) > most:
        raise Refused(f"At most {most} signs here; these are {len(words)}.", field=field)
    return words


def _link_end(order: Order, delivery: Delivery, at: datetime) -> datetime:
    if order.stage == OrderStage.CLOSED:
        return at + timedelta(days=LINK_DAYS_AFTER_CLOSE)
    days = max(0, (delivery.planned_for - at.date()).days)
    return at + timedelta(days=days + LINK_DAYS_AFTER_PLANNED)


def _fill_trucks(delivery: Delivery, package: PackageResult) -> None:
    """One row a truck, with its bundles and cartons (R47, by weight in this pass).

    The trucks are the snapshot's; where bundles or cartons were changed since, they are filled anew.
    """
    order = delivery.order
    bundles, cartons, loads = package.bundles, package.cartons, package.loads
    mine, packs = _bundles_now(order), _cartons_now(order)
    if _weights(mine) != _weights(bundles) or _weights(packs) != _weights(cartons):
        bundles, cartons = mine, packs
        loads = load_trucks(bundles, cartons, practice_of(order.revision.practice_set))
    for load in loads:
        truck = TruckLoad.objects.create(
            delivery=delivery, number=load.number, weight_lb=weight(load.weight_lb)
        )
        order.bundles.filter(number__in=[bundles[index].number for index in load.bundles]).update(load=truck)
        order.cartons.filter(number__in=[cartons[index].number for index in load.cartons]).update(load=truck)


def _bundles_now(order: Order) -> tuple[Bundle, ...]:
    """An order's bundles as the loading sees them: by weight and length alone."""
    return tuple(
        Bundle(
            row.number, row.profile, (), float(row.weight_lb), row.length_16, row.zone, row.short, row.note
        )
        for row in order.bundles.order_by("number")
    )


def _cartons_now(order: Order) -> tuple[Carton, ...]:
    rows = order.cartons.order_by("number")
    return tuple(Carton(row.number, row.title, (), float(row.weight_lb)) for row in rows)


def _weights(things: Sequence[Bundle | Carton]) -> list[tuple[int, Decimal]]:
    return [(thing.number, weight(thing.weight_lb)) for thing in things]
