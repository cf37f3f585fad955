"""A calendar read line by line and held to the rules of RFC 5545 and 5546, apart from the library that wrote it."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from typing import Any

STAMP = re.compile(r"\d{8}T\d{6}Z")
LOCAL = re.compile(r"\d{8}T\d{6}")
OFFSET = re.compile(r"([+-])(\d\d)(\d\d)(\d\d)?")
ONCE = (
    "UID",
    "DTSTAMP",
    "DTSTART",
    "DTEND",
    "SUMMARY",
    "SEQUENCE",
    "STATUS",
    "DESCRIPTION",
    "LOCATION",
    "ORGANIZER",
)


@dataclass
class Part:
    """A component: its properties as (name, parameters, value), and the components in it."""

    name: str
    lines: list[tuple[str, dict[str, str], str]] = field(default_factory=list)
    parts: list[Part] = field(default_factory=list)

    def all(self, name: str) -> list[tuple[dict[str, str], str]]:
        return [(params, value) for one, params, value in self.lines if one == name]

    def one(self, name: str) -> str:
        ((_, value),) = self.all(name)
        return value


def read(data: bytes) -> Part:
    """The calendar of some bytes, its rules checked; raises AssertionError where one is broken."""
    assert data.endswith(b"END:VCALENDAR\r\n")
    raw = data.split(b"\r\n")[:-1]
    assert all(len(line) <= 75 and b"\n" not in line and b"\r" not in line for line in raw)
    lines = data.replace(b"\r\n ", b"").replace(b"\r\n\t", b"").decode().split("\r\n")[:-1]
    top = Part("")
    stack = [top]
    for line in lines:
        name, params, value = _line(line)
        if name == "BEGIN":
            stack[-1].parts.append(Part(value))
            stack.append(stack[-1].parts[-1])
        elif name == "END":
            assert stack.pop().name == value
        else:
            stack[-1].lines.append((name, params, value))
    assert len(stack) == 1, "each part ends"
    (calendar,) = top.parts
    _check_calendar(calendar)
    return calendar


def events(data: bytes) -> list[Part]:
    return [part for part in read(data).parts if part.name == "VEVENT"]


def starts(calendar: Part, event: Part, name: str = "DTSTART") -> datetime | date:
    """When an event begins: an instant, reckoned by the calendar's own VTIMEZONE and nothing else, or a day."""
    ((params, value),) = event.all(name)
    if params.get("VALUE") == "DATE":
        return _day(value)
    if STAMP.fullmatch(value):
        return _clock(value[:-1]).replace(tzinfo=UTC)
    assert LOCAL.fullmatch(value)
    (zone,) = [
        part for part in calendar.parts if part.name == "VTIMEZONE" and part.one("TZID") == params["TZID"]
    ]
    return instant(zone, _clock(value))


def instant(zone: Part, local: datetime) -> datetime:
    """A local time by the rules of a VTIMEZONE; the first of two where clocks go back (RFC 5545, 3.3.5)."""
    changes = sorted((onset, number) for number, part in enumerate(zone.parts) for onset in _onsets(part))
    for place, (onset, number) in enumerate(changes):
        at = (local - _offset(zone.parts[number].one("TZOFFSETTO"))).replace(tzinfo=UTC)
        ends = changes[place + 1][0] if place + 1 < len(changes) else None
        if (place == 0 or onset <= at) and (ends is None or at < ends):
            return at
    raise AssertionError(f"no clock of {zone.one('TZID')} shows {local}")


def _onsets(part: Part) -> list[datetime]:
    """When a rule sets in: told by the clock that held until then (RFC 5545, 3.6.5)."""
    assert not part.all("RRULE"), "none of ours is without an end"
    told = [part.one("DTSTART"), *(one for _, value in part.all("RDATE") for one in value.split(","))]
    return [(_clock(one) - _offset(part.one("TZOFFSETFROM"))).replace(tzinfo=UTC) for one in told]


def _line(line: str) -> tuple[str, dict[str, str], str]:
    head, rest = "", line
    quoted = False
    for place, sign in enumerate(line):
        quoted ^= sign == '"'
        if sign == ":" and not quoted:
            head, rest = line[:place], line[place + 1 :]
            break
    assert head, f"no value: {line}"
    name, *params = re.findall(r'(?:[^;"]|"[^"]*")+', head)
    return name, dict(param.split("=", 1) for param in params), rest


def _check_calendar(calendar: Part) -> None:
    assert calendar.name == "VCALENDAR"
    assert calendar.one("VERSION") == "2.0"
    assert calendar.one("PRODID")
    publishes = [value for _, value in calendar.all("METHOD")]
    assert publishes in ([], ["PUBLISH"])
    found = [part for part in calendar.parts if part.name == "VEVENT"]
    uids = [event.one("UID") for event in found]
    assert len(uids) == len(set(uids)), "each event once"
    zones = {part.one("TZID") for part in calendar.parts if part.name == "VTIMEZONE"}
    for event in found:
        _check_event(event, zones, published=bool(publishes))


def _check_event(event: Part, zones: set[str], *, published: bool) -> None:
    assert all(len(event.all(name)) <= 1 for name in ONCE)
    assert STAMP.fullmatch(event.one("DTSTAMP"))
    assert STAMP.fullmatch(event.one("LAST-MODIFIED"))
    assert event.one("STATUS") in ("CONFIRMED", "TENTATIVE", "CANCELLED")
    assert int(event.one("SEQUENCE")) >= 0
    assert event.one("SUMMARY")
    if published:
        assert event.one("ORGANIZER").startswith("mailto:")
    (first, start), (second, end) = event.all("DTSTART")[0], event.all("DTEND")[0]
    assert first == second
    assert start < end, "of one form, so their letters are in their order"
    assert first == {"VALUE": "DATE"} or (not first and STAMP.fullmatch(start)) or first["TZID"] in zones


def _day(value: str) -> date:
    return datetime.strptime(value, "%Y%m%d").date()  # noqa: DTZ007  # a day has no zone


def _clock(value: str) -> datetime:
    return datetime.strptime(value, "%Y%m%dT%H%M%S")  # noqa: DTZ007  # by the clock of the zone


def _offset(value: str) -> timedelta:
    sign, hours, minutes, seconds = OFFSET.fullmatch(value).groups()  # type: ignore[union-attr]
    whole = timedelta(hours=int(hours), minutes=int(minutes), seconds=int(seconds or 0))
    return -whole if sign == "-" else whole


def told(event: Part) -> dict[str, Any]:
    """What of an event a test looks at."""
    return {
        "uid": event.one("UID"),
        "sequence": int(event.one("SEQUENCE")),
        "status": event.one("STATUS"),
        "start": event.one("DTSTART"),
    }
