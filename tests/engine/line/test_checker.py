"""The checker finds what is wrong with a plan: every rule, broken on purpose."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from framing.engine.line import Held, LinePlan, LineTask, Moment, Pin, Placing, RollLine, Run, plan_lines
from tests.engine.line.checker import check_plan
from tests.engine.line.shops import DEEP, MONDAY, THICK, THIN, WEEK, job, task_of

TUESDAY = MONDAY + 1
TASK = task_of(
    job("A", THIN, 240, 0, pin=Pin("Line 1")),
    job("B", THICK, 200, 0),
    job("C", THIN, 300, 1, pin=Pin(day=MONDAY)),
    job("H", THIN, 60, 0, held=Held("Line 1", Moment(MONDAY - 3, 780))),
    job("D", DEEP, 100, 0),
    lines=(
        RollLine("Line 1", 6_000, WEEK, capacity_ft_per_shift=48_000, depths_16=frozenset({160})),
        RollLine("Line 2", 6_000, WEEK),
    ),
    previous=(Placing("B", "Line 2", Moment(TUESDAY, 400), TUESDAY),),
)


def with_run(name: str, **changes: object) -> Callable[[LinePlan], LinePlan]:
    def changed(plan: LinePlan) -> LinePlan:
        return replace(
            plan,
            runs=tuple(replace(run, **changes) if run.job == name else run for run in plan.runs),  # type: ignore[arg-type]
        )

    return changed


def later(run: Run, minutes: int) -> Run:
    return replace(
        run,
        start=Moment(run.start.day, run.start.minute + minutes),
        end=Moment(run.end.day, run.end.minute + minutes),
    )


def shifted(minutes: int) -> Callable[[LinePlan], LinePlan]:
    return lambda plan: replace(
        plan, runs=tuple(later(run, minutes) if run.job == "D" else run for run in plan.runs)
    )


LATE = plan_lines(task_of(job("X", THIN, 600, 0))).plan.late_orders[0]
BREAKS: dict[str, Callable[[LinePlan], LinePlan]] = {
    "a job twice": lambda plan: replace(plan, runs=(*plan.runs, plan.runs[-1])),
    "a job left out": lambda plan: replace(plan, runs=plan.runs[1:]),
    "a run too short": with_run("D", minutes=99),
    "a start out of hours": with_run("D", start=Moment(MONDAY, 100)),
    "an idle line": shifted(30),
    "an overlap": shifted(-5),
    "change-over not told": with_run("A", setup_minutes=1),
    "lateness not told": with_run("D", late_minutes=7),
    "a line that cannot": with_run("D", line="Line 1"),
    "a pin to a line lost": with_run("A", line="Line 2"),
    "a run said to be held": with_run("A", held=True),
    "a held run let go": with_run("H", held=False),
    "a move not told": with_run("B", moved=False),
    "the wrong day": with_run("D", day=TUESDAY),
    "the wrong profile": with_run("D", profile=THIN.code),
    "cost": lambda plan: replace(plan, cost=replace(plan.cost, late=plan.cost.late + 1)),
    "load": lambda plan: replace(
        plan, days=(replace(plan.days[0], feet_16=plan.days[0].feet_16 + 1), *plan.days[1:])
    ),
    "capacity": lambda plan: replace(
        plan, days=(*plan.days[:-1], replace(plan.days[-1], capacity_16=plan.days[-1].capacity_16 + 1))
    ),
    "coils": lambda plan: replace(plan, coils=plan.coils[1:]),
    "late orders": lambda plan: replace(plan, late_orders=(*plan.late_orders, *plan.late_orders, LATE)),
}


def test_the_plan_is_sound_to_begin_with() -> None:
    plan = plan_lines(TASK).plan
    check_plan(TASK, plan)
    assert {run.line for run in plan.runs} == {"Line 1", "Line 2"}
    assert any(run.moved for run in plan.runs)


@pytest.mark.parametrize("what", BREAKS)
def test_found(what: str) -> None:
    plan = BREAKS[what](plan_lines(TASK).plan)
    with pytest.raises(AssertionError):
        check_plan(TASK, plan)


def tasks_that_differ() -> list[LineTask]:
    """The same plan held to another task: pins, frozen days and closed days that it does not keep."""
    pinned = replace(
        TASK, jobs=tuple(replace(j, pin=Pin(day=TUESDAY)) if j.id == "C" else j for j in TASK.jobs)
    )
    closed = replace(TASK, closed=frozenset({MONDAY}))
    frozen = replace(
        TASK,
        previous=(Placing("D", "Line 2", Moment(MONDAY - 3, 400), MONDAY - 3), *TASK.previous),
        frozen_since=MONDAY - 3,
    )
    begins = replace(TASK, free_from=TUESDAY)
    return [pinned, closed, frozen, begins]


@pytest.mark.parametrize("task", tasks_that_differ(), ids=["pinned", "closed", "frozen", "begins"])
def test_a_plan_for_another_task_is_found(task: LineTask) -> None:
    with pytest.raises(AssertionError):
        check_plan(task, plan_lines(TASK).plan)
