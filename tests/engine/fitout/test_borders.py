"""Fit-out of several bays: what reaches over a border and what stops there, worked by hand in inches."""

from __future__ import annotations

from collections import Counter
from typing import Any

from framing.engine.catalogue import load_catalogue
from framing.engine.fitout import fit_out, lone_end_warnings
from framing.engine.floor import FloorPlan
from framing.engine.geometry import Frame
from framing.engine.members import BayLayout
from framing.engine.placement import Item, Placed
from framing.engine.practice import Practice
from tests.engine.fitout.builders import PROFILE, Inches, in16, laid_bays, things, typed

Corners = list[tuple[Inches, Inches]]


def _box(width: Inches, depth: Inches, x: Inches = 0, y: Inches = 0) -> Corners:
    return [(x, y), (x + width, y), (x + width, y + depth), (x, y + depth)]


def _line(ident: str, y: Inches, width: Inches, **rest: Any) -> dict[str, Any]:
    return {"id": ident, "from": [0, y], "to": [width, y], **rest}


def _two(width: Inches, first: Inches, second: Inches, support: dict[str, Any], **upper: Any) -> FloorPlan:
    """Bay A below with joists along y at 16 in, bay B above it, over one support on the border."""
    return typed(
        _box(width, first + second),
        supports=[support],
        bays=[
            {"id": "A", "direction": "y", "outline": _box(width, first)},
            {"id": "B", "direction": "y", "outline": _box(width, second, 0, first), **upper},
        ],
    )


def _of(placed: tuple[Placed, ...], item: Item) -> list[Placed]:
    return [thing for thing in placed if thing.item is item]


def test_ply_clips_of_a_flush_beam_keep_off_joists_of_both_bays() -> None:
    # Beam 1.5 to 190.5, 189 long: ceil(171/24) = 8 spaces of 21.375 from 10.5. Bay A's joists stand at 16, 32 ...,
    # bay B's, counted from the other side, at 180, 168, ... 12.
    # 10.5 is 1.5 from 12: 9. 31.875 by 32: 29. 53.25 stays. 74.625 by 72: 75. 96 on 96: the low side, 93.
    # 117.375 by 120: 117. 138.75 stays. 160.125 by 160: 163. 181.5 by 180: 183.
    # 29 to 53.25 and 138.75 to 163 are over 24: one more in the middle, 41.125 and 150.875.
    floor = _two(192, 144, 144, _line("F", 144, 192, kind="flush_beam"), start="high", spacing="12")
    clips = _of(things(floor), Item.PLY_CLIP)
    expected = [9, 29, 41.125, 53.25, 75, 93, 117, 138.75, 150.875, 163, 183]
    assert [clip.at.x_16 for clip in clips] == [in16(x) for x in expected]
    assert {clip.at.y_16 for clip in clips} == {in16(144)}


def test_joists_at_a_flush_beam_take_clip_angles_in_steel_and_no_nails() -> None:
    # A 11 joists, B 15: a clip angle each at the beam, 5 + 5 steel screws. The beam's two plies take a bearing
    # clip at both outside walls. Nails: 2 at each platform end of joists (26) and of each ply of the beam (4).
    floor = _two(192, 144, 144, _line("F", 144, 192, kind="flush_beam"), start="high", spacing="12")
    placed = things(floor)
    clips = Counter((c.item, c.why) for c in placed if c.rule == "R20" and c.size)
    assert clips == {
        (Item.BEARING_CLIP, "joist ends at platform bearings"): 26,
        (Item.BEARING_CLIP, "beam ends at outside walls"): 4,
        (Item.CLIP_ANGLE, "joist ends at flush beams"): 26,
    }
    at_beam = [s for s in placed if s.rule == "R20" and s.why == "clip angle, leg on steel"]
    assert sum(s.quantity for s in at_beam) == 26 * 5
    assert sum(s.quantity for s in placed if s.rule == "R20" and s.item is Item.WOOD_SCREW) == 30 * 5
    assert sum(s.quantity for s in placed if s.rule == "R21") == 2 * 26 + 2 * 4


