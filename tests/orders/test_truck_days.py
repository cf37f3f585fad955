"""What a day's page of trucks lists besides its trucks: nothing dropped, what was loaded alone, where to go on."""

from __future__ import annotations

from datetime import time, timedelta

import pytest
from django.urls import reverse

from framing.common.models import Role
from orders import load_changes, load_pages, load_reads, services
from orders.models import Carton, Delivery, Trip
from orders.services import trips
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


def test_a_day_with_nothing_left_to_load_leads_on_too() -> None:
    (trip,) = loads.taken([orders.planned()])
    trips.trip_load(actor=people.actor(Role.DISPATCHER), at=loads.AT, trip=trip, edition=trip.edition)
    later = orders.planned()
    Delivery.objects.filter(pk=later.pk).update(planned_for=DAY + timedelta(days=2))
    shown = page()
    assert trip.number in shown
    assert reverse("orders:trucks_day", args=[DAY + timedelta(days=2)]) in shown


# --- what can be moved and planned ---


def lock(trip: Trip) -> None:
    trips.trip_lock(
        actor=people.actor(Role.DISPATCHER), at=loads.AT, trip=trip, edition=trip.edition, locked=True
    )


def test_nothing_of_a_locked_truck_is_offered_to_move_or_to_plan() -> None:
    delivery = orders.planned()
    (trip,) = loads.taken([delivery])
    box = f'name="deliveries" value="{delivery.public_id}"'
    assert f"{box} checked" in page()
    assert all(words in page() for words in (">Move<", "Drag a bundle", "Plan the rest anew"))
    lock(trip)
    shown = page()
    assert not any(words in shown for words in (">Move<", "Drag a bundle", "Plan the rest anew"))
    assert "All, locked" in shown
    assert box in shown
    assert f"{box} checked" not in shown


def test_rows_say_what_each_thing_is_and_stand_by_number() -> None:
    delivery = orders.planned()
    carton = delivery.cartons.latest("number")
    for number in (9, 10, 11):
        Carton.objects.create(
            order=delivery.order,
            delivery=delivery,
            number=number,
            title=f"Pack {number}",
            contents=[],
            weight_lb=9,
        )
    found = load_pages.day_page(DAY).waiting
    numbers = [int(row.name.split()[1]) for row in found if not row.is_bundle]
    assert numbers == sorted(numbers)
    assert [row.is_bundle for row in found] == sorted((row.is_bundle for row in found), reverse=True)
    shown = page()
    assert carton.title in shown
    assert delivery.bundles.all()[0].zone in shown
    assert "2 bundles, " in shown
    assert "cartons to place" in shown
    loads.taken([delivery])
    assert carton.title in page()


def test_stops_stand_as_they_are_now_and_as_they_were_typed_where_the_plan_is_refused() -> None:
    first, second = orders.planned(), orders.planned()
    loads.taken([second, first])
    url = reverse("orders:load_plan_ask", args=[DAY])

    def places(shown: str) -> bool:
        """Whether the second stands before the first."""
        return shown.index(f"stop-{second.public_id}") < shown.index(f"stop-{first.public_id}")

    assert places(page())
    typed = {
        "deliveries": [first.public_id, second.public_id],
        f"stop-{first.public_id}": "1",
        f"stop-{second.public_id}": "2",
    }
    refused = people.client_of(Role.DISPATCHER).post(url, typed)
    assert refused.status_code == 422
    assert not places(refused.content.decode())


def test_one_that_rides_nowhere_yet_stands_before_the_first_that_is_due_later() -> None:
    first, second, early, late = (orders.planned() for _ in range(4))
    loads.taken([second, first])
    for row, hour in ((first, 11), (early, 7), (late, 15)):
        Delivery.objects.filter(pk=row.pk).update(window_from=time(hour), window_to=time(hour + 1))
    stops = load_changes.rest_of_day(DAY).deliveries
    # the second has no window, so what is due at some hour comes before it; the first is due at eleven
    assert stops == tuple(row.public_id for row in (early, late, second, first))


def test_who_moves_a_delivery_from_a_locked_truck_is_led_to_it_before_he_types() -> None:
    delivery = orders.planned()
    (trip,) = loads.taken([delivery])
    who = people.client_of(Role.DISPATCHER)
    trip_url = reverse("orders:trip_page", args=[trip.public_id])
    urls = [reverse(f"orders:delivery_{name}", args=[delivery.public_id]) for name in ("reschedule", "drop")]
    assert not any(trip_url in who.get(url).content.decode() for url in urls)
    lock(trip)
    for url in urls:
        shown = who.get(url).content.decode()
        assert "It rides on a locked truck." in shown
        assert trip_url in shown


def test_a_step_leads_back_to_what_it_moved() -> None:
    delivery = orders.planned()
    loads.taken([delivery])
    row = load_pages.day_page(DAY).cards[0].things[0]
    edit = {"version": load_pages.day_page(DAY).version, "edit": "off", "thing": row.id}
    done = people.client_of(Role.DISPATCHER).post(reverse("orders:trips_edit", args=[DAY]), edit)
    assert done["Location"] == reverse("orders:trucks_day", args=[DAY]) + f"#thing-{row.id}"
    assert f'id="thing-{row.id}"' in page()


def test_the_trips_stops_stand_under_trucks_in_the_menu() -> None:
    (trip,) = loads.taken([orders.planned()])
    url = reverse("orders:trip_driver", args=[trip.public_id])
    shown = people.client_of(Role.DISPATCHER).get(url).content.decode()
    assert f'<a href="{reverse("orders:trucks")}" aria-current="page">Trucks</a>' in shown
