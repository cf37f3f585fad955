"""A few lots against the general solver; the bench asks many more."""

from __future__ import annotations

import pytest

from framing.engine.bundling.costs import Limits, Unit, score
from framing.engine.bundling.plan import least_bundles, plan_bundles
from tests.engine.bundling.checker import check_bundles, ranks
from tests.engine.bundling.judge_cpsat import judge
from tests.engine.bundling.lots import heavy, mixed, ordinary

FT = 192


def test_the_judge_finds_a_plan_that_is_known_to_be_better() -> None:
    # 17 pieces of one length as 13 + 4: the judge sees that 9 + 8 leaves none short.
    limits = Limits(8, 13, 200_000, 4 * FT)
    units = [Unit(i, 16 * FT, 4_000) for i in range(17)]
    verdict = judge(units, [units[:13], units[13:]], limits, effort_s=2)
    assert verdict.proved == (0, 0, 2, 0)


def test_the_judge_keeps_weight_and_counts_what_is_skipped() -> None:
    # 900 lb a piece, two to a bundle; three pieces at places 0, 1 and 4: the pair 0 + 1 skips none. Both are short:
    # 100 + 6 * 50 = 400 in and 100 + 7 * 50 = 450 in, 13,600 sixteenths.
    limits = Limits(8, 13, 200_000, 4 * FT)
    units = [Unit(place, 16 * FT, 90_000) for place in (0, 1, 4)]
    assert judge(units, plan_bundles(units, limits), limits, effort_s=2).proved == (2, 0, 2, 13_600)


def test_ranks_worked_anew_are_the_planners_own() -> None:
    for seed in (1, 2, 3):
        units, limits = mixed(seed)
        plan = plan_bundles(units, limits)
        short, wide, count, cost = ranks(plan, limits)
        assert score(plan, limits)[0] == short * 10**18 + wide * 10**14 + count * 10**10 + cost


@pytest.mark.parametrize("seed", range(1, 13))
def test_an_ordinary_floor_takes_the_fewest_bundles(seed: int) -> None:
    units, limits = ordinary(seed, most=120)
    plan = plan_bundles(units, limits)
    check_bundles(units, plan, limits)
    assert len(plan) == least_bundles(units, limits)


@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_where_weight_decides_the_judge_finds_none_with_fewer(seed: int) -> None:
    units, limits = heavy(seed, most=18)
    plan = plan_bundles(units, limits)
    check_bundles(units, plan, limits)
    verdict = judge(units, plan, limits, effort_s=3, ranks=3)
    assert verdict.proved == ranks(plan, limits)[: len(verdict.proved)]
    assert verdict.proved
