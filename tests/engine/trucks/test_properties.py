"""What holds of every plan, for made-up loads: rules, nothing lost, order of input, locked loads, bound."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from framing.engine.trucks import (
    Effort,
    LoadRefused,
    LoadTask,
    Thing,
    TruckKind,
    TrucksPlan,
    again,
    check,
    figures_of,
    lock,
    lowest_bound,
    move,
    plan_trucks,
    swap,
)
from tests.engine.trucks.checker import check_plan
from tests.engine.trucks.hands import FT, IN

SHORT = TruckKind("Short", 24 * FT, 96 * IN, 12_000, 60 * IN, 4, 4 * FT)
LONG = TruckKind("Long", 48 * FT, 102 * IN, 48_000, 84 * IN, 6, 0)


@st.composite
def tasks(draw: st.DrawFn) -> LoadTask:
    count = draw(st.integers(1, 14))
    things = tuple(
        Thing(
            id=f"T{n}",
            name=f"Bundle {n}",
            length_16=draw(st.integers(2 * FT, 27 * FT)),
            width_16=draw(st.integers(6, 20)) * IN
            if not (pack := draw(st.booleans()))
            else draw(st.integers(10, 60)) * IN,
            height_16=draw(st.integers(4, 20)) * IN,
            weight_lb=draw(st.integers(0, 400_000)) / 100,
            stop=draw(st.integers(1, 3)),
            bears=draw(st.sampled_from((None, None, 0, 1))),
            own_place=pack and draw(st.booleans()),
            pack=pack,
        )
        for n in range(count)
    )
    kinds = draw(
        st.sampled_from(
            ((SHORT,), (LONG,), (SHORT, LONG), (replace(LONG, count=1), SHORT), (replace(SHORT, count=1),))
        )
    )
    return LoadTask(things, kinds, effort=Effort(tries=40, exact=0.2))


@settings(max_examples=60, deadline=None)
@given(tasks(), st.randoms(use_true_random=False))
def test_every_plan(task: LoadTask, random: object) -> None:
    outcome = plan_trucks(task)
    check_plan(task, outcome.plan)
    assert check(task, outcome.plan) == ()
    assert lowest_bound(task) == outcome.bound
    if not outcome.plan.left:
        assert outcome.bound.trucks <= len(outcome.plan.trucks)
    mixed = list(task.things)
    random.shuffle(mixed)  # type: ignore[attr-defined]
    assert plan_trucks(replace(task, things=tuple(mixed))) == outcome


@settings(max_examples=40, deadline=None)
@given(tasks())
def test_figures_add_up(task: LoadTask) -> None:
    plan = plan_trucks(task).plan
    for truck in figures_of(task, plan).trucks:
        assert sorted(truck.unloading) == sorted(tier.thing for s in truck.stacks for tier in s.tiers)
        total = sum(truck.quarters_lb) + truck.behind_lb
        assert total == pytest.approx(truck.weight_lb)
        assert sum(truck.sides_lb) == pytest.approx(truck.weight_lb)
        assert sum(truck.feet_lb) + truck.behind_lb == pytest.approx(truck.weight_lb)
        assert truck.credit_lb >= truck.least_wll_lb - 1e-6
        for stack in truck.stacks:
            turns = [tier.order for tier in stack.tiers]
            assert turns == sorted(turns, reverse=True)
            low, high = stack.stack.x_16, min(stack.stack.x_16 + stack.length_16, truck.deck_length_16)
            assert sum(low < row < high for row in truck.rows_16) >= stack.tie_downs


@settings(max_examples=40, deadline=None)
@given(tasks(), st.lists(st.tuples(st.integers(0, 13), st.integers(0, 13), st.integers(0, 4)), max_size=8))
def test_steps_keep_rules_and_locked_loads(task: LoadTask, steps: list[tuple[int, int, int]]) -> None:
    """Whatever is tried, a plan that breaks no rule stays so, and a locked load stays as it is."""
    plan = plan_trucks(task).plan
    for first, second, which in steps:
        one, other = (task.things[n % len(task.things)].id for n in (first, second))
        locked = [truck for truck in plan.trucks if truck.locked]
        with suppress(LoadRefused):
            plan = _step(task, plan, which, one, other)
        check_plan(task, plan)
        if which != 2:
            assert all(truck in plan.trucks for truck in locked)


def _step(task: LoadTask, plan: TrucksPlan, which: int, one: str, other: str) -> TrucksPlan:
    goal = next((t.number for t in plan.trucks if other in t.things), None)
    if which == 0:
        return move(task, plan, thing=one, truck=goal).plan
    if which == 1 and goal is not None:
        return move(task, plan, thing=one, truck=goal, on=other).plan
    if which == 2 and goal is not None:
        return lock(plan, truck=goal, locked=True).plan
    return swap(task, plan, thing=one, other=other).plan if which == 3 else again(task, plan).plan
