"""Lines, their shifts, closed days and what holds for all lines (R46): the next plan goes by them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any, Final, cast

from django.db import IntegrityError, transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, Refused
from framing.common.models import User
from orders.line_facts import holiday_places, profile_depths
from orders.line_typed import WEEKDAYS, clock, shift_text, shifts_read
from orders.models import Closure, Line, LineSettings, LineShift
from orders.services.line_plans import plans_locked

SPEED_MOST: Final = Decimal(1000)
CAPACITY_MOST: Final = 1_000_000
MINUTES_MOST: Final = 1440
LIMITS: Final[Mapping[str, tuple[str, int]]] = {
    "lead_days": ("working days of lead", 60),
    "piece_seconds": ("seconds a piece", 3600),
    "base_minutes": ("minutes of any change-over", MINUTES_MOST),
    "gauge_minutes": ("minutes more for another coil", MINUTES_MOST),
    "depth_minutes": ("minutes more for another depth", MINUTES_MOST),
    "flange_minutes": ("minutes more for another flange", MINUTES_MOST),
    "setup_price": ("price of a change-over minute", 1000),
    "moved_price": ("price of a moved bundle", 1000),
}


def line_save(
    *,
    actor: Actor,
    at: datetime,
    line: Line | None,
    name: str,
    feet_per_minute: Decimal,
    capacity_ft_per_shift: int | None,
    depths: Sequence[int],
    works: bool,
    shifts: Sequence[str],
) -> Line:
    """Make a line, or change one.

    Args:
        depths: in 1/100 in; none means all.
        shifts: one text for each weekday from Monday on, as `orders.line_typed` reads them.

    Raises Refused at the field: no name, speed or capacity of 0, a depth that is not made, shifts that end before
    they begin or overlap. Raises Clash where the name is another line's.
    """
    with transaction.atomic():
        require(actor, "line", "change")
        hours = [shifts_read(text, f"shifts_{day}", WEEKDAYS[day]) for day, text in enumerate(shifts)]
        _check_nights(hours)
        row = Line() if line is None else Line.objects.select_for_update().get(pk=line.pk)
        _check_line(name, feet_per_minute, capacity_ft_per_shift, depths)
        before = _told(row)
        row.name, row.feet_per_minute = name.strip(), feet_per_minute
        row.capacity_ft_per_shift, row.works = capacity_ft_per_shift, works
        row.depths = sorted(set(depths))
        try:
            with transaction.atomic():
                row.save()
        except IntegrityError as error:
            raise Clash(
                f"There is a line {row.name} already; give this one another name.", field="name"
            ) from error
        row.shifts.all().delete()
        LineShift.objects.bulk_create(
            LineShift(line=row, weekday=day, starts=starts, ends=ends)
            for day, spans in enumerate(hours)
            for starts, ends in spans
        )
        change = {"line": [before, _told(row)]}
        audit_record(actor, "line_make" if line is None else "line_change", row, at=at, change=change)
    return row


def _check_nights(hours: Sequence[Sequence[tuple[int, int]]]) -> None:
    """A shift over midnight ends before the next day's first one begins."""
    for day, spans in enumerate(hours):
        following = (day + 1) % len(hours)
        ends = max((ends for _, ends in spans), default=0) - 1440
        begins = min((starts for starts, _ in hours[following]), default=1440)
        if ends > begins:
            raise Refused(
                f"The night shift of {WEEKDAYS[day]} runs into the first shift of {WEEKDAYS[following]}; let it end "
                f"by {clock(begins)}.",
                field=f"shifts_{following}",
            )


def _told(line: Line) -> dict[str, Any]:
    """A line as the trail keeps it."""
    if line._state.adding:
        return {}
    return {
        "name": line.name,
        "feet_per_minute": str(line.feet_per_minute),
        "capacity_ft_per_shift": line.capacity_ft_per_shift,
        "depths": line.depths,
        "works": line.works,
        "shifts": [[s.weekday, shift_text((s.starts, s.ends))] for s in LineShift.objects.filter(line=line)],
    }


