"""What is wrong with jobs and their pins."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from framing.engine.errors import Problem
from framing.engine.line.days import Day, day_text
from framing.engine.line.facts import Held, Job, LineTask, Pin, RolledProfile, RollLine
from framing.engine.line.model import able, held_jobs
from framing.engine.line.working_time import LONGEST_DAYS, shifts_on


def job_problems(task: LineTask) -> Iterator[Problem]:
    """Problems of jobs, by job; a job with wrong figures is not looked at further."""
    profiles = {profile.code: profile for profile in task.profiles}
    for name, times in Counter(job.id for job in task.jobs).items():
        if times > 1:
            yield Problem(f"jobs.{name}", f"Bundle {name} is given {times} times: give it once.")
    for name, times in Counter(placing.job for placing in task.previous).items():
        if times > 1:
            yield Problem(
                f"previous.{name}", f"The previous plan has bundle {name} {times} times: give it once."
            )
    sound = [job for job in task.jobs if job.profile in profiles]
    frozen = held_jobs(task) if len(sound) == len(task.jobs) else {}
    for job in task.jobs:
        profile = profiles.get(job.profile)
        wrong = list(_figure_problems(task, job, profile))
        if not wrong and profile is not None:
            wrong = list(_place_problems(task, job, profile, held=job.id in frozen))
        yield from wrong


def _figure_problems(task: LineTask, job: Job, profile: RolledProfile | None) -> Iterator[Problem]:
    place = f"jobs.{job.id}"
    if profile is None:
        yield Problem(
            f"{place}.profile", f"Bundle {job.id} is of {job.profile}, which is none of the profiles: add it."
        )
    if job.feet_16 <= 0:
        yield Problem(
            f"{place}.feet_16", f"Bundle {job.id} has no length to roll ({job.feet_16}/16 in): take it out."
        )
    if job.pieces < 0:
        yield Problem(f"{place}.pieces", f"Bundle {job.id} has {job.pieces} pieces: give 0 or more.")
    if job.weight < 0:
        yield Problem(f"{place}.weight", f"Bundle {job.id} has a weight of {job.weight}: give 0 or more.")
    for words, day in _days(job):
        if abs(day - task.free_from) > LONGEST_DAYS:
            yield Problem(
                place,
                f"Bundle {job.id} {words} {day_text(day)}, over ten years from {day_text(task.free_from)}: "
                "correct the date.",
            )


def _days(job: Job) -> Iterator[tuple[str, Day]]:
    yield "is due on", job.due
    if job.pin is not None and job.pin.day is not None:
        yield "is pinned to", job.pin.day
    if job.held is not None:
        yield "began on", job.held.start.day


def _place_problems(task: LineTask, job: Job, profile: RolledProfile, *, held: bool) -> Iterator[Problem]:
    fit = [line for line in task.lines if able(line, profile)]
    if not fit:
        yield Problem(
            f"jobs.{job.id}.profile",
            f"No line can roll {job.profile} of bundle {job.id}: allow it on a line, or take the bundle out.",
        )
    elif job.held is not None:
        yield from _held_problems(task, job, job.held, fit)
    elif job.pin is not None and not held:
        yield from _pin_problems(task, job, job.pin, fit)


def _held_problems(task: LineTask, job: Job, held: Held, fit: Sequence[RollLine]) -> Iterator[Problem]:
    place = f"jobs.{job.id}.held"
    yield from _line_problem(task, job, held.line, fit, place, "rolls on")
    if held.start.day >= task.free_from:
        yield Problem(
            place,
            f"Bundle {job.id} is said to roll since {day_text(held.start.day)}, but the plan begins on "
            f"{day_text(task.free_from)}: pin it to the day instead.",
        )


def _line_problem(
    task: LineTask, job: Job, name: str, fit: Sequence[RollLine], place: str, verb: str
) -> Iterator[Problem]:
    if name not in {line.name for line in task.lines}:
        lines = ", ".join(sorted(line.name for line in task.lines))
        yield Problem(
            place, f"Bundle {job.id} {verb} line {name}, which is none of the lines: choose one of {lines}."
        )
    elif name not in {line.name for line in fit}:
        lines = ", ".join(sorted(line.name for line in fit))
        yield Problem(
            place,
            f"Bundle {job.id} {verb} line {name}, which can't roll {job.profile}: choose one of {lines}.",
        )


def _pin_problems(task: LineTask, job: Job, pin: Pin, fit: Sequence[RollLine]) -> Iterator[Problem]:
    place = f"jobs.{job.id}.pin"
    if pin.line is not None:
        wrong = list(_line_problem(task, job, pin.line, fit, place, "is pinned to"))
        if wrong:
            yield from wrong
            return
        fit = [line for line in fit if line.name == pin.line]
    if pin.day is None:
        return
    pinned = f"Bundle {job.id} is pinned to {day_text(pin.day)}"
    if pin.day < task.free_from:
        yield Problem(
            place,
            f"{pinned}, before the plan begins: pin it to {day_text(task.free_from)} or later, or unpin it.",
        )
    elif not _works(task, fit, pin.day):
        where = f"line {pin.line} stands" if pin.line else "every line that can roll it stands"
        open_day = _next_open(task, fit, pin.day)
        other = f"pin it to {day_text(open_day)}" if open_day is not None else "pin it to another day"
        yield Problem(place, f"{pinned}, when {where}: {other}, open the day, or unpin it.")


def _works(task: LineTask, lines: Sequence[RollLine], day: Day) -> bool:
    return any(shifts_on(line, day, task.closed) for line in lines)


def _next_open(task: LineTask, lines: Sequence[RollLine], day: Day) -> Day | None:
    days = range(day + 1, day + LONGEST_DAYS)
    return next((later for later in days if _works(task, lines, later)), None)
