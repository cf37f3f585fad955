"""Writes of orders, bundles and deliveries. A verb is one transaction: lock, right, stage, change, audit."""

from orders.services.booking import order_book
from orders.services.deliveries import (
    PLANNED_AT,
    delivery_deliver,
    delivery_link_make,
    delivery_link_withdraw,
    delivery_load,
    delivery_make,
    manifest_request,
)
from orders.services.shop import bundle_finish, drawings_approve, order_bundle, order_release, order_roll
from orders.services.stops import order_cancel, order_close, order_hold, order_resume

__all__ = [
    "PLANNED_AT",
    "bundle_finish",
    "delivery_deliver",
    "delivery_link_make",
    "delivery_link_withdraw",
    "delivery_load",
    "delivery_make",
    "drawings_approve",
    "manifest_request",
    "order_book",
    "order_bundle",
    "order_cancel",
    "order_close",
    "order_hold",
    "order_release",
    "order_resume",
    "order_roll",
]
