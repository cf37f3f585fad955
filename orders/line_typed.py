"""What people type about lines: shifts such as “6:00-14:30, 15:00-23:00” and “22:00-6:00+1”, pairs of profiles."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import Final

from framing.common.errors import Refused

Hours = tuple[int, int]
"""Start and end of a shift in minutes from its day's midnight; an end over 1440 lies on the next day."""
Pair = tuple[str, str]
"""Two profiles: what a line made, and what it makes next."""
DAY: Final = 1440
WEEKDAYS: Final = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
SHIFTS_MOST: Final = 4
_SHIFT: Final = re.compile(r"(\d{1,2})(?::(\d{2}))?\s*(?:-|\u2013|to)\s*(\d{1,2})(?::(\d{2}))?\s*(\+1)?")


def shifts_read(text: str, field: str, day: str) -> tuple[Hours, ...]:
    """The shifts of one weekday, earliest first; none for an empty text. Raises Refused at `field`."""
    shifts = [_shift_read(part.strip(), field, day) for part in re.split(r"[,;]", text) if part.strip()]
    if len(shifts) > SHIFTS_MOST:
        raise Refused(f"{day} has {len(shifts)} shifts; give {SHIFTS_MOST} at most.", field=field)
    shifts.sort()
    for before, after in pairwise(shifts):
        if after[0] < before[1]:
            raise Refused(
                f"On {day} the shifts {shift_text(before)} and {shift_text(after)} overlap; let one end before "
                "the next begins.",
                field=field,
            )
    return tuple(shifts)


def _shift_read(text: str, field: str, day: str) -> Hours:
    found = _SHIFT.fullmatch(text)
    if found is None:
        raise Refused(
            f"“{text[:30]}” on {day} is no shift; type start and end, such as 6:00-14:30.", field=field
        )
    starts = _minutes(found[1], found[2], text, field, day)
    ends = _minutes(found[3], found[4], text, field, day)
    if found[5]:
        if ends > starts:
            raise Refused(
                f"The shift {text} on {day} is longer than a day; end it by {found[1]} o'clock.", field=field
            )
        return starts, ends + DAY
    if ends <= starts:
        raise Refused(
            f"The shift {text} on {day} ends before it begins; write {text}+1 if it ends on the next day.",
            field=field,
        )
    return starts, ends


def _minutes(hours: str, minutes: str | None, text: str, field: str, day: str) -> int:
    at = int(hours) * 60 + int(minutes or 0)
    if int(minutes or 0) > 59 or at > DAY:
        raise Refused(f"“{text[:30]}” on {day} holds no time of a day; use 0:00 to 24:00.", field=field)
    return at


def shift_text(hours: Hours) -> str:
    """A shift as it is typed."""
    starts, ends = hours
    return f"{clock(starts)}-{clock(ends - DAY)}+1" if ends > DAY else f"{clock(starts)}-{clock(ends)}"


def clock(minute: int) -> str:
    """“6:30”; what lies beyond midnight counts from there."""
    at = minute if minute <= DAY else minute - DAY
    return f"{at // 60}:{at % 60:02}"


def span_words(minutes: int) -> str:
    """Working time in words: “45 min”, “3 h 20 min”."""
    hours, left = divmod(minutes, 60)
    return f"{hours} h {left} min" if hours and left else f"{hours} h" if hours else f"{left} min"


def pair_field(pair: Pair) -> str:
    """The field of a pair of profiles in the change-over grid; `pair_read` reads it back."""
    return f"pair__{pair[0]}__{pair[1]}"


def pair_read(field: str) -> Pair | None:
    """The pair of a field of the grid; None for another field."""
    parts = field.split("__")
    return (parts[1], parts[2]) if len(parts) == 3 and parts[0] == "pair" else None
