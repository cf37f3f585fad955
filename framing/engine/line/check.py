"""What can't be planned, refused in one go: every problem with its place, its value and what to do (R46, R51)."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from framing.engine.errors import Problem
from framing.engine.line.check_jobs import job_problems
from framing.engine.line.days import MINUTES_PER_DAY, clock_text, weekday_name
from framing.engine.line.facts import LineTask, RollLine, Shift
from framing.engine.line.refusals import LineRefused
from framing.engine.line.working_time import length_minutes


def check(task: LineTask) -> None:
    """Errors: LineRefused with all problems of lines and settings, or else with all those of jobs."""
    problems = tuple(_setting_problems(task)) or tuple(job_problems(task))
    if problems:
        raise LineRefused(problems)


def _setting_problems(task: LineTask) -> Iterator[Problem]:
    if not task.lines:
        yield Problem("lines", "There is no line to plan for: enter one.")
    codes = {profile.code for profile in task.profiles}
    yield from _twice("lines", "Line", (line.name for line in task.lines))
    yield from _twice("profiles", "Profile", (profile.code for profile in task.profiles))
    for line in task.lines:
        yield from _line_problems(line, codes)
    yield from _figures(task)
    for before, after, minutes in task.change_over.pairs:
        if minutes < 0:
            yield Problem(
                "change_over.pairs",
                f"The change-over from {before} to {after} takes {minutes} minutes: give 0 or more.",
            )


def _twice(place: str, thing: str, names: Iterable[str]) -> Iterator[Problem]:
    for name, times in Counter(names).items():
        if times > 1:
            yield Problem(f"{place}.{name}", f"{thing} {name} is given {times} times: give it once.")


def _figures(task: LineTask) -> Iterator[Problem]:
    rule, prices = task.change_over, task.prices
    figures = {
        "change_over.base_minutes": rule.base_minutes,
        "change_over.gauge_minutes": rule.gauge_minutes,
        "change_over.depth_minutes": rule.depth_minutes,
        "change_over.flange_minutes": rule.flange_minutes,
        "seconds_per_piece": task.seconds_per_piece,
        "prices.setup_per_minute": prices.setup_per_minute,
        "prices.moved": prices.moved,
        "effort.moves": task.effort.moves,
    }
    for place, value in figures.items():
        if value < 0:
            words = place.split(".")[-1].replace("_", " ").capitalize()
            yield Problem(place, f"{words} is {value}: give 0 or more.")


def _line_problems(line: RollLine, codes: set[str]) -> Iterator[Problem]:
    place = f"lines.{line.name}"
    if line.speed_ft_per_hour <= 0:
        yield Problem(
            f"{place}.speed_ft_per_hour",
            f"Line {line.name} has a speed of {line.speed_ft_per_hour} ft an hour: give more than 0 or take it out.",
        )
    capacity = line.capacity_ft_per_shift
    if capacity is not None and capacity <= 0:
        yield Problem(
            f"{place}.capacity_ft_per_shift",
            f"Line {line.name} has a capacity of {capacity} ft a shift: give more than 0, or leave it out.",
        )
    if line.loaded is not None and line.loaded not in codes:
        yield Problem(
            f"{place}.loaded",
            f"Line {line.name} is set up for {line.loaded}, which is none of the profiles: choose one of them or none.",
        )
    if not line.shifts:
        yield Problem(f"{place}.shifts", f"Line {line.name} has no shift: add one, or take the line out.")
    wrong = [problem for shift in line.shifts for problem in _shift_problems(line, shift)]
    yield from wrong or _overlaps(line)


def shift_text(shift: Shift) -> str:
    """A shift in words: `Monday 06:00 to 14:30`."""
    night = " of the next day" if shift.over_midnight else ""
    return f"{weekday_name(shift.weekday)} {clock_text(shift.start_minute)} to {clock_text(shift.end_minute)}{night}"


def _shift_problems(line: RollLine, shift: Shift) -> Iterator[Problem]:
    place = f"lines.{line.name}.shifts"
    if not 0 <= shift.weekday <= 6:
        yield Problem(
            place, f"Line {line.name} has a shift on weekday {shift.weekday}: give 0 (Monday) to 6 (Sunday)."
        )
        return
    told = f"The shift {shift_text(shift)} of line {line.name}"
    if not (0 <= shift.start_minute < MINUTES_PER_DAY and 0 <= shift.end_minute <= MINUTES_PER_DAY):
        yield Problem(place, f"{told} leaves the day: give times from 00:00 to 24:00.")
    elif shift.start_minute >= shift.end_minute and not shift.over_midnight:
        yield Problem(
            place, f"{told} ends before it begins: change a time, or say that it goes over midnight."
        )
    elif shift.over_midnight and shift.end_minute > shift.start_minute:
        yield Problem(
            place, f"{told} is longer than a day: it does not go over midnight, or its end is wrong."
        )


def _overlaps(line: RollLine) -> Iterator[Problem]:
    """Shifts of a week that run into each other; Sunday's night into Monday too."""
    spans = sorted(
        (shift.weekday * MINUTES_PER_DAY + shift.start_minute, length_minutes(shift), shift_text(shift))
        for shift in line.shifts
    )
    week = 7 * MINUTES_PER_DAY
    following = [*spans[1:], *((start + week, length, told) for start, length, told in spans[:1])]
    for (start, length, told), (after, _, then) in zip(spans, following, strict=True):
        if start + length > after:
            yield Problem(
                f"lines.{line.name}.shifts",
                f"On line {line.name} the shift {told} runs into the shift {then}: end one where the other begins.",
            )
