"""Loading a truck in the yard, thing by thing: ticks count once, strangers are refused in words (R47)."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from framing.common.errors import Clash, NotAllowed, Refused
from framing.common.models import AuditEntry, OutboxEntry, Role
from orders import load_reads
from orders.load_facts import thing_id
from orders.load_ticks import loading_of
from orders.models import Bundle, Carton, LoadTick, Order, Piece, Trip
from orders.services import trip_steps, trips
from orders.services.load_ticks import Tick, Ticked, load_tick
from orders.services.trip_steps import TripStep
from orders.trip_loading import loading_list, loading_rows
from tests.factories import loads, orders, people
from tests.orders.test_loads import dispatcher, version

pytestmark = pytest.mark.django_db
AT, DAY = loads.AT, loads.DAY


def yard() -> Any:
    return people.actor(Role.SHOP)


def one_trip() -> Trip:
    (trip,) = loads.taken([orders.planned()])
    return trip


def things(trip: Trip) -> list[Bundle | Carton]:
    return list(loading_of(trip).things)


def tick(trip: Trip, code: str, *, on: bool = True, number: UUID | None = None, who: Any = None) -> Ticked:
    what = Tick(number or uuid4(), code, on=on)
    return load_tick(actor=who or yard(), at=AT, trip=trip, tick=what)


# --- what counts ---


def test_the_first_tick_locks_the_load_and_the_last_one_loads_the_truck() -> None:
    trip = one_trip()
    first, *rest = things(trip)
    done = tick(trip, first.code)
    assert f"{len(rest)} left" in done.words
    trip.refresh_from_db()
    assert trip.locked
    for row in rest[:-1]:
        assert not tick(trip, row.code).loaded
    assert not any(load.loaded_at for load in trip.loads.all())
    who = yard()
    last = tick(trip, rest[-1].code, who=who)
    assert last.loaded
    assert "is loaded; its manifests are stored" in last.words
    assert all(load.loaded_at for load in trip.loads.all())
    assert OutboxEntry.objects.filter(kind="manifest_paper").exists()
    why = AuditEntry.objects.get(verb="trip_load").why
    assert why == f"The last tick, by {who.name}."
    assert AuditEntry.objects.filter(verb="trip_tick").count() == len(rest) + 1


def test_a_tick_sent_twice_counts_once_and_is_answered_as_before() -> None:
    trip = one_trip()
    row, number, who = things(trip)[0], uuid4(), yard()
    first = tick(trip, row.code, number=number, who=who)
    again = tick(trip, row.code, number=number, who=who)
    assert (again.tick.pk, again.words) == (first.tick.pk, first.words)
    assert LoadTick.objects.count() == 1
    with pytest.raises(Refused, match="number of another one"):
        tick(trip, things(trip)[1].code, number=number, who=who)
    with pytest.raises(Refused, match="number of another one"):
        tick(trip, row.code, number=number)
    twice = tick(trip, row.code)
    assert not twice.tick.changed
    assert "as it was" in twice.words


def test_a_tick_is_taken_back() -> None:
    trip = one_trip()
    row = things(trip)[0]
    tick(trip, row.code)
    assert "is off again" in tick(trip, row.code, on=False).words
    assert loading_of(trip).on == {}
    tick(trip, row.code)
    assert list(loading_of(trip).on) == [thing_id(row)]


def test_the_code_as_the_address_in_its_tag_and_as_it_is_read_aloud() -> None:
    trip = one_trip()
    row = things(trip)[0]
    tick(trip, f"http://shop.example/t/{row.code.lower()}/")
    assert thing_id(row) in loading_of(trip).on
    spaced = f"{row.code[:4]} {row.code[4:8]}-{row.code[8:]}"
    assert not tick(trip, spaced).tick.changed


# --- what is refused, in words ---


def test_a_bundle_of_another_truck_is_refused_and_told_where_it_belongs() -> None:
    trip = one_trip()
    other = loads.taken([orders.planned()])[-1]
    strange = things(other)[0]
    with pytest.raises(Refused) as refusal:
        tick(trip, strange.code)
    assert refusal.value.message.startswith(
        f"Bundle {strange.number} of order {strange.order.number} goes on "
    )
    assert other.number in refusal.value.message
    assert "Leave it off." in refusal.value.message
    assert not LoadTick.objects.exists()
    trips.trip_load(actor=dispatcher(), at=AT, trip=other, edition=other.edition)
    with pytest.raises(Refused, match="marked as loaded there already"):
        tick(trip, strange.code)


def test_a_bundle_on_no_truck_names_its_delivery() -> None:
    trip = one_trip()
    waiting = orders.planned()
    strange = waiting.bundles.order_by("number")[0]
    with pytest.raises(Refused, match=f"on no truck yet: it goes with delivery {waiting.number}"):
        tick(trip, strange.code)
    Bundle.objects.filter(pk=strange.pk).update(delivery=None, load=None)
    with pytest.raises(Refused, match="is on no delivery yet"):
        tick(trip, strange.code)


def test_codes_that_are_none_of_a_thing_to_load() -> None:
    trip = one_trip()
    piece = Piece.objects.filter(bundle__isnull=False).first()
    assert piece is not None
    with pytest.raises(Refused, match=f"label of piece {piece.mark}"):
        tick(trip, piece.code)
    with pytest.raises(Refused, match="No bundle or carton has the code"):
        tick(trip, "0" * 12)
    with pytest.raises(Refused, match="not one of our codes"):
        tick(trip, "4006381333931")


def test_what_is_still_to_roll_does_not_go_on() -> None:
    trip = one_trip()
    row = next(one for one in things(trip) if isinstance(one, Bundle))
    Bundle.objects.filter(pk=row.pk).update(finished_at=None)
    with pytest.raises(Clash, match="is still to roll"):
        tick(trip, row.code)


def test_after_loading_nothing_comes_off_by_tick() -> None:
    trip = one_trip()
    trips.trip_load(actor=dispatcher(), at=AT, trip=trip, edition=trip.edition)
    with pytest.raises(Clash, match="is loaded already"):
        tick(trip, things(trip)[0].code, on=False)


def test_where_the_order_is_held_the_last_tick_stands_and_says_so() -> None:
    trip = one_trip()
    *most, last = things(trip)
    for row in most:
        tick(trip, row.code)
    Order.objects.update(stage="held", held_from="bundled")
    done = tick(trip, last.code)
    assert not done.loaded
    assert "does not count as loaded yet" in done.words
    assert loading_of(trip).done


def test_what_is_on_the_truck_is_not_moved_in_the_plan() -> None:
    trip = one_trip()
    row = things(trip)[0]
    tick(trip, row.code)
    trip.refresh_from_db()
    trips.trip_lock(actor=dispatcher(), at=AT, trip=trip, edition=trip.edition, locked=False)
    step = TripStep(edit="off", thing=thing_id(row))
    with pytest.raises(Refused, match="is on the truck already, ticked by"):
        trip_steps.trips_edit(actor=dispatcher(), at=AT, day=DAY, version=version(), step=step)


# --- pages and API ---


def test_the_yards_pages_without_script() -> None:
    trip = one_trip()
    client = people.client_of(Role.SHOP)
    page = client.get(reverse("orders:loading_page", args=[trip.public_id]))
    assert page["Permissions-Policy"].startswith("camera=(self)")
    row = things(trip)[0]
    assert row.code in page.content.decode()
    url = reverse("orders:load_tick", args=[trip.public_id])
    assert client.post(url, {"do": f"on {row.code} {uuid4()}"}).status_code == 302
    assert "1 of " in client.get(page.wsgi_request.path).content.decode()
    wrong = client.post(url, {"verb": "on", "code": "0" * 12, "id": str(uuid4())})
    assert wrong.status_code == 422
    assert "Not counted." in wrong.content.decode()
    assert "000000000000" in wrong.content.decode(), "what was typed is still there"
    assert client.post(url, {"do": f"off {row.code} {uuid4()}"}).status_code == 302
    assert loading_of(trip).on == {}


def test_a_batch_from_a_phone_is_answered_tick_by_tick() -> None:
    trip = one_trip()
    client = people.client_of(Role.DISPATCHER)
    row, number = things(trip)[0], str(uuid4())
    acts = [
        {"id": number, "verb": "on", "code": row.code, "tapped_at": "2026-11-29T10:00:00Z"},
        {"id": str(uuid4()), "verb": "on", "code": "0" * 12},
        {"id": number, "verb": "on", "code": row.code},
    ]
    url = reverse("orders:load_ticks", args=[trip.public_id])
    body = client.post(url, json.dumps({"acts": acts}), content_type="application/json").json()
    assert [answer["outcome"] for answer in body["answers"]] == ["done", "refused", "done"]
    assert body["on"] == [row.code]
    assert body["loaded"] is False
    assert LoadTick.objects.count() == 1


def test_the_api_tells_what_goes_on_in_which_order_and_ticks() -> None:
    trip = one_trip()
    client = people.client_of(Role.SHOP)
    there = f"/api/v1/trips/{trip.public_id}/"
    rows = client.get(f"{there}loading/").json()
    assert [row["turn"] for row in rows["rows"]] == list(range(1, len(things(trip)) + 1))
    answers = [
        client.post(
            f"{there}tick/",
            {"action_id": str(uuid4()), "code": row["code"]},
            content_type="application/json",
        ).json()
        for row in rows["rows"]
    ]
    assert [answer["loaded"] for answer in answers] == [False] * (len(answers) - 1) + [True]
    assert client.get(f"{there}loading/").json()["waiting"] == 0


@pytest.mark.parametrize("role", [Role.SELLER, Role.MANAGER, Role.PLANNER, Role.ADMINISTRATOR])
def test_only_the_yard_and_the_dispatcher_tick(role: str) -> None:
    trip = one_trip()
    with pytest.raises(NotAllowed):
        tick(trip, things(trip)[0].code, who=people.actor(role))
    client = people.client_of(role)
    assert client.get(reverse("orders:loading_page", args=[trip.public_id])).status_code == 403
    assert client.get(f"/api/v1/trips/{trip.public_id}/loading/").status_code == 403


def test_things_go_on_in_the_order_that_is_not_that_of_unloading() -> None:
    trip = one_trip()
    rows = loading_rows(trip).rows
    tiers: dict[int, list[int]] = {}
    for row in rows:
        tiers.setdefault(row.lane, []).append(row.tier)
    assert rows[0].tier == 1, "the deck is loaded before what lies on it"
    assert [row.turn for row in rows] == list(range(1, len(rows) + 1))
    told = {row.what for row in rows}
    assert told == {thing.zone if isinstance(thing, Bundle) else thing.title for thing in things(trip)}
    page = people.client_of(Role.DISPATCHER).get(reverse("orders:loading_page", args=[trip.public_id]))
    assert all(what in page.content.decode() for what in told)


def test_the_list_shows_today_and_what_is_late_with_as_many_queries_for_many() -> None:
    one_trip()
    with CaptureQueriesContext(connection) as few:
        assert [(row.on, row.loaded) for row in loading_list(DAY)] == [(0, False)]
    for _ in range(2):
        loads.taken([orders.planned()])
    with CaptureQueriesContext(connection) as many:
        assert len(loading_list(DAY + timedelta(days=1))) == 3, "yesterday's that are not loaded"
    assert len(few) == len(many)
    (first, *_) = load_reads.day_trips(DAY)
    trips.trip_load(actor=dispatcher(), at=AT, trip=first, edition=first.edition)
    assert len(loading_list(DAY + timedelta(days=1))) == 2
    page = people.client_of(Role.SHOP).get(reverse("orders:loading"))
    assert page.status_code == 200
