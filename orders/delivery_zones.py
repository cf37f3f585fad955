"""A time zone as a calendar needs it (RFC 5545, 3.6.5): each change of the clocks, told by the clock before it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from typing import Final
from zoneinfo import ZoneInfo

from icalendar import Timezone, TimezoneDaylight, TimezoneStandard

DAY: Final = timedelta(days=1)
SECOND: Final = timedelta(seconds=1)


@dataclass(frozen=True, slots=True)
class Clock:
    """What clocks of a zone show."""

    offset: timedelta
    summer: bool
    name: str


@lru_cache(maxsize=64)
def zone_part(name: str, first_year: int, last_year: int) -> Timezone:
    """The VTIMEZONE of a zone for some years, both with; readers take it, they don't change it.

    Written out change by change: rules of zones move at short notice, and none of ours says for ever.
    """
    zone = ZoneInfo(name)
    start, end = datetime(first_year, 1, 1, tzinfo=UTC), datetime(last_year + 1, 1, 1, tzinfo=UTC)
    begins = _clock(start, zone)
    found: dict[tuple[Clock, Clock], list[datetime]] = {(begins, begins): [start]}
    for at, before, after in _changes(zone, start, end):
        found.setdefault((before, after), []).append(at)
    part = Timezone()
    part.add("tzid", name)
    for (before, after), times in found.items():
        part.add_component(_rule(before, after, times))
    return part


def _changes(zone: ZoneInfo, start: datetime, end: datetime) -> Iterator[tuple[datetime, Clock, Clock]]:
    """Each change with what clocks show before and after it; no zone changes twice within a day."""
    at, shown = start, _clock(start, zone)
    while at < end:
        on = min(at + DAY, end)
        after = _clock(on, zone)
        if after != shown:
            yield _first(zone, at, on, shown), shown, after
        at, shown = on, after


def _first(zone: ZoneInfo, low: datetime, high: datetime, before: Clock) -> datetime:
    """The second of a change between two times."""
    while high - low > SECOND:
        middle = low + timedelta(seconds=(high - low) // SECOND // 2)
        low, high = (middle, high) if _clock(middle, zone) == before else (low, middle)
    return high


def _clock(at: datetime, zone: ZoneInfo) -> Clock:
    local = at.astimezone(zone)
    return Clock(local.utcoffset() or timedelta(0), bool(local.dst()), local.tzname() or "")


def _rule(before: Clock, after: Clock, times: list[datetime]) -> TimezoneStandard | TimezoneDaylight:
    rule = TimezoneDaylight() if after.summer else TimezoneStandard()
    onsets = [(at + before.offset).replace(tzinfo=None) for at in times]
    rule.add("dtstart", onsets[0])
    if onsets[1:]:
        rule.add("rdate", onsets[1:])
    rule.add("tzname", after.name)
    rule.add("tzoffsetfrom", before.offset)
    rule.add("tzoffsetto", after.offset)
    return rule
