"""Floors of several bays (R1, R3, R5), worked by hand in inches."""

from __future__ import annotations

from typing import Any

import pytest

from framing.engine.floor import FloorPlan
from framing.engine.layout import layout_warnings
from framing.engine.members import EndKind, MemberKind
from tests.engine.layout.builders import PRACTICE
from tests.engine.layout.real import box, lay_all, reach, real_plan, refused

WALL = {"id": "W1", "from": [120, 0], "to": [120, 144]}


def _two(width: float, depth: float, at: float, **second: Any) -> list[dict[str, Any]]:
    return [
        {"id": "A", "direction": "y", "outline": box(0, 0, at, depth)},
        {"id": "B", "direction": "y", "outline": box(at, 0, width, depth), **second},
    ]


def test_two_directions_over_an_inner_wall() -> None:
    # Bay A 120 wide, along y: stations 16 to 112, outline to outline 144 - 3. Bay B along x: from the wall's centre
    # 120 + 3/16 to 240 - 1 1/2, stations 16 to 128 up from y = 0 (144 is the outline: not set).
    bays = _two(240, 144, 120, direction="x")
    plan = real_plan(box(0, 0, 240, 144), bays=bays, supports=[WALL])
    first, second = lay_all(plan)
    assert [reach(m) for m in first.members] == [(x, 1.5, 142.5) for x in range(16, 120, 16)]
    assert [reach(m) for m in second.members] == [(y, 120.1875, 238.5) for y in range(16, 144, 16)]
    joist = second.members[0]
    assert (joist.low.kind, joist.low.host, joist.low.face_16 / 16) == (EndKind.BUTT, "support:W1", 121.75)
    assert (joist.high.kind, joist.high.host) == (EndKind.PLATFORM, "edge:1")
    # The wall is no line of bay A, nor below the joists of bay B: nothing is shifted, all are first lines.
    assert {(m.line, m.shifted) for m in (*first.members, *second.members)} == {(0, False)}


def test_a_border_with_nothing_under_it_is_refused() -> None:
    short = {"id": "W1", "from": [120, 0], "to": [120, 100]}
    for supports in ([], [short], [{**WALL, "from": [122, 0], "to": [122, 144]}]):
        plan = real_plan(box(0, 0, 240, 144), bays=_two(240, 144, 120, direction="x"), supports=supports)
        assert "border with nothing under it" in refused(plan).message


def test_a_wall_under_a_part_of_a_border_only() -> None:
    # Bay B is an L: its joists along y end on the border at y = 60 for x in 48 to 96 and run past it elsewhere,
    # over the same wall, where they lap. All of them are the bay's second line, shifted by a flange (R5).
    ring_b = [[0, 60], [48, 60], [48, 0], [96, 0], [96, 120], [0, 120]]
    bays = [
        {"id": "A", "direction": "y", "outline": box(0, 0, 48, 60)},
        {"id": "B", "direction": "y", "outline": ring_b},
    ]
    wall = {"id": "W1", "from": [0, 60], "to": [96, 60]}
    plan = real_plan(box(0, 0, 96, 120), bays=bays, supports=[wall])
    _, second = lay_all(plan)
    ends = {(m.centre_16 / 16, m.low.kind, m.low_16 / 16) for m in second.members}
    assert (16 + 1.625, EndKind.BUTT, 60.1875) in ends
    assert (64 + 1.625, EndKind.LAP, 54.0) in ends


@pytest.mark.parametrize(
    ("spacing", "place"),
    # Last station of bay A (16 in) at 32. Second bay from 48: at 12 in its first stands at 60, 28 away: a joist at
    # 46. At 16 in: 64, 32 away: one on the border, of bay A. At 24: 72, 40 away: at 52, in bay B, 4 from its start.
    [("12", ("A", 46.0)), ("16", ("A", 48.0)), ("24", ("B", 4.0))],
)
def test_a_wide_space_between_two_bays_gets_a_closing_joist(spacing: str, place: tuple[str, float]) -> None:
    plan = real_plan(box(0, 0, 96, 96), bays=_two(96, 96, 48, spacing=spacing))
    added = [(m.bay, m.centre_16 / 16) for bay in lay_all(plan) for m in bay.members if m.station is None]
    assert added == [place]


