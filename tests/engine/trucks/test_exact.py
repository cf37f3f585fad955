"""The exact model asked by itself, with answers known by hand: two lanes of 20 ft, 30 in of height."""

from __future__ import annotations

from dataclasses import replace

from framing.engine.trucks import LoadTask, TruckKind, TrucksPlan
from framing.engine.trucks.exact import Answer, solve
from framing.engine.trucks.layout import truck_of
from framing.engine.trucks.model import Frame, Model
from tests.engine.trucks.checker import check_plan
from tests.engine.trucks.hands import FT, IN, SMALL, task_of, thing


def asked(task: LoadTask, *which: int, limit: float = 5) -> tuple[Answer, list[tuple[str, ...]]]:
    """The answer for trucks of the kinds with these places in the task, and what is on each; the plan is checked."""
    model = Model(task)
    by_name = {frame.kind.name: frame for frame in model.frames}
    frames: list[Frame] = [by_name[task.kinds[n].name] for n in which]
    answer, loads = solve(model, frames, limit)
    trucks = tuple(truck_of(model, load, n) for n, load in enumerate(loads, start=1) if load.piles)
    if answer is Answer.FOUND:
        check_plan(task, TrucksPlan(trucks))
    return answer, [tuple(sorted(truck.things)) for truck in trucks]


def test_six_of_20_ft_fill_a_truck_and_seven_do_not() -> None:
    things = [thing(str(n), 20) for n in range(7)]
    assert asked(task_of(*things[:6]), 0)[0] is Answer.FOUND
    assert asked(task_of(*things), 0)[0] is Answer.IMPOSSIBLE
    answer, loads = asked(task_of(*things), 0, 0)
    assert answer is Answer.FOUND
    assert sorted(map(len, loads)) in ([1, 6], [2, 5], [3, 4])


def test_what_lies_on_what() -> None:
    # 20 ft under 20 ft at a later stop, a pallet that needs the deck, one that bears nothing: no third place
    later = (thing("a", 20, stop=1), thing("b", 20, stop=2), thing("c", 20, stop=2, height_in=25))
    answer, _ = asked(task_of(*later), 0)
    assert answer is Answer.FOUND  # a on b, c beside them
    own = (thing("a", 20, own_place=True), thing("b", 20, own_place=True), thing("c", 20, own_place=True))
    assert asked(task_of(*own), 0)[0] is Answer.IMPOSSIBLE
    bare = (
        thing("a", 20, bears=0),
        thing("b", 20, bears=0),
        thing("c", 20, bears=0),
        thing("d", 20, bears=0),
    )
    assert asked(task_of(*bare[:2]), 0)[0] is Answer.FOUND
    assert asked(task_of(*bare), 0)[0] is Answer.IMPOSSIBLE
    one = (*bare[:2], thing("e", 20, bears=1), thing("f", 20, bears=1))
    assert asked(task_of(*one), 0)[0] is Answer.FOUND


def test_wide_packs() -> None:
    # 40 in take both lanes: 12 ft of them leave 8 ft; a bundle lies on a pack, a pack on no bundle
    wide = [thing(f"w{n}", 12, width_in=40, height_in=14, pack=True) for n in range(2)]
    assert asked(task_of(*wide, thing("a", 8), thing("b", 8)), 0)[0] is Answer.FOUND
    assert asked(task_of(*wide, thing("a", 9, stop=2)), 0)[0] is Answer.IMPOSSIBLE
    high = thing("h", 12, width_in=40, height_in=20, pack=True)
    assert asked(task_of(high, thing("a", 12)), 0)[0] is Answer.FOUND
    assert asked(task_of(thing("p", 10, width_in=40, pack=True, stop=1), thing("a", 20, stop=2)), 0)[0] is (
        Answer.IMPOSSIBLE
    )


def test_trucks_of_different_kinds() -> None:
    # the low one bears one tier of 20 in, the short one carries nothing of 20 ft
    low = TruckKind("Low", 20 * FT, 40 * IN, 10_000, 20 * IN, 1, 0)
    short = TruckKind("Short", 8 * FT, 60 * IN, 10_000, 30 * IN, 3, 0)
    long = [thing(str(n), 20) for n in range(8)]
    assert asked(task_of(*long, kinds=(SMALL, low)), 0, 1)[0] is Answer.FOUND  # six and two
    assert asked(task_of(*long, thing("x", 20), kinds=(SMALL, low)), 0, 1)[0] is Answer.IMPOSSIBLE
    answer, loads = asked(task_of(*long[:6], thing("s", 8, 9000), kinds=(SMALL, short)), 0, 1)
    assert answer is Answer.FOUND
    assert loads[1] == ("s",)


def test_a_pack_that_is_wide_on_one_kind_only() -> None:
    # 30 in: two lanes of the narrow truck, two of three of the wide one as well; 20 in bundles one of either.
    # On the wide truck of one 60 in lane each is as wide as the other
    broad = TruckKind("Broad", 10 * FT, 39 * IN, 10_000, 30 * IN, 3, 0)
    task = replace(
        task_of(thing("a", 20), thing("b", 20), thing("w", 10, width_in=30, pack=True), kinds=(SMALL, broad)),
        lane_width_16=20 * IN,
    )
    answer, loads = asked(task, 0, 1)
    assert answer is Answer.FOUND
    assert loads == [("a", "b"), ("w",)]


def test_not_decided_within_no_time() -> None:
    assert asked(task_of(*(thing(str(n), 10 + n / 12) for n in range(12))), 0, limit=0)[0] is Answer.OPEN
