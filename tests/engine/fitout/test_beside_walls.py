"""Openings beside walls, free edges and built-up joists, worked by hand in inches."""

from __future__ import annotations

from collections import Counter

import pytest

from framing.engine.catalogue import load_catalogue
from framing.engine.fitout import fit_out
from framing.engine.floor import FloorPlan
from framing.engine.placement import BridgingLine, Item, Placed
from framing.engine.practice import Practice
from tests.engine.fitout.builders import in16, laid_bays, things, typed

BOX = [(0, 0), (240, 0), (240, 192), (0, 192)]


def _stair(x: float, y: float = 44, *, width: float = 36, depth: float = 96) -> FloorPlan:
    opening = {"id": "S", "kind": "stair", "corner": [x, y], "size": [width, depth]}
    return typed(BOX, openings=[opening])


def _both(floor: FloorPlan) -> tuple[tuple[Placed, ...], tuple[BridgingLine, ...]]:
    return fit_out(floor, laid_bays(floor), load_catalogue(), Practice())


@pytest.mark.parametrize(
    ("x", "run", "blocks", "names"),
    [
        # 4 in from the right wall: the run ends at the one trimmer's near face, 200 - 1.125.
        (200, (1.125, 198.875), {"edge:3": 3}, ("low",)),
        # The mirror image: it begins at 40 + 1.125.
        (4, (41.125, 238.875), {"edge:1": 3}, ("high",)),
    ],
)
def test_a_stair_beside_a_wall(
    x: float, run: tuple[float, float], blocks: dict[str, int], names: tuple[str, ...]
) -> None:
    # R24: one line, at 96, between the headers' far faces. R26: beside the stair there is no joist; below and
    # above it 34.1 and 42.1 are left: no block; on the other side three. R28: one board along the trimmer and two
    # across. R29: one strip on the trimmer, two on the headers.
    placed, (line,) = _both(_stair(x))
    assert [(r.across_low_16, r.across_high_16) for r in line.runs] == [(in16(run[0]), in16(run[1]))]
    assert Counter(p.host for p in placed if p.item is Item.LADDER_BLOCK) == blocks
    inner = [p.id for p in placed if p.item is Item.RIM_BOARD and p.host == "opening:S"]
    expected = [f"opening:S:along:{name}" for name in names]
    assert inner == [f"rim:{host}:0" for host in (*expected, "opening:S:across:low", "opening:S:across:high")]
    strips = [(p.host[:3], p.quantity) for p in placed if p.item is Item.WEB_BACKING]
    assert strips == [("A.T", in16(96)), ("A.H", in16(36)), ("A.H", in16(36))]
    headers = [p for p in placed if p.why == "header ends at outside walls"]
    assert (len(headers), {p.item for p in headers}) == (4, {Item.BEARING_CLIP})


def test_a_stair_from_wall_to_wall_leaves_no_run() -> None:
    # 36 wide floor, stair 28 of it: no room for a trimmer on either side, the line at 96 lies in it.
    opening = {"id": "S", "kind": "stair", "corner": [4, 44], "size": [28, 96]}
    floor = typed([(0, 0), (36, 0), (36, 192), (0, 192)], openings=[opening])
    placed, (line,) = _both(floor)
    assert line.runs == ()
    inner = [p.host for p in placed if p.item is Item.RIM_BOARD and ":along:" in p.id]
    assert not inner
    assert not [p for p in placed if p.item is Item.STRAP]


def test_the_other_arm_keeps_its_blocks_beside_a_stair_without_trimmer() -> None:
    # A U: arms x 0 to 96 and 200 to 296, 192 deep, joined by the lowest 60; the stair stands 4 in off the inner
    # side of the second arm (x 204 to 230), so that side's rim (x 200) has no blocks beside it, but the first arm's
    # inner side (x 96) has: from 60 to 186.5 with the line at 96: 36 and 90.5, 1 + 1.
    corners = [(0, 0), (296, 0), (296, 192), (200, 192), (200, 60), (96, 60), (96, 192), (0, 192)]
    opening = {"id": "S", "kind": "stair", "corner": [204, 70], "size": [26, 60]}
    placed, (line,) = _both(typed(corners, openings=[opening]))
    assert line.along_16 == in16(96)
    blocks = Counter(p.host for p in placed if p.item is Item.LADDER_BLOCK)
    assert blocks["edge:5"] == 2
    # Beside the stair nothing; above its header (134.4 on) 52 are left: one.
    assert blocks["edge:3"] == 1
    assert [run.low_stop for run in line.runs] == ["edge:7", "A.T1"]


