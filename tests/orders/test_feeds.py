"""Calendars of deliveries (RFC 5545): of a truck, of a builder; secret, zone, sequence, and what a reader may keep."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from icalendar import Calendar

from framing.common.audit import audit_list
from framing.common.errors import Clash, NotAllowed, NotThere, Refused
from framing.common.links import link_list
from framing.common.models import AccessLink, Role
from framing.config.weblog import mask_secrets
from framing.projects.models import Builder, Site
from orders import services
from orders.delivery_feeds import Stamped, feed_bytes, told_of
from orders.models import Delivery, Trip, Truck
from orders.selectors import delivery_get
from tests.factories import deliveries, orders, people

pytestmark = pytest.mark.django_db
AT = orders.AT
DENVER = ZoneInfo("America/Denver")


def path_of(address: str) -> str:
    return "/" + address.split("/", 3)[3]


def builder_feed(builder: Builder) -> str:
    now = datetime.now(UTC)
    _, address = services.feed_make(actor=deliveries.dispatcher(), at=now, of=builder, for_name="Rae Winter")
    return path_of(address)


def builder_of(delivery: Delivery) -> Builder:
    return delivery.order.revision.quote.project.builder


def near(order: Any = None) -> Delivery:
    """A delivery in the days that a feed tells of, with a window, in Denver."""
    delivery = deliveries.made(order or orders.bundled(), planned_for=orders.PLANNED_FOR)
    Site.objects.update(time_zone="America/Denver")
    day = (datetime.now(UTC) + timedelta(days=20)).date()
    Delivery.objects.filter(pk=delivery.pk).update(
        planned_for=day, window_from=time(7, 30), window_to=time(9), notes="Long words, " * 12
    )
    return delivery_get(delivery.public_id)


def feed_alone(delivery: Delivery) -> bytes:
    return feed_bytes("x", [Stamped(told_of(builder_of(delivery), delivery), 1, AT)])


def events(data: bytes) -> list[Any]:
    return list(Calendar.from_ical(data).walk("VEVENT"))


def test_a_builders_calendar_tells_his_deliveries_in_the_sites_zone() -> None:
    delivery = near()
    answer = Client().get(builder_feed(builder_of(delivery)))
    assert (answer.status_code, answer["Content-Type"]) == (200, "text/calendar; charset=utf-8")
    (event,) = events(answer.content)
    start = event["dtstart"].dt
    assert start == datetime.combine(delivery.planned_for, time(7, 30), DENVER)
    assert event["dtstart"].params["TZID"] == "America/Denver"
    assert event["dtend"].dt - start == timedelta(minutes=90)
    assert (event["uid"], event["sequence"], event["status"]) == (
        f"{delivery.public_id}.delivery@spanyard", 1, "CONFIRMED",
    )  # fmt: skip
    assert delivery.contact in event["description"]
    assert [zone["tzid"] for zone in Calendar.from_ical(answer.content).walk("VTIMEZONE")] == [
        "America/Denver"
    ]


def test_lines_end_and_fold_as_the_standard_says() -> None:
    data = Client().get(builder_feed(builder_of(near()))).content
    assert b"\n" not in data.replace(b"\r\n", b"")
    assert max(len(line) for line in data.split(b"\r\n")) <= 75
    assert data.startswith(b"BEGIN:VCALENDAR\r\n")
    assert b"VERSION:2.0\r\n" in data
    assert b"PRODID:" in data


@pytest.mark.parametrize(
    ("day", "start", "end", "hours_utc"),
    [
        # On March 14, 2027 clocks in Denver go from 2:00 MST (UTC-7) to 3:00 MDT (UTC-6): 1:30 is 8:30, 4:00 is 10:00.
        (date(2027, 3, 14), time(1, 30), time(4), (8.5, 10.0)),
        # On November 7, 2027 they go from 2:00 MDT back to 1:00 MST: 0:30 is 6:30, 3:00 is 10:00.
        (date(2027, 11, 7), time(0, 30), time(3), (6.5, 10.0)),
    ],
)
def test_windows_hold_over_both_clock_changes(
    day: date, start: time, end: time, hours_utc: tuple[float, float]
) -> None:
    delivery = near()
    delivery.planned_for, delivery.window_from, delivery.window_to = day, start, end
    (event,) = events(feed_alone(delivery))
    told = [event[name].dt.astimezone(UTC) for name in ("dtstart", "dtend")]
    assert tuple(at.hour + at.minute / 60 for at in told) == hours_utc


def test_without_a_window_it_is_a_day() -> None:
    delivery = near()
    delivery.window_from = delivery.window_to = None
    (event,) = events(feed_alone(delivery))
    assert (event["dtstart"].dt, event["dtend"].dt) == (
        delivery.planned_for, delivery.planned_for + timedelta(days=1),
    )  # fmt: skip


def test_a_move_grows_the_sequence_and_a_dropped_one_is_cancelled() -> None:
    delivery = near()
    path = builder_feed(builder_of(delivery))
    now = datetime.now(UTC)
    moved = delivery.planned_for + timedelta(days=3)
    services.delivery_reschedule(
        actor=deliveries.dispatcher(), at=now, delivery=delivery, planned_for=moved, why="rain"
    )
    (event,) = events(Client().get(path).content)
    assert (event["sequence"], event["dtstart"].dt) == (2, moved)
    services.delivery_drop(actor=deliveries.dispatcher(), at=now, delivery=delivery, why="sold")
    (event,) = events(Client().get(path).content)
    assert (event["sequence"], event["status"]) == (3, "CANCELLED")
    assert event["uid"] == f"{delivery.public_id}.delivery@spanyard"


def test_a_trucks_calendar_tells_its_own_trips_alone() -> None:
    one, other = near(), near()
    truck = truck_made()
    trip = Trip.objects.create(number="T-1", day=one.planned_for, truck=truck)
    one.loads.update(trip=trip)
    _, address = services.feed_make(
        actor=deliveries.dispatcher(), at=datetime.now(UTC), of=truck, for_name="Cab"
    )
    told = events(Client().get(path_of(address)).content)
    assert [event["summary"].split()[0] for event in told] == [one.number]
    assert other.number not in str(told)
    assert "Long one" in told[0]["description"]


def truck_made() -> Truck:
    return services.truck_save(
        actor=deliveries.dispatcher(), at=AT, truck=None, name="Long one", deck_length="48'", deck_width="8'6\"",
        stack_height="8 ft", tiers=4, payload_lb=48_000,
    )  # fmt: skip


def test_a_reader_that_has_it_gets_304_and_anew_after_a_change() -> None:
    delivery = near()
    path, client = builder_feed(builder_of(delivery)), Client()
    first = client.get(path)
    etag, changed = first["ETag"], first["Last-Modified"]
    assert client.get(path, headers={"if-none-match": etag}).status_code == 304
    assert client.get(path, headers={"if-modified-since": changed}).status_code == 304
    services.delivery_change(
        actor=deliveries.dispatcher(), at=datetime.now(UTC) + timedelta(seconds=2), delivery=delivery,
        contact="Kit Moss", gear="crane",
    )  # fmt: skip
    again = client.get(path, headers={"if-none-match": etag, "if-modified-since": changed})
    assert again.status_code == 200
    assert again["ETag"] != etag
    assert client.get(path, headers={"if-modified-since": changed}).status_code == 200


def test_wrong_withdrawn_over_and_other_secrets_get_the_same_page() -> None:
    delivery = near()
    builder = builder_of(delivery)
    now = datetime.now(UTC)
    link, address = services.feed_make(actor=deliveries.dispatcher(), at=now, of=builder, for_name="Rae")
    path, client = path_of(address), Client()
    assert client.get(path).status_code == 200
    _, door = services.delivery_link_make(
        actor=deliveries.dispatcher(), at=now, delivery=delivery, for_name="Rae"
    )
    wrong = client.get("/calendar/nothing/deliveries.ics")
    crossed = client.get(f"/calendar/{door.rstrip('/').rsplit('/', 1)[1]}/deliveries.ics")
    at_door = client.get(f"/l/{path.split('/')[2]}/")
    services.feed_withdraw(actor=deliveries.dispatcher(), at=now, of=builder, link_id=link.public_id)
    withdrawn = client.get(path)
    AccessLink.objects.filter(pk=link.pk).update(withdrawn_at=None, expires_at=now)
    over = client.get(path)
    assert {answer.status_code for answer in (wrong, crossed, at_door, withdrawn, over)} == {404}
    assert builder.name not in over.content.decode()


def test_reading_is_counted_without_an_entry_each() -> None:
    delivery = near()
    builder = builder_of(delivery)
    path = builder_feed(builder)
    for _ in range(3):
        Client().get(path)
    link = link_list(builder)[0]
    assert link.opened_count == 3
    assert [entry.verb for entry in audit_list(link)] == ["link_make"]


def test_no_log_holds_the_secret() -> None:
    assert mask_secrets("GET /calendar/abc-DEF/deliveries.ics 200") == "GET /calendar/.../deliveries.ics 200"


def test_queries_do_not_grow_with_deliveries() -> None:
    order = orders.bundled()
    first = order.bundles.order_by("number")[0]
    deliveries.made(order, bundles=[first.public_id], cartons=[])
    path = builder_feed(order.revision.quote.project.builder)
    day = (datetime.now(UTC) + timedelta(days=5)).date()
    counts = []
    for many in (1, 30):
        Delivery.objects.bulk_create(
            Delivery(order=order, number=f"X-{many}-{n}", planned_for=day, contact="x") for n in range(many)
        )
        with CaptureQueriesContext(connection) as seen:
            Client().get(path)
        counts.append(len(seen))
    assert counts[0] == counts[1]


@pytest.mark.parametrize("role", Role.values)
def test_who_makes_and_withdraws_addresses(role: str) -> None:
    truck, who = truck_made(), people.actor(Role(role))
    can_make, can_end = role in ("dispatcher", "manager"), role in ("dispatcher", "manager", "administrator")
    link, _ = services.feed_make(actor=deliveries.dispatcher(), at=AT, of=truck, for_name="Cab")

    def tried(act: Any) -> bool:
        try:
            act()
        except NotAllowed:
            return False
        return True

    assert tried(lambda: services.feed_make(actor=who, at=AT, of=truck, for_name="Me")) is can_make
    assert (
        tried(lambda: services.feed_withdraw(actor=who, at=AT, of=truck, link_id=link.public_id)) is can_end
    )


def test_no_name_and_a_retired_truck_are_refused_and_another_ones_link_is_not_there() -> None:
    truck = truck_made()
    with pytest.raises(Refused, match="Name the person"):
        services.feed_make(actor=deliveries.dispatcher(), at=AT, of=truck, for_name=" ")
    with pytest.raises(NotThere):
        services.feed_withdraw(actor=deliveries.dispatcher(), at=AT, of=truck, link_id="0" * 20)
    services.truck_retire(actor=deliveries.dispatcher(), at=AT, truck=truck, active=False)
    truck.refresh_from_db()
    with pytest.raises(Clash, match="is retired"):
        services.feed_make(actor=deliveries.dispatcher(), at=AT, of=truck, for_name="Cab")
