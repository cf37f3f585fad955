"""Two at once: one order of one acceptance, one release, one delivery."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from uuid import UUID, uuid4, uuid5

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from framing.common.actors import SYSTEM
from framing.common.audit import audit_list
from framing.common.errors import Clash
from framing.common.models import Role
from orders import services
from orders.models import Bundle, Delivery, Order, OrderMove, ShopAction
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


def http_taps(order: Order, count: int, post: Callable[[Client, int], object]) -> list[object]:
    """Taps from two tablets at the same moment, each over HTTP with a session of its own."""
    tablets = [people.client_of(people.user(Role.SHOP)) for _ in range(2)]
    barrier = Barrier(count)

    def one(place: int) -> object:
        client = Client()
        client.cookies.update(tablets[place % 2].cookies)
        try:
            barrier.wait()
            return post(client, place)
        finally:
            connection.close()

    with ThreadPoolExecutor(count) as pool:
        return list(pool.map(one, range(count)))


def test_twenty_taps_from_two_tablets_are_one_state_and_one_history() -> None:
    order = orders.released()
    bundle = order.bundles.order_by("number")[0]
    numbers = [str(uuid4()) for _ in range(20)]
    for verb in ("start", "finish"):
        url = reverse(f"orders:floor_{verb}", args=[bundle.public_id])
        codes = http_taps(
            order,
            20,
            lambda client, place, url=url, verb=verb: (
                client.post(
                    url, {"action_id": str(uuid5(UUID(numbers[place]), verb))}, headers={"X-Tap": "card"}
                ).status_code
            ),
        )
        assert codes == [200] * 20
    bundle.refresh_from_db()
    assert bundle.started_at is not None
    assert bundle.finished_at is not None
    assert bundle.finished_at >= bundle.started_at
    for verb in ("start", "finish"):
        rows = ShopAction.objects.filter(bundle=bundle, verb=verb)
        assert (rows.count(), rows.filter(changed=True).count()) == (20, 1), (
            "each tap is kept, one changed it"
        )
    assert [entry.verb for entry in audit_list(bundle)] == ["bundle_start", "bundle_finish"]
    assert OrderMove.objects.filter(order=order, to_stage="rolling").count() == 1


def test_one_tap_sent_twenty_times_at_once_is_one_row() -> None:
    order = orders.released()
    bundle = order.bundles.order_by("number")[0]
    shop, number = people.user(Role.SHOP), str(uuid4())
    client = people.client_of(shop)
    url = reverse("orders:floor_start", args=[bundle.public_id])

    def send(_: Client, __: int) -> int:
        own = Client()
        own.cookies.update(client.cookies)
        return own.post(url, {"action_id": number}, headers={"X-Tap": "card"}).status_code

    assert http_taps(order, 20, send) == [200] * 20
    assert ShopAction.objects.get().changed


def test_twenty_scans_of_one_tag_start_it_and_do_not_finish_it() -> None:
    order = orders.released()
    bundle = order.bundles.order_by("number")[0]
    url = reverse("orders:floor_scan")
    body = {"code": bundle.code}
    codes = http_taps(
        order, 20, lambda client, _: client.post(url, body, headers={"X-Tap": "card"}).status_code
    )
    assert codes == [200] * 20
    bundle.refresh_from_db()
    assert bundle.started_at is not None
    assert bundle.finished_at is None
