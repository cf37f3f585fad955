"""What calendars take back: dropped, moved off a truck, cancelled; read by a reader of our own (RFC 5545, 5546)."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, date, datetime, time, timedelta
from random import Random
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from framing.common.links import link_list
from framing.common.models import Role
from framing.config.settings import test as settings_module
from framing.projects.models import Builder, Site
from orders import services
from orders.delivery_feeds import Stamped, feed_bytes, told_of
from orders.models import CalendarEntry, Delivery, Trip, Truck
from orders.selectors import delivery_get
from orders.services.delivery_told import GONE_DAYS
from tests.factories import deliveries, ical, orders, people

pytestmark = pytest.mark.django_db
NOW = datetime.now(UTC)
DAY = (NOW + timedelta(days=20)).date()
ZONES = (
    "America/Denver", "America/St_Johns", "America/Phoenix", "America/Regina", "America/Santiago",
    "Australia/Lord_Howe", "Europe/London", "Africa/Casablanca", "Asia/Kathmandu", "UTC",
)  # fmt: skip


def truck(name: str = "Long one") -> Truck:
    return Truck.objects.create(
        name=name, deck_length_16=9216, deck_width_16=1632, stack_height_16=1536, payload_lb=48_000
    )


def near() -> Delivery:
    """A delivery in the days that a feed tells of, at 7:30 in Denver."""
    delivery = orders.planned()
    Site.objects.update(time_zone="America/Denver")
    Delivery.objects.filter(pk=delivery.pk).update(
        planned_for=DAY, window_from=time(7, 30), window_to=time(9)
    )
    return delivery_get(delivery.public_id)


def put_on(delivery: Delivery, one: Truck | None) -> None:
    """All of a delivery rides with a truck, or with none yet."""
    trip = None
    if one is not None:
        number = f"T-{one.pk}-{delivery.pk}"
        trip, _ = Trip.objects.get_or_create(
            number=number, defaults={"day": delivery.planned_for, "truck": one}
        )
    delivery.loads.update(trip=trip)


def reader(of: Truck | Builder) -> Callable[..., list[ical.Part]]:
    """Subscribes to a calendar; each call reads it anew, `at` a time."""
    link, _ = services.feed_make(actor=deliveries.dispatcher(), at=NOW, of=of, for_name="Rae")
    return lambda at=NOW: ical.events(services.feed_read(link=link, at=at).data)


def builder_of(delivery: Delivery) -> Builder:
    return delivery.order.revision.quote.project.builder


def move(delivery: Delivery, day: date, why: str = "rain") -> None:
    services.delivery_reschedule(
        actor=deliveries.dispatcher(), at=NOW, delivery=delivery, planned_for=day,
        window_from=time(10), window_to=time(12), why=why,
    )  # fmt: skip


def drop(delivery: Delivery) -> None:
    services.delivery_drop(actor=deliveries.dispatcher(), at=NOW, delivery=delivery, why="sold")


def test_a_delivery_moved_to_another_day_is_taken_back_where_the_truck_had_it() -> None:
    delivery, one = near(), truck()
    put_on(delivery, one)
    read = reader(one)
    (first,) = read()
    move(delivery, DAY + timedelta(days=3))
    (gone,) = read()
    assert ical.told(gone) == ical.told(first) | {"sequence": 2, "status": "CANCELLED"}
    assert gone.one("SUMMARY").startswith("Cancelled: ")
    assert f"{DAY + timedelta(days=3):%B} {(DAY + timedelta(days=3)).day}" in gone.one("DESCRIPTION")


def test_a_dropped_delivery_is_taken_back_from_truck_and_builder_each_by_itself() -> None:
    delivery, one = near(), truck()
    put_on(delivery, one)
    readers = [reader(one), reader(builder_of(delivery))]
    before = [read()[0] for read in readers]
    drop(delivery)
    after = [read()[0] for read in readers]
    assert [event.one("STATUS") for event in after] == ["CANCELLED", "CANCELLED"]
    assert [event.one("UID") for event in after] == [event.one("UID") for event in before]
    assert len({event.one("UID") for event in after}) == 2
    assert all("dropped" in event.one("DESCRIPTION") for event in after)


def test_from_one_truck_to_another_it_is_taken_back_here_and_told_there() -> None:
    delivery, one, two = near(), truck("One"), truck("Two")
    put_on(delivery, one)
    first, second = reader(one), reader(two)
    assert (len(first()), len(second())) == (1, 0)
    put_on(delivery, two)
    assert [event.one("STATUS") for event in (*first(), *second())] == ["CANCELLED", "CONFIRMED"]
    assert "no longer goes with this truck" in first()[0].one("DESCRIPTION")
    put_on(delivery, one)
    (back,) = first()
    assert (back.one("STATUS"), back.one("SEQUENCE")) == ("CONFIRMED", "3")


def test_what_was_never_told_is_not_taken_back() -> None:
    delivery, one = near(), truck()
    read = [reader(one), reader(builder_of(delivery))]
    put_on(delivery, one)
    drop(delivery)
    assert [each() for each in read] == [[], []]


def test_it_is_told_as_cancelled_for_thirty_days_and_comes_back_with_a_higher_number() -> None:
    delivery, one = near(), truck()
    put_on(delivery, one)
    read = reader(one)
    read()
    put_on(delivery, None)
    read()
    assert [event.one("STATUS") for event in read(NOW + timedelta(days=GONE_DAYS, minutes=-1))] == [
        "CANCELLED"
    ]
    assert read(NOW + timedelta(days=GONE_DAYS)) == []
    put_on(delivery, one)
    (event,) = read(NOW + timedelta(days=GONE_DAYS + 1))
    assert (event.one("STATUS"), event.one("SEQUENCE")) == ("CONFIRMED", "3")


def test_a_held_order_is_tentative_and_a_cancelled_one_taken_back() -> None:
    delivery = near()
    read, planner, order = reader(builder_of(delivery)), people.actor(Role.PLANNER), delivery.order
    read()
    services.order_hold(actor=planner, at=NOW, order=order, why="not paid")
    (held,) = read()
    assert (held.one("STATUS"), held.one("SEQUENCE")) == ("TENTATIVE", "2")
    services.order_cancel(
        actor=people.actor(Role.MANAGER), at=NOW, order=orders.fresh(order), why="no permit"
    )
    (gone,) = read()
    assert (gone.one("STATUS"), gone.one("SEQUENCE")) == ("CANCELLED", "3")


def test_reading_twice_changes_nothing() -> None:
    delivery = near()
    link, _ = services.feed_make(
        actor=deliveries.dispatcher(), at=NOW, of=builder_of(delivery), for_name="Rae"
    )
    feeds = [services.feed_read(link=link, at=NOW + timedelta(minutes=n)) for n in range(3)]
    assert len({(feed.data, feed.etag, feed.changed_at) for feed in feeds}) == 1


def test_a_change_within_one_second_of_the_last_is_newer_by_the_second() -> None:
    delivery = near()
    link, _ = services.feed_make(
        actor=deliveries.dispatcher(), at=NOW, of=builder_of(delivery), for_name="Rae"
    )
    before = services.feed_read(link=link, at=NOW)
    move(delivery, DAY)
    after = services.feed_read(link=link, at=NOW)
    assert int(after.changed_at.timestamp()) > int(before.changed_at.timestamp())


@pytest.mark.parametrize("seed", range(6))
def test_over_any_moves_each_event_keeps_its_uid_and_its_number_only_rises(seed: int) -> None:
    """A subscriber who reads at some steps: what changed has a higher number, what did not has the same one."""
    draw, delivery, own = Random(seed), near(), [truck("One"), truck("Two")]  # noqa: S311  # a fixed walk
    read = {
        name: reader(of) for name, of in (("one", own[0]), ("two", own[1]), ("builder", builder_of(delivery)))
    }
    last: dict[str, ical.Part] = {}
    for step in range(14):
        if step == 13:
            drop(delivery)
        elif draw.random() < 0.4:
            put_on(delivery, draw.choice([None, *own]))
        elif draw.random() < 0.6:
            move(delivery, DAY + timedelta(days=step + 1))
        for name in draw.sample(sorted(read), 2):
            now = read[name](NOW + timedelta(minutes=step))
            assert len(now) <= 1
            if name in last:
                assert now, "what was told stays, if only as cancelled"
                _check_follows(last[name], now[0])
            if now:
                last[name] = now[0]


def _check_follows(before: ical.Part, after: ical.Part) -> None:
    told = [
        {k: v for k, _, v in part.lines if k not in ("SEQUENCE", "DTSTAMP", "LAST-MODIFIED")}
        for part in (before, after)
    ]
    assert before.one("UID") == after.one("UID")
    numbers = int(before.one("SEQUENCE")), int(after.one("SEQUENCE"))
    stamps = before.one("DTSTAMP"), after.one("DTSTAMP")
    if told[0] == told[1]:
        assert (numbers[0], stamps[0]) == (numbers[1], stamps[1])
    else:
        assert numbers[0] < numbers[1]
        assert stamps[0] < stamps[1]


# --- zones ---


@pytest.mark.parametrize("zone", ZONES)
def test_every_hour_around_each_clock_change_is_the_zones_own(zone: str) -> None:
    """The instants that a reader reckons by the VTIMEZONE in the calendar, for two years, beside the system's zones."""
    delivery, found = near(), ZoneInfo(zone)
    Site.objects.update(time_zone=zone)
    delivery = delivery_get(delivery.public_id)
    days = {day + timedelta(days=n) for day in _changes(found) for n in (-1, 0, 1)} | {DAY}
    for day in sorted(days):
        delivery.planned_for = day
        for hour in range(24):
            delivery.window_from, delivery.window_to = time(hour), time(hour, 30)
            local = datetime.combine(day, time(hour), found)
            if local.astimezone(UTC).astimezone(found).replace(tzinfo=None) != local.replace(tzinfo=None):
                continue  # clocks skip it; such a window is refused
            calendar = ical.read(feed_bytes("x", [Stamped(told_of(builder_of(delivery), delivery), 1, NOW)]))
            (event,) = [part for part in calendar.parts if part.name == "VEVENT"]
            assert ical.starts(calendar, event) == local.astimezone(UTC), (day, hour)


