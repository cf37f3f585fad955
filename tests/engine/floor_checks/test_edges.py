"""Edges of several bays, and free edges with a bearing behind them (R2, R51)."""

from __future__ import annotations

from typing import Any

import pytest

from tests.engine.floor_checks.asking import bay, bearing, box, refused, warned

LEFT, RIGHT = box(0, 0, 120, 168), box(120, 0, 240, 168)
TWO_WAYS = {
    "bays": [bay("A", LEFT), bay("B", RIGHT, "x")],
    "supports": [bearing([120, 0], [120, 168])],
}


def test_an_edge_may_end_joists_of_one_bay_and_run_along_those_of_the_next() -> None:
    for kind in ("platform", "balloon"):
        assert warned(**TWO_WAYS, edges=[{"edge": 0, "kind": kind}]) == []
    place, message = refused(**TWO_WAYS, edges=[{"edge": 0, "kind": "parallel"}])
    assert place == "edges.0"
    assert "has joists with no bearing; make it platform, balloon or free" in message


@pytest.mark.parametrize("kind", ["balloon", "free"])
def test_an_edge_along_all_joists_is_neither_ledger_nor_free(kind: str) -> None:
    # The left edge runs along the joists of A and touches no other bay.
    place, message = refused(**TWO_WAYS, edges=[{"edge": 3, "kind": kind}])
    assert place == "edges.3"
    assert message == (
        'The edge from (0", 14\'-0") to (0", 0") runs along the joists, so none end on it; make it parallel or '
        "turn the joists."
    )


def test_what_was_left_open_or_is_parallel_there_passes() -> None:
    assert warned(**TWO_WAYS) == []
    assert warned(**TWO_WAYS, edges=[{"edge": 3, "kind": "parallel"}]) == []


def test_a_free_edge_has_a_bearing_behind_it_that_joists_run_over() -> None:
    free = [{"edge": 2, "kind": "free", "width": 0}]
    place, message = refused(edges=free)
    assert place == "edges.2"
    assert message == (
        'The edge from (20\'-0", 14\'-0") to (0", 14\'-0") is free, but the joists of bay A cross no wall or beam '
        "behind it; draw one that they run over, or make the edge platform or balloon."
    )
    assert warned(edges=free, supports=[bearing([0, 144], [240, 144])]) == []
    assert warned(edges=free, supports=[bearing([0, 144], [240, 140], "beam")]) == []


@pytest.mark.parametrize(
    "support",
    [
        bearing([0, 144], [240, 144], "flush_beam"),  # joists end at it
        bearing([100, 0], [100, 168]),  # runs along them
    ],
)
def test_what_joists_do_not_run_over_holds_no_free_edge(support: dict[str, Any]) -> None:
    place, message = refused(edges=[{"edge": 2, "kind": "free"}], supports=[support])
    assert place == "edges.2"
    assert "cross no wall or beam behind it" in message


def test_a_bearing_beside_the_free_edge_is_not_behind_it() -> None:
    step = [[0, 0], [240, 0], [240, 120], [144, 120], [144, 240], [0, 240]]
    wall = bearing([144, 60], [240, 60])
    # Edge 4 is the top of the stem, x 0 to 144; the wall bears from x 144 on.
    assert refused(step, edges=[{"edge": 4, "kind": "free"}], supports=[wall])[0] == "edges.4"
    assert warned(step, edges=[{"edge": 2, "kind": "free"}], supports=[wall]) == []


def test_bays_along_the_other_axis_are_judged_in_their_own_direction() -> None:
    turned = {"bays": [bay("A", None, "x")], "edges": [{"edge": 1, "kind": "free"}]}
    assert refused(**turned)[0] == "edges.1"
    assert warned(**turned, supports=[bearing([200, 0], [200, 168])]) == []


def test_the_width_of_a_wall_that_carries_nothing_is_not_asked() -> None:
    wall = [bearing([0, 144], [240, 144])]
    assert warned(edges=[{"edge": 2, "kind": "free", "width": "1"}], supports=wall) == []
    place, message = refused(edges=[{"edge": 2, "kind": "platform", "width": "1"}], supports=wall)
    assert place == "edges.2"
    assert 'has a wall 1" wide; it must be over 1 1/2"' in message
