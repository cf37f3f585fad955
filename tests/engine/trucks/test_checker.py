"""The judge bites: each broken rule is seen by the tests' own checker and by the engine's check alike."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace

import pytest

from framing.engine.trucks import Stack, Truck, TrucksPlan, check
from tests.engine.trucks.checker import check_plan
from tests.engine.trucks.hands import FT, SMALL, task_of, thing

TASK = task_of(
    thing("a", 20),
    thing("b", 10, stop=2, bears=0),
    thing("c", 8),
    thing("w", 8, width_in=40, own_place=True, pack=True),
    thing("n", 10, 9800, height_in=14),
    thing("o", 22),
    kinds=(replace(SMALL, count=1),),
)
SOUND = (Stack(1, 1, 0, ("b",)), Stack(2, 1, 0, ("c",)))


def plan_of(*stacks: Stack, further: tuple[Truck, ...] = (), also: tuple[str, ...] = ()) -> TrucksPlan:
    plan = TrucksPlan((Truck(1, "Small", stacks), *further))
    loaded = {thing for _, _, thing in plan.places}
    return replace(plan, left=(*(t.id for t in TASK.things if t.id not in loaded), *also))


def test_a_sound_plan_passes() -> None:
    check_plan(TASK, plan_of(*SOUND))
    assert check(TASK, plan_of(*SOUND)) == ()


@pytest.mark.parametrize(
    "plan",
    [
        plan_of(*SOUND, also=("c",)),  # twice
        TrucksPlan((Truck(1, "Small", SOUND),), ("a",)),  # things missing
        plan_of(*SOUND, further=(Truck(2, "Small", (Stack(1, 1, 0, ("a",)),)),)),  # one truck too many
        plan_of(Stack(1, 1, 0, ("n",)), Stack(2, 1, 0, ("a",))),  # payload
        plan_of(Stack(1, 1, 0, ("b",)), Stack(1, 1, 10 * FT - 1, ("c",))),  # on the same part of the deck
        plan_of(Stack(1, 1, 13 * FT, ("c",))),  # past the deck
        plan_of(Stack(1, 1, 1, ("o",))),  # overhangs, but not from the headboard
        plan_of(Stack(1, 1, -1, ("c",))),
        plan_of(Stack(3, 1, 0, ("c",))),  # no such lane
        plan_of(Stack(2, 2, 0, ("w",))),
        plan_of(Stack(1, 1, 0, ("w",))),  # too narrow a place
        plan_of(Stack(1, 1, 0, ("c", "n"))),  # longer on shorter
        plan_of(Stack(1, 1, 0, ("a", "b"))),  # comes off after what lies under it
        plan_of(Stack(1, 1, 0, ("b", "c"))),  # on what bears nothing
        plan_of(Stack(1, 2, 0, ("a", "w"))),  # off its own place
        plan_of(Stack(1, 1, 0, ("o", "a", "n"))),  # 34 in of 30
        plan_of(Stack(1, 1, 0, ())),
    ],
)
def test_a_broken_plan_is_seen_by_both(plan: TrucksPlan) -> None:
    with pytest.raises(AssertionError):
        check_plan(TASK, plan)
    assert check(TASK, plan) != ()


def test_the_solver_is_loaded_when_it_is_asked_and_not_before() -> None:
    code = "import sys, framing.engine, framing.engine.trucks; sys.exit('ortools' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
