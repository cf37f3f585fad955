"""Trucks of a day on pages and by the API: roles, numbers of queries, twenty at once (R47)."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
from django.db import connection, connections
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from framing.common.errors import ApplicationError, NotAllowed
from framing.common.models import OutboxEntry, Role
from framing.common.outbox import outbox_run
from orders import load_reads
from orders.models import Bundle, LoadPlan, Trip, TruckLoad
from orders.services import load_plans, trip_steps, trips
from orders.services.trip_steps import TripStep
from tests.factories import loads, orders, people
from tests.orders.test_loads import dispatcher, fresh, rows_agree, thing, version

pytestmark = pytest.mark.django_db
AT, DAY = loads.AT, loads.DAY


def test_pages_of_the_way_from_asking_to_loading() -> None:
    delivery = orders.planned()
    client = people.client_of(Role.DISPATCHER)
    day = DAY.isoformat()
    page = client.get(reverse("orders:trucks_day", args=[day]))
    assert delivery.number in page.content.decode()
    refused = client.post(reverse("orders:load_plan_ask", args=[day]), {"further": "1"})
    assert refused.status_code == 422
    assert "Tick a delivery" in refused.content.decode()
    asked = client.post(
        reverse("orders:load_plan_ask", args=[day]),
        {"deliveries": [delivery.public_id], f"stop-{delivery.public_id}": "1", "further": "1"},
    )
    assert "hx-get" in client.get(asked["Location"]).content.decode()
    outbox_run(OutboxEntry.objects.get(kind="load_plan").pk)
    shown = client.get(asked["Location"]).content.decode()
    assert "Take this plan" in shown
    assert "<svg" in shown
    plan = LoadPlan.objects.get()
    client.post(reverse("orders:load_plan_take", args=[plan.public_id]))
    (trip,) = load_reads.day_trips(DAY)
    move = reverse("orders:trip_move", args=[day]) + f"?thing={thing(delivery, 1)}"
    assert "Into the stack of" in client.get(move).content.decode()
    edit = {"version": version(), "edit": "move", "thing": thing(delivery, 1), "to": "new"}
    assert client.post(reverse("orders:trips_edit", args=[day]), edit).status_code == 302
    stale = client.post(reverse("orders:trips_edit", args=[day]), edit)
    assert stale.status_code == 409
    undone = client.post(reverse("orders:trips_undo", args=[day]), {"version": version()})
    assert undone.status_code == 302
    here = fresh(trip)
    assert "Mark loaded" in client.get(reverse("orders:trip_page", args=[trip.public_id])).content.decode()
    own = loads.truck("Old Blue")
    named = {"edition": here.edition, "truck": own.public_id, "driver": "Dee", "driver_phone": "555-0199"}
    assert client.post(reverse("orders:trip_name", args=[trip.public_id]), named).status_code == 302
    loaded = client.post(reverse("orders:trip_load", args=[trip.public_id]), {"edition": fresh(trip).edition})
    assert loaded.status_code == 302
    for act in ("leave", "back"):
        assert client.post(reverse(f"orders:trip_{act}", args=[trip.public_id])).status_code == 302
    assert fresh(trip).back_at is not None


def test_the_api_does_what_the_pages_do() -> None:
    first, second = orders.planned(), orders.planned()
    client = people.client_of(Role.DISPATCHER)
    there = f"/api/v1/truck-days/{DAY}/"

    def post(address: str, body: Any = None) -> Any:
        return client.post(address, body or {}, content_type="application/json")

    asked = post(f"{there}plan/", {"deliveries": [first.public_id, second.public_id]})
    assert asked.status_code == 202, asked.content
    plan = f"/api/v1/truck-plans/{asked.json()['id']}/"
    outbox_run(OutboxEntry.objects.get(kind="load_plan").pk)
    assert client.get(plan).json()["state"] == "proposed"
    assert post(f"{plan}take/").json()["state"] == "taken"
    day = client.get(there).json()
    (trip,) = day["trips"]
    assert [load["stop"] for load in trip["loads"]] == [1, 2]
    off = {"version": day["version"], "edit": "off", "thing": thing(first, 1)}
    assert "Took Bundle 1" in post(f"{there}edit/", off).json()["words"]
    assert post(f"{there}edit/", off).status_code == 409
    now = client.get(there).json()
    assert now["waiting"] == [thing(first, 1)]
    assert post(f"{there}undo/", {"version": now["version"]}).status_code == 200
    address = f"/api/v1/trips/{trip['id']}/"
    edition = client.get(address).json()["edition"]
    locked = post(f"{address}lock/", {"edition": edition, "locked": True}).json()
    named = post(f"{address}name/", {"edition": locked["edition"], "driver": "Dee"}).json()
    loaded = post(f"{address}load/", {"edition": named["edition"]})
    assert all(load["loaded_at"] for load in loaded.json()["loads"])
    assert post(f"{address}leave/").json()["left_at"]
    assert post(f"{address}back/").json()["back_at"]


@pytest.mark.parametrize("role", [Role.SELLER, Role.MANAGER, Role.PLANNER, Role.ADMINISTRATOR])
def test_others_see_trucks_and_change_nothing(role: str) -> None:
    delivery = orders.planned()
    (trip,) = loads.taken([delivery])
    client = people.client_of(role)
    shown = client.get(reverse("orders:trucks_day", args=[DAY.isoformat()])).content.decode()
    assert trip.number in shown
    assert "Plan trucks" not in shown
    who = people.actor(role)
    for act in (
        lambda: trips.trip_lock(actor=who, at=AT, trip=trip, edition=trip.edition, locked=True),
        lambda: trips.trip_load(actor=who, at=AT, trip=trip, edition=trip.edition),
        lambda: load_plans.load_plan_ask(actor=who, at=AT, day=DAY, deliveries=[delivery.public_id]),
        lambda: trip_steps.trips_undo(actor=who, at=AT, day=DAY, version=version()),
    ):
        with pytest.raises(NotAllowed):
            act()
    assert (
        people.client_of(Role.SHOP).get(reverse("orders:trucks_day", args=[DAY.isoformat()])).status_code
        == 403
    )


def test_the_day_asks_as_much_with_three_deliveries_as_with_one() -> None:
    client = people.client_of(Role.DISPATCHER)
    url = reverse("orders:trucks_day", args=[DAY.isoformat()])
    counts = []
    for count in (1, 2):
        loads.taken([orders.planned() for _ in range(count)])
        client.get(url)
        with CaptureQueriesContext(connection) as asked:
            client.get(url)
        counts.append(len(asked))
    assert counts[0] == counts[1]


def _together(acts: list[Callable[[], Any]]) -> list[str]:
    """Do all at once; what each came to."""

    def run(act: Callable[[], Any]) -> str:
        try:
            act()
        except ApplicationError as error:
            return type(error).__name__
        finally:
            connections.close_all()
        return "done"

    with ThreadPoolExecutor(len(acts)) as pool:
        return list(pool.map(run, acts))


@pytest.mark.django_db(transaction=True)
def test_twenty_takes_at_once_make_the_trucks_once() -> None:
    plan = loads.proposed([orders.planned(), orders.planned()])
    who = dispatcher()
    said = _together([lambda: load_plans.load_plan_take(actor=who, at=AT, plan=plan)] * 20)
    assert said == ["done"] * 20
    assert Trip.objects.count() == 1
    rows_agree()


@pytest.mark.django_db(transaction=True)
def test_twenty_steps_on_one_state_and_a_load_at_once() -> None:
    delivery = orders.planned()
    (trip,) = loads.taken([delivery])
    seen, who = version(), dispatcher()

    def off() -> None:
        trip_steps.trips_edit(
            actor=who, at=AT, day=DAY, version=seen, step=TripStep("off", thing(delivery, 1))
        )

    def load() -> None:
        trips.trip_load(actor=who, at=AT, trip=trip, edition=trip.edition)

    said = _together([off] * 10 + [load] + [off] * 9)
    assert said.count("done") == 1, said
    loaded = TruckLoad.objects.filter(loaded_at__isnull=False).exists()
    assert (said[10] == "done") == loaded
    assert Bundle.objects.filter(delivery=delivery, load=None).exists() != loaded
    rows_agree()
