"""Days on which the company is shut: public holidays of its place, and closures of the whole shop."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime
from zoneinfo import ZoneInfo

from framing.common.zones import company_zone, zone_words
from orders.line_facts import public_holidays, settings_now
from orders.models import Closure


def shut_days(days: Iterable[date]) -> Mapping[date, str]:
    """Which of some days are shut, with why: “Christmas Day”, “Stock-taking”. Two queries however many days."""
    wanted, settings = set(days), settings_now()
    found: dict[date, str] = {}
    for year in {day.year for day in wanted}:
        named = public_holidays(settings.country, settings.subdivision, year)
        found |= {day: words for day, words in named.items() if day in wanted}
    closures = Closure.objects.filter(line=None, day__in=wanted).values_list("day", "words")
    return found | dict(closures)


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
