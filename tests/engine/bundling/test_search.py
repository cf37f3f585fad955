"""The search that betters a plan: windows cut again, and the bound on its rounds."""

from __future__ import annotations

import pytest

from framing.engine.bundling import search
from framing.engine.bundling.costs import Bundle, Limits, Unit, score
from framing.engine.bundling.search import improved

LIMITS = Limits(least=8, most=13, weight_100=200_000, spread_16=768)


def _run(first: int, count: int) -> Bundle:
    return tuple(Unit(first + i, 3072, 4_000) for i in range(count))


def _places(plan: list[Bundle]) -> list[list[int]]:
    return [[unit.place for unit in bundle] for bundle in plan]


def test_a_window_is_cut_again_where_that_gains() -> None:
    # 13 + 4 of 17: one short. No single piece moved mends it; 9 + 8 cut anew has none short.
    plan = improved([_run(0, 13), _run(13, 4)], LIMITS)
    assert _places(plan) == [list(range(9)), list(range(9, 17))]


def test_a_window_that_could_still_gain_is_looked_at_again_and_left() -> None:
    # Alternating 16 ft and 15 ft: a foot of spread costs less than parting them by length, which skips seven
    # or eight positions a bundle.
    units = [Unit(i, 3072 - 192 * (i % 2), 4_000) for i in range(17)]
    plan = improved([tuple(units[:13]), tuple(units[13:])], LIMITS)
    assert _places(plan) == [list(range(9)), list(range(9, 17))]


def test_the_piece_that_is_light_enough_moves_where_no_cut_of_the_sequence_can() -> None:
    # 270 lb each from place 9 on: 1,890 lb of 2,000. The ninth piece, 150 lb, is too heavy to join them, and
    # so is all else but place 4 at 100 lb: it moves and no bundle is short.
    weights = [15_000] * 4 + [10_000] + [15_000] * 4 + [27_000] * 7
    units = [Unit(i, 3072, weight) for i, weight in enumerate(weights)]
    plan = improved([tuple(units[:9]), tuple(units[9:])], LIMITS)
    assert _places(plan) == [[0, 1, 2, 3, 5, 6, 7, 8], [4, *range(9, 16)]]


def test_the_search_ends_at_its_bound_of_rounds_with_a_plan_no_worse(monkeypatch: pytest.MonkeyPatch) -> None:
    bad = [_run(0, 13), _run(13, 4), _run(17, 13), _run(30, 4)]
    monkeypatch.setattr(search, "_ROUNDS", 1)
    plan = improved(bad, LIMITS)
    assert score(plan, LIMITS) < score(bad, LIMITS)
    assert sorted(unit for bundle in plan for unit in bundle) == sorted(unit for b in bad for unit in b)
