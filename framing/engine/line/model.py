"""The task as whole numbers: jobs by index, each line with its own count of working minutes.

Equal tasks make equal models: jobs go by id and lines by name, in whatever order they were given.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from typing import Final

from framing.engine.line.facts import NEVER, Held, Job, LineTask, Pin, Placing, RolledProfile, RollLine
from framing.engine.line.setups import setup_table
from framing.engine.line.working_time import WorkingTime, length_minutes, working_time
from framing.engine.units import SIXTEENTHS_PER_FOOT

NOTHING: Final = -1
"""Index of the profile of a line with nothing loaded: the last row of the change-over table."""

Row = tuple[int, int, int, int, int, int, int, int]
"""A job on a line: profile, minutes, due, weight, first and last start + 1, and the same of where it was planned."""


@dataclass(frozen=True, slots=True)
class HeldRun:
    """A run that nothing moves, in working minutes of its line."""

    job: int
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class LineModel:
    """A line's own figures, in its own working minutes.

    Attributes:
        rows: by job; None where the line can't take it.
        ready: when it is free for the first job that is not held.
        loaded: index of the profile it is then set up for, or NOTHING.
        pinned: jobs that have a day to keep.
        planned: some job has a day that it was planned for.
    """

    index: int
    line: RollLine
    clock: WorkingTime
    rows: tuple[Row | None, ...]
    held: tuple[HeldRun, ...]
    ready: int
    loaded: int
    pinned: frozenset[int]
    planned: bool


@dataclass(frozen=True, slots=True)
class Model:
    """Everything that a search needs; `free` are the jobs that it may place."""

    task: LineTask
    jobs: tuple[Job, ...]
    profiles: tuple[RolledProfile, ...]
    profile_of: tuple[int, ...]
    setups: list[list[int]]
    lines: tuple[LineModel, ...]
    free: tuple[int, ...]


def minutes_for(line: RollLine, job: Job, seconds_per_piece: int) -> int:
    """Working minutes of a job: rolling and handling, or its share of the shift's capacity if that is more.

    Rounded up once, to the whole minute: a plan never promises a minute that the line does not have.
    """
    feet = Fraction(job.feet_16, SIXTEENTHS_PER_FOOT)
    minutes = feet * 60 / line.speed_ft_per_hour + Fraction(job.pieces * seconds_per_piece, 60)
    if line.capacity_ft_per_shift is not None:
        longest = max(length_minutes(shift) for shift in line.shifts)
        minutes = max(minutes, feet * longest / line.capacity_ft_per_shift)
    return ceil(minutes)


def able(line: RollLine, profile: RolledProfile) -> bool:
    """Whether the line can roll the profile at all."""
    fits = line.profiles is None or profile.code in line.profiles
    return fits and (line.depths_16 is None or profile.depth_16 in line.depths_16)


def held_jobs(task: LineTask) -> dict[str, Held]:
    """Jobs that stay where they are: those that roll already, and those of the frozen days."""
    held = {}
    if task.frozen_since is not None:
        lines, codes = {line.name: line for line in task.lines}, {p.code: p for p in task.profiles}
        profiles = {job.id: codes[job.profile] for job in task.jobs}
        for placing in task.previous:
            frozen = task.frozen_since <= placing.day < task.free_from and placing.job in profiles
            if frozen and placing.line in lines and able(lines[placing.line], profiles[placing.job]):
                held[placing.job] = Held(placing.line, placing.start)
    return held | {job.id: job.held for job in task.jobs if job.held}


def build(task: LineTask) -> Model:
    """The model of a task that `check` has passed. Errors: LineRefused where shifts bring too little time."""
    jobs = tuple(sorted(task.jobs, key=lambda job: job.id))
    profiles = tuple(sorted(task.profiles, key=lambda profile: profile.code))
    index = {profile.code: i for i, profile in enumerate(profiles)}
    held = held_jobs(task)
    model = Model(
        task,
        jobs,
        profiles,
        tuple(index[job.profile] for job in jobs),
        setup_table(task.change_over, profiles),
        (),
        tuple(i for i, job in enumerate(jobs) if job.id not in held),
    )
    lines = sorted(task.lines, key=lambda line: line.name)
    made = tuple(_line_model(model, i, line, held) for i, line in enumerate(lines))
    return Model(task, jobs, profiles, model.profile_of, model.setups, made, model.free)


def _line_model(model: Model, index: int, line: RollLine, held: Mapping[str, Held]) -> LineModel:
    task, codes = model.task, [profile.code for profile in model.profiles]
    able_jobs = [able(line, model.profiles[profile]) for profile in model.profile_of]
    minutes = [
        minutes_for(line, job, task.seconds_per_piece) if able_jobs[i] else 0
        for i, job in enumerate(model.jobs)
    ]
    clock = _clock(model, line, held, sum(minutes))
    runs = _held_runs(model, line, clock, minutes, held)
    last = runs[-1] if runs else None
    ready = max(clock.window(task.free_from)[0], last.end if last else 0)
    loaded = NOTHING if line.loaded is None else codes.index(line.loaded)
    lines = {line.name for line in task.lines}
    was = {placing.job: placing for placing in task.previous if placing.line in lines}
    pins = {job.id: job.pin for job in model.jobs if job.id not in held}
    rows = tuple(
        _row(job, model.profile_of[i], minutes[i], line, clock, was.get(job.id), pins.get(job.id))
        if able_jobs[i]
        else None
        for i, job in enumerate(model.jobs)
    )
    pinned = frozenset(i for i in model.free if (row := rows[i]) and row[5] < NEVER)
    planned = any((row := rows[i]) and row[7] < NEVER for i in model.free)
    loaded = model.profile_of[last.job] if last else loaded
    return LineModel(index, line, clock, rows, runs, ready, loaded, pinned, planned)


def _clock(model: Model, line: RollLine, held: Mapping[str, Held], work: int) -> WorkingTime:
    """From the first day that anything looks back to, and long enough for all jobs on this line alone."""
    task = model.task
    days = [task.free_from, *(job.due for job in model.jobs), *(hold.start.day for hold in held.values())]
    days += [job.pin.day for job in model.jobs if job.pin and job.pin.day is not None]
    change = max(map(max, model.setups)) * (len(model.jobs) + 1)
    # a night shift of the day before may still run when a held job begins
    return working_time(line, task.closed, min(days) - 1, max(days), work + change + 1)


def _row(
    job: Job,
    profile: int,
    minutes: int,
    line: RollLine,
    clock: WorkingTime,
    was: Placing | None,
    pin: Pin | None,
) -> Row | None:
    first, after = 0, NEVER
    if pin is not None:
        if pin.line not in (None, line.name):
            return None
        if pin.day is not None:
            first, after = clock.window(pin.day)
            if first == after:
                return None
    was_first, was_after = 0, NEVER
    if was is not None:
        was_first, was_after = clock.window(was.day) if was.line == line.name else (0, 0)
    due = clock.window(job.due)[1]
    return profile, minutes, due, job.weight, first, after, was_first, was_after


def _held_runs(
    model: Model, line: RollLine, clock: WorkingTime, minutes: list[int], held: Mapping[str, Held]
) -> tuple[HeldRun, ...]:
    """Held jobs in the order of their starts; one that the run before delays begins when it is through."""
    here = [(clock.minutes_at(held[job.id].start), i) for i, job in enumerate(model.jobs)
            if job.id in held and held[job.id].line == line.name]  # fmt: skip
    runs: list[HeldRun] = []
    for begin, job in sorted(here):
        if runs:
            change = model.setups[model.profile_of[runs[-1].job]][model.profile_of[job]]
            begin = max(begin, runs[-1].end + change)
        runs.append(HeldRun(job, begin, begin + minutes[job]))
    return tuple(runs)
