"""Bundle plans against their bounds and a general solver's proved optimum; how long 1,000 pieces take."""

from __future__ import annotations

from collections.abc import Callable
from time import process_time

import pytest

from framing.engine.bundling.cut import cut
from framing.engine.bundling.orders import _best_cut
from framing.engine.bundling.plan import least_bundles, plan_bundles
from tests.engine.bundling.checker import check_bundles, ranks
from tests.engine.bundling.judge_cpsat import judge
from tests.engine.bundling.judge_patterns import least_count, least_ranks
from tests.engine.bundling.lots import heavy, mixed, ordinary

pytestmark = pytest.mark.bench
Measure = Callable[..., float]


def test_ordinary_floors_take_no_bundle_more_than_count_and_weight_allow() -> None:
    over = []
    for seed in range(1, 201):
        units, limits = ordinary(seed)
        plan = plan_bundles(units, limits)
        check_bundles(units, plan, limits)
        if len(plan) != least_bundles(units, limits):
            over.append((seed, len(units), len(plan), least_bundles(units, limits)))
    assert over == []


def test_where_weight_decides_no_plan_has_fewer_bundles(capsys: pytest.CaptureFixture[str]) -> None:
    """Short bundles and broken spreads come before the count, so all three are asked of the solver in turn.

    A plan without either at the bound needs no proof. The bare count, whatever is short or uneven, is asked as well.
    """
    worse, more, asked = list[object](), list[object](), 0
    seconds = {"plan": 0.0, "proof": 0.0}
    for seed in range(1, 201):
        units, limits = heavy(seed)
        began = process_time()
        plan = plan_bundles(units, limits)
        seconds["plan"] += process_time() - began
        check_bundles(units, plan, limits)
        mine = ranks(plan, limits)[:3]
        if mine == (0, 0, least_bundles(units, limits)):
            continue
        asked += 1
        began = process_time()
        proved, count = least_ranks(units, limits), least_count(units, limits)
        seconds["proof"] += process_time() - began
        worse += [(seed, mine, proved)] if mine != proved else []
        more += [(seed, mine[2], count)] if mine[2] != count else []
    with capsys.disabled():
        print(  # noqa: T201 - what the bench is for
            f"\nweight decides: of 200 lots {200 - asked} at the bound, {asked} proved by the solver; "
            f"as few short, uneven and bundles as proved in {200 - len(worse)}, as few bundles as the bare count in "
            f"{200 - len(more)}; processor {seconds['plan']:.0f} s to plan, {seconds['proof']:.0f} s to prove"
        )
    assert worse == []
    assert more == []


def test_secondary_cost_is_near_the_proved_optimum(capsys: pytest.CaptureFixture[str]) -> None:
    mine_total = best_total = proved = cases = equal = 0
    seconds = {"plan": 0.0, "proof": 0.0}
    for seed in range(1, 61):
        units, limits = mixed(seed)
        began = process_time()
        plan = plan_bundles(units, limits)
        seconds["plan"] += process_time() - began
        check_bundles(units, plan, limits)
        mine = ranks(plan, limits)
        assert mine <= ranks(cut(units, limits), limits)
        cases += 1
        began = process_time()
        verdict = judge(units, plan, limits, effort_s=6)
        seconds["proof"] += process_time() - began
        assert mine[:3] <= verdict.proved[:3] or len(verdict.proved) < 3, (seed, mine, verdict)
        if verdict.whole:
            proved += 1
            equal += mine[3] == verdict.proved[3]
            mine_total, best_total = mine_total + mine[3], best_total + verdict.proved[3]
    over = mine_total / best_total - 1
    with capsys.disabled():
        print(  # noqa: T201
            f"\n16-60 pieces: {proved} of {cases} proved in all ranks, {equal} equal, cost {over:.2%} over the "
            f"optimum; processor {seconds['plan']:.1f} s to plan, {seconds['proof']:.0f} s to prove"
        )
    assert over <= 0.02


def test_a_thousand_pieces(clock: Measure) -> None:
    for seed in (1, 2, 3):
        units, limits = ordinary(seed, most=1000)
        thousand = (units * (1000 // len(units) + 1))[:1000]
        reach = units[-1].place + 2
        units = [
            unit._replace(place=unit.place + reach * (i // len(units))) for i, unit in enumerate(thousand)
        ]
        plan = plan_bundles(units, limits)
        check_bundles(units, plan, limits)
        assert len(plan) == least_bundles(units, limits)
        ms = clock(
            f"1,000 pieces in bundles of {limits.most}, lot {seed}",
            lambda units=units, limits=limits: plan_bundles(units, limits),  # type: ignore[misc]
            before=_best_cut.cache_clear,
        )
        assert ms <= 500
