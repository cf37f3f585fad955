"""Packs wider than a lane: each takes as many lanes as it is wide, from any lane on."""

from __future__ import annotations

from dataclasses import replace

import pytest

from framing.engine.trucks import (
    Effort,
    LoadRefused,
    LoadTask,
    Stack,
    Truck,
    TruckKind,
    TrucksPlan,
    check,
    move,
    plan_trucks,
)
from tests.engine.trucks.checker import check_plan
from tests.engine.trucks.hands import task_of, thing
from tests.engine.trucks.judge_wide import judge_wide
from tests.engine.trucks.lots import mixed_lot

FLAT = TruckKind()
"""Five lanes of 20.4 in: a pack of boards takes two, one of floor panels three."""


def deck(*stops: int) -> LoadTask:
    """At each stop a pack of boards, 20 ft by 2 ft, and one of panels, 8 ft by 4 ft, that bear nothing; a bundle."""
    boards = [thing(f"board{s}", 20, width_in=24, stop=s, bears=0, pack=True) for s in stops]
    panels = [thing(f"panel{s}", 8, width_in=48, stop=s, bears=0, height_in=70, pack=True) for s in stops]
    return task_of(thing("a", 8, stop=1), *boards, *panels, kinds=(FLAT,))


def test_boards_beside_panels_on_one_truck() -> None:
    """Three packs of panels take 24 ft of three lanes, boards 40 ft of the other two and 20 ft behind the panels."""
    task = deck(1, 2, 3)
    outcome = plan_trucks(task)
    check_plan(task, outcome.plan)
    assert check(task, outcome.plan) == ()
    assert len(outcome.plan.trucks) == 1
    assert outcome.fewest


def test_four_packs_of_boards_beside_each_other_need_no_lanes_of_panels() -> None:
    """Without bundles the lane is that pack's whose lanes waste the least: 24 in, so that panels take two of four."""
    boards = [thing(f"b{n}", 20, width_in=24, bears=0, pack=True) for n in range(4)]
    panels = [thing(f"p{n}", 8, width_in=48, bears=0, pack=True) for n in range(6)]
    task = task_of(*boards, *panels, kinds=(FLAT,))
    outcome = plan_trucks(task)
    check_plan(task, outcome.plan)
    assert len(outcome.plan.trucks) == 1
    assert {(one.things[0][0], one.lanes) for one in outcome.plan.trucks[0].stacks} == {("b", 1), ("p", 2)}


def test_wide_stacks_stay_behind_where_there_are_too_few_trucks() -> None:
    """Each truck's deck takes one of the two; a heavy one is refused by weight and told as left."""
    task = task_of(
        thing("p", 30, width_in=48, height_in=70, pack=True),
        thing("q", 30, width_in=48, height_in=70, pack=True),
        thing("a", 20),
        kinds=(replace(FLAT, count=1),),
    )
    outcome = plan_trucks(replace(task, effort=Effort(tries=0, exact=0)))
    check_plan(task, outcome.plan)
    assert outcome.plan.left in (("p",), ("q",))


STOOD = Truck(1, FLAT.name, (Stack(1, 3, 0, ("p",)), Stack(3, 3, 28 * 192, ("q",)), Stack(4, 2, 0, ("b",))))
"""20 ft on lanes 1 to 3, 28 ft on lanes 4 and 5, 20 ft behind both on lanes 3 to 5: lane 3 has 8 ft free before it."""
PACKS = (
    thing("p", 20, width_in=48, pack=True),
    thing("q", 20, width_in=48, pack=True),
    thing("b", 28, width_in=24, pack=True),
)


def test_a_gap_beside_wide_packs_is_filled_and_they_stay_in_their_order() -> None:
    """Wide before narrower ones, as trucks are usually laid out, would end 20 ft past the deck."""
    task = task_of(thing("y", 8), *PACKS, kinds=(FLAT,))
    edited = move(task, TrucksPlan((STOOD,), ("y",)), thing="y", truck=1, lane=3)
    check_plan(task, edited.plan)
    assert set(edited.plan.trucks[0].stacks) == {*STOOD.stacks, Stack(3, 1, 20 * 192, ("y",))}


def test_what_is_longer_than_the_gap_is_refused() -> None:
    task = task_of(thing("y", 10), *PACKS, kinds=(FLAT,))
    with pytest.raises(LoadRefused, match="past the 48'-0\" deck"):
        move(task, TrucksPlan((STOOD,), ("y",)), thing="y", truck=1, lane=3)


def test_the_exact_model_fills_such_gaps() -> None:
    """No order of wide before narrow ones does it; the solver does, and what it found stands as it found it."""
    task = task_of(
        thing("y", 8), *PACKS, *(thing(f"z{n}", 28) for n in range(2)), kinds=(replace(FLAT, tiers=1),)
    )
    task = replace(task, effort=Effort(tries=0, exact=4))
    outcome = plan_trucks(task)
    check_plan(task, outcome.plan)
    assert check(task, outcome.plan) == ()
    assert len(outcome.plan.trucks) == 1


def test_mixed_loads_are_never_worse_than_the_solver() -> None:
    for seed in range(1, 4):
        task = mixed_lot(seed, 15, stops=seed)
        outcome = plan_trucks(task)
        check_plan(task, outcome.plan)
        assert check(task, outcome.plan) == ()
        if len(outcome.plan.trucks) > outcome.bound.trucks:
            assert judge_wide(task, len(outcome.plan.trucks) - 1, effort_s=5).possible is not True
