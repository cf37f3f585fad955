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
from orders.services.deposits import deposit_record, deposit_take_back
from orders.services.drawings import drawings_approve
from orders.services.release import order_deliver_on, order_release
from orders.services.shop import bundle_finish, order_bundle, order_roll
from orders.services.stops import order_cancel, order_close, order_hold, order_resume

__all__ = [
    "PLANNED_AT",
    "bundle_finish",
    "delivery_deliver",
    "delivery_link_make",
    "delivery_link_withdraw",
    "delivery_load",
    "delivery_make",
    "deposit_record",
    "deposit_take_back",
    "drawings_approve",
    "manifest_request",
    "order_book",
    "order_bundle",
    "order_cancel",
    "order_close",
    "order_deliver_on",
    "order_hold",
    "order_release",
    "order_resume",
    "order_roll",
]
