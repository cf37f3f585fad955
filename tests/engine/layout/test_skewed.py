"""Skewed outlines and bearings (R2-R5), worked by hand in inches."""

from __future__ import annotations

from framing.engine.floor import FloorPlan
from framing.engine.layout import layout_warnings
from tests.engine.layout.builders import PRACTICE, joists
from tests.engine.layout.real import lay_all, reach, real_plan, refused


def test_joists_end_where_their_centre_line_meets_the_wall() -> None:
    # The high wall falls from 144 to 120 over 96, 1 in 4: 144 - x / 4. At 16: 140, less 1 1/2: 138 1/2.
    (bay,) = lay_all(real_plan([(0, 0), (96, 0), (96, 120), (0, 144)]))
    assert [reach(m) for m in bay.members] == [(x, 1.5, 144 - x / 4 - 1.5) for x in (16, 32, 48, 64, 80)]
    # Its inside face on the line at 16: 5 1/2 x sqrt(17) / 4 = 5.669 inside 140 is 134.331, 134 5/16 in sixteenths.
    first = bay.members[0]
    assert (first.low.face_16 / 16, first.high.face_16 / 16) == (5.5, 134.3125)
    assert [len({m.mark for m in bay.members}), bay.spans[0].clear_16 / 16] == [5, 134.3125 - 5.5]


def test_short_pieces_in_a_sharp_corner_are_left_out_and_said() -> None:
    # 45 degrees: 96 - x high; set back at the skew 1 1/8 x 1.4142 + 13/16 = 2.4035, over 1 1/2.
    # At 80: 16 - 1.5 - 2.4035 = 12.096: 12 1/16, just long enough. Moved 1/8 on by the offset it is 11.97: out.
    corner = [(0, 0), (96, 0), (0, 96)]
    (bay,) = lay_all(real_plan(corner))
    assert [m.length_16 / 16 for m in bay.members] == [12.0625 + 16 * k for k in (4, 3, 2, 1, 0)]
    plan = real_plan(corner, bays=[{"direction": "y", "offset": "80 1/8"}])
    # (an offset over one spacing is refused by the floor's checks; layout alone takes it)
    problem = refused(plan)
    assert "too narrow for a joist" in problem.message
    # From 8 1/8 on the sixth stands at 88 1/8: 7 7/8 - 3.9035 = 3.97, 3 15/16.
    plan = real_plan(corner, bays=[{"direction": "y", "offset": "8 1/8"}])
    (bay,) = lay_all(plan)
    assert len(bay.members) == 5
    assert [p.message for p in layout_warnings(plan, [bay], PRACTICE)] == [
        'A joist of 3 15/16" at the skewed wall is too short to set; block the corner on site.'
    ]


def test_a_skewed_inner_wall_is_met_on_the_joists_line() -> None:
    # Wall from (0, 60) to (96, 84): 60 + x / 4. Butted 3/16 either side of its centre; at 16: 64.
    wall = {"id": "W1", "from": [0, 60], "to": [96, 84], "joint": "butt"}
    (bay,) = lay_all(real_plan([(0, 0), (96, 0), (96, 144), (0, 144)], supports=[wall]))
    assert [reach(m) for m in joists(bay, line=0)] == [
        (x, 1.5, 60 + x / 4 - 0.1875) for x in (16, 32, 48, 64, 80)
    ]
    assert [reach(m) for m in joists(bay, line=1)] == [
        (x, 60 + x / 4 + 0.1875, 142.5) for x in (16, 32, 48, 64, 80)
    ]
    # Half of 3 1/2 through the slant: 1.804; the nearest sixteenth of the whole, 3.6079 -> 3 5/8, halved: 1 13/16.
    assert joists(bay, line=0)[0].high.face_16 / 16 == 64 - 1.8125


def test_a_shifted_joist_meets_the_skewed_wall_on_its_own_line() -> None:
    # Lapped at y = 60, the second line stands 1 5/8 on: at 17 5/8 the wall is at 144 - 17.625 / 4 = 139.594, less
    # 1 1/2: 138.094; from 54: 84.094, 84 1/16 long. The first line ends at the wall's lap, untouched.
    wall = {"id": "W1", "from": [0, 60], "to": [96, 60]}
    (bay,) = lay_all(real_plan([(0, 0), (96, 0), (96, 120), (0, 144)], supports=[wall]))
    assert reach(joists(bay, line=1)[0]) == (17.625, 54.0, 54 + 84.0625)


def test_a_joist_that_gives_way_keeps_off_the_skewed_wall() -> None:
    # Opening x 50 to 80 against the low wall's bearing: its first trimmer stands on 45 5/8 to 48 7/8, the station 48
    # goes. Station 80 lies between: a tail; 96 at the trimmer 81 1/8 to 84 3/8 stays. With the opening from 34 3/4
    # its trimmer takes 30 3/8 to 33 5/8: the joist at 32 goes; the one at 28 (offset 12, 16 on) moves to 29 9/16.
    stair = {"id": "S1", "corner": [34.75, 5], "size": [20, 40]}
    outline = [(0, 0), (144, 0), (144, 108), (0, 144)]
    (bay,) = lay_all(real_plan(outline, bays=[{"direction": "y", "offset": "13 3/4"}], openings=[stair]))
    moved = [m for m in joists(bay) if "moved" in m.why]
    assert [reach(m) for m in moved] == [(29.5625, 1.5, 1.5 + 133.5625)]


def test_a_lap_neighbour_that_moves_clear_meets_the_skewed_wall_there() -> None:
    # The stair's first trimmer takes 28 to 31 1/4; the joist lapping beside it at 33 5/8 (32 shifted) moves clear of
    # its moved neighbour, to 33 11/16: the wall is at 288 - 33.6875 / 4 = 279.578; from 138, less 1 1/2: 140.078.
    wall = {"id": "W1", "from": [0, 144], "to": [192, 144]}
    stair = {"id": "S1", "corner": [32.375, 20], "size": [40, 100]}
    (bay,) = lay_all(real_plan([(0, 0), (192, 0), (192, 240), (0, 288)], supports=[wall], openings=[stair]))
    (clear,) = [m for m in joists(bay, line=1) if "moved clear" in m.why]
    assert reach(clear) == (33.6875, 138.0, 138 + 140.0625)


def test_a_header_needs_its_room_at_both_sides_of_a_skewed_wall() -> None:
    # The low wall rises 1 in 8: at the opening's sides, x = 40 and 80, it stands at 5 and 10; at the far trimmer's
    # centre, 82 3/4, at 10.344: that begins 1 1/2 further, at 11.844, and has 3/8 of clearance: 11.469. A header takes
    # 4 3/8, so the opening begins at 15.844 at the least.
    def floor(low: str) -> FloorPlan:
        stair = {"id": "S1", "name": "Stair", "corner": [40, low], "size": [40, 40]}
        return real_plan([(0, 0), (96, 12), (96, 144), (0, 144)], openings=[stair])

    assert "leaves no room for its header" in refused(floor("15 13/16")).message
    (framed,) = lay_all(floor("15 7/8"))[0].openings
    assert framed.header_low is not None
