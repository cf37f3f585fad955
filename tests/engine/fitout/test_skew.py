"""Fit-out at skewed walls on slopes of 3 in 4 (5 along the slope), worked by hand in inches."""

from __future__ import annotations

from fractions import Fraction

from framing.engine.catalogue import load_catalogue
from framing.engine.fitout import fit_out
from framing.engine.fitout.intervals import root, root_up
from framing.engine.fitout.panels import open_panels, rows_of
from framing.engine.fitout.scene import scene_of
from framing.engine.floor import EdgeKind, FloorPlan
from framing.engine.members import EndKind
from framing.engine.placement import Item
from framing.engine.practice import Practice
from tests.engine.fitout.builders import (
    end,
    in16,
    joist,
    laid,
    layout,
    plan,
    span,
    things,
    typed,
)


def _rising() -> FloorPlan:
    # 96 wide, its top edge rises 72 from (0, 132) to (96, 204): 120 long.
    return typed([(0, 0), (96, 0), (96, 204), (0, 132)])


def _leaning() -> FloorPlan:
    # 96 deep, its right side leans from (136, 0) to (64, 96): 120 long, 72 across. Joists end on it.
    return typed([(0, 0), (136, 0), (64, 96), (0, 96)])


def test_boards_run_the_whole_slope_and_parallel_ones_fit_between() -> None:
    # R28: the slope bears: 120; bottom 96; sides 204 - 2.25 = 201.75 and 132 - 2.25 = 129.75.
    boards = {b.host: b.quantity for b in things(_rising()) if b.item is Item.RIM_BOARD}
    assert boards == {
        "edge:0": in16(96),
        "edge:1": in16(201.75),
        "edge:2": in16(120),
        "edge:3": in16(129.75),
    }


def test_two_bearing_boards_at_a_corner_run_their_full_lengths() -> None:
    boards = {b.host: b.quantity for b in things(_leaning()) if b.item is Item.RIM_BOARD}
    assert boards == {
        "edge:0": in16(136),
        "edge:1": in16(120),
        "edge:2": in16(64),
        "edge:3": in16(93.75),
    }


def test_a_slope_that_is_no_whole_sixteenth_rounds_up() -> None:
    # 10 across, 10 up: 14.142 in, 226.27 sixteenths.
    assert root_up(160**2 + 160**2) == 227
    assert root_up(0) == 0
    assert root(Fraction(9, 16)) == Fraction(3, 4)
    close = root(Fraction(2))
    assert close**2 <= 2 < (close + Fraction(1, 2**40)) ** 2


def test_a_board_on_a_slope_is_drawn_along_it_half_its_thickness_inside() -> None:
    # 9/16 square to the slope: 9/16 x 3/5 across, 9/16 x 4/5 along, off the corners (0, 132) and (96, 204).
    board = next(b for b in things(_rising()) if b.host == "edge:2")
    assert board.to is not None
    ends = sorted((p.x_16, p.y_16) for p in (board.at, board.to))
    assert ends == [(round(5.4), round(2112 - 7.2)), (round(1536 + 5.4), round(3264 - 7.2))]


def test_a_run_ends_at_the_inside_face_of_a_leaning_rim() -> None:
    # One span of 182.5 clear has its line at 96.75 (hand-built). The side stands at 200 - 96.75 x 3/4 =
    # 127.4375 there; the board is 1.125 x 5/4 = 1.40625 through: 126.03125, drawn at the sixteenth, 126.0625 up.
    # Strap 126.0625 - 1.125 = 124.9375, turned up at both ends.
    corners = [(0, 0), (200, 0), (56, 192), (0, 192)]
    kinds = (EdgeKind.PLATFORM, EdgeKind.PLATFORM, EdgeKind.PLATFORM, EdgeKind.PARALLEL)
    floor = plan(corners, kinds)
    low, high = end(EndKind.PLATFORM, "edge:0", 5.5), end(EndKind.PLATFORM, "edge:2", 188)
    bay = layout(floor, [joist(1, 16, (1.5, 190.5), low, high)], [span(0, 5.5, 188, 56)])
    placed, (line,) = fit_out(floor, [bay], load_catalogue(), Practice())
    assert line.along_16 == in16(96.75)
    (run,) = line.runs
    assert (run.across_low_16, run.across_high_16, run.high_stop) == (18, in16(126.0625), "edge:1")
    strap = [p for p in placed if p.item is Item.STRAP]
    assert [p.quantity for p in strap] == [in16(124.9375), 96, 96]


def test_no_run_where_the_rims_leave_no_room() -> None:
    # A triangle's tip: 1 wide at the line, the rims are 1.125 and more.
    floor = plan([(0, 0), (97, 0), (0, 97)], (EdgeKind.PLATFORM, EdgeKind.PLATFORM, EdgeKind.PARALLEL))
    bay = layout(floor, (), [span(0, 95, 97, 97)])
    assert fit_out(floor, [bay], load_catalogue(), Practice())[1] == ()
    wide = layout(floor, (), [span(0, 0, 192, 97)])
    (line,) = fit_out(floor, [wide], load_catalogue(), Practice())[1]
    assert (line.along_16, line.runs) == (in16(96), ())


def test_ladder_blocks_end_with_the_parallel_rim() -> None:
    # R26 at x 0: joist at 16 bears at 5.5 and its top face 144 - 5.5 x 5/4 = 137.125; at x 96 the joist at 80:
    # 192 - 6.875 = 185.125. Largest clear span there: 179.625, one line at 95.3125.
    # x 0: gaps 89.8 and 41.8: 1 + 1 + 0. x 96: 89.8 and 89.8: 1 + 1 + 1.
    blocks = [b for b in things(_rising()) if b.item is Item.LADDER_BLOCK]
    assert [b.host for b in blocks].count("edge:3") == 2
    assert [b.host for b in blocks].count("edge:1") == 3