def test_no_closing_joist_where_the_space_is_within_the_spacing() -> None:
    # Bay B starts on the border itself (offset 0): 48 - 32 is one spacing. Seen from the far side, too: bay B counts
    # down from 96, its last station 64 is 16 from the border, 32 from bay A's last: closed on the border by bay A.
    plan = real_plan(box(0, 0, 96, 96), bays=_two(96, 96, 48, offset="0"))
    assert all(m.station is not None for bay in lay_all(plan) for m in bay.members)
    plan = real_plan(box(0, 0, 96, 96), bays=_two(96, 96, 48, start="high"))
    first, second = lay_all(plan)
    assert [m.centre_16 / 16 for m in first.members] == [16, 32, 48]
    assert [second.frame.point(m.centre_16, 0).x_16 / 16 for m in second.members] == [80, 64]


def test_bays_apart_or_without_a_joist_beside_the_border_close_nothing() -> None:
    # Bays one above the other share a border that crosses the joists; a bay of one joist line beside the border.
    bays = [
        {"id": "A", "direction": "y", "outline": box(0, 0, 96, 96)},
        {"id": "B", "direction": "y", "outline": box(0, 96, 96, 192)},
    ]
    wall = {"id": "W1", "from": [0, 96], "to": [96, 96]}
    laid = lay_all(real_plan(box(0, 0, 96, 192), bays=bays, supports=[wall]))
    assert all(m.station is not None for bay in laid for m in bay.members)


def test_a_narrow_bay_is_refused_by_name() -> None:
    plan = real_plan(box(0, 0, 96, 96), bays=_two(96, 96, 88))
    assert refused(plan).message == "The bay B is too narrow for a joist; widen it."


def test_openings_and_partitions_belong_to_the_bay_they_lie_in() -> None:
    bays = _two(240, 144, 120, direction="x")
    opening = {"id": "S1", "name": "Stair", "corner": [150, 40], "size": [60, 40]}
    partition = {"id": "P1", "from": [60, 20], "to": [60, 100], "bearing": True}
    plan = real_plan(
        box(0, 0, 240, 144), bays=bays, supports=[WALL], openings=[opening], partitions=[partition]
    )
    first, second = lay_all(plan)
    assert [len(first.openings), len(second.openings)] == [0, 1]
    assert [m.centre_16 / 16 for m in first.members if m.plies == 2] == [60]
    assert {m.kind for m in second.members if m.plies == 2} == {MemberKind.TRIMMER, MemberKind.HEADER}


def test_double_joists_shift_by_their_own_width() -> None:
    wall = {"id": "W1", "from": [0, 72], "to": [96, 72]}
    (bay,) = lay_all(real_plan(box(0, 0, 96, 144), bays=[{"direction": "y", "plies": 2}], supports=[wall]))
    assert {(m.plies, m.width_16 / 16) for m in bay.members} == {(2, 3.25)}
    assert [m.centre_16 / 16 for m in bay.members if m.line == 1] == [x + 3.25 for x in (16, 32, 48, 64, 80)]


def test_of_two_joists_that_would_stand_in_each_other_the_later_bays_moves_or_goes() -> None:
    # Bay A's last station 48 (offset 0) is an inch before the border at 49; bay B's first stands on the border: 1 in
    # apart, flanges are 1 5/8 wide. Without it 17 in would be left to B's next, over 16: it moves to 48 + 1.625. At
    # offset 1/2 it is 1 1/2 apart; at offset 1 they are 2 apart and both stand. Where A's joists stand at 24 in, 17 in
    # are no matter: it goes. In A's place, from the high side on, the same.
    def second(offset: str, /, **first: Any) -> list[float]:
        bays = _two(96, 96, 49, offset=offset)
        bays[0] |= {"offset": "0", **first}
        return [m.centre_16 / 16 for m in lay_all(real_plan(box(0, 0, 96, 96), bays=bays))[1].members]

    assert second("0") == [0.625, 16, 32]
    assert second("1/2") == [0.625, 16.5, 32.5]
    assert second("1") == [1, 17, 33]
    assert second("0", spacing="24") == [16, 32]
    assert second("0", start="high", offset="1") == [0.625, 16, 32]


