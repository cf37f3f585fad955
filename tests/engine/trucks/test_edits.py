"""The dispatcher's steps, worked by hand: two lanes of 20 ft, three tiers of 10 in, 10,000 lb."""

from __future__ import annotations

from dataclasses import replace

import pytest

from framing.engine.trucks import (
    LoadRefused,
    LoadTask,
    Stack,
    Truck,
    TrucksPlan,
    again,
    check,
    lock,
    move,
    swap,
)
from tests.engine.trucks.hands import SMALL, task_of, thing

TASK = task_of(
    thing("a", 20), thing("b", 12), thing("c", 8), thing("d", 10, stop=2), thing("e", 6), thing("f", 20, 9000)
)
PLAN = TrucksPlan(
    (
        Truck(1, "Small", (Stack(1, 1, 0, ("a", "b", "c")), Stack(2, 1, 0, ("d", "e")))),
        Truck(2, "Small", (Stack(1, 1, 0, ("f",)),)),
    )
)


def stacks(plan: TrucksPlan, truck: int) -> list[tuple[int, int, tuple[str, ...]]]:
    found = next(t for t in plan.trucks if t.number == truck)
    return [(stack.lane, stack.x_16 // 192, stack.things) for stack in found.stacks]


def refused(words: str, task: LoadTask = TASK, plan: TrucksPlan = PLAN, **step: object) -> LoadRefused:
    with pytest.raises(LoadRefused) as caught:
        move(task, plan, **step)  # type: ignore[arg-type]
    assert caught.value.message == words
    return caught.value


def test_move_to_a_lane() -> None:
    edited = move(TASK, PLAN, thing="b", truck=2, lane=2)
    assert edited.words == "Moved Bundle b to truck 2."
    assert stacks(edited.plan, 1) == [(1, 0, ("a", "c")), (2, 0, ("d", "e"))]
    assert stacks(edited.plan, 2) == [(1, 0, ("f",)), (2, 0, ("b",))]


def test_move_onto_a_thing_goes_as_high_as_it_may() -> None:
    # e (6 ft) off d; then on a: above c (8 ft)? three tiers are there: full
    off = move(TASK, PLAN, thing="c", truck=2, on="f").plan
    assert stacks(off, 2) == [(1, 0, ("f", "c"))]
    edited = move(TASK, off, thing="c", truck=1, on="a")
    assert stacks(edited.plan, 1)[0] == (1, 0, ("a", "b", "c"))
    # b is longer than c: it goes between f and c
    between = move(TASK, off, thing="b", truck=2, on="f")
    assert stacks(between.plan, 2) == [(1, 0, ("f", "b", "c"))]


def test_move_without_a_place_takes_the_first_free_one() -> None:
    # the shortest top that is long enough: none on truck 2 but f
    assert stacks(move(TASK, PLAN, thing="e", truck=2).plan, 2) == [(1, 0, ("f", "e"))]
    # d of stop 2 may lie on nothing of stop 1: it gets a lane, and stays where it is free
    assert stacks(move(TASK, PLAN, thing="d", truck=2).plan, 2) == [(1, 0, ("f",)), (2, 0, ("d",))]
    assert stacks(move(TASK, PLAN, thing="d", truck=2).plan, 1) == [(1, 0, ("a", "b", "c")), (2, 0, ("e",))]


def test_move_to_a_further_truck_and_an_emptied_one_is_gone() -> None:
    edited = move(TASK, PLAN, thing="e", truck=None)
    assert edited.words == "Moved Bundle e to a further truck, 3."
    assert stacks(edited.plan, 3) == [(1, 0, ("e",))]
    alone = move(TASK, PLAN, thing="f", truck=None, kind="Small")
    assert [truck.number for truck in alone.plan.trucks] == [1, 3]


def test_move_within_its_own_truck() -> None:
    edited = move(TASK, PLAN, thing="f", truck=2, lane=2)
    assert stacks(edited.plan, 2) == [(2, 0, ("f",))]


def test_move_from_what_was_left() -> None:
    plan = TrucksPlan(PLAN.trucks[1:], ("a", "b", "c", "d", "e"))
    edited = move(TASK, plan, thing="b", truck=2)
    assert edited.plan.left == ("a", "c", "d", "e")
    assert stacks(edited.plan, 2) == [(1, 0, ("f", "b"))]


def test_refusals_of_a_place() -> None:
    found = refused(
        "Bundle d comes off at stop 2 and would lie on Bundle f, which comes off before it at stop 1; put it "
        "on one that "
        "comes off at the same stop or later.",
        thing="d",
        truck=2,
        on="f",
    )
    assert [one.rule for one in found.broken] == ["stop"]
    found = refused(
        "Truck 2 would carry 10,500 lb, 500 lb over the 10,000 lb of a Small; take something off.",
        task=replace(
            TASK, things=tuple(replace(t, weight_lb=1500) if t.id == "b" else t for t in TASK.things)
        ),
        thing="b",
        truck=2,
    )
    assert found.broken[0].rule == "payload"
    refused(
        "Bundle e would stand on lanes 5 to 5; truck 2 has lanes 1 to 2. Choose a lane that is there.",
        thing="e",
        truck=2,
        lane=5,
    )
    refused(
        "Bundle e does not lie on truck 2; choose a thing that does, or a lane.", thing="b", truck=2, on="e"
    )


def test_refused_where_no_place_is_free() -> None:
    refused(
        "Truck 1 has no free place for Bundle f, 20'-0\" long: no stack is long enough and low enough, no lane has so "
        "much deck left. Choose another truck, or take something off.",
        task=replace(TASK, things=tuple(replace(t, weight_lb=500) for t in TASK.things)),
        thing="f",
        truck=1,
    )


def test_refusals_of_the_step() -> None:
    locked = lock(PLAN, truck=1, locked=True).plan
    refused("Truck 1 with Bundle a is locked; unlock it first.", plan=locked, thing="a", truck=2)
    refused("Truck 1 is locked; unlock it to put Bundle f on it.", plan=locked, thing="f", truck=1)
    refused("There is no truck 9 in this plan; choose one that is there.", thing="a", truck=9)
    refused(
        "z is not among what is to be loaded; choose a bundle or pack of this delivery.", thing="z", truck=1
    )
    refused("There is no truck of the kind Cart; choose one of: Small.", thing="a", truck=None, kind="Cart")
    few = replace(TASK, kinds=(replace(SMALL, count=2),))
    refused(
        "The plan takes 3 of Small, and there are 2; choose another kind for the rest.",
        task=few,
        thing="a",
        truck=None,
    )


def test_a_truck_that_is_not_of_the_task_any_more() -> None:
    cart = TrucksPlan((replace(PLAN.trucks[0], kind="Cart"), PLAN.trucks[1]))
    refused("Truck 1 is a Cart, which is no kind here; choose one that is.", plan=cart, thing="a", truck=2)
    refused("Truck 1 is a Cart, which is no kind here; choose one that is.", plan=cart, thing="f", truck=1)
    gone = replace(TASK, things=TASK.things[1:])
    refused("Truck 1 carries a, which is not to be loaded; take it off.", task=gone, thing="b", truck=2)


def test_a_rule_broken_before_does_not_stand_in_the_way() -> None:
    # c under b from the beginning: moving e is still allowed, and the break stays
    plan = TrucksPlan(
        (
            Truck(1, "Small", (Stack(1, 1, 0, ("a", "c", "b")), Stack(2, 1, 0, ("d", "e")))),
            PLAN.trucks[1],
        )
    )
    assert [one.rule for one in check(TASK, plan)] == ["longer"]
    edited = move(TASK, plan, thing="e", truck=2)
    assert [one.rule for one in check(TASK, edited.plan)] == ["longer"]


def test_swap() -> None:
    edited = swap(TASK, PLAN, thing="c", other="e")
    assert edited.words == "Bundle c and Bundle e changed places."
    assert stacks(edited.plan, 1) == [(1, 0, ("a", "b", "e")), (2, 0, ("d", "c"))]
    plan = TrucksPlan(PLAN.trucks[:1], ("f",))
    edited = swap(
        replace(TASK, things=tuple(replace(t, weight_lb=500) for t in TASK.things)),
        plan,
        thing="a",
        other="f",
    )
    assert stacks(edited.plan, 1)[0] == (1, 0, ("f", "b", "c"))
    assert edited.plan.left == ("a",)


def test_swap_of_bottoms_closes_the_lane_up() -> None:
    task = task_of(thing("a", 12), thing("b", 6), thing("c", 8), thing("d", 20))
    plan = TrucksPlan(
        (
            Truck(
                1,
                "Small",
                (Stack(1, 1, 0, ("a",)), Stack(1, 1, 12 * 192, ("b",)), Stack(2, 1, 0, ("d", "c"))),
            ),
        )
    )
    edited = swap(task, plan, thing="b", other="c")
    assert stacks(edited.plan, 1) == [(1, 0, ("a",)), (1, 12, ("c",)), (2, 0, ("d", "b"))]


def test_swap_refused() -> None:
    with pytest.raises(LoadRefused, match="can't change places with itself"):
        swap(TASK, PLAN, thing="a", other="a")
    with pytest.raises(LoadRefused) as caught:
        swap(TASK, PLAN, thing="a", other="f")
    assert [one.rule for one in caught.value.broken] == ["payload"]
    with pytest.raises(LoadRefused, match="Bundle b is 12'-0\" long"):
        swap(TASK, PLAN, thing="b", other="c")


def test_lock() -> None:
    edited = lock(PLAN, truck=2, locked=True)
    assert edited.words == "Locked truck 2."
    assert [truck.locked for truck in edited.plan.trucks] == [False, True]
    assert lock(edited.plan, truck=2, locked=False).plan == PLAN
    assert lock(edited.plan, truck=2, locked=False).words == "Unlocked truck 2."
    for plan, locked, words in (
        (edited.plan, True, "Truck 2 is locked already."),
        (PLAN, False, "Truck 2 is not locked."),
    ):
        with pytest.raises(LoadRefused) as caught:
            lock(plan, truck=2, locked=locked)
        assert caught.value.message == words
    with pytest.raises(LoadRefused, match="no truck 7"):
        lock(PLAN, truck=7, locked=True)


def test_again_around_a_locked_load() -> None:
    locked = lock(PLAN, truck=2, locked=True).plan
    spread = move(TASK, locked, thing="e", truck=None).plan
    edited = again(TASK, spread)
    assert [truck.number for truck in edited.plan.trucks] == [1, 2]
    assert edited.plan.trucks[1] == locked.trucks[1]
    assert sorted(edited.plan.trucks[0].things) == ["a", "b", "c", "d", "e"]
    assert edited.words.startswith("Planned anew around 1 locked: 1 truck; no plan takes fewer than 1")
    assert check(TASK, edited.plan) == ()


def test_again_of_all() -> None:
    edited = again(TASK, TrucksPlan((), tuple("abcdef")))
    assert edited.words.startswith("Planned anew: 2 trucks;")
    assert edited.plan.left == ()


def test_again_counts_locked_trucks() -> None:
    one = replace(TASK, kinds=(replace(SMALL, count=1),))
    locked = TrucksPlan((replace(PLAN.trucks[1], locked=True),), tuple("abcde"))
    with pytest.raises(
        LoadRefused, match=r"Every truck that there is is locked; add a truck, or unlock one\."
    ):
        again(one, locked)
    everything = TrucksPlan(tuple(replace(truck, locked=True) for truck in PLAN.trucks))
    with pytest.raises(LoadRefused, match=r"Every load is locked; unlock one first\."):
        again(TASK, everything)
