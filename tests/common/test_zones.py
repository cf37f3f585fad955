"""Days and midnights at a site: both clock changes, far-off zones, names that are no place."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, time, timedelta

import pytest
from django.db import DatabaseError, connection, transaction

from framing.common import zones
from framing.common.errors import Refused
from framing.projects.models import Site
from tests.factories import projects


# The end of a day by hand: midnight there is so many hours after midnight of UTC, by the offset that holds then.
@pytest.mark.parametrize(
    ("zone", "day", "ends"),
    [
        ("America/Edmonton", date(2026, 3, 7), datetime(2026, 3, 8, 7, tzinfo=UTC)),  # MST, -7; spring at 2 h
        ("America/Edmonton", date(2026, 3, 8), datetime(2026, 3, 9, 6, tzinfo=UTC)),  # a day of 23 h, MDT, -6
        ("America/Edmonton", date(2025, 11, 1), datetime(2025, 11, 2, 6, tzinfo=UTC)),  # MDT, -6
        ("America/Edmonton", date(2025, 11, 2), datetime(2025, 11, 3, 7, tzinfo=UTC)),  # a day of 25 h
        (
            "America/Edmonton",
            date(2026, 11, 1),
            datetime(2026, 11, 2, 6, tzinfo=UTC),
        ),  # -6 for good from 2026 on
        ("America/Denver", date(2026, 11, 1), datetime(2026, 11, 2, 7, tzinfo=UTC)),  # a day of 25 h
        ("America/Phoenix", date(2026, 3, 8), datetime(2026, 3, 9, 7, tzinfo=UTC)),  # -7 all year
        ("America/Phoenix", date(2026, 11, 1), datetime(2026, 11, 2, 7, tzinfo=UTC)),
        ("America/St_Johns", date(2026, 7, 1), datetime(2026, 7, 2, 2, 30, tzinfo=UTC)),  # -2:30
        ("Pacific/Kiritimati", date(2026, 7, 1), datetime(2026, 7, 1, 10, tzinfo=UTC)),  # +14
        ("Pacific/Pago_Pago", date(2026, 7, 1), datetime(2026, 7, 2, 11, tzinfo=UTC)),  # -11
        ("America/Havana", date(2026, 3, 7), datetime(2026, 3, 8, 5, tzinfo=UTC)),  # no midnight: 0 h is 1 h
        (
            "America/Havana",
            date(2026, 10, 31),
            datetime(2026, 11, 1, 4, tzinfo=UTC),
        ),  # two of them: the first
        ("UTC", date(2026, 7, 1), datetime(2026, 7, 2, tzinfo=UTC)),
    ],
)
def test_a_day_ends_with_the_first_midnight_of_its_zone(zone: str, day: date, ends: datetime) -> None:
    assert zones.end_of_day(day, zone) == ends
    assert zones.last_day(ends, zone) == day
    assert zones.day_in(ends - timedelta(seconds=1), zone) == day
    assert zones.day_in(ends, zone) == day + timedelta(days=1)


@pytest.mark.parametrize("zone", ["America/Edmonton", "America/Havana", "Pacific/Apia", "Europe/Dublin"])
def test_days_of_a_year_follow_each_other_without_gap(zone: str) -> None:
    for number in range(365):
        day = date(2026, 1, 1) + timedelta(days=number)
        assert zones.end_of_day(day, zone) == zones.day_begins(day + timedelta(days=1), zone)
        assert zones.last_day(zones.end_of_day(day, zone), zone) == day


def test_a_clock_time_is_that_of_the_place_in_summer_and_winter() -> None:
    eight = time(8)
    assert zones.at_clock(date(2026, 1, 5), eight, "America/Edmonton") == datetime(2026, 1, 5, 15, tzinfo=UTC)
    assert zones.at_clock(date(2026, 7, 5), eight, "America/Edmonton") == datetime(2026, 7, 5, 14, tzinfo=UTC)


def test_near_zones_come_first_and_every_zone_once() -> None:
    (_, near), (_, others) = zones.zone_choices()
    assert near[0] == ("America/St_Johns", "Newfoundland (St Johns)")
    names = [name for name, _ in (*near, *others)]
    assert len(names) == len(set(names)) == len(zones.zone_names())
    assert set(names) == set(zones.zone_names())
    assert zones.zone_words("Pacific/Apia") == "Apia"


@pytest.mark.parametrize(
    "typed", ["Edmonton", "america/edmonton", "MST", "US/Mountain", "XYZ5", "America/../etc", "x" * 90]
)
def test_what_is_no_zone_is_refused_by_its_field(typed: str) -> None:
    with pytest.raises(Refused, match="is no time zone") as caught:
        zones.read_zone(typed)
    assert caught.value.field == "time_zone"


def test_an_empty_zone_is_the_companys(settings: object) -> None:
    settings.SPANYARD_TIME_ZONE = "America/Regina"  # type: ignore[attr-defined]
    assert zones.read_zone(" ") == "America/Regina"
    assert zones.read_zone(" Europe/Oslo ") == "Europe/Oslo"


@pytest.mark.django_db
def test_the_database_takes_each_zone_to_choose_and_nothing_else() -> None:
    assert all(re.match(zones.PATTERN, name) for name in zones.zone_names())
    with connection.cursor() as cursor:
        cursor.execute("SELECT name FROM pg_timezone_names")
        known = {row[0] for row in cursor.fetchall()}
    assert set(zones.zone_names()) - known == set()
    site = projects.project().site
    for name in ("Pacific/Kiritimati", "Etc/GMT+11", "UTC", "America/Argentina/Buenos_Aires"):
        Site.objects.filter(pk=site.pk).update(time_zone=name)
    for name in ("", "XYZ5", "America/Nowhere", "EST5EDT", "America/Foo5", "MST"):
        with pytest.raises(DatabaseError), transaction.atomic():
            Site.objects.filter(pk=site.pk).update(time_zone=name)
