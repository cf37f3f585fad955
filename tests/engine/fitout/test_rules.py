"""Single rules of fit-out on small floors; each expectation is worked in the test's comment."""

from __future__ import annotations

from dataclasses import replace

import pytest

from framing.engine.catalogue import load_catalogue
from framing.engine.fitout import fit_out
from framing.engine.fitout.backing import strip_height_16
from framing.engine.fitout.intervals import between_evenly
from framing.engine.fitout.rim import split_lengths_16
from framing.engine.floor import EdgeKind, OpeningKind
from framing.engine.lean import half_up
from framing.engine.members import Crossing, EndKind, FramedOpening, MemberKind
from framing.engine.placement import Item, Placed
from framing.engine.practice import Practice
from tests.engine.fitout.builders import (
    PROFILE,
    RECTANGLE,
    end,
    in16,
    joist,
    laid,
    lapped_with_stair,
    layout,
    plan,
    rectangle,
    span,
)


def _count(placed: tuple[Placed, ...], item: Item, rule: str | None = None) -> int:
    return sum(p.quantity for p in placed if p.item is item and rule in (None, p.rule))


def test_a_ledger_takes_clip_angles_wood_screws_and_no_nails() -> None:
    # 240 x 144, low edge on a ledger: joists 16 to 224 = 14. Angles 14, bearing clips 14; nails at one end
    # 28; wood screws into ledger and rim 2 x 14 x 5. Clear 138.5 - 1.125 = 137.375: one line.
    floor, bay = rectangle(240, 144, low=EdgeKind.BALLOON)
    placed, lines = fit_out(floor, [bay], load_catalogue(), Practice())
    assert _count(placed, Item.CLIP_ANGLE, "R20") == 14
    assert _count(placed, Item.BEARING_CLIP) == 14
    assert _count(placed, Item.BEARING_NAIL, "R21") == 28
    assert _count(placed, Item.WOOD_SCREW) == 140
    assert [line.along_16 for line in lines] == [half_up(in16(1.125) + in16(137.375) / 2)]


@pytest.mark.parametrize(("depth", "lines"), [(107, 0), (107.0625, 1), (203, 1), (203.0625, 2)])
def test_bridging_lines_by_clear_span(depth: float, lines: int) -> None:
    # Clear = depth - 11: 96 takes none, a sixteenth more takes one; 192 one, more two.
    floor, bay = rectangle(96, depth)
    assert len(fit_out(floor, [bay], load_catalogue(), Practice())[1]) == lines


def test_seventeen_joists_take_four_blocks() -> None:
    # R25's own figure: 24 ft at 16 in, one line.
    floor, bay = rectangle(288, 192)
    placed, _ = fit_out(floor, [bay], load_catalogue(), Practice())
    assert _count(placed, Item.SOLID_BLOCK) == 4


def test_narrow_space_at_the_rim_takes_a_packer_without_clip_or_strap_screws() -> None:
    # 100 wide: the last joist at 96 would stand at the rim; put at 94: its face 94.8125, rim face 98.875:
    # 4.0625. At 94.125 the space is 3.9375: packers there. One line, 3 places a side (181 clear).
    for centre, packers in ((94, 0), (94.125, 3)):
        floor, bay = rectangle(100, 192)
        kept = [m for m in bay.members if m.centre_16 < in16(90)]
        last = replace(bay.members[-1], centre_16=in16(centre))
        placed, _ = fit_out(floor, [layout(floor, [*kept, last], bay.spans)], load_catalogue(), Practice())
        assert _count(placed, Item.WOOD_PACKER) == packers
        assert _count(placed, Item.LADDER_BLOCK) == 6 - packers
        assert _count(placed, Item.CLIP_ANGLE) == 6 - packers
        assert _count(placed, Item.BEARING_NAIL, "R26") == 24
        blocks = _count(placed, Item.SOLID_BLOCK) + (2 if not packers else 1)
        assert _count(placed, Item.STRAP_SCREW) == 6 + 2 * blocks


def test_a_through_joist_is_nailed_to_the_plate_it_crosses_and_gets_no_lap_plate() -> None:
    # One 2-ply joist over a wall at 144: 2 plies x 2 nails at three plates.
    floor = plan([(0, 0), (48, 0), (48, 288), (0, 288)], RECTANGLE)
    through = joist(
        1,
        24,
        (1.5, 286.5),
        end(EndKind.PLATFORM, "edge:0", 5.5),
        end(EndKind.PLATFORM, "edge:2", 282.5),
        plies=2,
    )
    over = replace(through, crossings=(Crossing("W1", in16(144), in16(142.25), in16(145.75)),))
    spans = [span(0, 5.5, 142.25, 48), span(1, 145.75, 282.5, 48)]
    placed, lines = fit_out(floor, [layout(floor, [over], spans)], load_catalogue(), Practice())
    assert _count(placed, Item.BEARING_NAIL, "R21") == 12
    assert _count(placed, Item.LAP_PLATE) == 0
    assert len(lines) == 2
    # Ladder blocks: both sides, both spans: the line and one each side of it.
    assert _count(placed, Item.LADDER_BLOCK) == 12


