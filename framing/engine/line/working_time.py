"""Working time of a line: closed time cut out, whole minutes counted through, and back to dates (R46)."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from framing.engine.line.days import MINUTES_PER_DAY, Day, Moment, absolute, day_text, moment_of, weekday
from framing.engine.line.facts import RollLine, Shift
from framing.engine.line.refusals import refused

LONGEST_DAYS: Final = 3_660
"""Days that a plan may span, ten years: a day further off is a slip of the keyboard."""


@dataclass(frozen=True, slots=True)
class WorkingTime:
    """Shifts in time's order, and the working minutes before each of them.

    Attributes:
        days: the day to which each shift belongs: the one on which it begins.
        opens: when each begins, in minutes since day 0's midnight.
        before: working minutes before each, and last the working minutes of all: one figure more.
    """

    line: str
    days: tuple[Day, ...]
    opens: tuple[int, ...]
    before: tuple[int, ...]

    @property
    def minutes(self) -> int:
        """All working minutes held here."""
        return self.before[-1]

    def minutes_at(self, moment: Moment) -> int:
        """Working minutes gone by at a moment; in closed time those up to the last closing."""
        at = absolute(moment)
        index = bisect_right(self.opens, at) - 1
        if index < 0:
            return 0
        return min(self.before[index] + at - self.opens[index], self.before[index + 1])

    def start_moment(self, minute: int) -> Moment:
        """When the working minute with that number begins (0 is the first): at an opening, not at a closing.

        Errors: LineRefused for a minute that is not held here.
        """
        if not 0 <= minute < self.minutes:
            raise refused(
                f"lines.{self.line}",
                f"Working minute {minute} of line {self.line} is outside the {self.minutes} minutes held.",
            )
        index = bisect_right(self.before, minute) - 1
        return moment_of(self.opens[index] + minute - self.before[index])

    def end_moment(self, minute: int) -> Moment:
        """When that many working minutes have gone by: at a closing, not at the next opening.

        0 is the first opening. Errors: LineRefused for more minutes than are held here.
        """
        if minute == 0:
            return self.start_moment(0)
        last = absolute(self.start_moment(minute - 1))
        return moment_of(last + 1)

    def day_of(self, minute: int) -> Day:
        """The day whose shift the working minute with that number is in; errors as `start_moment`."""
        self.start_moment(minute)
        return self.days[bisect_right(self.before, minute) - 1]

    def window(self, day: Day) -> tuple[int, int]:
        """The first working minute of a day and the first after it; equal where the line stands that day."""
        return self.before[bisect_left(self.days, day)], self.before[bisect_right(self.days, day)]

    def works(self, day: Day) -> bool:
        start, end = self.window(day)
        return start < end


def shifts_on(line: RollLine, day: Day, closed: frozenset[Day]) -> tuple[Shift, ...]:
    """The line's shifts that begin on a day, earliest first; none on a closed day."""
    if day in closed or day in line.closed:
        return ()
    of_day = (shift for shift in line.shifts if shift.weekday == weekday(day))
    return tuple(sorted(of_day, key=lambda shift: shift.start_minute))


def length_minutes(shift: Shift) -> int:
    """Minutes of a shift."""
    return shift.end_minute - shift.start_minute + (MINUTES_PER_DAY if shift.over_midnight else 0)


def working_time(
    line: RollLine, closed: frozenset[Day], first_day: Day, through: Day, enough_minutes: int
) -> WorkingTime:
    """Working time from a day on, through another and on until that many minutes lie behind it.

    Errors: LineRefused where ten years do not bring the minutes.
    """
    days: list[Day] = []
    opens: list[int] = []
    before = [0]
    day, wanted = first_day, None
    while wanted is None or before[-1] < wanted:
        if day - first_day > LONGEST_DAYS:
            raise refused(f"lines.{line.name}.shifts", _too_little(line, first_day, enough_minutes))
        for shift in shifts_on(line, day, closed):
            days.append(day)
            opens.append(day * MINUTES_PER_DAY + shift.start_minute)
            before.append(before[-1] + length_minutes(shift))
        if day == through:
            wanted = before[-1] + enough_minutes
        day += 1
    return WorkingTime(line.name, tuple(days), tuple(opens), tuple(before))


def _too_little(line: RollLine, first_day: Day, enough_minutes: int) -> str:
    return (
        f"Line {line.name} needs {enough_minutes} minutes of work, which its shifts do not bring within ten "
        f"years of {day_text(first_day)}: add shifts, or check speed, due days and closed days."
    )


def due_day(delivery: Day, lead_days: int, lines: Iterable[RollLine], closed: frozenset[Day]) -> Day:
    """The last day to finish what is delivered on a day, `lead_days` working days before it.

    A working day is one on which any of the lines works. With no lead it is the delivery day, or the last working
    day before it. Errors: LineRefused where no working day comes within ten years, or the lead is negative.
    """
    lines = tuple(lines)
    if lead_days < 0:
        raise refused("lead_days", f"The lead is {lead_days} days; give 0 or more.")
    left, day = lead_days, delivery
    while delivery - day <= LONGEST_DAYS:
        if any(shifts_on(line, day, closed) for line in lines) and (day < delivery or not lead_days):
            left -= 1
            if left <= 0:
                return day
        day -= 1
    raise refused("lines", f"No line works on {lead_days} days in the ten years before {day_text(delivery)}.")
