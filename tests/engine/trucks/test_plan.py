"""Truck plans worked by hand: lanes of a small truck take 20 ft, two side by side, three tiers of 10 in."""

from __future__ import annotations

from dataclasses import replace

from framing.engine.trucks import (
    Advance,
    Dunnage,
    Effort,
    LoadTask,
    Outcome,
    Stack,
    Truck,
    TruckKind,
    TrucksPlan,
    check,
    plan_trucks,
)
from tests.engine.trucks.checker import check_plan
from tests.engine.trucks.hands import FT, IN, SMALL, task_of, thing


def planned(task: LoadTask) -> Outcome:
    outcome = plan_trucks(task)
    check_plan(task, outcome.plan)
    assert check(task, outcome.plan) == ()
    return outcome


def stacks(outcome: Outcome, truck: int = 1) -> list[tuple[int, int, tuple[str, ...]]]:
    found = next(t for t in outcome.plan.trucks if t.number == truck)
    return [(stack.lane, stack.x_16 // FT, stack.things) for stack in found.stacks]


def test_nothing_to_load() -> None:
    outcome = plan_trucks(task_of())
    assert (outcome.plan, outcome.fewest, outcome.words) == (TrucksPlan(), True, "Nothing to load.")


def test_longest_down_and_last_stop_down() -> None:
    # c comes off last and is short: it can't carry a; a 15 ft, b 10 ft on it; d of the last stop lies on c
    outcome = planned(task_of(thing("a", 15), thing("b", 10), thing("c", 12, stop=2), thing("d", 11, stop=2)))
    assert stacks(outcome) == [(1, 0, ("c", "d", "b")), (2, 0, ("a",))]
    assert outcome.fewest
    assert (
        outcome.words == "1 truck; no plan takes fewer than 1 (weight: 2,000 lb in all, 10,000 lb a truck)."
    )


def test_lanes_fill_end_to_end() -> None:
    # six of 10 ft, three tiers: two stacks, both on the tightest lane that takes them: end to end
    outcome = planned(task_of(*(thing(str(n), 10) for n in range(6))))
    assert stacks(outcome) == [(1, 0, ("0", "1", "2")), (1, 10, ("3", "4", "5"))]


def test_a_further_truck_when_one_is_full() -> None:
    outcome = planned(task_of(*(thing(str(n), 20) for n in range(7))))
    assert [len(truck.things) for truck in outcome.plan.trucks] == [6, 1]
    assert outcome.bound.trucks == 2
    assert [truck.number for truck in outcome.plan.trucks] == [1, 2]


def test_height_with_dunnage() -> None:
    # 30 in: two tiers of 10 in on 3 in dunnage are 26 in, three would be 39
    task = replace(task_of(*(thing(str(n), 20) for n in range(4))), dunnage=Dunnage(height_16=3 * IN))
    assert [len(s) for _, _, s in stacks(planned(task))] == [2, 2]


def test_what_bears_nothing_lies_on_top_or_alone() -> None:
    # only the box may lie on the bundle, nothing on the box; the pallet has a place of its own
    task = task_of(
        thing("a", 10),
        thing("box", 4, bears=0, pack=True),
        thing("pallet", 4, bears=0, own_place=True, pack=True),
        thing("b", 3),
    )
    assert stacks(planned(task)) == [(1, 0, ("a", "box")), (1, 10, ("pallet",)), (1, 14, ("b",))]


def test_what_bears_one_tier() -> None:
    task = task_of(thing("a", 10, bears=1), thing("b", 9), thing("c", 8))
    assert stacks(planned(task)) == [(1, 0, ("a", "b")), (1, 10, ("c",))]


def test_wide_packs_stand_before_the_bundles() -> None:
    # a 40 in pack takes both lanes; it stands at the headboard so that no lane has a gap
    task = task_of(
        thing("a", 12),
        thing("w", 8, width_in=40, pack=True),
        thing("b", 12, height_in=25),
        thing("v", 7, width_in=30),
    )
    task = replace(task, lane_width_16=20 * IN)
    assert stacks(planned(task)) == [(1, 0, ("w", "v")), (1, 8, ("a",)), (2, 8, ("b",))]


def test_wide_ones_that_do_not_divide() -> None:
    # six lanes of 10 in; packs over 2 and 3 lanes: each takes 3, or a gap could be left
    kind = replace(SMALL, deck_width_16=60 * IN)
    packs = [
        thing("two", 10, width_in=20, pack=True),
        thing("three", 10, width_in=30, height_in=25, pack=True),
    ]
    outcome = planned(task_of(*packs, thing("a", 5, width_in=10), kinds=(kind,)))
    assert [(s.lanes, s.x_16) for s in outcome.plan.trucks[0].stacks if s.things == ("three",)] == [(3, 0)]
    # on it lies nothing: 25 in of 30; the other one stands beside it, on the next three lanes
    assert ("two", "a") in [stack.things for stack in outcome.plan.trucks[0].stacks]


def test_what_overhangs_takes_a_whole_lane() -> None:
    outcome = planned(task_of(thing("long", 23), thing("short", 20, height_in=25), thing("b", 20)))
    assert stacks(outcome) == [(1, 0, ("long", "b")), (2, 0, ("short",))]


def test_the_heaviest_lanes_stand_in_the_middle() -> None:
    # three lanes: 3,000 lb in the middle, then 2,000 at the driver's side, 1,000 at the other
    kind = replace(SMALL, deck_width_16=60 * IN, tiers=1)
    task = task_of(thing("a", 20, 1000), thing("b", 20, 3000), thing("c", 20, 2000), kinds=(kind,))
    assert stacks(planned(task)) == [(1, 0, ("c",)), (2, 0, ("b",)), (3, 0, ("a",))]


def test_what_there_are_no_trucks_for_is_left() -> None:
    one = (replace(SMALL, count=1),)
    outcome = planned(task_of(*(thing(f"{n:02}", 20) for n in range(14)), kinds=one))
    assert len(outcome.plan.trucks) == 1
    assert outcome.plan.left == ("06", "07", "08", "09", "10", "11", "12", "13")
    assert not outcome.fewest
    assert outcome.words.endswith(
        "No truck has room for Bundle 06, Bundle 07, Bundle 08, Bundle 09, Bundle 10, Bundle 11 and 2 more: "
        "add a truck, "
        "or leave them for another delivery."
    )
    left_one = planned(task_of(*(thing(f"{n:02}", 20) for n in range(7)), kinds=one))
    assert left_one.words.endswith(
        "No truck has room for Bundle 06: add a truck, or leave them for another delivery."
    )


def test_a_load_goes_on_the_smallest_truck_that_carries_it() -> None:
    # 26,000 lb: the big one takes 20,000, the rest of 6,000 goes on a small one, of which there is one
    big = TruckKind("Big", 40 * FT, 40 * IN, 20_000, 30 * IN, 3, 0)
    tiny = TruckKind("Tiny", 10 * FT, 40 * IN, 4_000, 30 * IN, 3, 0)
    kinds = (replace(SMALL, count=1), big, tiny)
    outcome = planned(task_of(*(thing(str(n), 10, 2000) for n in range(13)), kinds=kinds))
    assert [truck.kind for truck in outcome.plan.trucks] == ["Big", "Small"]
    # three trucks of 44,000 lb: the last of 4,000 lb fits the tiny one; no small one is to be had twice
    outcome = planned(task_of(*(thing(str(n), 10, 2000) for n in range(22)), kinds=kinds))
    assert [truck.kind for truck in outcome.plan.trucks] == ["Big", "Big", "Tiny"]
    # 2,000 lb and 15 ft long: too long for the tiny one
    outcome = planned(task_of(thing("a", 15, 2000), kinds=kinds))
    assert [truck.kind for truck in outcome.plan.trucks] == ["Small"]


def test_what_only_one_kind_carries_goes_there() -> None:
    strong = TruckKind("Strong", 20 * FT, 40 * IN, 50_000, 30 * IN, 3, 0, count=2)
    long = TruckKind("Long", 40 * FT, 40 * IN, 10_000, 30 * IN, 3, 0, count=1)
    outcome = planned(task_of(thing("a", 35), thing("b", 15, 20_000), kinds=(long, strong)))
    assert [(truck.kind, truck.things) for truck in outcome.plan.trucks] == [
        ("Long", ("a",)),
        ("Strong", ("b",)),
    ]


TIGHT = (
    *(thing(f"a{n}", 11, height_in=h) for n, h in enumerate((16, 14, 12, 10))),
    *(thing(f"b{n}", 9, height_in=h) for n, h in enumerate((18, 16, 14, 12))),
)
"""Two lanes of 20 ft and 30 in: 16 + 14 and 18 + 12, 11 ft bottoms beside 9 ft ones. By length first they come out
16, 14 | 12, 10 | 18, 12 | 16, 14: 30, 22, 30, 30 in: one truck."""


def test_fixed_orders_that_fit_ask_no_further() -> None:
    seen: list[Advance] = []
    outcome = plan_trucks(task_of(*TIGHT), lambda a: not seen.append(a))  # type: ignore[func-returns-value]
    assert len(outcome.plan.trucks) == 1
    assert seen == [Advance("orders", 1, 1, 1)]


HARD = tuple(
    thing(f"{n}", ft, height_in=h, bears=2)
    for n, (ft, h) in enumerate(
        ((11, 16), (11, 12), (10.5, 18), (10.5, 14), (9, 16), (9, 14), (8.5, 18), (8.5, 12))
    )
)
"""11/16 + 10.5/14, 11/12 + 10.5/18 in 30 in of height are bottoms of 11 ft; 9/16 + 9/14, 8.5/18 + 8.5/12 stand behind
them: 20 and 19.5 ft. Longest first puts 12 on 16 at once and needs a third stack of over 10 ft: two trucks. Each bears
two tiers only, so that the ways by stacks leave them alone."""


def test_changed_orders_save_a_truck() -> None:
    seen: list[Advance] = []
    task = task_of(*HARD)
    outcome = plan_trucks(task, lambda a: not seen.append(a))  # type: ignore[func-returns-value]
    check_plan(task, outcome.plan)
    without = plan_trucks(replace(task, effort=Effort(tries=0, exact=0)))
    assert len(without.plan.trucks) == 2
    assert not without.fewest
    assert without.words.endswith("Whether 1 truck can is not settled.")
    assert len(outcome.plan.trucks) == 1
    assert [advance.stage for advance in seen][:2] == ["orders", "tries"]
    assert all(advance.trucks == 2 for advance in seen)
    few = plan_trucks(
        replace(task, effort=Effort(tries=40, exact=0))
    )  # so few that they are one block of draws
    assert few.plan == outcome.plan


def test_the_exact_model_saves_a_truck() -> None:
    task = replace(task_of(*HARD), effort=Effort(tries=0))
    outcome = planned(task)
    assert len(outcome.plan.trucks) == 1
    assert outcome.fewest


def test_the_exact_model_proves_that_one_truck_is_too_few() -> None:
    # a bottom of 11 ft leaves 9: with 8.5 ft things grown to 9.5 ft no second stack fits behind the long ones
    grown = tuple(replace(t, length_16=round(9.5 * FT)) if t.length_16 < 9 * FT else t for t in HARD)
    outcome = planned(replace(task_of(*grown), effort=Effort(tries=40)))
    assert len(outcome.plan.trucks) == 2
    assert outcome.bound.trucks == 1
    assert outcome.fewest
    assert outcome.words.endswith("1 truck can't carry it: that is proved.")


def test_many_things_leave_the_exact_model_out() -> None:
    outcome = planned(replace(task_of(*HARD), effort=Effort(tries=0, exact_most=7)))
    assert len(outcome.plan.trucks) == 2


def test_told_to_stop_it_answers_with_what_it_has() -> None:
    task = replace(task_of(*HARD), effort=Effort(tries=400))
    for stages in (["orders"], ["orders", "tries"]):
        seen: list[str] = []

        def go_on(advance: Advance, seen: list[str] = seen, last: str = stages[-1]) -> bool:
            seen.append(advance.stage)
            return advance.stage != last

        outcome = plan_trucks(task, go_on)
        assert outcome.stopped
        assert seen == stages
        assert len(outcome.plan.trucks) == 2
    outcome = plan_trucks(replace(task, effort=Effort(tries=0)), lambda advance: advance.stage != "exact")
    assert outcome.stopped
    assert len(outcome.plan.trucks) == 2


def test_places_of_a_plan() -> None:
    truck = Truck(1, "Small", (Stack(1, 1, 0, ("a", "b")),))
    assert [(t.number, s.lane, thing) for t, s, thing in TrucksPlan((truck,)).places] == [
        (1, 1, "a"),
        (1, 1, "b"),
    ]


def test_what_only_a_truck_that_is_gone_carries_is_left() -> None:
    # one long truck takes the first two of 35 ft side by side; tiers of 10 in: six; the seventh is left, the rest goes
    long = TruckKind("Long", 40 * FT, 40 * IN, 10_000, 30 * IN, 3, 0, count=1)
    things = (*(thing(f"a{n}", 35) for n in range(7)), thing("b", 15))
    outcome = planned(task_of(*things, kinds=(long, SMALL)))
    assert outcome.plan.left == ("a6",)
    assert [truck.kind for truck in outcome.plan.trucks] == ["Long", "Small"]