def test_pairs_over_a_border_are_those_an_inch_apart_and_the_rest_are_told() -> None:
    # A at 16 ... 80; B from the other side at 14 + 24 k: x 82, 58, 34, 10. 80 | 82 and 32 | 34: 3/8 of air.
    # 64 | 58 and 16 | 10 have 4 3/8; 48 is alone.
    floor = _two(96, 144, 144, _line("W", 144, 96), start="high", spacing="24", offset="14")
    layouts = laid_bays(floor)
    placed, _ = fit_out(floor, layouts, load_catalogue(), Practice())
    plates = _of(placed, Item.LAP_PLATE)
    assert [(p.id, p.why, p.at.x_16, p.at.y_16) for p in plates] == [
        ("lap:A.J2:B.J3", "butted pairs", in16(33), in16(144)),
        ("lap:A.J5:B.J1", "butted pairs", in16(81), in16(144)),
    ]
    (warning,) = lone_end_warnings(layouts, placed)
    assert warning.place == "supports.W"
    assert warning.message.startswith("A.J1 and A.J3 and A.J4 and B.J2 and B.J4 end over bearing W")


def test_stations_of_two_bays_do_not_pair_by_their_number() -> None:
    # Both bays have stations 0 to 3, but B's stand at 24, 48, 72: only 48 | 48 meet.
    floor = _two(96, 144, 144, _line("W", 144, 96), spacing="24")
    assert [p.id for p in _of(things(floor), Item.LAP_PLATE)] == ["lap:A.J3:B.J2"]


def test_a_bay_that_runs_beside_the_border_pairs_with_nobody() -> None:
    floor = _two(96, 144, 72, _line("W", 144, 96), direction="x")
    assert not _of(things(floor), Item.LAP_PLATE)


def test_a_beam_that_butts_on_an_inside_wall_is_no_lone_joist() -> None:
    # Two rooms: a flush beam along x from the left wall to the inside wall W at x 150, which carries its end.
    floor = typed(
        _box(240, 200),
        supports=[
            {"id": "F", "kind": "flush_beam", "from": [0, 100], "to": [150, 100]},
            {"id": "W", "from": [150, 0], "to": [150, 200]},
        ],
        bays=[
            {"id": "A", "direction": "y", "outline": _box(150, 200)},
            {"id": "B", "direction": "x", "outline": _box(90, 200, 150, 0)},
        ],
    )
    layouts = laid_bays(floor)
    placed, _ = fit_out(floor, layouts, load_catalogue(), Practice())
    beam = next(m for layout in layouts for m in layout.members if m.kind.value == "B")
    assert beam.high.host == "support:W"
    assert sum(p.quantity for p in placed if p.host == beam.id and p.why == "plates under butts") == 4
    assert beam.id not in lone_end_warnings(layouts, placed)[0].message
    # A's joists end at the beam; B's at W have nobody across: A runs beside that border.
    assert "B.J1" in lone_end_warnings(layouts, placed)[0].message


def test_straps_end_at_a_border_without_turning_up() -> None:
    # Left bay 100 wide, right bay 92, both along y: one line each, from the rim at 1.125 to the border at 100 and
    # on to 190.875; each turned up once.
    floor = typed(
        _box(192, 144),
        bays=[
            {"id": "A", "direction": "y", "outline": _box(100, 144)},
            {"id": "B", "direction": "y", "outline": _box(92, 144, 100, 0)},
        ],
    )
    straps = _of(things(floor), Item.STRAP)
    under = [s for s in straps if s.to is not None]
    assert [(s.at.x_16, s.to.x_16) for s in under if s.to] == [
        (in16(1.125), in16(100)),
        (in16(100), in16(190.875)),
    ]
    assert [s.at.x_16 for s in straps if s.why == "turned up the rims"] == [in16(1.125), in16(190.875)]
    assert not [t for t in things(floor) if t.item is Item.LADDER_BLOCK and t.host.startswith("border")]


def test_ladder_blocks_of_two_bays_on_one_edge_are_numbered_on() -> None:
    # Sides 216 long, A's part 136.75 clear (5.5 to 142.25): line at 73.875, half-way on both sides. B's part from
    # 145.75 to 210.5 is 64.75: no line, one block in the middle, 178.125.
    floor = _two(96, 144, 72, _line("W", 144, 96))
    blocks = _of(things(floor), Item.LADDER_BLOCK)
    right = {b.id: b.at.y_16 / 16 for b in blocks if b.host == "edge:1"}
    assert right == {
        "ladder:1:0": 39.6875,
        "ladder:1:1": 73.875,
        "ladder:1:2": 108.0625,
        "ladder:1:3": 178.125,
    }


