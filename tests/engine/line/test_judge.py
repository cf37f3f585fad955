"""Small line plans against all orders tried, and against the optimum that a general solver proves (R46).

More of the solver's cases, and the times, are in the bench.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations

import pytest

from framing.engine.line import LineTask, Pin, plan_lines
from tests.engine.line.checker import change, check_plan, hours, needed, worked
from tests.engine.line.judge_cpsat import judge
from tests.engine.line.shops import MONDAY, small_shop

# jobs, lines, seed: those that the solver proves quickly, about half a second each
CASES = [
    *((8, 1, seed) for seed in (1, 3, 4, 5, 6, 8, 10)),
    *((8, 2, seed) for seed in (4, 8, 10)),
    *((9, 1, seed) for seed in (3, 9)),
]


@pytest.mark.parametrize(("jobs", "lines", "seed"), CASES)
def test_the_plan_is_the_proved_optimum(jobs: int, lines: int, seed: int) -> None:
    task = small_shop(jobs, lines, seed)
    plan = plan_lines(task).plan
    check_plan(task, plan)
    verdict = judge(task, effort_s=10)
    assert verdict.proved
    assert plan.cost.total == verdict.cost


def test_pins_are_weighed_as_the_solver_weighs_them() -> None:
    task = small_shop(7, 2, 5)
    pins = {1: Pin(day=MONDAY + 1), 2: Pin("Line 2"), 3: Pin("Line 1", MONDAY)}
    task = replace(task, jobs=tuple(replace(job, pin=pins.get(i)) for i, job in enumerate(task.jobs)))
    plan = plan_lines(task).plan
    check_plan(task, plan)
    verdict = judge(task, effort_s=10)
    assert verdict.proved
    assert plan.cost.total == verdict.cost


@pytest.mark.parametrize("seed", range(12))
def test_no_order_of_six_jobs_costs_less(seed: int) -> None:
    task = small_shop(6, 1, seed)
    if seed % 2:
        task = replace(task, jobs=(replace(task.jobs[0], pin=Pin(day=MONDAY + 1)), *task.jobs[1:]))
    plan = plan_lines(task).plan
    check_plan(task, plan)
    assert plan.cost.total == _least(task)


def _least(task: LineTask) -> int:
    """The least cost of all orders on one line, timed in working minutes as the rules say."""
    (line,) = task.lines
    stretches = hours(task, line, MONDAY, MONDAY + 60)
    facts = []
    for job in task.jobs:
        due = worked(stretches, 0, max(s.closes for s in stretches if s.day <= job.due))
        first = worked(stretches, 0, job.pin.day * 1440) if job.pin and job.pin.day else 0
        last = first + 480 if job.pin else 10**9
        facts.append((job.profile, needed(task, line, job), due, job.weight, first, last))
    costs = [_cost(task, order) for order in permutations(facts)]
    return min(cost for cost in costs if cost is not None)


def _cost(task: LineTask, order: tuple[tuple[str, int, int, int, int, int], ...]) -> int | None:
    cost, at, loaded = 0, 0, None
    for profile, minutes, due, weight, first, last in order:
        setup = change(task, loaded, profile)
        at = max(at + setup, first)
        if at >= last:
            return None
        at += minutes
        cost += 2 * setup + weight * max(0, at - due)
        loaded = profile
    return cost
