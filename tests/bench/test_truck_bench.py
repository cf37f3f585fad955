"""Truck plans against a general solver's count, and against their bound; what the search costs beside the solver.

A fifth of the loads is asked as a rule; with BENCH_FULL=1 all 200, and all 80 of each size.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from time import process_time

import pytest

from framing.engine.trucks import Effort, LoadTask, lowest_bound, plan_trucks
from tests.engine.trucks.checker import check_plan
from tests.engine.trucks.judge_cpsat import Verdict, judge
from tests.engine.trucks.judge_wide import judge_wide
from tests.engine.trucks.lots import lot, mixed_lot

pytestmark = pytest.mark.bench
EACH = 1 if os.environ.get("BENCH_FULL") else 5
"""Of so many loads one is asked; 5 shares no divisor with the ways in which loads differ by their seed."""


def bundles() -> Iterator[LoadTask]:
    """200 loads of 20 to 50 bundles, light and heavy, of one to three stops."""
    for seed in range(1, 201, EACH):
        yield lot(seed, 20 + seed * 7 % 31, heavy=seed % 2 == 0, stops=seed % 3 + 1)


def mixed() -> Iterator[LoadTask]:
    """200 loads of 20 to 50 bundles and packs of many widths, of one to three stops."""
    for seed in range(1, 201, EACH):
        yield mixed_lot(seed, 20 + seed * 7 % 31, stops=seed % 3 + 1)


@dataclass
class Tally:
    """What became of the loads, and the processor's seconds: of the orders alone, of the solver."""

    loads: int = 0
    at_bound: int = 0
    proved: int = 0
    undecided: int = 0
    worse: list[int] = field(default_factory=list)
    orders_s: float = 0.0
    solver_s: float = 0.0

    def __str__(self) -> str:
        return (
            f"{self.loads} loads: {self.at_bound} at the bound, {self.proved} above it and proved, {self.undecided} "
            f"not decided, {len(self.worse)} where the solver saves a truck; orders {self.orders_s:.2f} s, solver "
            f"{self.solver_s:.1f} s: 1/{self.solver_s / self.orders_s:.0f}"
        )


@pytest.mark.parametrize(
    ("name", "loads", "ask"), [("of bundles", bundles, judge), ("of mixed widths", mixed, judge_wide)]
)
def test_no_more_trucks_than_the_solver_finds(
    capsys: pytest.CaptureFixture[str],
    name: str,
    loads: Callable[[], Iterator[LoadTask]],
    ask: Callable[[LoadTask, int, float], Verdict],
) -> None:
    """Where the plan meets its bound nothing is left to decide. The solver gets ten of its own seconds each time.

    It is asked for the same count from nothing, and for one truck fewer where the plan is above the bound.
    """
    tally = Tally()
    for task in loads():
        _judged(tally, task, ask)
    with capsys.disabled():
        print(f"\n20-50 things, {name}: {tally}")  # noqa: T201 - what the bench is for
    assert tally.worse == []
    assert tally.orders_s <= tally.solver_s / 20


def _judged(tally: Tally, task: LoadTask, ask: Callable[[LoadTask, int, float], Verdict]) -> None:
    tally.loads += 1
    began = process_time()
    plan_trucks(replace(task, effort=Effort(exact=0)))
    tally.orders_s += process_time() - began
    outcome = plan_trucks(task)
    check_plan(task, outcome.plan)
    count = len(outcome.plan.trucks)
    assert outcome.bound.trucks <= count
    tally.solver_s += ask(task, count, 10).seconds
    if count == outcome.bound.trucks:
        tally.at_bound += 1
        return
    verdict = ask(task, count - 1, 10)
    tally.solver_s += verdict.seconds
    if verdict.possible:
        tally.worse.append(tally.loads)
    elif verdict.possible is None and not outcome.fewest:
        tally.undecided += 1
    else:
        tally.proved += 1


@pytest.mark.parametrize("count", [20, 60, 100, 200, 400])
@pytest.mark.parametrize("name", ["bundles", "mixed widths"])
def test_hardly_more_than_the_bound(capsys: pytest.CaptureFixture[str], name: str, count: int) -> None:
    """80 loads of each size, those of bundles alone half of them light; without the exact model.

    400 things of mixed widths, 13 trucks or so, may take two more than the bound, which adds up volume and knows
    little of widths: 2 of the 16 loads do.
    """
    most = 2 if (name, count) == ("mixed widths", 400) else 1
    over, at_bound, seeds = list[int](), 0, range(1, 81, EACH)
    began = process_time()
    for seed in seeds:
        stops, effort = seed % 3 + 1, Effort(exact=0)
        if name == "bundles":
            task = lot(seed, count, heavy=seed % 2 == 0, stops=stops, effort=effort)
        else:
            task = mixed_lot(seed, count, stops=stops, effort=effort)
        plan = plan_trucks(task).plan
        if count <= 100:
            check_plan(task, plan)
        least = lowest_bound(task).trucks
        at_bound += len(plan.trucks) == least
        if len(plan.trucks) > least + most:
            over.append(seed)
    with capsys.disabled():
        each_ms = (process_time() - began) / len(seeds) * 1000
        print(  # noqa: T201 - what the bench is for
            f"\n{count} {name}: {at_bound}/{len(seeds)} at the bound, {len(over)} over bound + {most}, "
            f"{each_ms:.0f} ms a load"
        )
    assert over == []
