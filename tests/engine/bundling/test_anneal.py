"""The search through worse plans, worked by hand: what it reaches and that it never ends worse (R33, R35)."""

from __future__ import annotations

from framing.engine.bundling.anneal import PIECES_MOST, annealed
from framing.engine.bundling.costs import Limits, Unit, score
from framing.engine.bundling.plan import plan_bundles

FT = 192
PAIRS = Limits(least=1, most=13, weight_100=10_000, spread_16=4 * FT)


def pieces(*weights: int, feet: int = 16) -> list[Unit]:
    return [Unit(place, feet * FT, weight) for place, weight in enumerate(weights)]


def test_single_pieces_find_their_partners() -> None:
    # 60 and 40 per cent of the lift limit: two pairs are all that fits together.
    units = pieces(6_000, 6_000, 4_000, 4_000)
    found = annealed([(unit,) for unit in units], PAIRS)
    assert sorted(sorted(unit.weight_100 for unit in bundle) for bundle in found) == [[4_000, 6_000]] * 2


def test_a_plan_that_cannot_be_bettered_stays() -> None:
    plan = [tuple(pieces(6_000, 4_000))]
    assert annealed(plan, PAIRS) == plan
    assert annealed([], PAIRS) == []


def test_short_and_uneven_bundles_weigh_and_one_piece_may_be_over_the_limit() -> None:
    units = [*pieces(12_000, 3_000, 3_000), Unit(3, 30 * FT, 3_000)]
    limits = Limits(least=2, most=3, weight_100=10_000, spread_16=4 * FT)
    start = [(units[0],), (units[1], units[3]), (units[2],)]
    found = annealed(start, limits)
    assert score(found, limits) <= score(start, limits)
    assert sorted(unit for bundle in found for unit in bundle) == units
    # The heavy piece lies alone; of the others three together are uneven but none is short.
    assert sorted(len(bundle) for bundle in found) == [1, 3]


def test_equal_lots_give_equal_plans() -> None:
    units = pieces(*(3_000 + 700 * (i * 5 % 7) for i in range(18)))
    start = [(unit,) for unit in units]
    assert annealed(start, PAIRS) == annealed(start, PAIRS)


def test_full_bundles_take_no_more_from_the_heaviest_first() -> None:
    # Three of 30 per cent fill a bundle of three; each piece of 90 per cent lies alone.
    limits = Limits(least=8, most=3, weight_100=10_000, spread_16=4 * FT)
    plan = plan_bundles(pieces(9_000, 9_000, 3_000, 3_000, 3_000), limits)
    assert sorted(len(bundle) for bundle in plan) == [1, 1, 3]


def test_a_large_lot_of_heavy_pieces_is_not_annealed_and_each_lies_alone() -> None:
    limits = Limits(least=8, most=13, weight_100=10_000, spread_16=4 * FT)  # so that all are short
    plan = plan_bundles(pieces(*[6_000] * (PIECES_MOST + 1)), limits)
    assert {len(bundle) for bundle in plan} == {1}
