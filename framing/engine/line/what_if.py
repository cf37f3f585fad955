"""What a rush order pushes: the plan stays as it is, and the rush stands where that costs least (R46)."""

from __future__ import annotations

from dataclasses import replace

from framing.engine.line.check import check
from framing.engine.line.facts import Job, LineTask
from framing.engine.line.first_plans import insert_all
from framing.engine.line.model import Model, build
from framing.engine.line.report import report
from framing.engine.line.result import LinePlan, Pushed, Run, WhatIf, late_changes
from framing.engine.line.timing import Order


def what_if(task: LineTask, plan: LinePlan, rush: tuple[Job, ...]) -> WhatIf:
    """The plan of a task with some more jobs in it, earliest due first, and which jobs get later by how much.

    The order of the planned jobs stays; a heavy weight on the rush puts it in front of more of them. Jobs of the task
    that the plan lacks are put in as well, as if they were rushed. Errors: as `plan_lines`.
    """
    with_rush = replace(task, jobs=(*task.jobs, *rush))
    check(with_rush)
    model = build(with_rush)
    orders = _orders(model, plan)
    placed = {job for order in orders for job in order.seq}
    new = [job for job in model.free if job not in placed]
    insert_all(model, orders, sorted(new, key=lambda job: (model.jobs[job].due, job)))
    after = report(model, orders)
    rushed = {job.id for job in rush}
    runs = tuple(run for run in after.runs if run.job in rushed)
    return WhatIf(after, runs, _pushed(model, plan, after), late_changes(plan, after))


def _orders(model: Model, plan: LinePlan) -> list[Order]:
    free = {model.jobs[job].id: job for job in model.free}
    prices = model.task.prices
    return [
        Order(
            line,
            model.setups,
            prices,
            [free[run.job] for run in plan.runs if run.line == line.line.name and run.job in free],
        )
        for line in model.lines
    ]


def _pushed(model: Model, before: LinePlan, after: LinePlan) -> tuple[Pushed, ...]:
    was: dict[str, Run] = {run.job: run for run in before.runs}
    clocks = {line.line.name: line.clock for line in model.lines}
    found = []
    for run in after.runs:
        old = was.get(run.job)
        if old is not None and old.end != run.end:
            clock = clocks[run.line]
            later = clock.minutes_at(run.end) - clock.minutes_at(old.end)
            found.append(
                Pushed(
                    run.job, run.order, run.line, old.end, run.end, later, old.late_minutes, run.late_minutes
                )
            )
    return tuple(found)
