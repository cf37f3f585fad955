"""Deliveries of an order that a change went into: steel rolled for nothing stays in the yard (R45)."""

from __future__ import annotations

import pytest

from framing.common.models import Role
from orders import services
from orders.services.delivery_things import things_left
from tests.factories import changes, deliveries, orders, people

pytestmark = pytest.mark.django_db
AT = orders.AT


def test_a_bundle_rolled_for_nothing_goes_on_no_delivery_and_holds_up_no_order() -> None:
    order = changes.half_rolled()
    finished = order.bundles.get(finished_at__isnull=False)
    changes.applied(changes.asked(order, depth="13'", width="20'"))
    order = orders.fresh(order)
    assert not finished.pieces.filter(dropped_by=None).exists(), "the change drops all that it holds"
    assert finished not in things_left(order).bundles
    services.order_bundle(actor=people.actor(Role.SHOP), at=AT, order=order)
    delivery = deliveries.made(orders.fresh(order))
    assert not delivery.bundles.filter(pk=finished.pk).exists()
    services.delivery_load(actor=deliveries.dispatcher(), at=AT, delivery=delivery)
    assert orders.fresh(order).stage == "loaded"
