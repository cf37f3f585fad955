"""Periods that figures are told for: a month, a quarter, a year, the last twelve months, or days of one's own.

Days are those of the company's zone; instants come from them once, in `Period.bounds`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from framing.common.errors import Refused
from framing.common.zones import company_day, company_zone, day_begins, day_words, end_of_day

LAST_TWELVE: Final = "last12"
OWN: Final = "own"
MONTHS_MOST: Final = 120
YEARS: Final = (2000, 2099)
_KEY: Final = re.compile(r"(\d{4})(?:-(?:(0[1-9]|1[0-2])|q([1-4])))?")


def company_tz() -> ZoneInfo:
    """The zone whose midnights part the company's days and months."""
    return ZoneInfo(company_zone())


def day_of(at: datetime) -> date:
    """The company's day of an instant."""
    return company_day(at)


def day_end(day: date) -> datetime:
    """The instant at which the company's day is over."""
    return end_of_day(day, company_zone())


def month_after(day: date, months: int = 1) -> date:
    """The first day of the month that comes `months` later (earlier where negative)."""
    total = day.year * 12 + day.month - 1 + months
    return date(total // 12, total % 12 + 1, 1)


@dataclass(frozen=True, slots=True)
class Period:
    """Days from `first` to `last`, both within; `key` is how the address names it."""

    key: str
    first: date
    last: date

    @property
    def bounds(self) -> tuple[datetime, datetime]:
        """The first instant of the period and the first one after it."""
        return day_begins(self.first, company_zone()), day_end(self.last)

    @property
    def months(self) -> tuple[date, ...]:
        """The first day of each month that the period touches."""
        return tuple(_months(self.first, self.last))

    @property
    def name(self) -> str:
        """The period in words: “November 2026”, “4th quarter of 2026”, “2026”, “December 1, 2025 to …”."""
        found = _KEY.fullmatch(self.key)
        if found is None:
            return f"{day_words(self.first)} to {day_words(self.last)}"
        year, month, quarter = found.groups()
        if quarter:
            return f"{('1st', '2nd', '3rd', '4th')[int(quarter) - 1]} quarter of {year}"
        return f"{self.first:%B %Y}" if month else year

    @property
    def neighbours(self) -> tuple[Period | None, Period | None]:
        """The period of the same length before and after; None where days are one's own or leave the calendar."""
        if not _KEY.fullmatch(self.key):
            return None, None
        return tuple(self._moved(way) for way in (-1, 1))  # type: ignore[return-value]  # two of them

    def _moved(self, way: int) -> Period | None:
        length = len(self.months)
        first = month_after(self.first, way * length)
        return _calendar(_key_of(first, length)) if YEARS[0] <= first.year <= YEARS[1] else None

    @property
    def query(self) -> dict[str, str]:
        """The period as parameters of an address."""
        if self.key == OWN:
            return {"period": OWN, "first": self.first.isoformat(), "last": self.last.isoformat()}
        return {"period": self.key}


def _months(first: date, last: date) -> Iterator[date]:
    month = first.replace(day=1)
    while month <= last:
        yield month
        month = month_after(month)


def _key_of(first: date, length: int) -> str:
    if length == 12:
        return f"{first.year}"
    return f"{first.year}-q{(first.month + 2) // 3}" if length == 3 else f"{first:%Y-%m}"


def _calendar(key: str) -> Period:
    """The period of a key that fits `_KEY`."""
    year, month, quarter = _KEY.fullmatch(key).groups()  # type: ignore[union-attr]  # it was matched
    start = int(month) if month else int(quarter) * 3 - 2 if quarter else 1
    first = date(int(year), start, 1)
    length = 1 if month else 3 if quarter else 12
    return Period(key, first, month_after(first, length) - timedelta(days=1))


def period_read(key: str, first: str, last: str, today: date) -> Period:
    """The period that an address names; without a name the last twelve months up to the end of this one.

    Args:
        key: “2026-11”, “2026-q4”, “2026”, LAST_TWELVE, or OWN with days in `first` and `last` as 2026-11-30.

    Raises:
        Refused: at `period`, `first` or `last`.
    """
    if key in ("", LAST_TWELVE):
        end = month_after(today) - timedelta(days=1)
        return Period(LAST_TWELVE, month_after(today, -11), end)
    if key == OWN:
        return _own(_day(first, "first", "first"), _day(last, "last", "last"))
    if not _KEY.fullmatch(key) or not YEARS[0] <= int(key[:4]) <= YEARS[1]:
        raise Refused(
            f"“{key[:20]}” is no period. Name a month (2026-11), a quarter (2026-q4), or a year (2026),"
            f" {YEARS[0]} to {YEARS[1]}.",
            field="period",
        )
    return _calendar(key)


def _day(text: str, field: str, word: str) -> date:
    if not text.strip():
        raise Refused(f"Name the {word} day of your own period.", field=field)
    try:
        day = date.fromisoformat(text.strip())
    except ValueError:
        raise Refused(f"“{text.strip()[:20]}” is no day. Write it as 2026-11-30.", field=field) from None
    if not YEARS[0] <= day.year <= YEARS[1]:
        raise Refused(f"{day_words(day)} is outside the years {YEARS[0]} to {YEARS[1]}.", field=field)
    return day


def _own(first: date, last: date) -> Period:
    if last < first:
        raise Refused(
            f"The last day, {day_words(last)}, is before the first, {day_words(first)}.", field="last"
        )
    period = Period(OWN, first, last)
    if len(period.months) > MONTHS_MOST:
        words = (
            f"{first} to {last} touches {len(period.months)} months; figures go over {MONTHS_MOST} at most."
        )
        raise Refused(words, field="last")
    return period


def periods_offered(today: date) -> list[tuple[str, str]]:
    """What a page offers to choose: key and words, the nearest first."""
    this, before = today.replace(day=1), month_after(today, -1)
    quarter = date(today.year, (today.month - 1) // 3 * 3 + 1, 1)
    chosen = [
        ("This month", _key_of(this, 1)),
        ("Last month", _key_of(before, 1)),
        ("This quarter", _key_of(quarter, 3)),
        ("Last quarter", _key_of(month_after(quarter, -3), 3)),
        ("This year", str(today.year)),
        ("Last year", str(today.year - 1)),
    ]
    named = [(key, f"{words}: {_calendar(key).name}") for words, key in chosen]
    return [(LAST_TWELVE, "The last twelve months"), *named, (OWN, "Days of your own")]