def _changes(zone: ZoneInfo) -> list[date]:
    days = [date(2026, 1, 1) + timedelta(days=n) for n in range(2 * 365)]
    offsets = [datetime.combine(day, time(12), zone).utcoffset() for day in days]
    return [day for day, one, before in zip(days[1:], offsets[1:], offsets, strict=False) if one != before]


# --- who publishes, how often, and at once ---


def test_without_a_mail_of_the_company_nothing_claims_to_be_published(settings: Any) -> None:
    delivery = near()
    settings.SPANYARD_COMPANY = settings_module.SPANYARD_COMPANY | {"email": ""}  # type: ignore[attr-defined]
    calendar = ical.read(feed_bytes("x", [Stamped(told_of(builder_of(delivery), delivery), 1, NOW)]))
    assert not calendar.all("METHOD")
    assert not any(part.all("ORGANIZER") for part in calendar.parts)


def test_taking_back_asks_as_often_for_200_as_for_10() -> None:
    order, one = near().order, truck()
    read, counts = reader(one), []
    for many in (10, 190):
        trip = Trip.objects.create(number=f"T-{many}", day=DAY, truck=one)
        rows = Delivery.objects.bulk_create(
            Delivery(order=order, number=f"X-{many}-{n}", planned_for=DAY, contact="x") for n in range(many)
        )
        for stop, row in enumerate(rows, 1):
            row.loads.create(number=1, trip=trip, stop=stop, weight_lb=1)
        read()
        trip.loads.update(trip=None)
        with CaptureQueriesContext(connection) as seen:
            gone = read()
        counts.append(len(seen))
    assert len(gone) == 200
    assert {event.one("STATUS") for event in gone} == {"CANCELLED"}
    assert counts[0] == counts[1]


@pytest.mark.django_db(transaction=True)
def test_eight_first_readers_at_once_are_told_the_same() -> None:
    delivery = near()
    read = reader(builder_of(delivery))

    def one(_: int) -> dict[str, Any]:
        try:
            return ical.told(read()[0])
        finally:
            connection.close()

    with ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(one, range(8)))
    assert all(answer == answers[0] for answer in answers)
    assert CalendarEntry.objects.count() == 1
    assert link_list(builder_of(delivery)).count() == 1
