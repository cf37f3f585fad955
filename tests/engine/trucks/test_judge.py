"""Twelve of the bench's loads beside a general solver: no plan takes a truck more than it finds."""

from __future__ import annotations

import pytest

from framing.engine.trucks import Effort, plan_trucks
from tests.engine.trucks.checker import check_plan
from tests.engine.trucks.judge_cpsat import judge
from tests.engine.trucks.lots import lot


@pytest.mark.parametrize("seed", range(12))
def test_the_solver_needs_as_many(seed: int) -> None:
    task = lot(seed, 18 + seed, heavy=seed % 2 == 0, stops=seed % 3 + 1, effort=Effort(exact=1))
    outcome = plan_trucks(task)
    check_plan(task, outcome.plan)
    count = len(outcome.plan.trucks)
    assert count <= outcome.bound.trucks + 1
    if count > outcome.bound.trucks:
        assert judge(task, count - 1, effort_s=2).possible is not True
    elif seed < 4:
        assert judge(task, count, effort_s=2).possible is True
