"""Each rule of a plan broken once, with its words; a sound plan breaks none."""

from __future__ import annotations

from dataclasses import replace

import pytest

from framing.engine.trucks import Broken, LoadTask, Stack, Truck, TrucksPlan, check
from tests.engine.trucks.hands import IN, SMALL, task_of, thing

TASK = task_of(
    thing("a", 20),
    thing("b", 10, stop=2),
    thing("c", 8),
    thing("w", 8, width_in=40, own_place=True, pack=True, bears=1),
    thing("n", 10, 9000, height_in=14, bears=0),
)


def on(*stacks: Stack, left: tuple[str, ...] = (), task: LoadTask = TASK) -> tuple[Broken, ...]:
    plan = TrucksPlan((Truck(1, "Small", stacks),), left)
    rest = tuple(t.id for t in task.things if t.id not in {x for _, _, x in plan.places} and t.id not in left)
    return check(task, replace(plan, left=(*left, *rest)))


def only(broken: tuple[Broken, ...]) -> tuple[str, int, str, str]:
    assert len(broken) == 1
    return broken[0].rule, broken[0].truck, broken[0].thing, broken[0].words


def test_a_sound_plan() -> None:
    assert on(Stack(1, 1, 0, ("a",)), Stack(2, 1, 0, ("b", "c"))) == ()
    assert check(TASK, TrucksPlan((), ("a", "b", "c", "w", "n"))) == ()


@pytest.mark.parametrize(
    ("stacks", "rule", "thing_id", "words"),
    [
        (
            [Stack(1, 1, 0, ("c",)), Stack(1, 1, 8 * 192 - 1, ("b",))],
            "deck",
            "b",
            "On truck 1 Bundle c and Bundle b stand on the same part of lane 1; move one of them.",
        ),
        (
            [Stack(1, 2, 0, ("w",)), Stack(2, 1, 192, ("c",))],
            "deck",
            "c",
            "On truck 1 Bundle w and Bundle c stand on the same part of lane 2; move one of them.",
        ),
        (
            [Stack(1, 1, 13 * 192, ("c",))],
            "deck",
            "c",
            (
                "On lane 1 of truck 1 Bundle c would end 21'-0\" from the headboard, 1'-0\" past the 20'-0\" deck; "
                "choose another lane or truck."
            ),
        ),
        (
            [Stack(1, 1, -16, ("c",))],
            "deck",
            "c",
            'Bundle c would stand 1" before the headboard; move it back.',
        ),
        ([Stack(1, 1, 0, ())], "deck", "", "Truck 1 has a stack of nothing on lane 1; take it out."),
        (
            [Stack(3, 1, 0, ("c",))],
            "lanes",
            "c",
            "Bundle c would stand on lanes 3 to 3; truck 1 has lanes 1 to 2. Choose a lane that is there.",
        ),
        (
            [Stack(1, 1, 0, ("w",))],
            "lanes",
            "w",
            "Bundle w is 3'-4\" wide and needs 2 lanes side by side, not 1; choose a place that has them.",
        ),
        (
            [Stack(1, 1, 0, ("c", "b"))],
            "longer",
            "b",
            (
                "Bundle b is 10'-0\" long and would lie on Bundle c of 8'-0\"; put it on one at least as long, "
                "or on the deck."
            ),
        ),
        (
            [Stack(1, 1, 0, ("a", "b"))],
            "stop",
            "b",
            (
                "Bundle b comes off at stop 2 and would lie on Bundle a, which comes off before it at stop 1; "
                "put it on one "
                "that comes off at the same stop or later."
            ),
        ),
        (
            [Stack(1, 1, 0, ("n", "c"))],
            "bears",
            "n",
            "Bundle n bears nothing on it and would carry 1; put what lies on it elsewhere.",
        ),
    ],
)
def test_one_rule(stacks: list[Stack], rule: str, thing_id: str, words: str) -> None:
    found = [one for one in on(*stacks) if one.rule == rule]
    assert only(tuple(found)) == (rule, 1, thing_id, words)


