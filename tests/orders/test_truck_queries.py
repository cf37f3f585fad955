"""Pages of trucks ask the database as often with 200 things on them as with 10 (R47)."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from framing.common.models import Role
from orders.models import Bundle, Delivery, Trip
from tests.factories import loads, orders, people

pytestmark = pytest.mark.django_db
AT, DAY = loads.AT, loads.DAY
FEET_16 = 5 * 192


def with_bundles(count: int) -> Delivery:
    """A delivery that holds so many bundles, all finished."""
    delivery = orders.planned()
    there = delivery.bundles.count()
    Bundle.objects.bulk_create(
        Bundle(
            order=delivery.order,
            delivery=delivery,
            number=there + n,
            profile="1000S162-54",
            zone="First floor",
            length_16=FEET_16 + n,
            weight_lb=90,
            started_at=AT,
            finished_at=AT,
        )
        for n in range(1, count - there + 1)
    )
    return delivery


def asked(client: Client, url: str) -> int:
    client.get(url)
    with CaptureQueriesContext(connection) as queries:
        assert client.get(url).status_code == 200
    return len(queries)


def test_the_day_the_trip_and_the_yard_ask_as_often_for_200_as_for_10() -> None:
    client = people.client_of(Role.DISPATCHER)
    counts = []
    for count in (10, 200):
        Trip.objects.filter(loads=None).delete()
        loads.taken([with_bundles(count)])
        trip = Trip.objects.latest("pk")
        assert Bundle.objects.filter(load__trip=trip).count() == count
        pages = [
            reverse("orders:trucks_day", args=[DAY.isoformat()]),
            reverse("orders:trip_page", args=[trip.public_id]),
            reverse("orders:loading_page", args=[trip.public_id]),
            reverse("orders:loading"),
            f"/api/v1/truck-days/{DAY}/",
        ]
        counts.append([asked(client, url) for url in pages])
    assert counts[0] == counts[1]
    assert max(counts[0]) < 40
