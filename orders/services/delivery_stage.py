"""What loads and receipts do to the stage of a whole order (R44): it moves with the last of its things.

What replaces something that a claim found never counts here (R49).
"""

from __future__ import annotations

from datetime import datetime
from itertools import groupby

from django.db.models import Q

from framing.common.actors import Actor
from framing.common.errors import Clash
from orders.models import Bundle, Carton, Delivery, Order
from orders.services.moves import move_order, next_stage
from orders.shop_scope import still_wanted
from orders.states import OrderStage

LOADS_AT = (
    OrderStage.RELEASED,
    OrderStage.ROLLING,
    OrderStage.BUNDLED,
    OrderStage.LOADED,
    OrderStage.DELIVERED,
)
"""Stages of an order at which one of its deliveries may be loaded: any in work, for a replacement goes later."""


def stage_after_load(order: Order, *, actor: Actor, at: datetime) -> None:
    """Take a locked order to “loaded” where the last of all its bundles and cartons went on a loaded truck."""
    if order.stage == OrderStage.BUNDLED and not _any_left(order, Q(load__loaded_at=None)):
        move_order(order, next_stage(order, "load"), actor=actor, at=at, verb="delivery_load")


def stage_after_receipt(order: Order, *, actor: Actor, at: datetime) -> None:
    """Take a locked order to “delivered” where its last delivery was received."""
    if order.stage == OrderStage.LOADED and not _any_left(order, Q(delivery__delivered_at=None)):
        move_order(order, next_stage(order, "deliver"), actor=actor, at=at, verb="delivery_deliver")


def _any_left(order: Order, left: Q) -> bool:
    mine = Q(order=order, replaces_claim=None) & left
    return Bundle.objects.filter(mine, still_wanted()).exists() or Carton.objects.filter(mine).exists()


def check_may_load(order: Order) -> None:
    """Raise Clash where nothing of a locked order may be loaded."""
    if order.stage not in LOADS_AT:
        raise Clash(
            f"Order {order.number} is at “{order.stage}”; its deliveries are loaded once their bundles are bundled,"
            " and not while it is held."
        )


def check_bundled(delivery: Delivery, bundles: list[Bundle]) -> None:
    """Raise Clash, naming them, where some of the bundles that are to be loaded are not finished."""
    rolling = [bundle.number for bundle in bundles if bundle.finished_at is None]
    if rolling:
        raise Clash(
            f"{bundle_numbers(rolling)} of delivery {delivery.number} not bundled yet; finish them first, or move"
            " them to another delivery."
        )


def check_cancels(order: Order) -> None:
    """Raise Clash, saying what is loaded, where a locked order can't be cancelled any more."""
    gone = order.deliveries.filter(loads__loaded_at__isnull=False).distinct().order_by("id")
    if gone:
        told = "; ".join(f"{row.number} ({_on(row)}) is {_how(row)}" for row in gone)
        raise Clash(
            f"Order {order.number} can't be cancelled any more: {told}. Hold what is left, and settle the rest by a"
            " change order."
        )


def _how(delivery: Delivery) -> str:
    return "loaded in part" if delivery.loaded_at is None else delivery.state


def _on(delivery: Delivery) -> str:
    rows = delivery.bundles.filter(load__loaded_at__isnull=False)
    return bundle_numbers(rows.values_list("number", flat=True)).lower() or "cartons"


def bundle_numbers(numbers: object) -> str:
    """Bundles in words with runs drawn together: “Bundles 1 to 3, 7”; “” for none."""
    ordered = sorted(numbers)  # type: ignore[call-overload]
    runs = []
    for _, run in groupby(enumerate(ordered), key=lambda pair: pair[1] - pair[0]):
        row = [number for _, number in run]
        runs.append(f"{row[0]} to {row[-1]}" if len(row) > 2 else ", ".join(map(str, row)))
    if not ordered:
        return ""
    return f"{'Bundle' if len(ordered) == 1 else 'Bundles'} {', '.join(runs)}"
