"""Joists that run out over their last bearing to a free edge (R2, R4, R5), in inches."""

from __future__ import annotations

from typing import Any

from framing.engine.floor import FloorPlan
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


def test_trimmers_and_partition_joists_run_out_with_the_overhang() -> None:
    # The opening lies between W1 and the far wall: its trimmers, in the joists' place, hold the overhang up too, and
    # so does the joist under a bearing partition there.
    stair = {"id": "S1", "name": "Stair", "corner": [30, 60], "size": [20, 60]}
    partition = {"id": "P1", "from": [80, 60], "to": [80, 120], "bearing": True}
    plan = real_plan(
        box(0, 0, 96, 168), edges=FREE, supports=[_wall("W1", 24)], openings=[stair], partitions=[partition]
    )
    (bay,) = lay_all(plan)
    built_up = [m for m in bay.members if m.plies == 2 and m.runs == "along"]
    assert [(m.low_16 / 16, m.high_16 / 16) for m in built_up] == [(1.5, 166.5)] * 3
    assert {(m.low.kind, tuple(c.support for c in m.crossings)) for m in built_up} == {
        (EndKind.FREE, ("W1",))
    }
    # Tails on the low side run from the free edge over W1 to the header at 60 - 4 3/8 - 3/8.
    tails = [m for m in bay.members if m.high.kind is EndKind.HEADER]
    assert {(m.low_16 / 16, m.high_16 / 16, len(m.crossings)) for m in tails} == {(1.5, 55.25, 1)}


def test_an_opening_in_the_overhang() -> None:
    # Both edges are free. A hatch 20 wide in the high overhang: beyond its header a tail would hang on that alone. One
    # that leaves no station between its trimmers (65 1/8 to 78 7/8, stations 64 and 80) is framed, and its trimmers run
    # back to the bearing behind, here to the other free edge.
    edges = [*FREE, {"edge": 2, "kind": "free"}]

    def floor(x: float, width: float, y: float = 190) -> FloorPlan:
        hatch = {"id": "S1", "name": "Hatch", "kind": "shaft", "corner": [x, y], "size": [width, 12]}
        walls = [_wall("W1", 36), _wall("W2", 180)]
        return real_plan(box(0, 0, 96, 216), edges=edges, supports=walls, openings=[hatch])

    assert "from one bearing alone" in refused(floor(40, 20)).message
    for y in (190, 14):
        (bay,) = lay_all(floor(69.5, 5, y))
        trimmers = [m for m in bay.members if m.plies == 2 and m.runs == "along"]
        assert [(m.low_16 / 16, m.high_16 / 16, len(m.crossings)) for m in trimmers] == [(1.5, 214.5, 2)] * 2
