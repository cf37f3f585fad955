"""R47 by weight only, worked by hand."""

from __future__ import annotations

from framing.engine.practice import Practice
from framing.engine.result import Bundle, Carton
from framing.engine.trucks import load_trucks, trucks_by_weight

PRACTICE = Practice(truck_payload_lb=100.0)


def bundles(*weights: float) -> tuple[Bundle, ...]:
    return tuple(Bundle(i, "1000S162-54", (), w, 3000, "", False, "") for i, w in enumerate(weights, start=1))


def cartons(*weights: float) -> tuple[Carton, ...]:
    return tuple(Carton(i, "", (), w) for i, w in enumerate(weights, start=1))


def test_bundles_ride_first_and_packs_fill_what_is_left() -> None:
    loads = load_trucks(bundles(50, 30, 60), cartons(20, 10, 25), PRACTICE)
    assert [(load.number, load.bundles, load.cartons, load.weight_lb) for load in loads] == [
        (1, (1, 2), (1,), 100.0),
        (2, (0,), (0, 2), 95.0),
    ]


def test_each_thing_is_on_one_truck_within_the_payload() -> None:
    some, packs = bundles(*range(10, 60, 7)), cartons(*range(5, 40, 4))
    loads = load_trucks(some, packs, PRACTICE)
    assert sorted(i for load in loads for i in load.bundles) == list(range(len(some)))
    assert sorted(i for load in loads for i in load.cartons) == list(range(len(packs)))
    assert all(load.weight_lb <= 100 for load in loads)
    assert len(loads) == trucks_by_weight(some, packs, PRACTICE)


def test_the_second_try_saves_a_truck() -> None:
    # the first truck with room takes 60 + 5 and leaves no place for 40; the fullest takes 50 + 45 + 5
    some, packs = bundles(60, 50, 45, 5), cartons(40)
    loads = load_trucks(some, packs, PRACTICE)
    assert [(load.bundles, load.cartons) for load in loads] == [((0,), (0,)), ((1, 2, 3), ())]
    assert trucks_by_weight(some, packs, PRACTICE) == 2


def test_a_thing_over_the_payload_rides_alone() -> None:
    loads = load_trucks(bundles(120, 50), (), PRACTICE)
    assert [(load.bundles, load.weight_lb) for load in loads] == [((0,), 120.0), ((1,), 50.0)]


def test_nothing_to_load_takes_no_truck() -> None:
    assert load_trucks((), (), PRACTICE) == ()
    assert trucks_by_weight((), (), PRACTICE) == 0
