"""Days and moments of the shop's own clock, as whole numbers.

A day is its number in the calendar (1 is 0001-01-01, what `date.toordinal()` gives), so that days are counted and
compared without a clock. Minutes are those of the clock on the wall: on the night the clocks change a night shift
is an hour longer or shorter than planned.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

Day = int
MINUTES_PER_DAY: Final = 1440
_WEEKDAYS: Final = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


@dataclass(frozen=True, slots=True, order=True)
class Moment:
    """A minute of a day: `minute` from 0 (midnight) to 1439."""

    day: Day
    minute: int


def moment_of(absolute: int) -> Moment:
    """The moment that many minutes after the midnight that day 0 begins with."""
    return Moment(*divmod(absolute, MINUTES_PER_DAY))


def absolute(moment: Moment) -> int:
    """Minutes since the midnight that day 0 begins with."""
    return moment.day * MINUTES_PER_DAY + moment.minute


def weekday(day: Day) -> int:
    """0 is Monday, 6 Sunday."""
    return (day - 1) % 7


def weekday_name(number: int) -> str:
    return _WEEKDAYS[number]


def day_text(day: Day) -> str:
    """Year, month and day as `2026-11-30`: for messages. Exact for any day of the calendar."""
    # counted from the first of March, so that the leap day is a year's last
    era, of_era = divmod(day + 305, 146_097)
    year = (of_era - of_era // 1_460 + of_era // 36_524 - of_era // 146_096) // 365
    of_year = of_era - (365 * year + year // 4 - year // 100)
    month = (5 * of_year + 2) // 153
    day_of_month = of_year - (153 * month + 2) // 5 + 1
    early = month >= 10  # January and February belong to the year that follows
    return f"{era * 400 + year + early:04}-{month - 9 if early else month + 3:02}-{day_of_month:02}"


def clock_text(minute: int) -> str:
    """Hours and minutes as `06:30`; 1440 is `24:00`."""
    return f"{minute // 60:02}:{minute % 60:02}"