def test_a_free_edge_takes_angles_into_the_rim_and_no_nails() -> None:
    # 96 wide, bearing wall centred at 120, free edge at 144: joists 16 to 80 pass the wall. At the rim: a clip angle
    # each with 5 + 5; nails at y 0 and over the wall only. The overhang, 121.75 to 142.875, is 21.125 clear: no
    # block there; the span 5.5 to 118.25 is 112.75: one line at 61.875, blocks with it and half-way: 3 a side.
    floor = typed(
        [(0, 0), (96, 0), (96, 144), (0, 144)],
        edges=[{"edge": 2, "kind": "free"}],
        supports=[{"id": "W", "from": [0, 120], "to": [96, 120]}],
    )
    placed = things(floor)
    clips = Counter((c.item, c.why) for c in placed if c.rule == "R20" and c.size)
    assert clips == {
        (Item.BEARING_CLIP, "joist ends at platform bearings"): 5,
        (Item.CLIP_ANGLE, "joist ends at free edges"): 5,
    }
    assert sum(s.quantity for s in placed if s.item is Item.WOOD_SCREW) == 10 * 5
    assert sum(s.quantity for s in placed if s.rule == "R21") == 5 * 2 * 2
    assert not [p for p in placed if p.item is Item.LAP_PLATE]
    assert Counter(p.host for p in placed if p.item is Item.LADDER_BLOCK) == {"edge:1": 3, "edge:3": 3}
    assert {b.why for b in placed if b.host == "edge:2"} == {"free edges"}


def test_a_long_overhang_is_blocked_like_a_span() -> None:
    # The same, 240 deep, free beyond the wall at 160: overhang 161.75 to 238.875 = 77.125: a block in its middle,
    # 200.3125; the span 5.5 to 158.25 has its line at 81.875 and gaps of 76.375: 3 more.
    floor = typed(
        [(0, 0), (96, 0), (96, 240), (0, 240)],
        edges=[{"edge": 2, "kind": "free"}],
        supports=[{"id": "W", "from": [0, 160], "to": [96, 160]}],
    )
    along = [p.at.y_16 for p in things(floor) if p.item is Item.LADDER_BLOCK and p.host == "edge:3"]
    assert along == [in16(y) for y in (43.6875, 81.875, 120.0625, 200.3125)]


def test_double_joists_take_everything_twice_but_count_as_one_for_blocks() -> None:
    # 96 x 144, joists of two plies at 16 to 80: 20 bearing clips, 40 nails, 5 x (ceil((141 - 18)/24) + 1 = 7) ply
    # clips; blocks by 5 joists: the first and last space; strap screws 2 a joist and 2 a block.
    floor = typed([(0, 0), (96, 0), (96, 144), (0, 144)], bays=[{"direction": "y", "plies": 2}])
    placed = things(floor)
    count = Counter[Item]()
    for thing in placed:
        count[thing.item] += thing.quantity
    assert count[Item.BEARING_CLIP] == 20
    assert sum(n.quantity for n in placed if n.rule == "R21") == 40
    assert count[Item.PLY_CLIP] == 35
    assert {p.why for p in placed if p.rule == "R22" and p.item is Item.PLY_CLIP} == {"built-up joists"}
    assert count[Item.SOLID_BLOCK] == 2
    on_line = sum(b.why == "on bridging lines" for b in placed if b.item is Item.LADDER_BLOCK)
    assert count[Item.STRAP_SCREW] == 10 + 2 * (2 + on_line)


def test_a_trimmer_that_hangs_on_a_header_takes_clip_angles_there() -> None:
    # A wide stair, x 40 to 100, y 20 to 80, and a narrow one above it, x 60 to 76, y 120 to 160, in one span: the
    # narrow one's trimmers hang on the wide one's header, two plies each: 4 angles. Its header plies keep 3 in off
    # their centre lines, 57.25 and 78.75.
    openings = [
        {"id": "S1", "kind": "stair", "corner": [40, 20], "size": [60, 60]},
        {"id": "S2", "kind": "stair", "corner": [60, 120], "size": [16, 40]},
    ]
    placed = things(typed(BOX, openings=openings))
    hung = [c for c in placed if c.why == "trimmer ends at headers"]
    assert ([c.item for c in hung], {c.at.y_16 for c in hung}) == ([Item.CLIP_ANGLE] * 4, {in16(84.75)})
    header = {p.at.x_16 / 16 for p in placed if p.item is Item.PLY_CLIP and p.at.y_16 == in16(82.75)}
    assert all(abs(x - centre) >= 3 for x in header for centre in (57.25, 78.75))
    boards = Counter(p.host for p in placed if p.item is Item.RIM_BOARD and p.host.startswith("opening"))
    assert boards == {"opening:S1": 4, "opening:S2": 4}


def test_no_packer_between_a_rim_and_a_shifted_joist_that_reaches_it() -> None:
    # Double joists, 3 1/4 wide; the last station, 96, is just set (3 in from the rim's face, 99). Its face is 1 3/8 off
    # the rim in the first line: one packer in its span, for 77 clear need none more. Shifted by 3 1/4 (R5) the second
    # line's face is 1 7/8 in the rim, which the layout warns of: nothing to fill there.
    wall = {"id": "W", "from": [0, 84], "to": [100.125, 84], "joint": "lap"}
    floor = typed(
        [(0, 0), (100.125, 0), (100.125, 168), (0, 168)],
        supports=[wall],
        bays=[{"direction": "y", "plies": 2}],
    )
    placed, _ = _both(floor)
    packers = [
        (p.at.x_16 / 16, p.to.x_16 / 16, p.at.y_16 < in16(84))
        for p in placed
        if p.item is Item.WOOD_PACKER and p.to
    ]
    assert packers == [(99, 97.625, True)]
