"""R32-R35 on one profile, worked by hand."""

from __future__ import annotations

import pytest

from framing.engine.bundling.plan import Limits, Unit, cut, least_bundles, plan_bundles, short_bundles

FT = 192
CAP_13 = Limits(least=8, most=13, weight_100=200_000, spread_16=4 * FT)
CAP_15 = Limits(least=8, most=15, weight_100=200_000, spread_16=4 * FT)


def units(*runs: tuple[int, int], weight_lb: int = 40, first: int = 0) -> list[Unit]:
    """Runs of (how many, length in feet) one after the other in the install sequence."""
    lengths = [feet * FT for count, feet in runs for _ in range(count)]
    return [Unit(first + i, length, weight_lb * 100) for i, length in enumerate(lengths)]


def sizes(plan: tuple[tuple[Unit, ...], ...]) -> list[int]:
    return [len(bundle) for bundle in plan]


@pytest.mark.parametrize(
    ("count", "limits", "expected"),
    [
        (17, CAP_15, [9, 8]),
        (16, CAP_15, [8, 8]),
        (15, CAP_15, [15]),
        (25, CAP_13, [13, 12]),
        (39, CAP_13, [13, 13, 13]),
        (40, CAP_13, [10, 10, 10, 10]),
        (41, CAP_13, [11, 10, 10, 10]),
        (8, CAP_13, [8]),
        (7, CAP_13, [7]),
        (1, CAP_13, [1]),
    ],
)
def test_equal_pieces_take_the_fewest_even_bundles_larger_first(
    count: int, limits: Limits, expected: list[int]
) -> None:
    assert sizes(plan_bundles(units((count, 16)), limits)) == expected


def test_an_impossible_count_takes_one_short_bundle_as_full_as_can_be() -> None:
    assert sorted(sizes(plan_bundles(units((14, 16)), CAP_13))) == [6, 8]


def test_pieces_stay_in_install_sequence() -> None:
    plan = plan_bundles(units((26, 16)), CAP_13)
    assert [unit.place for bundle in plan for unit in bundle] == list(range(26))


def test_lengths_over_four_feet_apart_stay_apart_where_both_make_a_bundle() -> None:
    plan = plan_bundles(units((9, 16), (9, 10)), CAP_15)
    assert [{unit.length_16 // FT for unit in bundle} for bundle in plan] == [{16}, {10}]


def test_lengths_exactly_four_feet_apart_may_share() -> None:
    assert sizes(plan_bundles(units((7, 16), (8, 12)), CAP_15)) == [15]


def test_a_group_under_eight_joins_the_group_nearest_in_length() -> None:
    plan = plan_bundles(units((8, 20), (5, 10), (8, 14)), CAP_13)
    assert short_bundles(plan, CAP_13) == 0
    mixed = [bundle for bundle in plan if len({u.length_16 for u in bundle}) > 1]
    assert [{u.length_16 // FT for u in bundle} for bundle in mixed] == [{10, 14}]


def test_a_short_group_breaks_the_spread_in_one_bundle_only() -> None:
    plan = plan_bundles(units((10, 20), (6, 10)), CAP_13)
    assert sorted(sizes(plan)) == [8, 8]
    assert sum(1 for bundle in plan if len({u.length_16 for u in bundle}) > 1) == 1


def test_a_short_group_stays_alone_where_joining_would_not_save_it() -> None:
    plan = plan_bundles(units((8, 20), (6, 10)), CAP_13)
    assert sorted(sizes(plan)) == [6, 8]
    assert all(len({u.length_16 for u in bundle}) == 1 for bundle in plan)


def test_interleaved_lengths_are_told_apart() -> None:
    mixed = [Unit(i, (16 if i % 2 else 8) * FT, 4000) for i in range(20)]
    plan = plan_bundles(mixed, CAP_13)
    assert sorted(sizes(plan)) == [10, 10]
    assert all(len({u.length_16 for u in bundle}) == 1 for bundle in plan)


def test_weight_forces_smaller_bundles() -> None:
    plan = plan_bundles(units((10, 30), weight_lb=300), CAP_13)
    assert max(sizes(plan)) <= 6
    assert len(plan) == least_bundles(units((10, 30), weight_lb=300), CAP_13) == 2


def test_a_piece_over_the_lift_limit_is_alone() -> None:
    heavy = [*units((9, 30)), Unit(9, 40 * FT, 250_000)]
    plan = plan_bundles(heavy, CAP_13)
    assert [unit.place for bundle in plan if len(bundle) == 1 for unit in bundle] == [9]


def test_first_fit_saves_the_bundle_that_ranges_would_waste() -> None:
    # 60 and 40 per cent of the lift limit in the order 60 60 40 40: ranges need three bundles, pairs two
    limits = Limits(least=1, most=13, weight_100=10_000, spread_16=4 * FT)
    pieces = [Unit(i, 16 * FT, w) for i, w in enumerate((6000, 6000, 4000, 4000))]
    assert len(cut(pieces, limits)) == 3
    assert len(plan_bundles(pieces, limits)) == 2


def test_nothing_makes_no_bundles() -> None:
    assert plan_bundles([], CAP_13) == ()
