"""What people say of a delivery, checked: day and window by the site's clock, contact, gear and what it lifts."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from framing.common.errors import Refused
from framing.common.zones import at_clock, day_in, day_words, zone_place
from orders.delivery_days import shut_days
from orders.states import Gear

NOTES_MOST = 400
NAME_MOST = 160
PHONE_MOST = 40
LIFTS_MOST_LB = 100_000
DAYS_AHEAD_MOST = 36_525


@dataclass(frozen=True, slots=True)
class Window:
    """From when until when the site takes it, by the site's own clock; both None where no time is agreed."""

    starts: time | None = None
    ends: time | None = None

    @property
    def words(self) -> str:
        if self.starts is None or self.ends is None:
            return ""
        return f"{self.starts:%-H:%M} to {self.ends:%-H:%M}"


def check_day(day: date, at: datetime, zone: str) -> None:
    """Raise Refused for a day that is over at the site, or further off than a hundred years."""
    today = day_in(at, zone)
    if day < today:
        raise Refused(f"{day_words(day)} is over; plan today or later.", field="planned_for")
    if (day - today).days > DAYS_AHEAD_MOST:
        raise Refused(
            f"{day_words(day)} is more than a hundred years ahead; look at the year.", field="planned_for"
        )


def check_open(day: date, *, shut_ok: bool) -> None:
    """Raise Refused for a day on which the company is shut, unless somebody said that it goes all the same."""
    why = "" if shut_ok else shut_days([day]).get(day, "")
    if why:
        raise Refused(
            f"{day_words(day)} is {why}: we are shut. Name another day, or say that it goes all the same.",
            field="planned_for",
        )


def read_window(starts: time | None, ends: time | None, day: date, zone: str) -> Window:
    """A window. Raises Refused where one end is missing, it goes backwards, or a clock at the site skips it."""
    if starts is None and ends is None:
        return Window()
    if starts is None or ends is None:
        field = "window_from" if starts is None else "window_to"
        raise Refused("Give both ends of the window, or neither.", field=field)
    if ends <= starts:
        raise Refused(
            f"The window ends at {ends:%-H:%M}, not after it begins at {starts:%-H:%M}.", field="window_to"
        )
    for clock, field in ((starts, "window_from"), (ends, "window_to")):
        if not _shown(day, clock, zone):
            raise Refused(
                f"Clocks in {zone_place(zone)} skip {clock:%-H:%M} on {day_words(day)}; name another time.",
                field=field,
            )
    return Window(starts, ends)


def _shown(day: date, clock: time, zone: str) -> bool:
    """Whether clocks of a zone show that time on that day."""
    return at_clock(day, clock, zone).astimezone(ZoneInfo(zone)).time() == clock


def read_words(text: str, field: str, missing: str, most: int) -> str:
    """Words that must be there. Raises Refused."""
    words = text.strip()
    if not words:
        raise Refused(missing, field=field)
    return read_short(words, field, most)


def read_short(text: str, field: str, most: int) -> str:
    """Words that may be missing. Raises Refused where they are too long to keep."""
    words = text.strip()
    if len(words) > most:
        raise Refused(f"At most {most} signs here; these are {len(words)}.", field=field)
    return words


def read_gear(gear: str, limit_lb: int | None) -> tuple[str, int | None]:
    """What unloads on site, and what it lifts where the bundles are set down. Raises Refused."""
    if gear not in Gear.values:
        raise Refused(f"Choose what unloads: {', '.join(Gear.labels).lower()}.", field="gear")
    if limit_lb is not None and not 0 < limit_lb <= LIFTS_MOST_LB:
        raise Refused(
            f"What it lifts is 1 to {LIFTS_MOST_LB:,} lb, not {limit_lb:,}; leave it empty if nobody knows.",
            field="gear_limit_lb",
        )
    return gear, limit_lb