def test_three_plies_have_two_interfaces() -> None:
    # 100 long: ceil(82/24) = 4 spaces, 5 clips on each of 2 interfaces; 3 clips and 15 + 15 screws an end.
    floor = plan([(0, 0), (48, 0), (48, 103), (0, 103)], RECTANGLE)
    ends = end(EndKind.PLATFORM, "edge:0", 5.5), end(EndKind.PLATFORM, "edge:2", 97.5)
    built = joist(1, 24, (1.5, 101.5), *ends, kind=MemberKind.BEAM, plies=3)
    placed, _ = fit_out(
        floor, [layout(floor, [built], [span(0, 5.5, 97.5, 48)])], load_catalogue(), Practice()
    )
    assert _count(placed, Item.PLY_CLIP) == 10
    assert _count(placed, Item.BEARING_CLIP) == 6
    assert _count(placed, Item.STEEL_SCREW, "R22") == 40


@pytest.mark.parametrize(
    ("inches", "expected"),
    [
        (0, []),
        (-0.125, []),  # a step of 1 in, less 1 1/8 at its outside corner
        (20, [20]),
        (240, [240]),
        (480, [240, 240]),
        (271, [239, 32]),  # 31 over: the stick before gives an inch
        (272, [240, 32]),
        (241, [209, 32]),
        (500, [240, 228, 32]),  # 20 over: 12 less
    ],
)
def test_rim_edges_split_into_sticks(inches: float, expected: list[float]) -> None:
    assert split_lengths_16(in16(inches), Practice()) == tuple(in16(n) for n in expected)


def test_a_step_of_an_inch_has_no_board_of_its_own() -> None:
    # 96 wide, the right 48 an inch deeper: the board there ends at the step; the left one runs 1 1/8 on behind it.
    corners = [(0, 0), (96, 0), (96, 97), (48, 97), (48, 96), (0, 96)]
    floor = plan(corners, [EdgeKind.PLATFORM, EdgeKind.PARALLEL] * 3)
    placed, _ = fit_out(floor, [laid(floor)], load_catalogue(), Practice())
    boards = {p.host: p.quantity / 16 for p in placed if p.item is Item.RIM_BOARD}
    assert boards == {"edge:0": 96, "edge:1": 94.75, "edge:2": 48, "edge:4": 49.125, "edge:5": 93.75}


def test_backing_strip_is_the_clear_web_less_an_eighth() -> None:
    # 10 - 2 x 0.0566 - 0.125 = 9.7618, down to 9.75.
    assert strip_height_16(load_catalogue().profile(PROFILE), Practice()) == in16(9.75)


def test_a_shaft_gets_no_inner_rim_and_no_backing() -> None:
    floor, bay = lapped_with_stair()
    shaft = replace(floor, openings=(replace(floor.openings[0], kind=OpeningKind.SHAFT),))
    placed, _ = fit_out(shaft, [bay], load_catalogue(), Practice())
    assert _count(placed, Item.BACKING_SHEET) == 0
    assert not [p for p in placed if p.item is Item.RIM_BOARD and p.host.startswith("opening")]