def _check_line(name: str, speed: Decimal, capacity: int | None, depths: Sequence[int]) -> None:
    if not name.strip():
        raise Refused("Give the line a name; plans and the shop go by it.", field="name")
    if len(name.strip()) > 60:
        raise Refused(f"The name has {len(name.strip())} signs; give 60 at most.", field="name")
    if not 0 < speed <= SPEED_MOST:
        raise Refused(
            f"A speed of {speed} ft a minute can't be planned; give more than 0 and at most {SPEED_MOST}, or "
            "take the line out of work.",
            field="feet_per_minute",
        )
    if capacity is not None and not 0 < capacity <= CAPACITY_MOST:
        raise Refused(
            f"A capacity of {capacity} ft a shift can't be planned; give 1 to {CAPACITY_MOST:,}, or leave it empty.",
            field="capacity_ft_per_shift",
        )
    known = profile_depths()
    wrong = [depth for depth in depths if depth not in known]
    if wrong:
        made = ", ".join(f"{depth / 100:g}" for depth in known)
        raise Refused(f"No profile is {wrong[0] / 100:g} in deep; choose of {made}.", field="depths")


def closure_add(*, actor: Actor, at: datetime, day: date, words: str, line: Line | None) -> Closure:
    """Close a line, or the whole shop, for a day. Raises Refused without words, Clash where it is closed already."""
    with transaction.atomic():
        require(actor, "line", "change")
        why = words.strip()
        if not why or len(why) > 120:
            raise Refused("Say why it stands, in 1 to 120 signs; the board shows it.", field="words")
        if abs((day - at.date()).days) > 3650:
            raise Refused(f"{day} is over ten years from now; correct the date.", field="day")
        if Closure.objects.filter(day=day, line=line).exists():
            raise Clash(f"{line or 'The shop'} is closed on {day} already.", field="day")
        row = Closure.objects.create(day=day, line=line, words=why, made_by=cast("User", actor.user))
        audit_record(actor, "closure_add", row, at=at, change={"line": [None, line.name if line else ""]})
    return row


def closure_remove(*, actor: Actor, at: datetime, closure: Closure) -> None:
    """Open a closed day again."""
    with transaction.atomic():
        require(actor, "line", "change")
        row = Closure.objects.select_for_update().filter(pk=closure.pk).first()
        if row is None:
            return
        audit_record(actor, "closure_remove", row, at=at, change={"day": [str(row.day), None]})
        row.delete()


def line_settings_save(
    *, actor: Actor, at: datetime, country: str, subdivision: str, **values: int
) -> LineSettings:
    """Set holidays, lead, change-over minutes and prices; a value that is left out stays.

    Raises Refused at the field for a place that no holidays are known of or a value out of its limits.
    """
    with transaction.atomic():
        require(actor, "line", "change")
        row = plans_locked()
        _check_place(country, subdivision)
        before = {name: getattr(row, name) for name in ("country", "subdivision", *LIMITS)}
        for name, value in values.items():
            words, most = LIMITS[name]
            if not 0 <= value <= most:
                raise Refused(f"{value} {words} can't be; give 0 to {most}.", field=name)
            setattr(row, name, value)
        row.country, row.subdivision = country, subdivision
        row.save()
        after = {name: getattr(row, name) for name in before}
        change = {name: [before[name], after[name]] for name in before if before[name] != after[name]}
        if change:
            audit_record(actor, "line_settings", row, at=at, change=change)
    return row


def _check_place(country: str, subdivision: str) -> None:
    known = holiday_places()
    if country and country not in known:
        raise Refused(
            f"No holidays are known of “{country[:10]}”; use a code such as CA or US.", field="country"
        )
    if subdivision and subdivision not in known.get(country, []):
        parts = ", ".join(known.get(country, [])) or "none"
        raise Refused(
            f"“{subdivision[:10]}” is no part of {country or 'a country'} with holidays of its own; choose of {parts}.",
            field="subdivision",
        )
