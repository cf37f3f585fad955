"""Facts that no plan can be made from, each told with thing, value, limit and what to do."""

from __future__ import annotations

from dataclasses import replace

import pytest

from framing.engine.trucks import LoadTask, TrucksRefused, plan_trucks
from tests.engine.trucks.hands import SMALL, task_of, thing


@pytest.mark.parametrize(
    ("task", "words"),
    [
        (task_of(thing("a", 5), thing("a", 6)), "Bundle a is on the list twice; take one of the two off."),
        (task_of(thing("a", 0)), "Bundle a has a size of 0 in; give length, width and height over 0."),
        (task_of(thing("a", 5, -1)), "Bundle a weighs -1 lb; give a weight of 0 lb or more."),
        (task_of(thing("a", 5, stop=0)), "Bundle a comes off at stop 0; number stops from 1 on."),
        (
            task_of(thing("a", 5), kinds=(SMALL, SMALL)),
            "Two kinds of truck are called Small; name one of them otherwise.",
        ),
        (
            task_of(thing("a", 5), kinds=(replace(SMALL, count=0),)),
            "There is no truck to load; say which kinds there are and how many.",
        ),
        (
            task_of(thing("a", 5, 10_001)),
            (
                "Bundle a weighs 10,001 lb, over the 10,000 lb that a Small may carry; split it or choose a "
                "stronger truck."
            ),
        ),
        (
            task_of(thing("a", 24.5)),
            (
                "Bundle a has a length of 24'-6\", over the 24'-0\" of deck and overhang of a Small; choose a "
                "longer truck, "
                "or make it shorter."
            ),
        ),
        (
            task_of(thing("a", 5, width_in=41)),
            (
                "Bundle a has a width of 3'-5\", over the 3'-4\" of the deck of a Small; choose a wider truck, "
                "or split it."
            ),
        ),
        (
            task_of(thing("a", 5, height_in=31)),
            (
                "Bundle a has a height on its dunnage of 2'-7\", over the 2'-6\" that a load on a Small may be "
                "high; lay it "
                "flat, or split it."
            ),
        ),
        (
            task_of(thing("a", 5), kinds=(replace(SMALL, tiers=0),)),
            "A Small bears no tier; say how many things may lie on each other there, one at least.",
        ),
    ],
)
def test_refused(task: LoadTask, words: str) -> None:
    with pytest.raises(TrucksRefused) as refused:
        plan_trucks(task)
    assert refused.value.message == words
