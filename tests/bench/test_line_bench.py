"""The line plan: small ones against a general solver's proved optimum, 400 jobs against due dates."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from statistics import median
from time import process_time

import pytest

from framing.engine.line import LineTask, Placing, plan_lines
from tests.engine.line.checker import check_plan
from tests.engine.line.judge_cpsat import judge
from tests.engine.line.shops import MONDAY, big_shop, small_shop

pytestmark = pytest.mark.bench
Measure = Callable[..., float]

# jobs, lines, seeds, how loose the dates are; the solver proves most of them
GRID = [
    *((8, lines, seed, 1) for lines in (1, 2) for seed in range(1, 11)),
    *((9, 1, seed, 1) for seed in (3, 4, 6, 8, 9)),
    *((jobs, lines, seed, 2) for jobs in (9, 10, 11, 12) for lines in (1, 2) for seed in range(1, 5)),
]


def test_small_plans_are_the_proved_optimum(capsys: pytest.CaptureFixture[str]) -> None:
    ratios, missed, plans, proofs = [], [], 0.0, 0.0
    for case in GRID:
        task = small_shop(*case)
        cost, taken = timed(task)
        verdict = judge(task, effort_s=3)
        if verdict.proved:
            missed += [(case, cost, verdict.cost)] if cost != verdict.cost else []
            ratios.append(verdict.seconds / taken)
            plans, proofs = plans + taken, proofs + verdict.seconds
    figures = f"median {median(ratios):.0f}, least {min(ratios):.1f}, in all {proofs / plans:.0f}"
    with capsys.disabled():
        print(  # noqa: T201 - what the bench is for
            f"\n{len(ratios)} of {len(GRID)} cases of 8-12 jobs proved, {len(ratios) - len(missed)} of them equal; "
            f"proof to plan, processor time: {figures}; below 10 in {sum(ratio < 10 for ratio in ratios)}"
        )
    assert not missed
    assert len(ratios) >= 40
    assert min(ratios) >= 10
    assert proofs / plans >= 10


def timed(task: LineTask) -> tuple[int, float]:
    began = process_time()
    plan = plan_lines(task).plan
    taken = process_time() - began
    check_plan(task, plan)
    return plan.cost.total, taken


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_400_jobs_on_3_lines(seed: int, clock: Measure) -> None:
    task = big_shop(400, 3, seed)
    outcome = plan_lines(task)
    check_plan(task, outcome.plan)
    cost, due_date = outcome.plan.cost.total, outcome.by_due_date.cost.total
    what = f"400 jobs, 3 lines: due date {due_date:,}, families {outcome.families_cost:,}, plan {cost:,}"
    assert cost <= due_date / 4
    assert clock(what, lambda: plan_lines(task), rounds=3) <= 5_000


def test_400_jobs_the_day_after(clock: Measure) -> None:
    """With yesterday's plan, a frozen day and ten new jobs."""
    task = big_shop(400, 3, 1)
    placings = tuple(Placing(p.job, p.line, p.start, p.day) for p in plan_lines(task).plan.placings())
    new = tuple(replace(job, id=f"N{job.id}", order="New") for job in task.jobs[:10])
    late = [p.job for p in placings if p.day < MONDAY]
    assert not late
    tomorrow = replace(
        task, jobs=(*task.jobs, *new), previous=placings, free_from=MONDAY + 1, frozen_since=MONDAY
    )
    outcome = plan_lines(tomorrow)
    check_plan(tomorrow, outcome.plan)
    moved = sum(run.moved for run in outcome.plan.runs)
    cost = outcome.plan.cost.total
    what = f"410 jobs, a day later: as it was {outcome.previous_cost:,}, plan {cost:,}, {moved} moved"
    assert clock(what, lambda: plan_lines(tomorrow), rounds=3) <= 5_000