def test_own_place_and_wider() -> None:
    found = on(Stack(1, 1, 0, ("c", "w")))
    assert [one.rule for one in found] == ["own place", "wider"]
    assert found[0].words == "Bundle w stands on the deck, never on Bundle c; give it a place of its own."
    assert found[1].words == (
        "Bundle w is 3'-4\" wide and would lie on Bundle c of 1'-8\", which takes fewer lanes; put it on one "
        "as wide, or on "
        "the deck."
    )


def test_bears_one_and_two() -> None:
    task = task_of(thing("a", 20, bears=1), thing("b", 20), thing("c", 20))
    found = on(Stack(1, 1, 0, ("a", "b", "c")), task=task)
    assert only(found)[3] == "Bundle a bears 1 tier and would carry 2; put what lies on it elsewhere."
    task = task_of(
        thing("a", 9, bears=2), *(thing(x, 9, height_in=5) for x in "bcd"), kinds=(replace(SMALL, tiers=9),)
    )
    found = on(Stack(1, 1, 0, ("a", "b", "c", "d")), task=task)
    assert only(found)[3] == "Bundle a bears 2 tiers and would carry 3; put what lies on it elsewhere."


def test_height_and_tiers() -> None:
    task = task_of(*(thing(x, 9, height_in=h) for x, h in zip("abcd", (10, 10, 10, 1), strict=True)))
    found = on(Stack(1, 1, 0, ("a", "b", "c", "d")), task=task)
    assert [one.rule for one in found] == ["height", "tiers"]
    assert found[0].words == (
        "With Bundle d the stack would be 2'-7\" high on its dunnage, over the 2'-6\" of a Small; put it on "
        "a lower stack."
    )
    assert found[1].words == (
        "With Bundle d the stack would have 4 tiers, over the 3 of a Small; put it on a lower stack."
    )


def test_payload() -> None:
    found = on(Stack(1, 1, 0, ("n",)), Stack(2, 1, 0, ("a", "c")), Stack(1, 1, 10 * 192, ("b",)))
    assert only(found) == (
        "payload",
        1,
        "",
        "Truck 1 would carry 10,500 lb, 500 lb over the 10,000 lb of a Small; take something off.",
    )


def test_overhang_within_and_over_the_limit() -> None:
    long = replace(SMALL, name="Long", deck_length_16=30 * 192)
    task = task_of(thing("a", 23), thing("b", 25), kinds=(SMALL, long))
    assert on(Stack(1, 1, 0, ("a",)), task=task) == ()
    found = on(Stack(1, 1, 0, ("b",)), task=task)
    assert only(found)[0] == "kind"
    assert "over the 24'-0\" of deck and overhang" in found[0].words
    behind = on(Stack(1, 1, IN, ("a",)), task=task)
    assert only(behind)[0] == "deck"


def test_the_whole_plan() -> None:
    task = task_of(thing("a", 20), thing("b", 20), kinds=(replace(SMALL, count=1),))
    one, other = Truck(1, "Small", (Stack(1, 1, 0, ("a",)),)), Truck(1, "Small", (Stack(1, 1, 0, ("a",)),))
    assert [(b.rule, b.words) for b in check(task, TrucksPlan((one, other)))] == [
        ("twice", "Bundle a is loaded 2 times; leave it on one truck."),
        ("missing", "Bundle b is on no truck; load it or set it aside."),
        ("twice", "There are 2 trucks with number 1; number each its own."),
        ("count", "The plan takes 2 of Small, and there are 1; choose another kind for the rest."),
    ]


def test_what_is_not_known() -> None:
    task = task_of(thing("a", 20))
    plan = TrucksPlan(
        (Truck(1, "Cart", (Stack(1, 1, 0, ("a",)),)), Truck(2, "Small", (Stack(1, 1, 0, ("z", "y")),)))
    )
    assert [(b.rule, b.truck, b.thing, b.words) for b in check(task, plan)] == [
        ("kind", 1, "", "Truck 1 is a Cart, which is no kind here; choose one that is."),
        ("unknown", 2, "z", "Truck 2 carries z, which is not to be loaded; take it off."),
        ("unknown", 2, "y", "Truck 2 carries y, which is not to be loaded; take it off."),
    ]