def test_two_joists_on_one_place_are_one() -> None:
    # Both stand on the border: without the later one 16 in are left.
    bays = _two(96, 96, 48, offset="0")
    bays[0] |= {"start": "high", "offset": "0"}
    assert [m.centre_16 / 16 for m in lay_all(real_plan(box(0, 0, 96, 96), bays=bays))[1].members] == [16, 32]


def test_from_the_other_side_the_later_bays_joist_moves_the_other_way() -> None:
    # B counts from x 96 down: 81.25, 65.25 and 49.25, 1 1/4 from A's 48; 65.25 is 17.25 from it: to 49.625.
    bays = _two(96, 96, 49, start="high", offset="14 3/4")
    bays[0]["offset"] = "0"
    second = lay_all(real_plan(box(0, 0, 96, 96), bays=bays))[1]
    assert [m.centre_16 / 16 for m in second.members] == [14.75, 30.75, 46.375]


def test_a_joist_moves_where_the_next_one_does_not_run_all_its_length() -> None:
    # B's next line at 65 is in two by a notch from y 40 to 56: 17 in to it, within A's 24, but not all along.
    ring = [[0, 0], [96, 0], [96, 40], [60, 40], [60, 56], [96, 56], [96, 96], [0, 96]]
    bays = [
        {"id": "A", "direction": "y", "offset": "0", "spacing": "24", "outline": box(0, 0, 49, 96)},
        {"id": "B", "direction": "y", "offset": "0", "outline": box(49, 0, 96, 96)},
    ]
    second = lay_all(real_plan(ring, bays=bays))[1]
    assert [m.centre_16 / 16 for m in second.members][:2] == [0.625, 16]


def test_where_a_step_drops_a_station_more_than_one_joist_closes_the_space() -> None:
    # A's 48 would move from the step's rim (x 48, a foot deep) to 52 1/8, beyond the border at 49: it is not set. From
    # 32 to B's first at 65 are 33 in: three spaces of 11 in, at 43 and 54, one in each bay.
    ring = [[0, 0], [96, 0], [96, 108], [48, 108], [48, 96], [0, 96]]
    first, second = lay_all(real_plan(ring, bays=_two(96, 108, 49)))
    assert [m.centre_16 / 16 for m in first.members] == [16, 32, 43]
    assert [m.centre_16 / 16 for m in second.members] == [5, 16, 32]


def test_a_wider_bays_double_joists_touch_by_their_own_widths() -> None:
    # 1 5/8 and 3 1/4 wide: 2.4375 apart.
    bays = _two(96, 96, 49, offset="0", plies=2)
    bays[0]["offset"] = "0"
    second = lay_all(real_plan(box(0, 0, 96, 96), bays=bays))[1]
    assert [m.centre_16 / 16 for m in second.members] == [1.4375, 16, 32]


def test_a_joist_that_runs_on_beyond_the_other_bay_stays() -> None:
    # Bay B is deeper than bay A, so its first joist, in the way of A's last for 96 in, is needed beyond.
    bays = [
        {"id": "A", "direction": "y", "offset": "0", "outline": box(0, 0, 49, 96)},
        {"id": "B", "direction": "y", "offset": "0", "outline": box(49, 0, 96, 120)},
    ]
    plan = real_plan([[0, 0], [96, 0], [96, 120], [49, 120], [49, 96], [0, 96]], bays=bays)
    assert lay_all(plan)[1].members[0].length_16 / 16 in (93.0, 117.0)


def test_a_joist_on_a_border_meets_a_skewed_wall_on_its_own_line() -> None:
    # The high wall rises 1 in 4 from 96 at x = 0: on the border at 48 it stands at 108: 108 - 3 = 105 long.
    plan = real_plan([(0, 0), (96, 0), (96, 120), (0, 96)], bays=_two(96, 130, 48))
    (closing,) = [m for m in lay_all(plan)[0].members if m.station is None]
    assert reach(closing) == (48, 1.5, 106.5)


