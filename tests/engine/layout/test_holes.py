"""R10: one grid for the whole bay, clear of bearings, headers and point loads."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from framing.engine.layout import assign_marks, layout_floor
from framing.engine.members import BayLayout
from tests.engine.layout.builders import JOIST, PRACTICE, document, lay, plan_of, rectangle, sample


def _places(layout: BayLayout) -> list[set[int]]:
    return [{m.low_16 + hole for hole in m.holes_16} for m in layout.members if m.holes_16]


def test_holes_of_all_joists_are_in_line_at_the_pitch() -> None:
    for name in ("house", "townhouse", "corridor"):
        every = sorted(set().union(*_places(lay(sample(name)))))
        assert {(b - a) % PRACTICE.hole_pitch_16 for a, b in pairwise(every)} == {0}


def test_holes_keep_ten_inches_clear_of_bearings_and_headers() -> None:
    # Hole 4 in long: its edge is 2 in from its centre.
    layout = lay(sample("house"))
    faces = {m.id: [m.low.face_16, m.high.face_16] for m in layout.members}
    for member in layout.members:
        for hole in member.holes_16:
            at = member.low_16 + hole
            assert at - 32 - faces[member.id][0] >= 160
            assert faces[member.id][1] - at - 32 >= 160


def test_a_through_joist_keeps_clear_of_the_bearing_it_crosses() -> None:
    wall = {"id": "W1", "from": [0, 144], "to": [120, 144], "joint": "through"}
    layout = lay(rectangle(120, 288, supports=[wall]))
    for places in _places(layout):
        assert all(abs(at - 144 * 16) >= 28 + 160 + 32 for at in places)
    # The grid line nearest the bearing is left out of all of them, so nothing is missing in one only.
    assert not any(member.omitted for member in layout.members)


def test_a_bearing_wall_across_the_joists_is_a_point_load() -> None:
    outline = [[0, 0], [240, 0], [240, 168], [0, 168]]
    wall = {"id": "P1", "from": [0, 84], "to": [100, 84], "bearing": True, "load_plf": 200}
    layout = lay(plan_of(document(outline, partitions=[wall])))
    below = [m for m in layout.members if m.centre_16 <= 1600]
    assert all(abs(m.low_16 + hole - 84 * 16) >= 192 for m in below for hole in m.holes_16)
    assert {len(m.holes_16) for m in below} == {6}  # grid at 24, 48, 72 | 96, 120, 144: 12 in either side


def test_a_hole_over_half_the_depth_is_not_punched() -> None:
    plan = rectangle(120, 168)
    deep = replace(JOIST, hole_depth_in=JOIST.depth_in / 2 + 0.01)
    (layout,) = assign_marks(plan, layout_floor(plan, {"A": deep}, PRACTICE), {"A": deep}, PRACTICE)
    assert layout.hole_phase_16 is None
    assert {m.holes_16 for m in layout.members} == {()}


def test_a_short_floor_has_room_for_no_hole_and_says_nothing() -> None:
    # 30 in deep: faces 5.5 and 24.5 leave nothing 12 in from both.
    layout = lay(rectangle(120, 30))
    assert {m.holes_16 for m in layout.members} == {()}
    assert {m.omitted for m in layout.members} == {()}