def test_a_rim_board_that_bears_for_one_bay_and_is_parallel_for_another() -> None:
    # Sides: parallel for A at the bottom corner (less 1.125), bearing for B at the top (through): 214.875. The top
    # is parallel for B: 96 - 2.25.
    floor = _two(96, 144, 72, _line("W", 144, 96), direction="x")
    boards = {b.host: (b.quantity, b.why) for b in _of(things(floor), Item.RIM_BOARD)}
    mixed = "edges in part bearing, in part parallel"
    assert boards == {
        "edge:0": (in16(96), "bearing edges"),
        "edge:1": (in16(214.875), mixed),
        "edge:2": (in16(93.75), "parallel edges"),
        "edge:3": (in16(214.875), mixed),
    }


def test_a_rim_board_that_bears_in_its_middle_alone() -> None:
    # Three bays one above the other, along y, x and y: the sides are parallel at both corners (240 less 1.125
    # twice) and bear in the middle.
    floor = typed(
        _box(96, 240),
        supports=[_line("V", 84, 96), _line("W", 156, 96)],
        bays=[
            {"id": "A", "direction": "y", "outline": _box(96, 84)},
            {"id": "B", "direction": "x", "outline": _box(96, 72, 0, 84)},
            {"id": "C", "direction": "y", "outline": _box(96, 84, 0, 156)},
        ],
    )
    boards = {b.host: (b.quantity, b.why) for b in _of(things(floor), Item.RIM_BOARD)}
    assert boards["edge:1"] == boards["edge:3"]
    assert boards["edge:1"] == (in16(237.75), "edges in part bearing, in part parallel")


def test_rim_boards_that_bear_both_at_a_re_entrant_corner_just_meet() -> None:
    # An L whose border runs out from the re-entrant corner (96, 100): both edges there bear, A's along y and B's
    # along x. Nothing is added: 104 and 80. Where the border meets the far side both bays' edges stay as they are.
    floor = typed(
        [(0, 0), (200, 0), (200, 100), (96, 100), (96, 180), (0, 180)],
        supports=[_line("W", 100, 96)],
        bays=[
            {"id": "A", "direction": "y", "outline": _box(200, 100)},
            {"id": "B", "direction": "x", "outline": _box(96, 80, 0, 100)},
        ],
    )
    boards = {b.host: b.quantity for b in _of(things(floor), Item.RIM_BOARD)}
    assert boards["edge:2"] == in16(104)
    assert boards["edge:3"] == in16(80)


def test_an_edge_that_no_bay_has_a_side_on_keeps_its_drawn_kind() -> None:
    # A jog of 1/16 at (96, 72), which the right bay cuts off: its top runs on straight at 72. Nobody's side is on the
    # jog, so its board counts as what it was drawn, bearing, and is as long as the jog.
    jog = 72.0625
    floor = typed(
        [(0, 0), (192, 0), (192, 72), (96, 72), (96, jog), (0, jog)],
        bays=[
            {"id": "A", "direction": "y", "outline": _box(60, 80)},
            {"id": "B", "direction": "y", "outline": _box(132, 72, 60, 0)},
        ],
    )
    bare = [
        BayLayout(bay, Frame("y", 0 if bay.id == "A" else in16(60)), PROFILE, (), (), (), None)
        for bay in floor.bays
    ]
    placed, _ = fit_out(floor, bare, load_catalogue(), Practice())
    assert {b.host: b.quantity for b in _of(placed, Item.RIM_BOARD)}["edge:3"] == 1


def test_a_flush_beam_is_nailed_once_by_the_bay_beyond_it() -> None:
    # Beam 1.5 to 190.5 at y 144 between A and B: B's first row (144 to 192) lies beyond it. Its panels 0 to 96 and
    # 96 to 192 hold 94.5 each: ceil(94.5/12) + 1 = 9 twice. A's last row ends on it: none.
    floor = _two(192, 144, 144, _line("F", 144, 192, kind="flush_beam"))
    nails = [n for n in things(floor) if n.why == "flush beams"]
    assert [(n.host, n.quantity) for n in nails] == [("row:B:0:0:0", 9), ("row:B:0:0:1", 9)]