def _cells(floor: FloorPlan) -> list[tuple[float, float, float]]:
    scene = scene_of(floor, laid(floor), load_catalogue(), Practice())
    return [
        (float(c.low_16 / 16), float(c.high_16 / 16), float(c.depth_16 / 16))
        for row in rows_of(scene)
        for c in row.cells
    ]


def test_rows_cover_the_least_stretch_and_panels_know_the_deepest_floor() -> None:
    # R30 rising: rows 0 to 2 whole (the slope begins at 132 in row 2, whose panel is still 48 deep); row 3, 144
    # to 192: the slope passes 144 at x 16: 80 long, 48 deep; row 4, 192 to 204: from x 80, 12 deep, a strip.
    assert _cells(_rising()) == [(0, 96, 48), (0, 96, 48), (0, 96, 48), (16, 96, 48), (80, 96, 12)]


def test_rows_beside_a_leaning_side_are_cut_where_it_reaches_farthest() -> None:
    # Row 0: to 136: 96 + 40. Row 1, 48 to 96: the side passes 48 at x 100: half panel first, 48 + 52.
    assert _cells(_leaning()) == [(0, 96, 48), (96, 136, 48), (0, 48, 48), (48, 100, 48)]


def test_a_panel_under_a_slope_reaches_from_its_lowest_to_its_highest_floor() -> None:
    # A slanted strip: the floor under any line is 20 deep, but from 0 at the left to 40 at the right: 40 in all,
    # a whole panel. With the same steps square (20 deep, no slope) two strips would do.
    kinds = (EdgeKind.PLATFORM, EdgeKind.PARALLEL, EdgeKind.PLATFORM, EdgeKind.PARALLEL)
    floor = plan([(0, 0), (80, 20), (80, 40), (0, 20)], kinds)
    bay = layout(floor, (), [span(0, 5.5, 14.5, 80)])
    scene = scene_of(floor, bay, load_catalogue(), Practice())
    ((cell,),) = (row.cells for row in rows_of(scene))
    assert cell.depth_16 == in16(40)


def test_nails_follow_the_slope() -> None:
    # Row 3: the panel's low end at x 16 has no floor to speak of: 2; its high end 48: 9; on the slope's rim, 80 in:
    # ceil(80/6) + 1 less the ends = 13. Row 4: ends 2 and 12/6 + 1 = 3, slope 20: ceil(20/6) - 1 = 3.
    # Row 2: ends 36.02: 8 and 48: 9; the slope's first 20 in: 3.
    edge = {n.host: n.quantity for n in things(_rising()) if n.why == "panel edges"}
    assert edge["row:A:2:0:0"] == 8 + 9 + 3
    assert edge["row:A:3:0:0"] == 2 + 9 + 13
    assert edge["row:A:4:0:0"] == 2 + 3 + 3


def test_strips_are_opened_for_shallow_panels_of_a_slope_too() -> None:
    floor = _rising()
    scene = scene_of(floor, laid(floor), load_catalogue(), Practice())
    opened = [new for _, new in open_panels(rows_of(scene), floor.bays[0], Practice())]
    # 96, 96, 96, 80 (rest 16, under two spaces, dropped), strip 16: a panel each.
    assert opened == [True] * 5


def test_laps_on_a_skewed_wall_sit_half_way_between_their_ends() -> None:
    # Wall from (0, 100) to (96, 172): its centre is at 100 + 12 k under the joist at 16 k and 1 7/32 higher under its
    # partner, 1 5/8 farther on. Each laps 6 past its own: the middle of the lap is 39/64 up, 10 sixteenths.
    floor = typed(
        [(0, 0), (96, 0), (96, 240), (0, 240)],
        supports=[{"id": "W", "from": [0, 100], "to": [96, 172]}],
    )
    plates = [p for p in things(floor) if p.item is Item.LAP_PLATE]
    assert [(p.at.x_16, p.at.y_16) for p in plates] == [
        (in16(16 * k + 0.8125), in16(100 + 12 * k) + 10) for k in range(1, 6)
    ]


def test_cleats_on_a_shifted_line_up_to_a_slope() -> None:
    # 200 wide, top from (0, 140) to (200, 290), wall from (0, 70) to (200, 145), lapped: line 1 is shifted. At x its
    # joists reach from 70 + 0.375 x - 6 to the slope, 140 + 0.75 x.
    # Row 1 (48 to 96): joints 48, 144: line 1 begins at 82 near x 48 and at 118 near 144: one. Row 2 (96 to 144):
    # 96 from 100, 160 (left 32 of 200) from 124: both. Row 3 (144 to 192) begins at x 5.33: half first, so 48 (last
    # station to 53.33), 144: both. Row 4 (192 to 240) begins at x 69.33: whole, to 165.33: 160: one. Row 5 (240 to
    # 288) is 66.67 long: one piece, and so is row 6.
    floor = typed(
        [(0, 0), (200, 0), (200, 290), (0, 140)],
        supports=[{"id": "W", "from": [0, 70], "to": [200, 145]}],
    )
    found = [(c.host, c.at.x_16 // 16) for c in things(floor) if c.item is Item.SHEATHING_CLEAT]
    assert found == [
        ("row:A:1:0", 48),
        ("row:A:2:0", 96),
        ("row:A:2:0", 160),
        ("row:A:3:0", 48),
        ("row:A:3:0", 144),
        ("row:A:4:0", 160),
    ]
