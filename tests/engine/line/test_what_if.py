"""What a rush order pushes, worked by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from framing.engine.line import Held, LateOrder, LineRefused, Moment, Pin, Pushed, plan_lines, what_if
from tests.engine.line.checker import check_plan
from tests.engine.line.shops import MONDAY, THICK, THIN, job, task_of

TUESDAY = MONDAY + 1


def test_a_rush_pushes_what_comes_after_it() -> None:
    # A 240 and B 240 fill Monday. The rush, thin, 60 minutes, due Monday, weighs 5: at the end it is 60 late, 300; in
    # front of B that is 60 late, 60; in front of A no better. So B ends 60 minutes later, Tuesday 07:00.
    task = task_of(job("A", THIN, 240, 0, weight=2), job("B", THIN, 240, 0))
    plan = plan_lines(task).plan
    rush = job("R", THIN, 60, 0, weight=5)
    answer = what_if(task, plan, (rush,))
    check_plan(replace(task, jobs=(*task.jobs, rush)), answer.plan)
    assert [(run.job, run.late_minutes) for run in answer.rush] == [("R", 0)]
    assert [run.job for run in answer.plan.runs] == ["A", "R", "B"]
    assert answer.pushed == (
        Pushed("B", "Order B", "Line 1", Moment(MONDAY, 840), Moment(TUESDAY, 420), 60, 0, 60),
    )
    assert [(late.order, late.before, late.after) for late in answer.late] == [
        ("Order B", None, LateOrder("Order B", 1, 60, TUESDAY))
    ]


def test_a_rush_due_before_the_plan_began() -> None:
    # due the Friday before: the count of minutes then begins earlier, and what is pushed is told right all the same
    task = task_of(job("A", THIN, 240, 4), job("B", THIN, 240, 4, held=Held("Line 1", Moment(MONDAY, 360))))
    task = replace(task, free_from=TUESDAY)
    plan = plan_lines(task).plan
    answer = what_if(task, plan, (job("R", THICK, 60, -3, weight=1),))
    # first on Tuesday after a change-over: 25 + 60 minutes, and 25 to change back
    assert [(run.job, run.later_minutes) for run in answer.pushed] == [("A", 110)]
    assert answer.rush[0].late_minutes == 480 + 85


def test_nothing_is_pushed_by_what_comes_last() -> None:
    task = task_of(job("A", THIN, 240, 0))
    answer = what_if(task, plan_lines(task).plan, (job("R", THIN, 60, 3),))
    assert [run.job for run in answer.plan.runs] == ["A", "R"]
    assert answer.pushed == ()
    assert answer.late == ()


def test_a_rush_that_cannot_be_is_refused() -> None:
    full = task_of(job("A", THIN, 480, 0, pin=Pin(day=MONDAY)))
    with pytest.raises(
        LineRefused, match="Bundle R is pinned to 2026-12-07, but the other pins leave no time"
    ):
        what_if(full, plan_lines(full).plan, (job("R", THIN, 480, 0, pin=Pin(day=MONDAY)),))
    with pytest.raises(LineRefused, match="Bundle A is given 2 times"):
        what_if(full, plan_lines(full).plan, (job("A", THIN, 480, 0),))
