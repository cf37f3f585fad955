"""Any plan of any shop keeps the rules; equal shops get equal plans, in whatever order they are told."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from framing.engine.line import (
    ChangeOver,
    Effort,
    Held,
    Job,
    LineRefused,
    LineTask,
    Moment,
    Pin,
    Placing,
    PlanOutcome,
    Prices,
    RollLine,
    Shift,
    plan_lines,
    what_if,
)
from tests.engine.line.checker import check_plan
from tests.engine.line.shops import MONDAY, PROFILES, WEEK, small_shop

LINES = ("East", "North", "South")
NIGHTS = tuple(Shift(day, 22 * 60, 5 * 60, over_midnight=True) for day in (0, 2, 4))


@st.composite
def roll_lines(draw: st.DrawFn, name: str, *, all_profiles: bool) -> RollLine:
    some = (
        st.none() if all_profiles else st.frozensets(st.sampled_from([p.code for p in PROFILES]), min_size=3)
    )
    return RollLine(
        name,
        draw(st.integers(1_000, 9_000)),
        draw(st.sampled_from([WEEK, WEEK + NIGHTS, (Shift(0, 0, 1_440), Shift(3, 400, 700))])),
        draw(st.none() | st.integers(5_000, 50_000)),
        draw(some),
        None if all_profiles else draw(st.sampled_from([None, frozenset({128, 160})])),
        draw(st.frozensets(st.integers(MONDAY - 3, MONDAY + 20), max_size=4)),
        draw(st.none() | st.sampled_from([p.code for p in PROFILES])),
    )


@st.composite
def jobs(draw: st.DrawFn, name: str) -> Job:
    pins = st.none() | st.builds(
        Pin, st.none() | st.just("East"), st.none() | st.integers(MONDAY, MONDAY + 9)
    )
    held = st.builds(
        Held, st.just("East"), st.builds(Moment, st.integers(MONDAY - 2, MONDAY - 1), st.integers(0, 1_439))
    )
    return Job(
        name,
        f"Order {draw(st.integers(0, 3))}",
        draw(st.sampled_from(PROFILES)).code,
        draw(st.integers(1, 4_000_000)),
        draw(st.integers(0, 30)),
        draw(st.integers(MONDAY - 5, MONDAY + 15)),
        draw(st.integers(0, 4)),
        draw(pins),
        draw(st.sampled_from([None] * 8) | held),
    )


@st.composite
def tasks(draw: st.DrawFn) -> LineTask:
    count = draw(st.integers(1, 3))
    made = [draw(roll_lines(name, all_profiles=name == "East")) for name in LINES[:count]]
    names = [f"B{number}" for number in range(draw(st.integers(0, 9)))]
    placings = st.builds(
        Placing, st.just(""), st.sampled_from([*LINES, "Gone"]),
        st.builds(Moment, st.integers(MONDAY - 3, MONDAY + 4), st.integers(0, 1_439)), st.just(0),
    )  # fmt: skip
    previous = [(name, draw(placings)) for name in names if draw(st.booleans())]
    return LineTask(
        tuple(made),
        PROFILES,
        tuple(draw(jobs(name)) for name in names),
        MONDAY,
        draw(st.frozensets(st.integers(MONDAY - 1, MONDAY + 12), max_size=3)),
        ChangeOver(pairs=((PROFILES[0].code, PROFILES[1].code, draw(st.integers(0, 60))),)),
        draw(st.integers(0, 20)),
        tuple(replace(placing, job=name, day=placing.start.day) for name, placing in previous),
        draw(st.none() | st.just(MONDAY - 2)),
        Prices(draw(st.integers(0, 3)), draw(st.integers(0, 50))),
        Effort((1, 2), 600),
    )


def planned(task: LineTask) -> PlanOutcome | None:
    """None where pins are impossible; nothing else is wrong with these shops."""
    try:
        return plan_lines(task)
    except LineRefused as refusal:
        if any(".pin" not in problem.place for problem in refusal.problems):
            raise
        return None


@settings(max_examples=120)
@given(tasks(), st.randoms(use_true_random=False))
def test_any_plan_keeps_the_rules(task: LineTask, shuffle: object) -> None:
    outcome = planned(task)
    if outcome is None:
        return
    check_plan(task, outcome.plan)
    check_plan(task, outcome.by_due_date)
    cost = outcome.plan.cost.total
    assert outcome.lower_bound <= cost <= min(outcome.families_cost, outcome.by_due_date.cost.total)
    assert outcome.previous_cost is None or cost <= outcome.previous_cost
    assert (outcome.previous_cost is None) == (not task.previous)
    mixed = replace(
        task,
        lines=tuple(sorted(task.lines, key=lambda _: shuffle.random())),  # type: ignore[attr-defined]
        jobs=tuple(sorted(task.jobs, key=lambda _: shuffle.random())),  # type: ignore[attr-defined]
        profiles=PROFILES[::-1],
        previous=task.previous[::-1],
    )
    assert plan_lines(mixed) == outcome


@settings(max_examples=60)
@given(tasks(), jobs("Rush"))
def test_any_rush_keeps_the_rules_and_the_order(task: LineTask, rush: Job) -> None:
    rush = replace(rush, held=None)
    try:
        plan = plan_lines(task).plan
        answer = what_if(task, plan, (rush,))
    except LineRefused:
        return
    check_plan(replace(task, jobs=(*task.jobs, rush)), answer.plan)
    was, now = {run.job: run for run in plan.runs}, {run.job: run for run in answer.plan.runs}
    for line in task.lines:
        kept = [run.job for run in answer.plan.runs if run.line == line.name and run.job != rush.id]
        assert kept == [run.job for run in plan.runs if run.line == line.name]
    assert {pushed.job for pushed in answer.pushed} == {
        name for name in was if was[name].end != now[name].end
    }
    for pushed in answer.pushed:
        assert pushed.later_minutes != 0
        late = now[pushed.job].late_minutes - was[pushed.job].late_minutes
        assert late == pushed.late_minutes_after - pushed.late_minutes_before <= abs(pushed.later_minutes)


@pytest.mark.parametrize("seed", range(3))
def test_costs_are_the_same_recomputed(seed: int) -> None:
    """By hand once more, apart from the checker: weights, minutes late, minutes of change-over."""
    task = small_shop(10, 2, seed)
    plan = plan_lines(task).plan
    total = 0
    for line in task.lines:
        at, loaded = 0, None
        for run in (run for run in plan.runs if run.line == line.name):
            job = next(job for job in task.jobs if job.id == run.job)
            setup = _change(task, loaded, job.profile)
            at += setup - (-job.feet_16 // (100 * 192))
            total += 2 * setup + job.weight * max(0, at - 480 * (job.due - MONDAY + 1))
            loaded = job.profile
    assert plan.cost.total == total


def _change(task: LineTask, before: str | None, after: str) -> int:
    if before in (None, after):
        return 0
    one, two = (next(p for p in task.profiles if p.code == code) for code in (before, after))
    parts = ((one.gauge, two.gauge, 15), (one.depth_16, two.depth_16, 20), (one.flange_16, two.flange_16, 5))
    return 10 + sum(minutes for a, b, minutes in parts if a != b)
