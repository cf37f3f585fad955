"""Weights, unloading, tie-downs and dunnage of a load, worked by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from framing.engine.trucks import (
    CAUTION,
    Dunnage,
    Securing,
    Stack,
    Sticks,
    Truck,
    TruckFigures,
    TrucksPlan,
    figures_of,
)
from framing.engine.trucks.facts import LoadTask
from framing.engine.trucks.weights import sides_lb
from tests.engine.trucks.hands import FT, IN, SMALL, task_of, thing

TASK = replace(
    task_of(thing("a", 20, 4000, stop=2), thing("b", 10, 1000), thing("c", 10, 3000), thing("d", 5, 500)),
    dunnage=Dunnage(height_16=2 * IN, apart_16=8 * FT, end_16=2 * FT),
)
PLAN = TrucksPlan(
    (Truck(1, "Small", (Stack(1, 1, 0, ("a", "b")), Stack(2, 1, 0, ("c",)), Stack(2, 1, 10 * FT, ("d",)))),)
)


def figures(task: LoadTask = TASK, plan: TrucksPlan = PLAN) -> TruckFigures:
    return figures_of(task, plan).trucks[0]


def test_of_the_whole_plan() -> None:
    told = figures_of(TASK, PLAN)
    assert told.words == "1 truck; no plan takes fewer than 1 (weight)."
    assert told.caution == CAUTION
    assert "393.110" in told.ties_source
    assert figures_of(task_of(), TrucksPlan()).words == "0 trucks; no plan takes fewer than 0."


def test_a_plan_that_is_not_of_the_task() -> None:
    for plan in (
        TrucksPlan((Truck(1, "Cart"),)),
        TrucksPlan((Truck(1, "Small", (Stack(1, 1, 0, ("z",)),)),)),
    ):
        with pytest.raises(ValueError, match="does not belong to this task"):
            figures_of(TASK, plan)


def test_weight_by_position() -> None:
    told = figures()
    assert (told.weight_lb, told.payload_lb) == (8500, 10_000)
    # a: 4,000 at 10 ft, b: 1,000 at 5 ft, c: 3,000 at 5 ft, d: 500 at 12.5 ft: 66,250 / 8,500 = 7.794 ft
    assert told.centre_16 == round(66_250 / 8_500 * FT)
    assert told.centre_share == pytest.approx(66_250 / 8_500 / 20, abs=2e-4)
    # quarters of 5 ft: a 1,000 in each; b and c half in each of the first two; d in the third
    assert told.quarters_lb == (3000, 3000, 1500, 1000)
    # a foot of the first ten: 200 + 100 + 300; of the next five 200 + 100; then 200
    assert told.feet_lb == pytest.approx([600.0] * 10 + [300.0] * 5 + [200.0] * 5)
    assert told.behind_lb == 0
    assert (told.lanes, told.lane_16) == (2, 20 * IN)


def test_weight_by_side() -> None:
    # of five lanes the driver's half ends in the middle of the third
    assert sides_lb([(2, 3, 1200.0)], 5) == (600, 600)
    assert sides_lb([(3, 2, 1000.0)], 5) == (250, 750)
    assert sides_lb([(1, 2, 800.0), (5, 1, 300.0)], 5) == (800, 300)
    assert sides_lb([], 5) == (0, 0)
    told = figures()  # of its two lanes the first is the driver's
    assert told.sides_lb[0] == sum(stack.weight_lb for stack in told.stacks if stack.stack.lane == 1)
    assert sum(told.sides_lb) == 8500


def test_weight_of_a_deck_of_part_feet_and_of_nothing() -> None:
    short = replace(SMALL, deck_length_16=19 * FT + 96)
    task = task_of(thing("a", 20, 1000), kinds=(short,))
    told = figures(task, TrucksPlan((Truck(1, "Small", (Stack(1, 1, 0, ("a",)),)),)))
    assert told.feet_lb == pytest.approx([50.0] * 19 + [25.0])
    assert told.behind_lb == pytest.approx(25)
    light = task_of(thing("a", 20, 0))
    told = figures(light, TrucksPlan((Truck(1, "Small", (Stack(1, 1, 0, ("a",)),)),)))
    assert (told.centre_16, told.weight_lb) == (0, 0)


def test_unloading_by_stop_then_from_the_top_and_the_rear() -> None:
    # stop 1: b lies on a, so it is the top; then d behind c; a comes off at stop 2
    told = figures()
    assert told.unloading == ("b", "d", "c", "a")
    tiers = told.stacks[0].tiers
    assert [(tier.thing, tier.tier, tier.order, tier.stop) for tier in tiers] == [
        ("a", 1, 4, 2),
        ("b", 2, 1, 1),
    ]


def test_heights_lift_points_and_dunnage() -> None:
    stack = figures().stacks[0]
    assert [(tier.bottom_16 // IN, tier.top_16 // IN) for tier in stack.tiers] == [(2, 12), (14, 24)]
    assert (stack.height_16, stack.length_16, stack.weight_lb) == (24 * IN, 20 * FT, 5000)
    assert stack.tiers[0].lift_16 == (4 * FT, 16 * FT)  # R36: a fifth from the ends
    # sticks from 2 ft to 18 ft, 8 ft apart: 3; 10 ft: 2 and 8 ft: 2; 5 ft: 2 at least
    assert [tier.sticks for s in figures().stacks for tier in s.tiers] == [3, 2, 2, 2]
    assert figures().dunnage == (Sticks(20 * IN, 9),)


def test_dunnage_as_wide_as_its_stack() -> None:
    task = task_of(thing("w", 8, width_in=40, pack=True), thing("a", 12))
    plan = TrucksPlan((Truck(1, "Small", (Stack(1, 2, 0, ("w",)), Stack(1, 1, 8 * FT, ("a",)))),))
    # 8 ft: 2 and 6 ft, 4 ft apart: 2; 12 ft: 2 and 10 ft: 2
    assert figures(task, plan).dunnage == (Sticks(40 * IN, 2), Sticks(20 * IN, 2))


def test_tie_downs_of_stacks_and_rows() -> None:
    told = figures()
    # 20 ft: 2 + 1; 10 ft: 2; 5 ft and 500 lb: 1. Half of 8,500 lb needs two of 4,000 lb.
    assert [stack.tie_downs for stack in told.stacks] == [3, 2, 1]
    # c ends first: rows at 2.5 and 7.5 ft; d: one at 12.5 ft, which a counts with the two before: 3 rows
    assert [row / FT for row in told.rows_16] == [2.5, 7.5, 12.5]
    assert told.tie_downs == 3
    assert (told.least_wll_lb, told.credit_lb) == (4250, 12_000)


def test_tie_downs_blocked_at_the_headboard() -> None:
    task = replace(TASK, securing=Securing(blocked=True))
    # a: 20 ft at the headboard: 2; c: 10 ft: 1, but 3,000 lb; d behind c is as high: 5 ft: 1
    assert [(stack.blocked, stack.tie_downs) for stack in figures(task).stacks] == [
        (True, 2),
        (True, 1),
        (True, 1),
    ]
    low = task_of(thing("c", 10, height_in=5), thing("d", 6))
    plan = TrucksPlan((Truck(1, "Small", (Stack(2, 1, 0, ("c",)), Stack(2, 1, 10 * FT, ("d",)))),))
    told = figures(replace(low, securing=Securing(blocked=True)), plan)
    assert [(stack.blocked, stack.tie_downs) for stack in told.stacks] == [(True, 1), (False, 2)]


def test_weight_asks_for_more_tie_downs_than_length() -> None:
    task = replace(TASK, securing=Securing(strap_wll_lb=500, to_cargo=True))
    told = figures(task)
    # 5,000 lb: half is 2,500, each strap counts 250: 10; 3,000 lb: 6; 500 lb: 1; all: 4,250 / 250 = 17
    assert [stack.tie_downs for stack in told.stacks] == [10, 6, 1]
    assert told.tie_downs == 17
    assert told.credit_lb == 4250


def test_overhang_is_told() -> None:
    task = task_of(thing("a", 23, 2300))
    told = figures(task, TrucksPlan((Truck(1, "Small", (Stack(1, 1, 0, ("a",)),), locked=True),)))
    assert told.locked
    assert told.behind_lb == pytest.approx(300)
    (over,) = told.overhangs
    assert (over.truck, over.thing, over.by_16) == (1, "a", 3 * FT)
    assert over.words == (
        "Bundle a stands 3'-0\" out over the rear end of truck 1. Whether and with which marks it may go on "
        "the road is "
        "for the driver and local law to say."
    )