def test_a_stair_at_the_bearing_has_three_strips_four_boards_and_stops_the_line() -> None:
    # 160 x 192, stair x 60 to 100, y 0 to 100, on the low bearing: one header. The line at 96 lies in it:
    # two runs. Strips: two of 100 = 96 + 4 each, header 40: rips 96 | 96 | 4 + 4 + 40: one sheet.
    floor = plan([(0, 0), (160, 0), (160, 192), (0, 192)], RECTANGLE, openings=[("S", 60, 0, 40, 100)])
    low, high = end(EndKind.PLATFORM, "edge:0", 5.5), end(EndKind.PLATFORM, "edge:2", 186.5)
    beside = end(EndKind.TRIMMER, "A.T1", 58.875), end(EndKind.TRIMMER, "A.T2", 101.125)
    members = [joist(n, 16 * n, (1.5, 190.5), low, high) for n in (1, 2, 3, 7, 8, 9)]
    members += [
        joist(1, 57.25, (1.5, 190.5), low, high, kind=MemberKind.TRIMMER, plies=2),
        joist(2, 102.75, (1.5, 190.5), low, high, kind=MemberKind.TRIMMER, plies=2),
        joist(1, 102.75, (59.25, 100.75), *beside, kind=MemberKind.HEADER, plies=2),
    ]
    framed = FramedOpening("S", in16(60), in16(100), 0, in16(100), "A.T1", "A.T2", None, "A.H1")
    bay = layout(floor, members, [span(0, 5.5, 186.5, 160)], [framed])
    placed, lines = fit_out(floor, [bay], load_catalogue(), Practice())
    strips = sorted(p.quantity // 16 for p in placed if p.item is Item.WEB_BACKING)
    assert strips == [4, 4, 40, 96, 96]
    assert _count(placed, Item.BACKING_SHEET) == 1
    inner = [p.quantity for p in placed if p.item is Item.RIM_BOARD and p.host == "opening:S"]
    assert sorted(inner) == [in16(40), in16(40), in16(102.25), in16(102.25)]
    assert [(r.low_stop, r.high_stop) for r in lines[0].runs] == [("edge:3", "A.T1"), ("A.T2", "edge:1")]


def test_spaces_are_even_and_as_few_as_allowed() -> None:
    assert between_evenly(0, 96, 48) == (48,)
    assert between_evenly(0, 97, 48) == (pytest.approx(97 / 3), pytest.approx(194 / 3))
    assert between_evenly(10, 40, 48) == ()


def test_a_rim_with_no_joist_beside_it_gets_no_block() -> None:
    floor, bay = rectangle(96, 192)
    placed, lines = fit_out(floor, [layout(floor, (), bay.spans)], load_catalogue(), Practice())
    assert len(lines) == 1
    assert _count(placed, Item.LADDER_BLOCK) == _count(placed, Item.WOOD_PACKER) == 0


def test_wide_spaces_between_blocks_take_the_next_one_even_beyond_reach() -> None:
    # Joists at 16, 40 and 200, 224: centres 28, 120, 212: 92 apart each, so all three; with the middle pair's
    # space wider still (300, 324: centres 28, 170, 312) the next is taken though it is over 96 off.
    for last, blocks in ((200, 3), (300, 3)):
        floor, bay = rectangle(last + 40, 192)
        ends = bay.members[0].low, bay.members[0].high
        joists = [joist(n, x, (1.5, 190.5), *ends) for n, x in enumerate((16, 40, last, last + 24))]
        placed, _ = fit_out(floor, [layout(floor, joists, bay.spans)], load_catalogue(), Practice())
        assert _count(placed, Item.SOLID_BLOCK) == blocks


def test_ladder_blocks_stand_half_way_between_line_and_faces() -> None:
    # Faces 5.5 and 186.5, line 96: half way is 50.75 and 141.25.
    floor, bay = rectangle(48, 192)
    placed, _ = fit_out(floor, [bay], load_catalogue(), Practice())
    positions = sorted({p.at.y_16 for p in placed if p.item is Item.LADDER_BLOCK})
    assert positions == [in16(50.75), in16(96), in16(141.25)]


def test_a_run_is_cut_by_the_opening_in_its_own_arm_only() -> None:
    # A U: arms x 0 to 96 and 200 to 296, 192 deep, joined by the lowest 60. The opening lies in the second
    # arm; the line through both arms stops at its trimmers there and runs whole through the first.
    corners = [(0, 0), (296, 0), (296, 192), (200, 192), (200, 60), (96, 60), (96, 192), (0, 192)]
    kinds = [EdgeKind.PLATFORM, EdgeKind.PARALLEL] * 4
    floor = plan(corners, kinds, openings=[("S", 230, 70, 30, 60)])
    bay = laid(floor)
    _, (line,) = fit_out(floor, [bay], load_catalogue(), Practice())
    (framed,) = bay.openings
    assert line.along_16 == in16(96)
    assert [(run.across_low_16, run.across_high_16) for run in line.runs] == [
        (in16(1.125), in16(94.875)),
        (in16(201.125), in16(228.875)),
        (in16(261.125), in16(294.875)),
    ]
    assert (line.runs[1].high_stop, line.runs[2].low_stop) == (framed.trimmer_low, framed.trimmer_high)


def test_a_panel_between_two_openings_has_no_edge_nails() -> None:
    # Row 1 (y 48 to 96) is cut at 48, 144, 240. Openings x 30 to 70 and 110 to 150, y 40 to 104, swallow both
    # ends of the cell 48 to 144; what is left of it, x 71.125 to 108.875, lies on two trimmers and the joists
    # at 80 and 96: field nails only, ceil(48/12) + 1 = 5 each.
    floor = plan(
        [(0, 0), (288, 0), (288, 192), (0, 192)],
        RECTANGLE,
        openings=[("S1", 30, 40, 40, 64), ("S2", 110, 40, 40, 64)],
    )
    placed, _ = fit_out(floor, [laid(floor)], load_catalogue(), Practice())
    nails = [p for p in placed if p.item is Item.SHEATHING_NAIL and p.host == "row:A:1:0:1"]
    assert [(p.why, p.quantity) for p in nails] == [("other joists and headers", 20)]