def test_a_flush_beam_beside_a_bay_that_runs_along_it_is_nailed_by_the_other() -> None:
    # B runs beside the border: A nails, by its last row (96 to 144): 1.5 to 94.5 in one panel, ceil(93/12) + 1 = 9.
    floor = _two(96, 144, 72, _line("F", 144, 96, kind="flush_beam"), direction="x")
    nails = [n for n in things(floor) if n.why == "flush beams"]
    assert [(n.host, n.quantity) for n in nails] == [("row:A:2:0:0", 9)]


def test_a_flush_beam_inside_a_bay_is_nailed_by_its_row_and_crosses_walls() -> None:
    # One bay with a beam along y 100, row 2 (96 to 144). Its ends at the outside walls: 4 bearing clips.
    floor = typed(_box(96, 200), supports=[_line("F", 100, 96, kind="flush_beam")])
    placed = things(floor)
    assert [(n.host, n.quantity) for n in placed if n.why == "flush beams"] == [("row:A:2:0:0", 9)]
    # Joists end on both faces, 98.375 and 101.625: ladders see two spans of 92.875 and 92.875: 1 line would need
    # over 96, so one block in the middle of each, on both sides.
    ladders = sorted(b.at.y_16 for b in placed if b.item is Item.LADDER_BLOCK)
    assert ladders == [in16(y) for y in (51.9375, 51.9375, 148.0625, 148.0625)]


def test_a_flush_beam_over_an_inside_wall_is_nailed_to_its_plate() -> None:
    # The wall W stands along y under the middle of the beam: two plies cross it, 4 nails.
    floor = typed(
        _box(192, 200),
        supports=[
            _line("F", 100, 192, kind="flush_beam"),
            {"id": "W", "from": [96, 0], "to": [96, 200]},
        ],
    )
    nails = [n for n in things(floor) if n.why == "plates that flush beams cross"]
    assert [(n.host, n.quantity, n.at.x_16) for n in nails] == [("A.B1", 4, in16(96))]


def test_a_flush_beam_under_one_of_two_bays_side_by_side_is_nailed_there_alone() -> None:
    # Bays 100 and 92 wide along y, an inside wall between them; the beam lies in the left one, from the outside wall
    # to that wall's centre less 3/16: 1.5 to 99.8125, in row 2, the row of 100 is cut at 64: 62.5 and
    # 35.8125: 7 and 4 nails.
    floor = typed(
        _box(192, 200),
        supports=[
            {"id": "F", "kind": "flush_beam", "from": [0, 100], "to": [100, 100]},
            {"id": "W", "from": [100, 0], "to": [100, 200]},
        ],
        bays=[
            {"id": "A", "direction": "y", "outline": _box(100, 200)},
            {"id": "B", "direction": "y", "outline": _box(92, 200, 100, 0)},
        ],
    )
    nails = [(n.host, n.quantity) for n in things(floor) if n.why == "flush beams"]
    assert nails == [("row:A:2:0:0", 7), ("row:A:2:0:1", 4)]


def test_a_flush_beam_of_the_second_bay_is_not_looked_for_in_the_first() -> None:
    # The same from the wall at 100 to the right: 100.1875 to 190.5 in bay B, whose row of 92 is one panel.
    # ceil(90.3125/12) + 1 = 9.
    floor = typed(
        _box(192, 200),
        supports=[
            {"id": "F", "kind": "flush_beam", "from": [100, 100], "to": [192, 100]},
            {"id": "W", "from": [100, 0], "to": [100, 200]},
        ],
        bays=[
            {"id": "A", "direction": "y", "outline": _box(100, 200)},
            {"id": "B", "direction": "y", "outline": _box(92, 200, 100, 0)},
        ],
    )
    nails = [(n.host, n.quantity) for n in things(floor) if n.why == "flush beams"]
    assert nails == [("row:B:2:0:0", 9)]
