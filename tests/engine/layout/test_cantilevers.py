"""Joists that run out over their last bearing to a free edge (R2, R4, R5), in inches."""

from __future__ import annotations

from typing import Any

from framing.engine.members import EndKind
from tests.engine.layout.real import box, lay_all, reach, real_plan, refused

FREE = [{"edge": 0, "kind": "free"}]


def _wall(ident: str, y: float, joint: str = "lap") -> dict[str, Any]:
    return {"id": ident, "from": [0, y], "to": [96, y], "joint": joint}


def test_the_piece_passes_the_bearing_beside_a_free_edge() -> None:
    # Cut as at any rim: 1 1/2 from the outline both ends; in one piece over W1, whatever its joint says.
    for joint in ("lap", "butt", "through"):
        (bay,) = lay_all(real_plan(box(0, 0, 96, 168), edges=FREE, supports=[_wall("W1", 24, joint)]))
        assert [reach(m) for m in bay.members] == [(x, 1.5, 166.5) for x in (16, 32, 48, 64, 80)]
        joist = bay.members[0]
        assert (joist.low.kind, joist.low.host, joist.low.face_16 / 16) == (EndKind.FREE, "edge:0", 1.125)
        assert [(c.support, c.centre_16 / 16) for c in joist.crossings] == [("W1", 24)]
        # The overhang is a span of its own, from the rim's inside face.
        assert [(s.low_face_16 / 16, s.high_face_16 / 16) for s in bay.spans] == [
            (1.125, 22.25),
            (25.75, 162.5),
        ]


def test_further_bearings_keep_their_joint() -> None:
    walls = [_wall("W1", 24), _wall("W2", 120)]
    (bay,) = lay_all(real_plan(box(0, 0, 96, 240), edges=FREE, supports=walls))
    first, second = (next(m for m in bay.members if m.line == line) for line in (0, 1))
    assert (first.low_16 / 16, first.high_16 / 16) == (1.5, 126.0)
    assert (second.low_16 / 16, second.high_16 / 16, second.shifted) == (114.0, 238.5, True)


def test_both_ends_free() -> None:
    edges = [*FREE, {"edge": 2, "kind": "free"}]
    (bay,) = lay_all(real_plan(box(0, 0, 96, 168), edges=edges, supports=[_wall("W1", 24), _wall("W2", 144)]))
    joist = bay.members[0]
    assert (joist.low.kind, joist.high.kind, len(joist.crossings)) == (EndKind.FREE, EndKind.FREE, 2)


def test_a_joist_without_two_bearings_is_refused() -> None:
    edges = [*FREE, {"edge": 2, "kind": "free"}]
    beam = {"id": "F1", "kind": "flush_beam", "from": [0, 24], "to": [96, 24]}
    for parts in (
        {"edges": FREE},
        {"edges": edges, "supports": [_wall("W1", 24)]},
        {"edges": FREE, "supports": [beam]},
    ):
        assert "without two bearings behind it" in refused(real_plan(box(0, 0, 96, 168), **parts)).message


def test_a_piece_left_on_one_bearing_beside_an_opening_is_refused() -> None:
    # The opening's high edge stands on the bearing that the joists pass: beyond it they would start there and run out
    # to the free edge with nothing else under them.
    stair = {"id": "S1", "name": "Stair", "corner": [20, 100], "size": [40, 44]}
    plan = real_plan(
        box(0, 0, 96, 168), edges=[{"edge": 2, "kind": "free"}], supports=[_wall("W1", 144)], openings=[stair]
    )
    assert "would run out to the free edge from one bearing alone" in refused(plan).message
