"""Two at once: one order of one acceptance, one release, one delivery."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from django.db import connection

from framing.common.actors import SYSTEM
from framing.common.errors import Clash
from framing.common.models import Role
from orders import services
from orders.models import Bundle, Delivery, Order, OrderMove
from tests.factories import orders, people, quotes

pytestmark = pytest.mark.django_db(transaction=True)
AT = orders.AT
THREADS = 6


def at_once(work: Callable[[], object]) -> list[object]:
    """Run `work` in several threads at the same moment; an exception is returned, not raised."""
    barrier = Barrier(THREADS)

    def one() -> object:
        try:
            barrier.wait()
            return work()
        except Clash as clash:
            return clash
        finally:
            connection.close()

    with ThreadPoolExecutor(THREADS) as pool:
        return [future.result() for future in [pool.submit(one) for _ in range(THREADS)]]


def test_parallel_bookings_make_one_order() -> None:
    quote = quotes.accepted().quote
    answers = at_once(lambda: services.order_book(actor=SYSTEM, at=AT, quote=quote).pk)
    assert answers == [Order.objects.get().pk] * THREADS
    assert OrderMove.objects.count() == 1


def test_parallel_releases_make_one_set_of_bundles() -> None:
    order = orders.approved()
    planner = people.actor(Role.PLANNER)
    answers = at_once(lambda: services.order_release(actor=planner, at=AT, order=order))
    assert sum(isinstance(answer, Clash) for answer in answers) == THREADS - 1
    numbers = list(Bundle.objects.values_list("number", flat=True))
    assert len(numbers) == len(set(numbers)) > 0
    assert OrderMove.objects.filter(to_stage="released").count() == 1


def test_parallel_finishing_of_all_bundles_moves_the_order_once() -> None:
    order = orders.rolling()
    shop = people.actor(Role.SHOP)
    answers = at_once(
        lambda: [services.bundle_finish(actor=shop, at=AT, bundle=b) for b in order.bundles.all()]
    )
    assert not any(isinstance(answer, Clash) for answer in answers)
    assert OrderMove.objects.filter(to_stage="bundled").count() == 1


def test_parallel_plans_make_one_delivery() -> None:
    order = orders.bundled()
    dispatcher = people.actor(Role.DISPATCHER)
    at_once(
        lambda: services.delivery_make(
            actor=dispatcher, at=AT, order=order, planned_for=orders.PLANNED_FOR, contact="Rae Winter"
        )
    )
    assert Delivery.objects.count() == 1
