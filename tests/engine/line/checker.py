"""Holds a line plan to the rules (R46); written from the rules, shares no code with the planner.

Times are counted here by the clock, in minutes since a midnight, and closed time is cut out by adding up overlaps.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from math import ceil

import pytest

from framing.engine.line import Job, LinePlan, LineTask, Moment, RolledProfile, RollLine, Run

DAY = 1440


@dataclass(frozen=True)
class Hours:
    """A stretch in which a line works, and the day it belongs to."""

    day: int
    opens: int
    closes: int


def at(moment: Moment) -> int:
    assert 0 <= moment.minute < DAY
    return moment.day * DAY + moment.minute


def hours(task: LineTask, line: RollLine, first: int, last: int) -> list[Hours]:
    """All working stretches that begin on the days from first to last."""
    found = []
    for day in range(first, last + 1):
        if day in task.closed or day in line.closed:
            continue
        for shift in line.shifts:
            if shift.weekday == date.fromordinal(day).weekday():
                closes = shift.end_minute + (DAY if shift.over_midnight else 0)
                found.append(Hours(day, day * DAY + shift.start_minute, day * DAY + closes))
    return sorted(found, key=lambda stretch: stretch.opens)


def worked(stretches: list[Hours], begin: int, end: int) -> int:
    """Working minutes between two minutes of the clock."""
    return sum(max(0, min(end, s.closes) - max(begin, s.opens)) for s in stretches)


def needed(task: LineTask, line: RollLine, job: Job) -> int:
    """Whole minutes for a job on a line."""
    feet = Fraction(job.feet_16, 16 * 12)
    minutes = feet / line.speed_ft_per_hour * 60 + Fraction(job.pieces) * task.seconds_per_piece / 60
    if line.capacity_ft_per_shift is not None:
        minutes = max(minutes, feet / line.capacity_ft_per_shift * longest_shift(line))
    return ceil(minutes)


def longest_shift(line: RollLine) -> int:
    return max(s.end_minute - s.start_minute + (DAY if s.over_midnight else 0) for s in line.shifts)


def change(task: LineTask, before: str | None, after: str) -> int:
    """Minutes of change-over by the rule."""
    if before is None or before == after:
        return 0
    timed = {(a, b): minutes for a, b, minutes in reversed(task.change_over.pairs)}
    if (before, after) in timed:
        return timed[before, after]
    profiles = {profile.code: profile for profile in task.profiles}
    one, two = profiles[before], profiles[after]
    rule = task.change_over
    minutes = rule.base_minutes
    if one.gauge != two.gauge:
        minutes += rule.gauge_minutes
    if one.depth_16 != two.depth_16:
        minutes += rule.depth_minutes
    if one.flange_16 != two.flange_16:
        minutes += rule.flange_minutes
    return minutes


def can_roll(line: RollLine, profile: RolledProfile) -> bool:
    if line.profiles is not None and profile.code not in line.profiles:
        return False
    return line.depths_16 is None or profile.depth_16 in line.depths_16


def expected_held(task: LineTask) -> dict[str, tuple[str, Moment]]:
    """Line and start of what must stay: what rolls, and what the previous plan began on the frozen days."""
    profiles = {profile.code: profile for profile in task.profiles}
    lines = {line.name: line for line in task.lines}
    jobs = {job.id: job for job in task.jobs}
    held = {}
    for was in task.previous:
        if (
            task.frozen_since is not None
            and task.frozen_since <= was.day < task.free_from
            and was.job in jobs
        ):
            line = lines.get(was.line)
            if line is not None and can_roll(line, profiles[jobs[was.job].profile]):
                held[was.job] = was.line, was.start
    for job in task.jobs:
        if job.held is not None:
            held[job.id] = job.held.line, job.held.start
    return held


def check_plan(task: LineTask, plan: LinePlan) -> None:
    """Asserts every rule on a plan of a task."""
    assert sorted(run.job for run in plan.runs) == sorted(job.id for job in task.jobs)
    late = setup = moved = 0
    held = expected_held(task)
    for line in task.lines:
        runs = [run for run in plan.runs if run.line == line.name]
        assert runs == sorted(runs, key=lambda run: at(run.start))
        stretches = stretches_for(task, line, plan)
        check_line(task, line, runs, stretches, held)
        check_days(task, line, runs, stretches, plan)
    weights = {job.id: job.weight for job in task.jobs}
    for run in plan.runs:
        late += weights[run.job] * run.late_minutes
        setup += task.prices.setup_per_minute * run.setup_minutes
        moved += task.prices.moved * run.moved
    assert (plan.cost.late, plan.cost.setup, plan.cost.moved) == (late, setup, moved)
    assert plan.cost.total == late + setup + moved
    check_late_orders(plan)
    check_coils(task, plan)


def stretches_for(task: LineTask, line: RollLine, plan: LinePlan) -> list[Hours]:
    days = [run.start.day for run in plan.runs] + [run.end.day for run in plan.runs]
    days += [job.due for job in task.jobs] + [task.free_from]
    return hours(task, line, min(days) - 2, max(days) + 2)


def check_line(
    task: LineTask,
    line: RollLine,
    runs: list[Run],
    stretches: list[Hours],
    held: dict[str, tuple[str, Moment]],
) -> None:
    jobs = {job.id: job for job in task.jobs}
    opening = min((s.opens for s in stretches if s.day >= task.free_from), default=0)
    end, loaded = None, line.loaded
    free_begun = False
    for run in runs:
        job = jobs[run.job]
        check_facts(task, line, run, job, stretches)
        assert run.held == (job.id in held)
        if run.held:
            assert not free_begun  # what is held comes first
            assert not run.moved
            check_held(task, run, held[job.id], end, loaded, stretches)
        else:
            free_begun = True
            wanted = change(task, loaded, job.profile)
            assert run.setup_minutes == wanted
            free = opening if end is None else max(end, opening)
            check_free(run, job, worked(stretches, free, at(run.start)), wanted, stretches)
            check_moved(task, run)
        end, loaded = at(run.end), job.profile


def check_facts(task: LineTask, line: RollLine, run: Run, job: Job, stretches: list[Hours]) -> None:
    """The job's own figures, on a line that can roll it, in working hours, with the minutes that it needs."""
    profiles = {profile.code: profile for profile in task.profiles}
    assert (run.profile, run.order, run.due) == (job.profile, job.order, job.due)
    assert can_roll(line, profiles[job.profile])
    check_hours(run, stretches)
    assert worked(stretches, at(run.start), at(run.end)) == run.minutes == needed(task, line, job)
    closing = max((s.closes for s in stretches if s.day <= job.due), default=0)
    assert run.late_minutes == worked(stretches, closing, at(run.end))


