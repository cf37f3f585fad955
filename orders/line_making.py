"""Making line plans with the engine: the searched one, and what-ifs that leave the plan in force as it is (R46)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, Final

from framing.engine.line import (
    GoOn,
    LateChange,
    LinePlan,
    Pushed,
    Run,
    check,
    late_changes,
    plan_lines,
    what_if,
)
from orders.line_facts import ShopFacts

RUSH_WEIGHT: Final = 1000
"""A minute of a rush weighs as much as this many of another bundle: it goes before all that may move."""


@dataclass(frozen=True, slots=True)
class Made:
    """A plan with what it is held against.

    Attributes:
        was: the plan in force with today's facts; None where none is.
        by_date: taking orders by their dates; None in a what-if.
        pushed: bundles that end at another time than in `was`; only in a what-if.
    """

    plan: LinePlan
    was: LinePlan | None
    by_date: LinePlan | None
    pushed: tuple[Pushed, ...] = ()
    stopped: bool = False
    lower_bound: int | None = None


def searched(facts: ShopFacts, in_force: LinePlan | None, go_on: GoOn) -> Made:
    """The plan that the search finds. Errors: LineRefused."""
    outcome = plan_lines(facts.task, go_on)
    was = standing(facts, in_force) if in_force is not None else None
    return Made(outcome.plan, was, outcome.by_due_date, (), outcome.stopped, outcome.lower_bound)


def standing(facts: ShopFacts, in_force: LinePlan) -> LinePlan:
    """The plan in force with today's facts: what is finished is out, what is new stands where it costs least.

    Pinned bundles are put in anew, for their old place may break a pin made since. Errors: LineRefused.
    """
    pinned = {job.id for job in facts.task.jobs if job.pin is not None}
    kept = tuple(run for run in in_force.runs if run.job not in pinned)
    return what_if(facts.task, replace(in_force, runs=kept), ()).plan


def tried(
    before: ShopFacts, facts: ShopFacts, in_force: LinePlan, jobs: frozenset[str], *, rush: bool
) -> Made:
    """The plan in force with some bundles put in anew, and what that pushes.

    Args:
        before, facts: the shop without and with the pin that is tried; the same for a rush.
        rush: they go as early as can be; else their pins tell where.

    Errors: LineRefused.
    """
    was = standing(before, in_force)
    task = facts.task
    others = replace(task, jobs=tuple(job for job in task.jobs if job.id not in jobs))
    anew = [job for job in task.jobs if job.id in jobs]
    if rush:  # due at once: each minute of waiting counts
        anew = [replace(job, due=task.free_from - 1, weight=RUSH_WEIGHT) for job in anew]
    left = replace(was, runs=tuple(run for run in was.runs if run.job not in jobs))
    order = what_if(others, left, tuple(anew)).plan
    # the same order again with the true due days, held against the plan as it was
    ends = {run.job: run for run in was.runs}
    runs = tuple(_moved_line(ends[run.job], run) for run in order.runs if run.job in ends)
    done = what_if(task, replace(was, runs=runs), ())
    return Made(done.plan, was, None, done.pushed)


def _moved_line(was: Run, now: Run) -> Run:
    return replace(was, line=now.line)


def refuse_bad_pins(facts: ShopFacts) -> None:
    """Errors: LineRefused for what can't be planned."""
    check(facts.task)


def figures_of(made: Made, facts: ShopFacts) -> dict[str, Any]:
    """What a plan comes to, as JSON: sums, days, coils, late orders, what is pushed, what it stands for."""
    was = made.was if made.was is not None else made.by_date
    late = late_changes(was, made.plan) if was is not None else ()
    return {
        "sums": _sums(made.plan),
        "was": _sums(made.was) if made.was is not None else None,
        "by_date": _sums(made.by_date) if made.by_date is not None else None,
        "days": [_day(row) for row in made.plan.days],
        "coils": [
            {"day": _iso(need.day), "mils": int(need.gauge), "lb": round(need.weight_lb, 1)}
            for need in made.plan.coils
        ],
        "late": [_late(change) for change in late],
        "pushed": [_pushed(push, facts) for push in made.pushed],
        "stands_for": dict(facts.signs),
        "stopped": made.stopped,
    }


def _iso(day: int) -> str:
    return date.fromordinal(day).isoformat()


def _sums(plan: LinePlan) -> dict[str, int]:
    return {
        "late_orders": len(plan.late_orders),
        "late_bundles": sum(order.bundles for order in plan.late_orders),
        "late_minutes": sum(run.late_minutes for run in plan.runs),
        "setup_minutes": sum(run.setup_minutes for run in plan.runs),
        "moved": sum(run.moved for run in plan.runs),
        "bundles": len(plan.runs),
    }


def _day(row: Any) -> dict[str, Any]:
    return {
        "line": row.line,
        "day": _iso(row.day),
        "feet_16": row.feet_16,
        "capacity_16": row.capacity_16,
        "run_minutes": row.run_minutes,
        "setup_minutes": row.setup_minutes,
        "open_minutes": row.open_minutes,
    }


def _late(change: LateChange) -> Mapping[str, Any]:
    after, before = change.after, change.before
    return {
        "order": change.order,
        "bundles": after.bundles if after else 0,
        "minutes": after.late_minutes if after else 0,
        "was_minutes": before.late_minutes if before else 0,
        "ends": _iso(after.ends) if after else None,
    }


def _pushed(push: Pushed, facts: ShopFacts) -> Mapping[str, Any]:
    return {
        "bundle": push.job,
        "id": facts.bundles[push.job].public_id,
        "line": push.line,
        "minutes": push.later_minutes,
        "late_minutes": push.late_minutes_after,
        "was_late_minutes": push.late_minutes_before,
    }
