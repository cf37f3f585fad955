"""The search that betters a plan: windows cut again, and the bound on its rounds."""

from __future__ import annotations

import pytest

from framing.engine.bundling import search
from framing.engine.bundling.costs import Bundle, Limits, Unit, score
from framing.engine.bundling.search import improved

LIMITS = Limits(least=8, most=13, weight_100=200_000, spread_16=768)


def _run(first: int, count: int) -> Bundle:
    return tuple(Unit(first + i, 3072, 4_000) for i in range(count))


def test_a_window_is_cut_again_where_that_gains() -> None:
    # 13 + 4 of 17: one short. No single piece moved mends it; 9 + 8 cut anew has none short.
    plan = improved([_run(0, 13), _run(13, 4)], LIMITS)
    assert [[unit.place for unit in bundle] for bundle in plan] == [list(range(9)), list(range(9, 17))]


def test_the_search_ends_at_its_bound_of_rounds_with_a_plan_no_worse(monkeypatch: pytest.MonkeyPatch) -> None:
    bad = [_run(0, 13), _run(13, 4), _run(17, 13), _run(30, 4)]
    monkeypatch.setattr(search, "_ROUNDS", 1)
    plan = improved(bad, LIMITS)
    assert score(plan, LIMITS) < score(bad, LIMITS)
    assert sorted(unit for bundle in plan for unit in bundle) == sorted(unit for b in bad for unit in b)