def check_moved(task: LineTask, run: Run) -> None:
    """Not before the plan begins; moved if its line is still there and it was on another one, or another day."""
    assert run.day >= task.free_from
    lines = {line.name for line in task.lines}
    old = [(was.line, was.day) for was in task.previous if was.job == run.job and was.line in lines]
    assert run.moved == (bool(old) and old != [(run.line, run.day)])


def check_hours(run: Run, stretches: list[Hours]) -> None:
    """It begins and ends while the line works, on the days that it says."""
    start, end = at(run.start), at(run.end)
    assert [s.day for s in stretches if s.opens <= start < s.closes] == [run.day]
    assert [s.day for s in stretches if s.opens < end <= s.closes] == [run.end_day]


def check_held(
    task: LineTask,
    run: Run,
    told: tuple[str, Moment],
    end: int | None,
    loaded: str | None,
    stretches: list[Hours],
) -> None:
    """On its line, and begun when it was told, or as soon as the run before it lets it."""
    line, moment = told
    assert run.line == line
    setup = 0 if end is None else change(task, loaded, run.profile)
    assert run.setup_minutes == setup
    begun = worked(stretches, at(moment), at(run.start))
    gap = 0 if end is None else worked(stretches, end, at(run.start))
    assert begun == 0 or gap == setup
    assert end is None or gap >= setup


def check_free(run: Run, job: Job, gap: int, setup: int, stretches: list[Hours]) -> None:
    """Set up in full after the run before; no idle time but before a job that waits for its day."""
    assert gap >= setup
    if job.pin is not None:
        assert job.pin.line in (None, run.line)
        assert job.pin.day in (None, run.day)
    if gap > setup:
        assert job.pin is not None
        assert job.pin.day is not None
        assert at(run.start) == min(s.opens for s in stretches if s.day == job.pin.day)


def check_days(
    task: LineTask, line: RollLine, runs: list[Run], stretches: list[Hours], plan: LinePlan
) -> None:
    """Loads add up and stay within what the line can do."""
    jobs = {job.id: job for job in task.jobs}
    pace = Fraction(line.speed_ft_per_hour * 192, 60)
    if line.capacity_ft_per_shift is not None:
        pace = min(pace, Fraction(line.capacity_ft_per_shift * 192, longest_shift(line)))
    days = {day.day: day for day in plan.days if day.line == line.name}
    assert sum(day.feet_16 for day in days.values()) == sum(jobs[run.job].feet_16 for run in runs)
    assert sum(day.run_minutes for day in days.values()) == sum(run.minutes for run in runs)
    for number, day in days.items():
        of_day = [s for s in stretches if s.day == number]
        open_minutes = sum(s.closes - s.opens for s in of_day)
        assert day.open_minutes == open_minutes > 0
        assert day.run_minutes + day.setup_minutes <= open_minutes
        assert day.capacity_16 == pace * open_minutes // 1
        shares = [
            Fraction(jobs[r.job].feet_16 * worked(of_day, at(r.start), at(r.end)), r.minutes) for r in runs
        ]
        assert sum(shares, Fraction(0)) <= pace * open_minutes  # capacity, exactly
        assert (
            abs(day.feet_16 - sum(shares, Fraction(0))) < 2
        )  # at most two runs are parted by the day's ends


def check_late_orders(plan: LinePlan) -> None:
    late = defaultdict(list)
    for run in plan.runs:
        if run.late_minutes > 0:
            late[run.order].append(run)
    assert [order.order for order in plan.late_orders] == sorted(late)
    for told in plan.late_orders:
        runs = late[told.order]
        assert told.bundles == len(runs)
        assert told.late_minutes == max(run.late_minutes for run in runs)
        assert told.ends == max(run.end_day for run in runs)


def check_coils(task: LineTask, plan: LinePlan) -> None:
    """All steel of a gauge, over all days, weighs what the jobs weigh."""
    facts = {profile.code: profile for profile in task.profiles}
    weights: dict[str, float] = defaultdict(float)
    for job in task.jobs:
        weights[facts[job.profile].gauge] += job.feet_16 / 192 * facts[job.profile].weight_lb_per_ft
    told: dict[str, float] = defaultdict(float)
    for coil in plan.coils:
        told[coil.gauge] += coil.weight_lb
    assert told == pytest.approx(weights)
    assert [(coil.day, coil.gauge) for coil in plan.coils] == sorted({(c.day, c.gauge) for c in plan.coils})
