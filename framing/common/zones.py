"""Time zones of building sites by their IANA names, and the days and midnights in them.

An instant is always UTC; a zone only says which day it belongs to, and when that day begins.
"""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from functools import cache
from typing import Final
from zoneinfo import ZoneInfo, available_timezones

from django.conf import settings
from django.db.models import CheckConstraint, F, Func, Q
from django.db.models.lookups import IsNull

from framing.common.errors import Refused

NAME_MOST: Final = 40
DAY: Final = timedelta(days=1)
# What PostgreSQL would take for a rule of its own (“XYZ5”) is no name of a place.
PATTERN: Final = r"^([A-Z][A-Za-z_]+(/[A-Z][A-Za-z_-]+){1,2}|Etc/GMT[+-][0-9]{1,2}|UTC)$"

# Provinces by name, for their rules part ways; from east to west.
NEAR: Final = (
    ("America/St_Johns", "Newfoundland"),
    ("America/Halifax", "Atlantic provinces"),
    ("America/Toronto", "Ontario and Quebec"),
    ("America/New_York", "Eastern United States"),
    ("America/Winnipeg", "Manitoba"),
    ("America/Chicago", "Central United States"),
    ("America/Regina", "Saskatchewan"),
    ("America/Edmonton", "Alberta"),
    ("America/Denver", "Mountain United States"),
    ("America/Phoenix", "Arizona"),
    ("America/Vancouver", "British Columbia"),
    ("America/Whitehorse", "Yukon"),
    ("America/Los_Angeles", "Pacific United States"),
    ("America/Anchorage", "Alaska"),
    ("Pacific/Honolulu", "Hawaii"),
)
_AREAS: Final = (
    "Africa", "America", "Antarctica", "Arctic", "Asia", "Atlantic", "Australia", "Europe", "Indian", "Pacific", "Etc",
)  # fmt: skip


@cache
def zone_names() -> tuple[str, ...]:
    """Every zone that a site may lie in, by name; old short names and links such as `US/Eastern` are left out."""
    names = {
        name for name in available_timezones() if name.split("/", 1)[0] in _AREAS and len(name) <= NAME_MOST
    }
    return tuple(sorted({name for name in names if name not in _ETC_ELSE} | {"UTC"}))


_ETC_ELSE: Final = frozenset({"Etc/GMT", "Etc/GMT0", "Etc/GMT+0", "Etc/GMT-0", "Etc/Greenwich", "Etc/UCT", "Etc/UTC",
    "Etc/Universal", "Etc/Zulu"})  # fmt: skip


def zone_choices() -> list[tuple[str, list[tuple[str, str]]]]:
    """Zones to choose from: Canada and the United States first, by what people call them, then all others."""
    near = [(name, zone_words(name)) for name, _ in NEAR]
    known = {name for name, _ in NEAR}
    others = [(name, name.replace("_", " ")) for name in zone_names() if name not in known]
    return [("Canada and the United States", near), ("Elsewhere", others)]


def company_zone() -> str:
    """The zone of the company, for sites that name none."""
    zone: str = settings.SPANYARD_TIME_ZONE
    return zone


def read_zone(name: str) -> str:
    """A zone's name as typed, the company's where it is empty. Raises Refused at `time_zone`."""
    typed = name.strip()
    if not typed:
        return company_zone()
    if typed not in zone_names():
        raise Refused(
            f"“{typed[:NAME_MOST]}” is no time zone; name one such as America/Edmonton.", field="time_zone"
        )
    return typed


def zone_place(name: str) -> str:
    """The place that a zone is named after: “New York”."""
    return name.rsplit("/", 1)[-1].replace("_", " ")


def zone_words(name: str) -> str:
    """A zone as people call it: “Alberta (Edmonton)”; “Apia” where it has no such words."""
    words, place = dict(NEAR).get(name, ""), zone_place(name)
    return f"{words} ({place})" if words else place


def day_words(day: date) -> str:
    """“June 3, 2026”."""
    return f"{day:%B} {day.day}, {day.year}"


def day_in(at: datetime, zone: str) -> date:
    """The day that an instant belongs to in a zone."""
    return at.astimezone(ZoneInfo(zone)).date()


def company_day(at: datetime) -> date:
    """The day that an instant belongs to where the company is: what its own people call today."""
    return day_in(at, company_zone())


def day_begins(day: date, zone: str) -> datetime:
    """The first instant of a day in a zone, in UTC; where summer time skips midnight, the moment it sets in."""
    return _instant(datetime.combine(day, time(0), tzinfo=ZoneInfo(zone)))


def at_clock(day: date, clock: time, zone: str) -> datetime:
    """The instant, in UTC, at which clocks of a zone first show a time on a day."""
    return _instant(datetime.combine(day, clock, tzinfo=ZoneInfo(zone)))


def _instant(local: datetime) -> datetime:
    return local.astimezone(ZoneInfo("UTC"))


def end_of_day(day: date, zone: str) -> datetime:
    """The first instant after a day in a zone, in UTC."""
    return day_begins(day + DAY, zone)


def last_day(until: datetime, zone: str) -> date:
    """The last day, in a zone, of what holds up to, not with, an instant."""
    return day_in(until - timedelta(microseconds=1), zone)


def zone_constraint(field: str, name: str, *, optional: bool = False) -> CheckConstraint:
    """That a column names a zone which the database knows by its place; `optional` lets it be empty."""
    known = Func(F(field), function="timezone", template="%(function)s(%(expressions)s, TIMESTAMPTZ 'epoch')")
    named = Q(**{f"{field}__regex": PATTERN}) & Q(IsNull(known, False))
    return CheckConstraint(condition=(Q(**{field: ""}) | named) if optional else named, name=name)
