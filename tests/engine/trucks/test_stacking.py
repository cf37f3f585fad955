"""Stacks first, worked by hand: 30 in of height, lanes of 20 ft, two a truck."""

from __future__ import annotations

from dataclasses import replace

import pytest

from framing.engine.trucks.model import Model
from framing.engine.trucks.packing import Packing
from framing.engine.trucks.stacking import by_stacks
from tests.engine.trucks.hands import SMALL, task_of, thing


def first(model: Model) -> Packing:
    return next(by_stacks(model))


def named(model: Model, packing: Packing) -> list[list[tuple[int, tuple[str, ...]]]]:
    return [
        [(pile.lane, tuple(model.things[i].id for i in pile.things)) for pile in load.piles]
        for load in packing.loads
    ]


def test_a_stack_takes_what_wastes_the_least_height() -> None:
    # on 16 in of 30 go 14, not 12 and nothing more; on 18 the 12; the longest begins
    model = Model(
        task_of(
            thing("a", 12, height_in=16),
            thing("b", 11, height_in=12),
            thing("c", 10, height_in=18),
            thing("d", 9, height_in=14),
        )
    )
    # a + d use 16 x 12 + 14 x 9; a + b use 14 x 9 = 126 against 12 x 11 = 132: the longer one is worth more
    assert named(model, first(model)) == [[(0, ("a", "b")), (1, ("c",)), (1, ("d",))]]


def test_a_lane_takes_what_fills_it_best() -> None:
    # one tier: 12 ft and 8 ft fill 20; 11 and 9 the other lane
    kind = replace(SMALL, tiers=1)
    model = Model(task_of(thing("a", 12), thing("b", 11), thing("c", 9), thing("d", 8), kinds=(kind,)))
    assert named(model, first(model)) == [[(0, ("a",)), (0, ("d",)), (1, ("b",)), (1, ("c",))]]


def test_heavy_lanes_go_on_further_trucks_stack_by_stack() -> None:
    # a lane of 6,000 + 6,000 lb is over 10,000: each stack alone
    kind = replace(SMALL, tiers=1)
    model = Model(task_of(thing("a", 10, 6000), thing("b", 10, 6000), thing("c", 20, 3000), kinds=(kind,)))
    assert named(model, first(model)) == [[(0, ("a",)), (1, ("c",))], [(0, ("b",))]]


def test_what_is_no_plain_bundle_comes_after() -> None:
    # the box, the pallet and the wide pack go on what stands; a stack over the payload is laid thing by thing
    model = Model(
        task_of(
            thing("a", 12),
            thing("box", 4, bears=0, pack=True),
            thing("pallet", 5, own_place=True, pack=True),
            thing("wide", 6, width_in=40, pack=True),
            thing("h", 11, 6000, height_in=12),
            thing("k", 11, 6000, height_in=12),
        )
    )
    packing = first(model)
    assert sorted(name for load in named(model, packing) for _, things in load for name in things) == [
        "a",
        "box",
        "h",
        "k",
        "pallet",
        "wide",
    ]
    assert not packing.left


def test_only_the_best_fillings_are_followed(monkeypatch: pytest.MonkeyPatch) -> None:
    # one filling at a time: 12 in first, which leaves no room for 14 and 4
    things = (thing("a", 12, height_in=12), thing("b", 11, height_in=12), thing("c", 10, height_in=14))
    model = Model(task_of(*things, thing("d", 10, height_in=4)))
    free = named(model, first(model))[0][0][1]
    monkeypatch.setattr("framing.engine.trucks.stacking.STATES_MOST", 1)
    assert free == ("a", "c", "d")  # 14 x 10 + 4 x 10 = 180, over 12 x 11 + 4 x 10 = 172
    assert named(model, first(model))[0][0][1] == ("a", "b", "d")


def test_not_for_several_kinds_nor_too_few_trucks() -> None:
    things = tuple(thing(str(n), 20) for n in range(7))
    assert list(by_stacks(Model(task_of(*things, kinds=(SMALL, replace(SMALL, name="Other")))))) == []
    assert list(by_stacks(Model(task_of(*things, kinds=(replace(SMALL, count=1),))))) == []


def test_a_stack_over_the_payload_is_laid_thing_by_thing() -> None:
    """Two bundles of 6,000 lb would make one stack, and a truck carries 10,000 lb."""
    task = task_of(thing("a", 20, 6000), thing("b", 20, 6000))
    for packing in by_stacks(Model(task)):
        assert [len(load.piles) for load in packing.loads] == [1, 1]
        assert packing.left == []