def test_panels_that_end_on_a_border_without_a_joist_are_a_warning() -> None:
    # Closed on the border (bay B at 16 in): a joist stands under it. At 12 in the closing joist is 2 in away.
    # Of two directions the wall's border has no joist of bay A along it; the joists of bay B end on it.
    def said(plan: FloorPlan) -> list[str]:
        return [p.place for p in layout_warnings(plan, lay_all(plan), PRACTICE) if "Panels end" in p.message]

    assert said(real_plan(box(0, 0, 96, 96), bays=_two(96, 96, 48, spacing="16"))) == []
    assert said(real_plan(box(0, 0, 96, 96), bays=_two(96, 96, 48, spacing="12"))) == ["bays.0"]
    bays = _two(240, 144, 120, direction="x")
    assert said(real_plan(box(0, 0, 240, 144), bays=bays, supports=[WALL])) == ["bays.0"]


def test_a_shifted_joist_in_the_way_of_the_next_bays_is_a_warning() -> None:
    # Bay A's last station 46 is shifted to 47 5/8 in its second line (W1 at 48); bay B's first stands on the border at
    # 49: 1 3/8 apart, flanges are 1 5/8 wide. The first line, at 46, is 3 away.
    bays = _two(96, 96, 49, offset="0")
    bays[0]["offset"] = "14"
    wall = {"id": "W1", "from": [0, 48], "to": [49, 48]}
    plan = real_plan(box(0, 0, 96, 96), bays=bays, supports=[wall])
    laid = lay_all(plan)
    (found,) = [p for p in layout_warnings(plan, laid, PRACTICE) if "each other's way" in p.message]
    assert found.message.startswith("A.J6 and B.J1 ")


def test_a_border_wall_drawn_to_the_inside_of_a_skewed_wall_bears_to_the_outline() -> None:
    # The right wall leans from (240, 0) to (276, 144): where the border at y = 72 meets it, x = 258. The wall under the
    # border ends 3/4 in short of it: within the site's inch, so the joist at 257 3/4 stands on it. At 2 in it does not.
    def floor(end: float) -> FloorPlan:
        bays = [
            {"id": "A", "direction": "y", "outline": box(0, 0, 300, 72)},
            {"id": "B", "direction": "y", "offset": "1 3/4", "outline": box(0, 72, 300, 144)},
        ]
        wall = {"id": "W1", "from": [0, 72], "to": [end, 72]}
        return real_plan([(0, 0), (240, 0), (276, 144), (0, 144)], bays=bays, supports=[wall])

    _, second = lay_all(floor(257.25))
    (joist,) = [m for m in second.members if m.centre_16 / 16 == 257.75]
    assert (joist.low.kind, joist.low.host) == (EndKind.BUTT, "support:W1")
    problem = refused(floor(255))
    assert (problem.place, "border with nothing under it" in problem.message) == ("bays.0", True)


def test_a_joist_beside_a_border_in_the_ends_of_the_other_bays_joists_is_a_warning() -> None:
    # Bay A's last station 119 3/8 is 5/8 in before the border at 120: its flange reaches 3/16 in over it, to 120 3/16,
    # where bay B's joists begin. One sixteenth further (119 7/16) they stand in each other, all eight.
    def said(offset: str) -> int:
        bays = _two(240, 144, 120, direction="x")
        bays[0]["offset"] = offset
        plan = real_plan(box(0, 0, 240, 144), bays=bays, supports=[WALL])
        return sum("each other's way" in p.message for p in layout_warnings(plan, lay_all(plan), PRACTICE))

    assert (said("7 3/8"), said("7 7/16")) == (0, 8)


def test_a_wall_that_only_ends_at_a_border_is_no_bearing_of_it() -> None:
    # W2 runs along bay B's joists but for 7/16 in and ends on the border, 13/16 in from the station at 16. The border's
    # bearing is W1, right across: the joist butts over that.
    bays = [
        {"id": "A", "direction": "x", "outline": box(0, 0, 96, 96)},
        {"id": "B", "direction": "y", "outline": box(0, 96, 96, 192)},
    ]
    walls = [
        {"id": "W1", "from": [0, 96], "to": [96, 96]},
        {"id": "W2", "from": ["14 3/4", 0], "to": ["15 3/16", 96], "joint": "butt"},
    ]
    _, second = lay_all(real_plan(box(0, 0, 96, 192), bays=bays, supports=walls))
    assert {m.low.host for m in second.members} == {"support:W1"}
    assert len(second.members) == 5
