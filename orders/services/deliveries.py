"""Deliveries: planned, loaded, received; the builder's link. What changes one stands in `delivery_changes`."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, datetime, time, timedelta

from django.conf import settings
from django.db import transaction
from django.urls import reverse

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, NotThere
from framing.common.links import link_list, link_make, link_withdraw
from framing.common.models import AccessLink, LinkPurpose, OutboxEntry
from framing.common.numbering import next_number
from framing.common.outbox import outbox_add, outbox_retry
from orders.models import Delivery, Order, Trip, TruckLoad
from orders.services.claim_ends import claims_replaced
from orders.services.delivery_stage import (
    LOADS_AT,
    bundle_numbers,
    check_bundled,
    check_may_load,
    stage_after_load,
    stage_after_receipt,
)
from orders.services.delivery_things import check_free, fill_by_weight, put_on, things_chosen
from orders.services.delivery_typed import (
    NAME_MOST,
    NOTES_MOST,
    PHONE_MOST,
    check_day,
    check_open,
    read_gear,
    read_short,
    read_window,
    read_words,
)
from orders.services.invoices import invoice_delivery
from orders.services.moves import order_locked
from orders.services.notices import notice_ask
from orders.services.stops import LINK_DAYS_AFTER_CLOSE
from orders.states import Gear, OrderStage

SERIES = "D"
MANIFEST = "manifest_paper"
LINK_DAYS_AFTER_PLANNED = 90
PLANNED_AT = (OrderStage.RELEASED, OrderStage.ROLLING, OrderStage.BUNDLED)


def delivery_make(
    *,
    actor: Actor,
    at: datetime,
    order: Order,
    planned_for: date,
    contact: str,
    notes: str = "",
    floors: Collection[str] = (),
    bundles: Collection[str] | None = None,
    cartons: Collection[int] | None = None,
    window_from: time | None = None,
    window_to: time | None = None,
    phone: str = "",
    gear: str = Gear.TELEHANDLER,
    gear_limit_lb: int | None = None,
    shut_ok: bool = False,
) -> Delivery:
    """Plan a delivery of all that is left of an order, or of some floors, bundles (public ids) and cartons (numbers).

    Trucks are filled by weight until they are planned.

    Args:
        window_from, window_to: the site's own clock.
        gear_limit_lb: what unloads there lifts at the place where bundles are set down; None where nobody knows.
        shut_ok: it goes although the company is shut on that day.

    Raises:
        Clash: not released yet or stopped, nothing is left, or something is on another delivery.
        Refused: no contact on site, a day that is over or shut, a window backwards, or nothing chosen.
    """
    with transaction.atomic():
        row = order_locked(order.pk)
        require(actor, "delivery", "make")
        if row.stage not in LOADS_AT:
            raise Clash(
                f"Order {row.number} is at “{row.stage}”; a delivery is planned between release and loading."
            )
        zone = row.revision.quote.project.site.time_zone
        told = read_words(contact, "contact", "Name whom the driver calls on site.", NAME_MOST)
        noted = read_short(notes, "notes", NOTES_MOST)
        check_day(planned_for, at, zone)
        check_open(planned_for, shut_ok=shut_ok)
        window = read_window(window_from, window_to, planned_for, zone)
        kind, limit = read_gear(gear, gear_limit_lb)
        called = read_short(phone, "phone", PHONE_MOST)
        things = things_chosen(row, floors=floors, bundles=bundles, cartons=cartons)
        check_free(things)
        delivery = Delivery.objects.create(
            order=row,
            number=next_number(SERIES, at),
            planned_for=planned_for,
            window_from=window.starts,
            window_to=window.ends,
            contact=told,
            phone=called,
            gear=kind,
            gear_limit_lb=limit,
            notes=noted,
            created_at=at,
            changed_at=at,
        )
        put_on(delivery, things)
        fill_by_weight(delivery)
        change = {
            "planned_for": str(planned_for),
            "bundles": bundle_numbers(bundle.number for bundle in things.bundles),
            "cartons": len(things.cartons),
        }
        audit_record(actor, "delivery_make", delivery, at=at, change=change)
        notice_ask("planned", row, at, about=delivery)
    return delivery


def manifest_request(*, actor: Actor, at: datetime, delivery: Delivery) -> OutboxEntry:
    """Ask for the manifests of a delivery's loaded trucks; each is made once (R48).

    Asking again is harmless, and puts stopped work back in line. Returns the work that is least far.

    Raises Clash while no truck is loaded: until then the manifest is a draft.
    """
    with transaction.atomic():
        require(actor, "load_paper", "read")
        loads = list(delivery.loads.filter(loaded_at__isnull=False).order_by("number"))
        if not loads:
            raise Clash(f"Delivery {delivery.number} is not loaded; until then its manifest is a draft.")
        entries = [manifest_ask(load) for load in loads]
        for entry in entries:
            if entry.state == "parked":
                outbox_retry(entry)
        audit_record(actor, "manifest_request", delivery, at=at)
    return next((entry for entry in entries if entry.state != "done"), entries[0])


def manifest_ask(load: TruckLoad) -> OutboxEntry:
    """Let the worker store the manifest of a loaded truck; part of the move that loads it."""
    return outbox_add(MANIFEST, f"load {load.pk}", {"load": load.pk})


def delivery_load(*, actor: Actor, at: datetime, delivery: Delivery) -> Delivery:
    """All of a delivery is on its trucks; the order is loaded with its last one.

    Raises Clash where it is loaded or dropped, the order is held, something on it is not bundled, or is on no truck.
    """
    with transaction.atomic():
        order, row = delivery_locked(delivery)
        require(actor, "delivery", "load")
        _check_planned(row, order)
        loads = list(row.loads.filter(loaded_at=None).order_by("number"))
        for load in loads:
            _load(load, row, at)
        _loaded(row, order, actor, at)
    return row


def load_loaded(*, actor: Actor, at: datetime, load: TruckLoad) -> TruckLoad:
    """One truck's part of a delivery is on it; the delivery is loaded with its last one.

    Raises Clash as `delivery_load`, for what is on this load.
    """
    with transaction.atomic():
        order, row = delivery_locked(load.delivery)
        require(actor, "delivery", "load")
        _check_planned(row, order)
        mine = row.loads.filter(pk=load.pk).first()
        if mine is None:
            raise Clash(f"The trucks of delivery {row.number} were planned anew; load the page again.")
        if mine.loaded_at is not None:
            raise Clash(f"Truck {mine.number} of delivery {row.number} is loaded already.")
        _load(mine, row, at)
        audit_record(actor, "load_loaded", row, at=at, change={"truck": mine.number})
        if not row.loads.filter(loaded_at=None).exists() and not _on_no_truck(row):
            _loaded(row, order, actor, at)
        else:
            stage_after_load(order, actor=actor, at=at)
    return mine


def delivery_locked(delivery: Delivery) -> tuple[Order, Delivery]:
    """The order's row and the delivery's, locked in this order until the caller's transaction ends."""
    order = order_locked(delivery.order_id)
    row = Delivery.objects.select_for_update(of=("self",)).get(pk=delivery.pk)
    row.order = order
    return order, row


