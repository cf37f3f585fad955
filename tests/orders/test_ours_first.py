"""Plans take the fewest trucks, and at that number the company's own before hired ones (R47)."""

from __future__ import annotations

import pytest
from django.urls import reverse

from framing.common.models import Role
from orders import load_reads
from orders.models import Trip
from orders.services import trips
from tests.factories import loads, orders, people

pytestmark = pytest.mark.django_db
AT, DAY = loads.AT, loads.DAY


def kinds_of(trips_of_day: list[Trip]) -> list[str]:
    return sorted(trip.truck_name for trip in trips_of_day)


def test_where_ours_carry_it_none_is_hired_whatever_their_names() -> None:
    """“Further …” stands before “Old Blue” by name, and is as large."""
    assert kinds_of(loads.taken([orders.planned()], [loads.truck("Old Blue")])) == ["Old Blue"]


def test_one_hired_goes_before_two_of_ours_and_the_plan_says_what_ours_would_do() -> None:
    delivery = orders.planned()
    weight = sum(float(row.weight_lb) for row in [*delivery.bundles.all(), *delivery.cartons.all()])
    small = [loads.truck(name, payload=int(weight * 0.7)) for name in ("Long one", "Longer one")]
    plan = loads.proposed([delivery], small)
    assert plan.result is not None
    assert [entry["kind"]["name"] for entry in plan.result["trucks"]] == [load_reads.FURTHER.name]
    assert "With none hired it would take 2 trucks; leave the hired ones out" in plan.result["words"]
    alone = loads.proposed([delivery], small, further=False)
    assert alone.result is not None
    assert sorted(entry["kind"]["name"] for entry in alone.result["trucks"]) == ["Long one", "Longer one"]
    assert alone.result["left"] == []


def test_what_none_of_ours_carries_is_hired_for_and_no_more_than_that() -> None:
    first, second = orders.planned(), orders.planned()
    things = [*first.bundles.all(), *first.cartons.all()]
    weight = sum(float(row.weight_lb) for row in things)
    ours = loads.truck("Small one", feet=8, payload=int(weight))
    plan = loads.proposed([first, second], [ours])
    assert plan.result is not None
    assert plan.result["left"] == []
    assert [entry["kind"]["name"] for entry in plan.result["trucks"]].count(load_reads.FURTHER.name) == 1


def test_on_the_days_page_our_free_trucks_are_ticked() -> None:
    delivery, later = orders.planned(), orders.planned()
    blue, red = loads.truck("Old Blue"), loads.truck("Old Red")
    assert load_reads.trucks_free(DAY) == {blue.public_id, red.public_id}
    (trip,) = loads.taken([delivery], [blue], further=False)
    assert load_reads.trucks_free(DAY) == {blue.public_id, red.public_id}, "it is planned anew with the rest"
    trips.trip_lock(actor=people.actor(Role.DISPATCHER), at=AT, trip=trip, edition=trip.edition, locked=True)
    assert load_reads.trucks_free(DAY) == {red.public_id}
    page = people.client_of(Role.DISPATCHER).get(reverse("orders:trucks_day", args=[DAY])).content.decode()
    assert f'value="{red.public_id}" checked' in page
    assert f'value="{blue.public_id}">' in page
    assert later.number in page
