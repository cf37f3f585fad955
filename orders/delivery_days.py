"""Days on which the company is shut: holidays of its place and closures of the whole shop; and what follows."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from framing.common.zones import company_zone, zone_words
from orders.line_facts import public_holidays, settings_now
from orders.models import Closure, Delivery
from orders.states import OrderStage

FORTNIGHT: Final = 14
FORTNIGHTS_MOST: Final = 27


def shut_days(days: Iterable[date]) -> Mapping[date, str]:
    """Which of some days are shut, with why: “Christmas Day”, “Stock-taking”. Two queries however many days."""
    wanted, settings = set(days), settings_now()
    found: dict[date, str] = {}
    for year in {day.year for day in wanted}:
        named = public_holidays(settings.country, settings.subdivision, year)
        found |= {day: words for day, words in named.items() if day in wanted}
    closures = Closure.objects.filter(line=None, day__in=wanted).values_list("day", "words")
    return found | dict(closures)


def is_open(day: date, shut: Mapping[date, str]) -> bool:
    """Whether we work on a day; `shut` is what `shut_days` says of it."""
    return day.weekday() < 5 and day not in shut


def next_working_day(day: date) -> date:
    """The first day on which we work from this one on, itself included; itself where a whole year has none."""
    for part in range(FORTNIGHTS_MOST):
        span = [day + timedelta(days=FORTNIGHT * part + step) for step in range(FORTNIGHT)]
        shut = shut_days(span)
        for one in span:
            if is_open(one, shut):
                return one
    return day


def opening_day(today: date) -> date:
    """The day that plans open at: the next one on which we work, or a sooner one with something still to load."""
    working = next_working_day(today)
    if working == today:
        return today
    rows = Delivery.objects.filter(planned_for__range=(today, working), dropped_at=None, loaded_at=None)
    rows = rows.exclude(order__stage=OrderStage.CANCELLED).order_by("planned_for")
    return rows.values_list("planned_for", flat=True).first() or working


def week_words(day: date, today: date) -> str:
    """Which week a day lies in, seen from today: “This week”, “Next week”, “3 weeks ago”."""
    weeks = ((day - timedelta(days=day.weekday())) - (today - timedelta(days=today.weekday()))).days // 7
    near = {-1: "Last week", 0: "This week", 1: "Next week"}
    return near.get(weeks) or (f"In {weeks} weeks" if weeks > 0 else f"{-weeks} weeks ago")


def clock_words(zone: str, at: datetime) -> str:
    """Whose clock a window is by: “The site's own clock, Alberta (Edmonton), 2 hours behind ours.”"""
    here, there = (at.astimezone(ZoneInfo(name)).utcoffset() for name in (company_zone(), zone))
    minutes = (
        int(((there or here) - here).total_seconds() // 60) if here is not None and there is not None else 0
    )
    if not minutes:
        return f"The site's own clock, {zone_words(zone)}; it shows what ours shows."
    hours, rest = divmod(abs(minutes), 60)
    told = " ".join(
        filter(
            None,
            [f"{hours} hour{'' if hours == 1 else 's'}" if hours else "", f"{rest} minutes" if rest else ""],
        )
    )
    return f"The site's own clock, {zone_words(zone)}: {told} {'ahead of' if minutes > 0 else 'behind'} ours."