def _check_planned(delivery: Delivery, order: Order) -> None:
    if delivery.state != "planned":
        raise Clash(f"Delivery {delivery.number} is {delivery.state} already.")
    check_may_load(order)
    if not delivery.bundles.exists() and not delivery.cartons.exists():
        raise Clash(
            f"Nothing is on delivery {delivery.number}; order {order.number} is loaded once it is bundled."
        )


def _load(load: TruckLoad, delivery: Delivery, at: datetime) -> None:
    check_bundled(delivery, list(load.bundles.all()))
    load.loaded_at = at
    load.save(update_fields=["loaded_at"])
    manifest_ask(load)


def _on_no_truck(delivery: Delivery) -> str:
    """What of a delivery is on no truck yet, in words."""
    told = bundle_numbers(delivery.bundles.filter(load=None).values_list("number", flat=True))
    packs = sorted(delivery.cartons.filter(load=None).values_list("number", flat=True))
    return ", ".join(filter(None, [told, *(f"carton {number}" for number in packs)]))


def _loaded(delivery: Delivery, order: Order, actor: Actor, at: datetime) -> None:
    left = _on_no_truck(delivery)
    if left:
        raise Clash(f"{left} of delivery {delivery.number}: on no truck yet. Plan the trucks first.")
    delivery.loaded_at = delivery.changed_at = at
    delivery.save(update_fields=["loaded_at", "changed_at"])
    audit_record(actor, "delivery_load", delivery, at=at)
    stage_after_load(order, actor=actor, at=at)
    notice_ask("loaded", order, at, about=delivery)


