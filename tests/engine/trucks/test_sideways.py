"""Lanes of a load: worked cases, and small cases against all orders tried one by one (R47)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import permutations

from hypothesis import given, settings
from hypothesis import strategies as st

from framing.engine.trucks.plan import Stack
from framing.engine.trucks.sideways import evened


def stack(lane: int, lanes: int, name: str, x_16: int = 0) -> Stack:
    return Stack(lane, lanes, x_16, (name,))


def singles(names: Iterable[str], first: int = 1) -> list[Stack]:
    return [stack(lane, 1, name) for lane, name in enumerate(names, first)]


def lean(stacks: list[Stack], lanes: int, weights: Mapping[str, int]) -> int:
    """Twice the moment about the middle of the deck, by each stack's own middle."""
    return abs(
        sum(weights[one.things[0]] * (2 * (one.lane - 1) + one.lanes - lanes) for one in stacks if one.things)
    )


def test_a_single_wide_stack_goes_to_the_middle() -> None:
    assert evened([stack(1, 3, "boards")], 11, {"boards": 24800}.__getitem__) == [stack(5, 3, "boards")]


def test_equal_lanes_stand_about_the_middle() -> None:
    weights = dict.fromkeys("abcd", 1000)
    lanes = sorted(one.lane for one in evened(singles("abcd"), 8, weights.__getitem__))
    assert lanes == [3, 4, 5, 6]


def test_the_heaviest_stands_between_the_others() -> None:
    weights = {"a": 200, "b": 900, "c": 200}
    moved = {one.things[0]: one.lane for one in evened(singles("abc"), 5, weights.__getitem__)}
    assert moved["b"] == 3
    assert {moved["a"], moved["c"]} == {2, 4}


def test_what_is_left_of_the_lean_is_at_the_drivers_side() -> None:
    weights = {"a": 1000, "b": 3000, "c": 2000}
    moved = {one.things[0]: one.lane for one in evened(singles("abc"), 3, weights.__getitem__)}
    assert moved == {"c": 1, "b": 2, "a": 3}


def test_what_stands_behind_a_wide_stack_moves_with_it() -> None:
    """Of 8 lanes 4 are taken: 5000 over three and 3000 behind it on one of them, 4000 on the fourth.

    By hand, distances from the middle in half lanes with the wide one on lanes 2 to 4: 5000 x -3 + 3000 x -1 behind
    its right lane + 4000 x 1 = -14000; on lanes 3 to 5: 5000 x -1 + 3000 x -3 behind its left one + 4000 x 3 = -2000.
    """
    weights = {"wide": 5000, "behind": 3000, "alone": 4000}
    load = [stack(1, 3, "wide"), stack(1, 1, "behind", 2000), stack(4, 1, "alone")]
    moved = {one.things[0]: one for one in evened(load, 8, weights.__getitem__)}
    assert moved["wide"].lane <= moved["behind"].lane <= moved["wide"].lane + 2
    assert {name: one.x_16 for name, one in moved.items()} == {"wide": 0, "behind": 2000, "alone": 0}
    assert lean(list(moved.values()), 8, weights) == 2000


def test_nothing_loaded_stays_nothing() -> None:
    weights: dict[str, int] = {}
    assert evened([], 6, weights.__getitem__) == []


@st.composite
def small_loads(draw: st.DrawFn) -> tuple[list[Stack], int, dict[str, int]]:
    lanes = draw(st.integers(1, 6))
    stacks, first = [], 1
    while first <= lanes:
        width = draw(st.integers(1, min(3, lanes - first + 1)))
        if draw(st.booleans()):
            stacks.append(stack(first, width, f"t{first}"))
            if draw(st.booleans()):
                stacks.append(stack(draw(st.integers(first, first + width - 1)), 1, f"u{first}", 500))
        first += width
    return stacks, lanes, {one.things[0]: draw(st.integers(0, 5000)) for one in stacks}


@settings(max_examples=150)
@given(small_loads())
def test_stacks_stay_whole_apart_and_before_what_they_stood_before(
    case: tuple[list[Stack], int, dict[str, int]],
) -> None:
    stacks, lanes, weights = case
    moved = evened(stacks, lanes, weights.__getitem__)
    before = sorted((one.things, one.lanes, one.x_16) for one in stacks)
    assert sorted((one.things, one.lanes, one.x_16) for one in moved) == before
    taken = [(lane, one.x_16) for one in moved for lane in range(one.lane, one.lane + one.lanes)]
    assert len(taken) == len(set(taken))
    assert all(one.lane >= 1 and one.lane + one.lanes - 1 <= lanes for one in moved)
    lane_of = {one.things[0]: one for one in moved}
    for name, one in lane_of.items():
        if name[0] == "u":
            wide = lane_of["t" + name[1:]]
            assert wide.lane <= one.lane < wide.lane + wide.lanes


@settings(max_examples=80)
@given(st.lists(st.integers(1, 5000), min_size=1, max_size=5), st.integers(0, 4))
def test_single_lanes_lean_no_more_than_the_best_order_and_a_little(loads: list[int], spare: int) -> None:
    """Against all orders of lanes that stand side by side: within a fortieth of the load times the deck's width."""
    lanes = len(loads) + spare
    weights = {f"t{n}": load for n, load in enumerate(loads)}
    best = min(
        lean(singles(order, first), lanes, weights)
        for order in permutations(weights)
        for first in range(1, spare + 2)
    )
    found = lean(evened(singles(weights), lanes, weights.__getitem__), lanes, weights)
    assert best <= found <= best + sum(loads) * lanes / 20
