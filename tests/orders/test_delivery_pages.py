"""Pages and operations of deliveries, the board by day and truck, and the company's trucks."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from framing.common.errors import Clash, NotAllowed, Refused
from framing.common.models import Role
from orders import services
from orders.delivery_reads import NO_TRUCK, board, first_day
from orders.models import Delivery, DeliveryMove, Trip, Truck
from tests.factories import deliveries, orders, people
from tests.factories.at_once import at_once

pytestmark = pytest.mark.django_db
AT = orders.AT
DAY = orders.PLANNED_FOR


def client(role: str = Role.DISPATCHER) -> Client:
    return people.client_of(people.user(Role(role)))


def text(response: Any) -> str:
    return str(response.content.decode())


TRUCK: dict[str, Any] = {
    "name": "Long one",
    "plate": "KRL 1",
    "deck_length": "48 ft",
    "deck_width": "8'-6\"",
    "stack_height": "2.4 m",
    "tiers": 4,
    "payload_lb": 48_000,
}


def truck_made(**more: Any) -> Truck:
    return services.truck_save(actor=deliveries.dispatcher(), at=AT, truck=None, **(TRUCK | more))


# --- a delivery's forms ---


def test_an_order_is_split_by_its_form_and_the_page_says_what_is_left() -> None:
    order, who = orders.bundled(), client()
    url = reverse("orders:delivery_new", args=[order.public_id])
    first = order.bundles.order_by("number")[0]
    asked = {"planned_for": "2099-01-05", "contact": "Rae", "window_from": "07:30", "window_to": "09:00",
             "gear": "crane", "gear_limit_lb": "100", "bundles": [first.public_id]}  # fmt: skip
    backwards = who.post(url, asked | {"window_to": "07:00"})
    assert backwards.status_code == 422
    assert "The window ends at 7:00" in text(backwards)
    assert 'value="07:30"' in text(backwards), "what was typed stays"
    assert who.post(url, asked).status_code == 302
    delivery = Delivery.objects.get()
    assert [bundle.pk for bundle in delivery.bundles.all()] == [first.pk]
    page = text(who.get(reverse("orders:delivery_page", args=[delivery.public_id])))
    assert "the crane there lifts 100 lb" in page
    assert "7:30 to 9:00" in page
    shown = text(who.get(reverse("orders:order_page", args=[order.public_id])))
    assert "On no delivery yet" in shown
    assert "Plan a delivery for them" in shown


def test_a_telehandlers_rating_is_explained_where_a_bundle_is_too_heavy() -> None:
    delivery = orders.planned()
    services.delivery_change(
        actor=deliveries.dispatcher(), at=AT, delivery=delivery, contact="Rae", gear="telehandler",
        gear_limit_lb=10,
    )  # fmt: skip
    page = text(client().get(reverse("orders:delivery_page", args=[delivery.public_id])))
    assert "at full reach it lifts a quarter or less" in page


def test_day_place_things_and_end_are_changed_by_their_forms() -> None:
    order, one, rest = deliveries.halves()
    who = client()

    def url(name: str, delivery: Delivery = one) -> str:
        return reverse(f"orders:delivery_{name}", args=[delivery.public_id])

    later = {"planned_for": "2099-02-03", "why": ""}
    assert who.post(url("reschedule"), later).status_code == 422
    assert who.post(url("reschedule"), later | {"why": "Rain."}).status_code == 302
    assert DeliveryMove.objects.get().to_day == date(2099, 2, 3)
    assert "Rain." in text(who.get(url("page")))
    assert "Rae Winter" in text(who.get(url("change")))
    assert who.post(url("change"), {"contact": "Kit Moss", "gear": "forklift"}).status_code == 302
    second = order.bundles.get(number=2)
    assert f"(now on {rest.number})" in text(who.get(url("things")))
    assert who.post(url("things"), {"bundles": [second.public_id]}).status_code == 302
    assert who.post(url("things"), {}).status_code == 422
    assert who.post(url("drop"), {"why": "Goes with the rest."}).status_code == 302
    one.refresh_from_db()
    assert (one.contact, one.gear, one.state) == ("Kit Moss", "forklift", "dropped")
    assert "Dropped." in text(who.get(url("page")))
    refused = who.post(url("drop"), {"why": "again"})
    assert refused.status_code == 422
    assert "is dropped" in text(refused)


def test_the_operations_do_what_the_pages_do() -> None:
    order, who = orders.bundled(), client()
    first, second = order.bundles.order_by("number")[:2]

    def post(path: str, data: Any = None) -> Any:
        return who.post(f"/api/v1/{path}", data or {}, content_type="application/json")

    made = post(
        f"orders/{order.public_id}/deliveries/",
        {"planned_for": "2099-01-05", "contact": "Rae", "bundles": [first.public_id], "cartons": []},
    )
    assert made.status_code == 201, made.content
    path = f"deliveries/{made.json()['id']}/"
    assert post(path + "things/", {"bundles": [second.public_id], "cartons": [1]}).status_code == 200
    moved = post(path + "day/", {"planned_for": "2099-01-06", "window_from": "07:00", "why": "Rain."})
    assert (moved.status_code, moved.json()["field"]) == (422, "window_to")
    assert post(path + "day/", {"planned_for": "2099-01-06", "why": "Rain."}).json()["edition"] == 3
    assert post(path + "change/", {"contact": "Kit", "gear": "hand"}).json()["gear"] == "hand"
    loaded = post(path + "loads/1/load/")
    assert loaded.json()["state"] == "loaded", loaded.content
    assert post(path + "drop/", {"why": "x"}).status_code == 409


# --- the board ---


def test_the_board_shows_days_and_trucks_and_what_has_none() -> None:
    _, one, rest = deliveries.halves()
    truck = truck_made()
    trip = Trip.objects.create(number="T-1", day=DAY, truck=truck)
    one.loads.update(trip=trip)
    first, days = first_day("week", DAY)
    found = board(first, days, AT.date(), AT)
    assert (first.weekday(), days, found.columns) == (0, 7, (NO_TRUCK, "Long one"))
    row = next(row for row in found.rows if row.day == DAY)
    assert [[entry.delivery.pk for entry in cell.entries] for cell in row.cells] == [[rest.pk], [one.pk]]
    assert found.late == ()


def test_late_and_held_ones_are_marked_in_words() -> None:
    delivery = orders.planned()
    services.order_hold(actor=people.actor(Role.PLANNER), at=AT, order=delivery.order, why="rain")
    after = AT + timedelta(days=30)
    first, days = first_day("week", after.date())
    (entry,) = board(first, days, after.date(), after).late
    assert [words for _, words in entry.marks] == ["Late", "Held"]


@pytest.mark.parametrize(
    ("day", "first", "days"),
    [
        (date(2027, 2, 17), date(2027, 2, 1), 35),  # begins on a Monday
        (date(2027, 8, 17), date(2027, 7, 26), 42),  # August 1 is a Sunday: six weeks hold August 31
        (date(2026, 11, 30), date(2026, 10, 26), 42),
    ],
)
def test_a_month_holds_all_its_days(day: date, first: date, days: int) -> None:
    found = first_day("month", day)
    assert found == (first, days)
    last = (day.replace(day=1) + timedelta(days=32)).replace(day=1) - timedelta(days=1)
    assert found[0] <= day.replace(day=1)
    assert last < found[0] + timedelta(days=found[1])


def test_the_boards_page_answers_any_day_and_asks_as_often_for_200_as_for_10() -> None:
    order, who = orders.bundled(), client()
    url = reverse("orders:delivery_board")
    assert who.get(url + "?day=rubbish&span=year").status_code == 200
    assert who.get(url + "?day=9999-12-31&span=month").status_code == 200
    day = datetime.now(UTC).date()
    counts = []
    for many in (10, 190):
        Delivery.objects.bulk_create(
            Delivery(order=order, number=f"X-{many}-{n}", planned_for=day, contact="x") for n in range(many)
        )
        with CaptureQueriesContext(connection) as seen:
            page = who.get(url + f"?day={day}")
        counts.append(len(seen))
    assert "X-190-189" in text(page)
    assert counts[0] == counts[1]
    found = who.get(f"/api/v1/deliveries/by-day/?first={day}&days=1").json()["deliveries"]
    assert len(found) == 200
    assert {entry["truck"] for entry in found} == {NO_TRUCK}
    assert who.get("/api/v1/deliveries/by-day/?days=63").status_code == 422


# --- trucks ---


def test_a_truck_is_entered_as_people_type_and_shown_so() -> None:
    who = client()
    assert who.post(reverse("orders:truck_new"), TRUCK | {"deck_length": "long"}).status_code == 422
    assert who.post(reverse("orders:truck_new"), TRUCK).status_code == 302
    truck = Truck.objects.get()
    # 48 ft = 9216/16 in; 8 ft 6 in = 102 in = 1632/16; 2.4 m = 94.488 in = 1511.8, so 1512/16
    assert (truck.deck_length_16, truck.deck_width_16, truck.stack_height_16) == (9216, 1632, 1512)
    url = reverse("orders:truck_page", args=[truck.public_id])
    assert "KRL 1" in text(who.get(url))
    assert "KRL 1" in text(client(Role.PLANNER).get(url))
    change = reverse("orders:truck_change", args=[truck.public_id])
    assert who.post(change, TRUCK | {"tiers": 3}).status_code == 302
    assert who.post(change, TRUCK | {"deck_width": "85 ft"}).status_code == 422
    made = who.post(reverse("orders:truck_calendar_make", args=[truck.public_id]), {"feed-for_name": "Cab"})
    assert "deliveries.ics" in text(made)
    assert "deliveries.ics" not in text(who.get(url)), "shown this once"
    retire = reverse("orders:truck_retire", args=[truck.public_id])
    assert who.post(retire, {"active": "0"}).status_code == 302
    truck.refresh_from_db()
    assert (truck.tiers, truck.active) == (3, False)
    assert "Retired" in text(who.get(reverse("orders:truck_list")))


@pytest.mark.parametrize(
    ("change", "field"),
    [({"name": " "}, "name"), ({"deck_length": "0"}, "deck_length"), ({"stack_height": "15 ft"}, "stack_height"),
     ({"tiers": 0}, "tiers"), ({"payload_lb": 150_001}, "payload_lb"), ({"plate": "x" * 21}, "plate")],
)  # fmt: skip
def test_a_truck_that_can_not_be_is_refused_at_its_field(change: dict[str, Any], field: str) -> None:
    with pytest.raises(Refused) as refusal:
        truck_made(**change)
    assert refusal.value.field == field


def test_two_trucks_of_one_name_and_the_retirement_of_one_that_goes_out_are_refused() -> None:
    truck = truck_made()
    with pytest.raises(Refused, match="Another truck is called Long one"):
        truck_made()
    Trip.objects.create(number="T-1", day=AT.date() + timedelta(days=2), truck=truck)
    with pytest.raises(Clash, match="as trip T-1"):
        services.truck_retire(actor=deliveries.dispatcher(), at=AT, truck=truck, active=False)


@pytest.mark.parametrize("role", [role for role in Role.values if role not in ("dispatcher", "manager")])
def test_who_may_not_change_trucks(role: str) -> None:
    truck = truck_made()
    with pytest.raises(NotAllowed):
        services.truck_save(actor=people.actor(Role(role)), at=AT, truck=truck, **TRUCK)
    with pytest.raises(NotAllowed):
        services.truck_retire(actor=people.actor(Role(role)), at=AT, truck=truck, active=False)


def test_trucks_and_calendars_by_the_operations() -> None:
    who = client()

    def post(path: str, data: Any = None) -> Any:
        return who.post(f"/api/v1/{path}", data or {}, content_type="application/json")

    truck = post("trucks/make/", TRUCK).json()
    assert truck["deck_length_16"] == 9216
    assert post(f"trucks/{truck['id']}/change/", TRUCK | {"tiers": 2}).json()["tiers"] == 2
    made = post(f"trucks/{truck['id']}/calendars/make/", {"for_name": "Cab"})
    assert made.status_code == 201
    listed = who.get(f"/api/v1/trucks/{truck['id']}/calendars/").json()["calendars"]
    assert [row["for_name"] for row in listed] == ["Cab"]
    assert post(f"trucks/{truck['id']}/calendars/{made.json()['id']}/withdraw/").status_code == 204
    assert post(f"trucks/{truck['id']}/retire/", {"active": False}).json()["active"] is False
    assert [row["active"] for row in who.get("/api/v1/trucks/").json()["trucks"]] == [False]


def test_a_builders_calendar_by_page_and_operation() -> None:
    who = client()
    builder = orders.planned().order.revision.quote.project.builder
    url = reverse("orders:builder_calendar", args=[builder.public_id])
    assert "Nobody reads this calendar yet." in text(who.get(url))
    made = who.post(reverse("orders:builder_calendar_make", args=[builder.public_id]), {"for_name": "Rae"})
    assert "/calendar/" in text(made)
    (row,) = who.get(f"/api/v1/builders/{builder.public_id}/calendars/").json()["calendars"]
    end = reverse("orders:builder_calendar_withdraw", args=[builder.public_id, row["id"]])
    assert who.post(end).status_code == 302
    assert "Withdrawn" in text(who.get(url))


def test_notices_by_the_operations() -> None:
    who = client(Role.MANAGER)
    found = who.get("/api/v1/notices/").json()["notices"]
    assert {"move": "planned", "to": "builder", "on": True} in found
    body = {"move": "planned", "to": "builder", "on": False}
    chosen = who.post("/api/v1/notices/choose/", body, content_type="application/json")
    assert body in chosen.json()["notices"]
    assert who.get("/api/v1/notices/sent/").json()["count"] == 0
    order = orders.booked()
    assert who.get(f"/api/v1/notices/sent/?order={order.public_id}").json()["mails"] == []


# --- at the same moment ---


@pytest.mark.django_db(transaction=True)
def test_the_same_reschedule_twice_at_once_is_one_move() -> None:
    delivery = orders.planned()
    answers = at_once(*[lambda: deliveries.moved(delivery)] * 8)
    assert sum(isinstance(answer, Delivery) for answer in answers) == 1
    assert DeliveryMove.objects.count() == 1
    assert Delivery.objects.get().edition == 2


@pytest.mark.django_db(transaction=True)
def test_load_against_reschedule_and_drop_leaves_one_truth() -> None:
    delivery = orders.planned()
    who = deliveries.dispatcher()
    answers = at_once(
        lambda: services.delivery_load(actor=who, at=AT, delivery=delivery),
        lambda: deliveries.moved(delivery),
        lambda: services.delivery_drop(actor=who, at=AT, delivery=delivery, why="sold"),
    )
    now = Delivery.objects.get()
    assert any(isinstance(answer, Delivery) for answer in answers)
    if now.state == "loaded":
        assert orders.fresh(delivery.order).stage == "loaded"
        assert now.bundles.exists()
    else:
        assert (now.state, now.bundles.count(), now.loads.count()) == ("dropped", 0, 0)
        assert orders.fresh(delivery.order).stage == "bundled"


@pytest.mark.django_db(transaction=True)
def test_two_deliveries_loaded_at_once_move_their_order_once() -> None:
    order, one, rest = deliveries.halves()
    who = deliveries.dispatcher()
    at_once(*[
        lambda row=row: services.delivery_load(actor=who, at=AT, delivery=row) for row in (one, rest, one, rest)
    ])  # fmt: skip
    assert orders.fresh(order).stage == "loaded"
    assert order.moves.filter(to_stage="loaded").count() == 1


@pytest.mark.django_db(transaction=True)
def test_a_bundle_asked_for_by_two_deliveries_at_once_is_on_one() -> None:
    order = orders.bundled()
    first = order.bundles.order_by("number")[0]
    answers = at_once(*[lambda: deliveries.made(order, bundles=[first.public_id], cartons=[])] * 6)
    assert sum(isinstance(answer, Delivery) for answer in answers) == 1
    assert Delivery.objects.count() == 1