def delivery_deliver(*, actor: Actor, at: datetime, delivery: Delivery, received_by: str) -> Delivery:
    """Record who received the delivery on site: told by staff, by the builder's link or by the driver's.

    What replaces something ends its claim; the delivery's share is there to invoice; the order is delivered with
    its last delivery.

    Raises Clash where it is not loaded (so also the second time), Refused without a name, NotThere for another's link.
    """
    with transaction.atomic():
        order, row = delivery_locked(delivery)
        require(actor, "delivery", "deliver")
        _check_link(actor, row)
        if row.state != "loaded":
            raise Clash(f"Delivery {row.number} is {row.state}; a loaded one is received, once.")
        name = read_words(received_by, "received_by", "Name who received the load on site.", NAME_MOST)
        row.delivered_at = row.changed_at = at
        row.received_by = name
        row.save(update_fields=["delivered_at", "received_by", "changed_at"])
        audit_record(actor, "delivery_deliver", row, at=at, change={"received_by": ["", name]})
        claims_replaced(actor=actor, at=at, delivery=row)
        invoice_delivery(at=at, delivery=row)
        stage_after_receipt(order, actor=actor, at=at)
        notice_ask("delivered", order, at, about=row)
    return row


def _check_link(actor: Actor, delivery: Delivery) -> None:
    """A link acts for its own delivery, or for those of its own trip."""
    link = actor.link
    if link is None:
        return
    own = link.subject_type == Delivery._meta.label_lower and link.subject_id == delivery.pk
    rides = (
        link.subject_type == Trip._meta.label_lower and delivery.loads.filter(trip=link.subject_id).exists()
    )
    if not own and not rides:
        raise NotThere()


def delivery_link_make(
    *, actor: Actor, at: datetime, delivery: Delivery, for_name: str
) -> tuple[AccessLink, str]:
    """Make a builder's link to a delivery; returns it with its address, which is shown once and never kept.

    It lives until 90 days after the planned day; closing the order moves that to 30 days later. An earlier
    link for the same person is withdrawn.

    Raises Clash where the order is cancelled or the delivery dropped, Refused without a name.
    """
    with transaction.atomic():
        order, row = delivery_locked(delivery)
        require(actor, "delivery_link", "make")
        if order.stage == OrderStage.CANCELLED or row.dropped_at:
            what = (
                f"Order {order.number} is cancelled" if row.dropped_at is None else f"{row.number} is dropped"
            )
            raise Clash(f"{what}; its delivery gets no links.")
        name = read_words(for_name, "for_name", "Name the person the link is for.", NAME_MOST)
        link, secret = link_make(
            actor=actor,
            purpose=LinkPurpose.DELIVERY,
            subject=row,
            for_name=name,
            expires_at=link_end(order, row, at),
            at=at,
        )
        audit_record(actor, "delivery_link_make", row, at=at, change={"for": name})
    return link, settings.PUBLIC_URL.rstrip("/") + reverse("common:link_door", args=[secret])


def delivery_link_withdraw(*, actor: Actor, at: datetime, delivery: Delivery, link_id: str) -> None:
    """Withdraw one link of a delivery at once; a second time changes nothing. Raises NotThere."""
    with transaction.atomic():
        require(actor, "delivery_link", "withdraw")
        link = link_list(delivery).filter(public_id=link_id).first()
        if link is None:
            raise NotThere()
        link_withdraw(actor=actor, link=link, at=at)


def link_end(order: Order, delivery: Delivery, at: datetime) -> datetime:
    """When a link to a delivery ends."""
    if order.stage == OrderStage.CLOSED:
        return at + timedelta(days=LINK_DAYS_AFTER_CLOSE)
    days = max(0, (delivery.planned_for - at.date()).days)
    return at + timedelta(days=days + LINK_DAYS_AFTER_PLANNED)
