"""The fewest trucks that each rule allows, worked by hand."""

from __future__ import annotations

from dataclasses import replace

from framing.engine.trucks import LoadTask, TruckKind, lowest_bound
from tests.engine.trucks.hands import FT, SMALL, task_of, thing


def terms(task: LoadTask) -> dict[str, int]:
    return {term.name: term.trucks for term in lowest_bound(task).terms}


def test_nothing_takes_no_truck() -> None:
    assert lowest_bound(task_of()).trucks == 0
    assert lowest_bound(task_of()).binding == ""


def test_weight_binds() -> None:
    # 5 x 4,000 lb = 20,000 lb on 10,000 lb trucks: 2. Each truck takes 2 of 4,000 lb: 3 trucks for 5.
    task = task_of(*(thing(str(n), 4, 4000) for n in range(5)))
    assert terms(task)["weight"] == 2
    assert terms(task)["heavy things"] == 3
    bound = lowest_bound(task)
    assert (bound.trucks, bound.binding) == (3, "heavy things")
    assert "from 4,000 lb up" in next(term.words for term in bound.terms if term.name == bound.binding)


def test_length_over_lanes_and_tiers() -> None:
    # 7 x 20 ft over 2 lanes x 3 tiers x 20 ft: 2 trucks. With 10 in each, 30 in high: the same by height.
    task = task_of(*(thing(str(n), 20) for n in range(7)))
    assert terms(task)["length over lanes and tiers"] == 2
    assert terms(task)["length times height"] == 2
    assert terms(task)["long things"] == 2
    assert terms(task)["stacks"] == 2  # the 1st, 4th and 7th: three bottoms of 20 ft, two lanes a truck
    assert terms(task)["deck places"] == 0


def test_long_things_share_no_lane() -> None:
    # 12 of 10 ft 1 in: one to a lane end to end, 3 tiers, 2 lanes: 6 a truck, so 2; by length 12 x 10.08 / 120 = 2.
    # 7 of them: 70.6 ft of 120 ft would do on one, but 6 is what it takes
    task = task_of(*(thing(str(n), 10 + 1 / 12) for n in range(7)))
    assert terms(task)["length over lanes and tiers"] == 1
    assert terms(task)["long things"] == 2
    assert terms(task)["stacks"] == 2


def test_what_lies_lower_makes_more_tiers() -> None:
    # 16 in high, 30 in allowed: one tier, so 3 of 20 ft need two trucks of two lanes
    task = task_of(*(thing(str(n), 20, height_in=16) for n in range(3)))
    assert terms(task)["long things"] == 2
    assert terms(task)["length over lanes and tiers"] == 1


def test_stacks_see_what_the_mean_does_not() -> None:
    # Two of 20 ft and five of 1 ft, in 2 tiers: bottoms are at least the 1st, 3rd, 5th, 7th: 20, 1, 1, 1 ft on 2 lanes
    # of 20 ft: 23 ft of 40. Three of 20 ft, then 11, 11, 11: 1st 20, 3rd 20, 5th 11: 51 ft over 40: two trucks, while
    # length over lanes and tiers says 93 / 80 = 2 as well; with one 20 ft more height it is the halves that tell:
    # 12, 12, 12 share no lane with each other
    kind = replace(SMALL, tiers=2)
    light = task_of(thing("a", 20), thing("b", 20), *(thing(str(n), 1) for n in range(5)), kinds=(kind,))
    assert terms(light)["stacks"] == 1
    halves = task_of(*(thing(str(n), 12) for n in range(5)), kinds=(kind,))
    assert terms(halves)["stacks"] == 2  # bottoms 12, 12, 12 on two lanes
    assert terms(halves)["length over lanes and tiers"] == 1


def test_small_ones_fill_what_halves_leave() -> None:
    # one tier: 12 ft and 9 ft: the 9s fit beside no 12 (8 ft left); 2 x 12 and 2 x 9: lanes 12, 12, 9+9: three lanes
    kind = replace(SMALL, tiers=1)
    task = task_of(thing("a", 12), thing("b", 12), thing("c", 9), thing("d", 9), kinds=(kind,))
    assert terms(task)["stacks"] == 2
    assert terms(task)["length over lanes and tiers"] == 2  # 42 of 40 ft
    # with 8 ft they do: 12 + 8, 12 + 8
    task = task_of(thing("a", 12), thing("b", 12), thing("c", 8), thing("d", 8), kinds=(kind,))
    assert terms(task)["stacks"] == 1


def test_deck_places() -> None:
    # 40 in packs take both lanes; 3 x 8 ft = 24 ft of lanes twice over 40 ft: 2 trucks
    packs = [thing(str(n), 8, width_in=40, own_place=True, pack=True) for n in range(3)]
    assert terms(task_of(*packs, thing("b", 2)))["deck places"] == 2


def test_several_kinds_take_the_strongest_first() -> None:
    # 30,000 lb: one of 20,000, then one of 10,000
    big = TruckKind("Big", 40 * FT, 640, 20_000, 480, 3, 0, count=1)
    task = task_of(*(thing(str(n), 10, 5000) for n in range(6)), kinds=(SMALL, big))
    assert terms(task)["weight"] == 2
    assert terms(task)["heavy things"] == 2
    assert "20,000 lb or 10,000 lb a truck" in lowest_bound(task).terms[0].words
    # 12 of 20 ft: the big one takes 40 ft x 2 x 3 = 12 of them
    assert terms(task_of(*(thing(str(n), 20, 1) for n in range(12)), kinds=(SMALL, big)))["stacks"] == 1


def test_no_more_trucks_than_there_are() -> None:
    kind = replace(SMALL, count=1)
    assert lowest_bound(task_of(*(thing(str(n), 20) for n in range(20)), kinds=(kind,))).trucks == 1


def test_things_without_weight() -> None:
    assert terms(task_of(thing("a", 5, 0)))["weight"] == 0
    assert lowest_bound(task_of(thing("a", 5, 0))).trucks == 1


def test_what_bears_little_takes_its_share_of_stacks() -> None:
    # 20 ft on one lane, nothing on it or below it: 5 of them take a lane each, two a truck: 3 trucks; by tiers 1
    alone = [thing(str(n), 20, own_place=True, bears=0) for n in range(5)]
    found = terms(task_of(*alone))
    assert (found["length over lanes and tiers"], found["length times height"]) == (3, 3)
    # each bears one: 5 of them are 2 1/2 stacks of 20 ft on two lanes: 2 trucks
    pairs = [thing(str(n), 20, bears=1) for n in range(5)]
    found = terms(task_of(*pairs))
    assert (found["length over lanes and tiers"], found["stacks"]) == (2, 2)


def test_wide_stacks_leave_no_room_beside_them() -> None:
    """Of three lanes each pack takes two, so that one stands behind the other: 3 of 15 ft on 20 ft, three trucks."""
    kind = replace(SMALL, deck_width_16=60 * 16)
    packs = [thing(str(n), 15, width_in=40, bears=0, pack=True) for n in range(3)]
    found = terms(task_of(*packs, thing("b", 1), kinds=(kind,)))
    assert found["stacks"] == 3
    # 3 x 15 ft over two lanes is 90 ft of lanes, of 60 ft a truck
    assert found["stacks side by side"] == 2
