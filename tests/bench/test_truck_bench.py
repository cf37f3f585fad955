"""Truck plans against a general solver's count, and against their bound; what the search costs beside the solver."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from time import process_time

import pytest

from framing.engine.trucks import Effort, LoadTask, lowest_bound, plan_trucks
from tests.engine.trucks.checker import check_plan
from tests.engine.trucks.judge_cpsat import judge
from tests.engine.trucks.lots import lot

pytestmark = pytest.mark.bench


def loads() -> Iterator[LoadTask]:
    """200 loads of 20 to 50 bundles, light and heavy, of one to three stops."""
    for seed in range(1, 201):
        yield lot(seed, 20 + seed * 7 % 31, heavy=seed % 2 == 0, stops=seed % 3 + 1)


def test_no_more_trucks_than_the_solver_finds(capsys: pytest.CaptureFixture[str]) -> None:
    """Where the plan meets its bound nothing is left to decide. The solver gets ten of its own seconds each time.

    Time is the processor's: of the orders alone, against the solver asked for the same count from nothing, and for one
    truck fewer where the plan is above the bound.
    """
    at_bound, proved, undecided, worse = 0, 0, list[int](), list[int]()
    orders_s = solver_s = 0.0
    for seed, task in enumerate(loads(), start=1):
        began = process_time()
        plan_trucks(replace(task, effort=Effort(exact=0)))
        orders_s += process_time() - began
        outcome = plan_trucks(task)
        check_plan(task, outcome.plan)
        count = len(outcome.plan.trucks)
        solver_s += judge(task, count, effort_s=10).seconds
        if count == outcome.bound.trucks:
            at_bound += 1
            continue
        verdict = judge(task, count - 1, effort_s=10)
        solver_s += verdict.seconds
        if verdict.possible:
            worse.append(seed)
        elif verdict.possible is None and not outcome.fewest:
            undecided.append(seed)
        else:
            proved += 1
    with capsys.disabled():
        print(  # noqa: T201 - what the bench is for
            f"\n200 loads of 20-50 bundles: {at_bound} at the bound, {proved} above it and proved, "
            f"{len(undecided)} not "
            f"decided, {len(worse)} where the solver saves a truck; orders {orders_s:.2f} s, solver {solver_s:.1f} s: "
            f"1/{solver_s / orders_s:.0f}"
        )
    assert worse == []
    assert orders_s <= solver_s / 20


def test_never_more_than_one_over_the_bound(capsys: pytest.CaptureFixture[str]) -> None:
    """80 loads of each size, half of them light; without the exact model."""
    for count in (20, 60, 100, 200, 400):
        over = at_bound = 0
        began = process_time()
        for seed in range(1, 81):
            task = lot(seed, count, heavy=seed % 2 == 0, stops=seed % 3 + 1, effort=Effort(exact=0))
            plan = plan_trucks(task).plan
            if count <= 100:
                check_plan(task, plan)
            least = lowest_bound(task).trucks
            at_bound += len(plan.trucks) == least
            over += len(plan.trucks) > least + 1
        with capsys.disabled():
            each_ms = (process_time() - began) / 80 * 1000
            print(  # noqa: T201 - what the bench is for
                f"\n{count} bundles: {at_bound}/80 at the bound, {over} over bound + 1, {each_ms:.0f} ms a load"
            )
        assert over == 0
