"""Packing by kinds of pieces: by hand, against a general solver, and where it is left to the search (R33, R35)."""

from __future__ import annotations

import pytest

from framing.engine.bundling import kinds
from framing.engine.bundling.costs import Limits, Unit
from framing.engine.bundling.kinds import packed
from framing.engine.bundling.plan import plan_bundles
from tests.engine.bundling.checker import check_bundles, ranks
from tests.engine.bundling.judge_patterns import least_count, least_ranks
from tests.engine.bundling.lots import heavy

FT = 192


def pieces(*runs: tuple[int, int, int]) -> list[Unit]:
    """Runs of (how many, feet, weight in per cent of the lift limit) in install order."""
    each = [(feet, weight) for count, feet, weight in runs for _ in range(count)]
    return [Unit(place, feet * FT, weight * 100) for place, (feet, weight) in enumerate(each)]


def limits(least: int = 1, most: int = 13) -> Limits:
    return Limits(least, most, 10_000, 4 * FT)


def weights(plan: list[tuple[Unit, ...]] | None) -> list[list[int]]:
    assert plan is not None
    return sorted(sorted(unit.weight_100 // 100 for unit in bundle) for bundle in plan)


def test_two_of_sixty_and_two_of_forty_per_cent_are_two_pairs() -> None:
    assert weights(packed(pieces((2, 16, 60), (2, 16, 40)), limits())) == [[40, 60], [40, 60]]


def test_what_the_heaviest_first_would_waste_is_found() -> None:
    # heaviest first into the first with room: 50 40, 30 30 25, 25
    units = pieces((1, 16, 50), (1, 16, 40), (2, 16, 30), (2, 16, 25))
    assert weights(packed(units, limits())) == [[25, 25, 50], [30, 30, 40]]


def test_no_short_bundle_comes_before_no_broken_spread_and_that_before_the_count() -> None:
    # Two of 20 ft and two of 10 ft, two to a bundle at least: by length two bundles, none short, none uneven.
    even = packed(pieces((2, 20, 10), (2, 10, 10)), limits(least=2))
    assert even is not None
    assert ranks(even, limits(least=2))[:3] == (0, 0, 2)
    # Three and one: all four in one bundle breaks the spread, but leaves none short.
    uneven = packed(pieces((3, 20, 10), (1, 10, 10)), limits(least=2))
    assert uneven is not None
    assert ranks(uneven, limits(least=2))[:3] == (0, 1, 1)


def test_a_piece_over_the_lift_limit_is_alone_and_one_without_weight_joins_any() -> None:
    units = pieces((1, 16, 120), (1, 16, 100), (1, 16, 0))
    assert weights(packed(units, limits())) == [[0, 100], [120]]


def test_no_more_pieces_than_the_cap() -> None:
    assert weights(packed(pieces((5, 16, 1)), limits(most=2))) == [[1], [1, 1], [1, 1]]


def test_short_bundles_lack_as_little_as_can_be() -> None:
    # Ten of 30 per cent, three fit together: all bundles are short, four of them; 3 3 3 1 and 3 3 2 2 lack as much,
    # ten of 8 x 4
    plan = packed(pieces((10, 16, 30)), limits(least=8))
    assert plan is not None
    assert ranks(plan, limits(least=8))[::3] == (4, 4 * 1_600 + 800 * (32 - 10))
    assert len(plan) == 4


def test_like_pieces_are_handed_out_in_install_order() -> None:
    plan = packed(pieces((4, 16, 50)), limits())
    assert [[unit.place for unit in bundle] for bundle in plan or ()] == [[0, 1], [2, 3]]


@pytest.mark.parametrize(
    ("name", "most"), [("PIECES_MOST", 3), ("ENTRIES_MOST", 8), ("FILLINGS_MOST", 3), ("WORK_MOST", 35)]
)
def test_a_lot_that_would_take_too_long_is_left_to_the_search(
    name: str, most: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Two kinds of two: 3 x 3 counts that may be left; 40, 40 40, 60 and 60 40 are four fillings, 36 to try
    units = pieces((2, 16, 60), (2, 16, 40))
    fillings = list(kinds._fillings((((16 * FT, 6_000), 2), ((16 * FT, 4_000), 2)), limits()))
    assert sorted(fillings) == [(0, 1), (0, 2), (1, 0), (1, 1)]
    assert packed(units, limits()) is not None
    monkeypatch.setattr(kinds, name, most)
    assert packed(units, limits()) is None
    assert len(plan_bundles(units, limits())) == 2


@pytest.mark.parametrize("seed", [39, 51, 124, 155, 166])
def test_lots_that_the_search_alone_does_not_settle(seed: int) -> None:
    """One bundle, short bundle or broken spread more than needed is what moving single pieces comes to here."""
    units, of_lot = heavy(seed)
    plan = plan_bundles(units, of_lot)
    check_bundles(units, plan, of_lot)
    assert ranks(plan, of_lot)[:3] == least_ranks(units, of_lot)


@pytest.mark.parametrize("seed", range(201, 213))
def test_where_weight_decides_nothing_is_better_in_any_of_the_three(seed: int) -> None:
    units, of_lot = heavy(seed, most=24)
    found = packed(units, of_lot)
    assert found is not None
    check_bundles(units, sorted(tuple(sorted(bundle)) for bundle in found), of_lot)
    assert ranks(found, of_lot)[:3] == least_ranks(units, of_lot)


def test_the_solver_tells_the_ranks_and_the_bare_count() -> None:
    # 17 alike are 9 and 8; three of 20 ft and one of 10 ft, two at least: one uneven bundle
    assert least_ranks(pieces((17, 16, 1)), limits(least=8)) == (0, 0, 2)
    assert least_ranks(pieces((3, 20, 10), (1, 10, 10)), limits(least=2)) == (0, 1, 1)
    # by count alone four of two lengths are one bundle, by the ranks two
    four = pieces((2, 20, 10), (2, 10, 10))
    assert least_ranks(four, limits(least=2)) == (0, 0, 2)
    assert least_count(four, limits(least=2)) == 1
