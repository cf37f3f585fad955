"""Which neighbor a floor with too few pieces shares its bundles with (R35), worked by hand."""

from __future__ import annotations

from framing.engine.bundling.costs import Limits, Unit
from framing.engine.bundling.pieces import bundles_of_profile

FT = 192
LIMITS = Limits(least=8, most=13, weight_100=200_000, spread_16=4 * FT)


def _floors(*floors: tuple[int, int], weight_lb: int = 40) -> list[list[Unit]]:
    """Floors of (how many, length in feet), one after the other in the install sequence."""
    made: list[list[Unit]] = []
    place = 0
    for count, feet in floors:
        made.append([Unit(place + i, feet * FT, weight_lb * 100) for i in range(count)])
        place += count
    return made


def _places(*floors: tuple[int, int], weight_lb: int = 40) -> list[list[int]]:
    """Places of the pieces of each group that is bundled together."""
    planned = bundles_of_profile(_floors(*floors, weight_lb=weight_lb), LIMITS)
    return [[unit.place for bundle in group.bundles for unit in bundle] for group in planned]


def test_a_small_floor_shares_with_the_cheaper_neighbor_whichever_side_it_is() -> None:
    # Three at 10 ft fit the eight at 10 ft without any spread; the eight at 14 ft would add 4 ft of it.
    assert _places((8, 10), (3, 10), (8, 14)) == [list(range(11)), list(range(11, 19))]
    assert _places((8, 14), (3, 10), (8, 10)) == [list(range(8)), list(range(8, 19))]


def test_a_small_floor_shares_with_the_first_of_two_equal_neighbors() -> None:
    assert _places((8, 10), (3, 10), (8, 10)) == [list(range(11)), list(range(11, 19))]


def test_floors_stay_apart_where_sharing_saves_no_short_bundle() -> None:
    # 300 lb each: six to a lift of 2,000 lb, so every bundle is short, shared or not.
    assert _places((3, 10), (6, 10), weight_lb=300) == [[0, 1, 2], list(range(3, 9))]
