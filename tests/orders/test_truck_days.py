"""What a day's page of trucks lists besides its trucks: nothing dropped, what was loaded alone, where to go on."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.urls import reverse

from framing.common.models import Role
from orders import load_reads, services
from orders.services.delivery_changes import delivery_drop
from tests.factories import loads, orders, people

pytestmark = pytest.mark.django_db
DAY = loads.DAY


def page(day: str = DAY.isoformat()) -> str:
    found = people.client_of(Role.DISPATCHER).get(reverse("orders:trucks_day", args=[day]))
    return found.content.decode()


def test_a_dropped_delivery_is_not_to_be_loaded() -> None:
    delivery = orders.planned()
    assert list(load_reads.day_deliveries(DAY)) == [delivery]
    dispatcher = people.actor(Role.DISPATCHER)
    delivery_drop(actor=dispatcher, at=loads.AT, delivery=delivery, why="The crane is not there.")
    assert not load_reads.day_deliveries(DAY).exists()
    assert delivery.number not in page()
    assert load_reads.next_day_to_load(DAY - timedelta(days=1)) is None


def test_what_was_loaded_on_no_planned_truck_still_shows() -> None:
    delivery = orders.planned()
    services.delivery_load(actor=people.actor(Role.DISPATCHER), at=loads.AT, delivery=delivery)
    shown = page()
    assert "Loaded, on no planned truck" in shown
    assert delivery.number in shown
    assert "Nothing goes out on this day" not in shown


def test_what_rides_on_a_trip_is_not_told_twice() -> None:
    loads.taken([orders.planned()])
    assert "Loaded, on no planned truck" not in page()


def test_an_empty_day_leads_to_the_next_one() -> None:
    assert "Nothing goes out on this day" in page()
    orders.planned()
    before = (DAY - timedelta(days=3)).isoformat()
    assert reverse("orders:trucks_day", args=[DAY.isoformat()]) in page(before)
    assert load_reads.next_day_to_load(DAY) is None
