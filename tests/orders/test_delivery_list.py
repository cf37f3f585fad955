"""The list of deliveries: what it begins with, states, windows, tabs; how often it and a delivery's page ask."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from framing.common.models import Role
from orders import services
from orders.find import delivery_states
from orders.models import Bundle, Carton, Delivery, DeliveryMove
from tests.factories import deliveries, orders, people

pytestmark = pytest.mark.django_db
AT = orders.AT


def client(role: str = Role.DISPATCHER) -> Client:
    return people.client_of(people.user(Role(role)))


def page(who: Client, query: str = "") -> str:
    return str(who.get(reverse("orders:delivery_list") + query).content.decode())


def rows(order: Any, many: int, **more: Any) -> list[Delivery]:
    day = (datetime.now(UTC) + timedelta(days=3)).date()
    first = Delivery.objects.count()
    return Delivery.objects.bulk_create(
        Delivery(order=order, number=f"X-{first + n:03}", planned_for=day, contact="x", **more)
        for n in range(many)
    )


def test_it_begins_with_what_is_still_to_be_received_the_next_one_first() -> None:
    order, who = orders.bundled(), client()
    late, soon, gone, done, out = rows(order, 5, window_from=time(7, 30), window_to=time(9))
    Delivery.objects.filter(pk=late.pk).update(planned_for=date(2026, 1, 5))
    Delivery.objects.filter(pk=gone.pk).update(dropped_at=AT)
    Delivery.objects.filter(pk__in=(done.pk, out.pk)).update(loaded_at=AT)
    Delivery.objects.filter(pk=done.pk).update(delivered_at=AT, received_by="Rae")
    first, all_of_it = page(who), page(who, "?state=")
    assert [number in first for number in (late.number, soon.number, out.number)] == [True] * 3
    assert gone.number not in first
    assert done.number not in first
    assert first.index(late.number) < first.index(soon.number)
    assert "7:30 to 9:00" in first
    for row, word in ((gone, "Dropped"), (done, "Delivered"), (out, "Loaded"), (soon, "Planned")):
        assert word in all_of_it.split(row.number)[-1].split("</tr>")[0]
    assert gone.number in page(who, "?state=dropped")
    assert soon.number not in page(who, "?state=dropped")


def test_it_stands_beside_the_board_the_trucks_and_the_notices() -> None:
    shown = page(client())
    for name in ("delivery_list", "delivery_board", "truck_list", "notice_page"):
        assert f'href="{reverse(f"orders:{name}")}"' in shown.split('class="tabs"')[1].split("</ul>")[0]


def test_a_dropped_delivery_is_found_and_named_so() -> None:
    delivery = orders.planned()
    services.delivery_drop(actor=deliveries.dispatcher(), at=AT, delivery=delivery, why="sold")
    with CaptureQueriesContext(connection) as seen:
        assert delivery_states([delivery.pk]) == {delivery.pk: ("dropped", "Dropped")}
    assert len(seen) == 1


def test_a_dropped_delivery_waits_for_nobody_on_today() -> None:
    delivery = orders.planned()
    services.delivery_drop(actor=deliveries.dispatcher(), at=AT, delivery=delivery, why="sold")
    shown = str(client().get(reverse("today")).content)
    assert delivery.number not in shown
    assert delivery.order.number in shown.split("Bundled, no delivery planned")[1], "its order waits anew"


def test_the_list_asks_as_often_for_200_as_for_10() -> None:
    order, who, counts = orders.bundled(), client(), []
    page(who)
    for many in (10, 190):
        rows(order, many)
        with CaptureQueriesContext(connection) as seen:
            page(
                who,
                "?cols=number,planned_for,window,project,builder,city,contact,order,state,stage,received_by",
            )
        counts.append(len(seen))
    assert counts[0] == counts[1]


def test_a_deliverys_page_asks_as_often_for_200_things_and_moves_as_for_10() -> None:
    order, who, counts = orders.bundled(), client(), []
    delivery = orders.planned(order)
    services.delivery_change(
        actor=deliveries.dispatcher(), at=AT, delivery=delivery, contact="Rae", gear="crane", gear_limit_lb=1
    )
    load, by = delivery.loads.get(), people.user(Role.DISPATCHER)
    url = reverse("orders:delivery_page", args=[delivery.public_id])
    who.get(url)
    for many in (10, 190):
        base = Bundle.objects.count() * 10
        Bundle.objects.bulk_create(
            Bundle(
                order=order, number=base + n, profile="600S162-54", weight_lb=100, length_16=1600, zone="A",
                delivery=delivery, load=load,
            )
            for n in range(many)
        )  # fmt: skip
        Carton.objects.bulk_create(
            Carton(order=order, number=base + n, title="S", weight_lb=10, contents=[], delivery=delivery, load=load)
            for n in range(many)
        )  # fmt: skip
        DeliveryMove.objects.bulk_create(
            DeliveryMove(
                delivery=delivery,
                at=AT,
                by=by,
                from_day=orders.PLANNED_FOR,
                to_day=orders.PLANNED_FOR,
                why="x",
            )
            for _ in range(many)
        )
        with CaptureQueriesContext(connection) as seen:
            shown = who.get(url)
        counts.append(len(seen))
    assert shown.content.decode().count("Bundle ") > 200
    assert counts[0] == counts[1]
