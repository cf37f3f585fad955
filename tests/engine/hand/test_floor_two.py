"""Floor two on paper: 30'-0" x 28'-0", lapped over a wall at 13'-4", joists along y at 19.2 in, 1200S162-54.

In inches: x 0..360 (across), y 0..336 (along); wall W at y 160, faces 158.25 and 161.75. The far edge (y
336) is a ledger. Stair 42 x 120 at x 97.9375..139.9375, y 24..144; shaft 24 x 24 at x 244.5..268.5, y
236..260. Flange 1.625.

R3: stations 19.2 k for k = 1 ... 18, the last 345.6; 364.8 is outside, and 14.4 left is under the
spacing. To the sixteenth: 19.1875, 38.375, 57.625, 76.8125, 96, 115.1875, 134.375, 153.625, 172.8125,
192, 211.1875, 230.375, 249.625, 268.8125, 288, 307.1875, 326.375, 345.625.
R5: first line on the stations from 1.5 to 160 + 6 = 166, 164.5 long; second line 1.625 higher from 154 to
334.5, 180.5 long.
R7 stair: near faces 96.8125 and 141.0625, trimmers 93.5625..96.8125 (centre 95.1875) and
141.0625..144.3125 (142.6875), as long as their line. Station 96 lies within the low one: it goes. Tails
at 115.1875 and 134.375. Headers 42 + 2.25 - 0.75 = 43.5 from 97.1875 to 140.6875, at y 19.625..22.875 and
145.125..148.375. Low tails 1.5 to 19.25, 17.75 long; high tails 148.75 to 166, 17.25 long.
R7 shaft, second line on 212.8125, 232, 251.25, 270.4375, 289.625: trimmers 240.125..243.375 (241.75) and
269.625..272.875 (271.25). 270.4375 goes. One tail at 251.25. Headers 25.5 from 243.75 to 269.25, at y
231.625..234.875 and 261.125..264.375. Low tail 154 to 231.25 = 77.25; high tail 264.75 to 334.5 = 69.75.
First line: 15 joists, 2 + 2 tails, 2 trimmers. Second: 16 joists, 1 + 1 tails, 2 trimmers.
R11: six lengths of J, two of T, two of H, all holes equal within each: ten marks.
R10: hole centres 12 off faces: first line 17.5..146.25, its trimmers also 12 off headers 34.875..133.125;
second line 173.75..322.875, trimmers 173.75..219.625, 246.875..249.125, 276.375..322.875. Lines that all
members have: 5 in the first line need a phase of 10.875..13.125, 4 fit any other; the one at 246.875 in
the second needs 6.875..9.125 and brings 5 (two on each side of it): never both, so 9 at most, with a
phase there or at 10.875: joists then have 5 and 7 holes, or 6.
R20, n = 6: bearing clips at y 0: 15 + 2 + 2 x 2 = 21 (126 steel, 126 wood). Clip angles at the ledger: 16
+ 1 + 4 = 21 (126, 126); tails at headers 2 + 2 + 1 + 1 = 6 (72 steel); headers at trimmers 4 x 2 plies x
2 ends = 16 (192 steel). 43, and 12 at ladder blocks: 55.
R21: y 0: 21 plies; wall, first line: 15 + 2 high tails + 4 = 21; second: 16 + 1 + 4 = 21. 63 x 2 = 126.
R22 stair trimmers, 164.5: ceil(146.5/24) = 7 spaces, 8 clips from 10.5 every 20.93: none within 3 of
21.25 or 146.75. Shaft trimmers, 180.5: 7 spaces of 23.214, 8 clips at 163, 186.21, 209.43, 232.64,
255.86, 279.07, 302.29, 325.5; headers' centres 233.25 and 262.75. 232.64 goes to 230.25; to 255.86 it is
then 25.6, so one more at 243.05: 9 clips. Stair headers, 43.5: 2 spaces, 3 clips at x 106.1875, 118.9375,
131.6875; tails at 115.1875 (3.75 off) and 134.375 (2.6875 off): the last goes to 131.375. Shaft headers,
25.5: one space, x 252.75 and 260.25; the tail at 251.25 moves the first to 254.25. 2 x 8 + 2 x 9 + 2 x 3
+ 2 x 2 = 44 clips, 176 steel.
R23: 18 stations, each with a member on both sides: 96 pairs with the stair's low trimmer (its face
96.8125 touches the joist at 97.625), 268.8125 with the shaft's high one (269.625). The other two trimmers
stand alone. 18 plates, 18 x 12 = 216 steel.
R24: first span 5.5..158.25 = 152.75: 1 line at 81.875; second 161.75..334.875 = 173.125: 1 line at
248.3125. Both pass between the headers' far faces: two runs each.
R25 first span, low run: spaces 19.1875|38.375 (middle 28.78) ... 76.8125|trimmer (77.625..93.5625,
85.59): 56.8 apart, 2 blocks. High run: trimmer|153.625 (144.3125..152.8125, 8.5 clear, 148.5625) to
326.375|345.625 (336): 187.4 apart; one between must lie at 240 (96 exactly to 336) to 244.6:
230.375|249.625 has its middle at 240. 3 blocks.
Second span, joists at 20.8125, 40, ... 232 and trimmer 240.125: 20.8125|40 (30.40625) to 232.8125|240.125
(236.47): 206 apart, 2 between; 4 blocks. High run 272.875|288.8125 (280.84) to 328|347.25 (337.625): 2
blocks. 11, 44 steel.
R26: 17.25 clear on the left in the first line, more in the second; on the right 12.4 and 10.8. Half spans
76.375 and 86.5625: one block between each: 3 a span and rim, 12 in all, 4 of them on lines. 12 x 12 = 144
steel, 48 nails.
R27: 96.8125 - 1.125 + 6 = 101.6875; 358.875 - 141.0625 + 6 = 223.8125; 243.375 - 1.125 + 6 = 248.25;
358.875 - 269.625 + 6 = 95.25. Plies 4 + 2, 2 + 11, 12 + 2, 2 + 4 = 39; blocks 2 x (11 + 4) = 30: 69
screws. 4 x 2 nails.
R28: y 0 and y 336 (the ledger counts): 360 = 240 + 120 each; left and right 333.75 = 240 + 93.75. Inner:
122.25 x 2, 42 x 2. Beside four whole sticks: 120 x 2, 122.25 x 2, 93.75 x 2, 42 x 2 = 756. A stick with a
122.25 wastes at least 21.75 (144 alone; 240 with 93.75: 24), so 799.5 and, as stock is in steps of 48,
816: 120 + 120 | 93.75 + 93.75 + 42 | 122.25 + 42 in 192 | 122.25 in 144. Four sticks, no fewer (three are
720 at most), and of 816 in four two 240s are the most. 6 of 20, 1 of 16, 1 of 12.
R29: strips 120, 120, 42, 42 = 324, 12 - 2 x 0.0566 - 0.125 = 11.76 high: four rips in 48. In rips of 96:
96 | 96 | 24 + 24 + 42 | 42: one sheet.
R30: 7 rows. Odd: 96, 96, 96, 72. Even: 38.4, then 96 to 134.4, 230.4, 326.4 would leave 33.6, under 38.4:
cut at the last station that leaves two spaces, 307.2 (leaves 52.8): 38.4, 96, 96, 76.8, 52.8. No cell
lies inside an opening. Odd: 3 whole + a new one for 72 (24 left: waste) = 4. Even: half from a new one
(57.6 kept), 2 whole, 76.8 new (19.2 waste), 52.8 from the 57.6: 4. 28 opened, 4 x 4 + 3 x 5 = 31 cells.
R23 cleats: rows 4 to 7 lie on the shifted line in whole or part (first line ends at 166 in row 4,
144..192); a flange stands 0.8125 to 2.4375 past the station, so no joint has one: rows 4, 6: 38.4, 134.4,
230.4, 307.2; rows 5, 7: 96, 192, 288. 14 cleats. No trimmer covers one (the shaft's 240.125..243.375 and
269.625..272.875).
Adhesive: joists, tails and trimmers 15 x 164.5 + 2 x 17.75 + 2 x 17.25 + 2 x 164.5 + 16 x 180.5 + 77.25 +
69.75 + 2 x 180.5 = 6262.5; second beads where a joint has a flange: row 1 3 x 46.5, row 2 3 x 48 (134.4
is in the stair), row 3 3 x 48, row 4 up to 166: 3 x 22 + 17.25 on the high tail: 510.75. 6773.25 / 480 =
14.1: 15 tubes.
Nails, ends: rows 1, 3, 5, 7 8 x 9; row 2 8 x 9 (two ends are in the stair); rows 4, 6 10 x 9: 540; rims 2
x (3 x 15 + 11) = 112: 652. Between ends, row 1: 14 x 5, tails 2 x 3, header 5 = 81; rows 2, 3: 14 x 5;
row 4: 14 x 3 + tail 3 + header 5 + 2 (joint at 134.4), second line 19 x 5 = 147; row 5: 18 x 5 + 5 + 4 =
99; row 6: 18 x 5 + 3 + 4 = 97; row 7: 19 x 5 = 95: 659.
R31: steel 126 + 126 + 72 + 192 + 176 + 216 + 44 + 144 = 1096, + 5 % = 1150.8: 5 boxes; wood 252 -> 264.6:
2; nails 126 + 48 + 8 = 182: 1; strap screws 69: 1.
"""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

import pytest

from framing.engine.members import Member, MemberKind
from framing.engine.placement import Item
from framing.engine.result import FloorResult
from tests.engine.hand.floors_on_paper import (
    count,
    cut,
    designed,
    holes,
    inches,
    lengths,
    line,
    members,
    panels,
    pieces,
    placed,
    spots,
)

STATIONS = [
    *(19.1875, 38.375, 57.625, 76.8125, 96.0, 115.1875, 134.375, 153.625, 172.8125),
    *(192.0, 211.1875, 230.375, 249.625, 268.8125, 288.0, 307.1875, 326.375, 345.625),
]


@pytest.fixture(scope="module")
def floor() -> FloorResult:
    return designed(
        name="Floor two",
        outline=[["0", "0"], ["30'", "0"], ["30'", "28'"], ["0", "28'"]],
        edges=[{"edge": 2, "kind": "balloon"}],
        supports=[{"id": "W", "from": ["0", "13' 4\""], "to": ["30'", "13' 4\""], "joint": "lap"}],
        openings=[
            {"id": "O1", "kind": "stair", "corner": ["97 15/16", "24"], "size": ["42", "120"]},
            {"id": "O2", "kind": "shaft", "corner": ["244.5", "236"], "size": ["24", "24"]},
        ],
        bays=[{"id": "A", "direction": "y", "spacing": "19.2", "profile": "1200S162-54"}],
    )


def _lines(floor: FloorResult) -> list[list[Member]]:
    """Whole joists and trimmers of each line."""
    whole = [m for m in floor.members if inches(m.length_16) in (164.5, 180.5)]
    return [[m for m in whole if m.line == number] for number in (0, 1)]


def test_first_line(floor: FloorResult) -> None:
    joists = cut(members(floor, MemberKind.JOIST, 0))
    whole = [s for s in STATIONS if s not in (96.0, 115.1875, 134.375)]
    tails = [(s, *ends) for s in (115.1875, 134.375) for ends in ((1.5, 19.25), (148.75, 166.0))]
    assert joists == sorted([(s, 1.5, 166.0) for s in whole] + tails)
    assert cut(members(floor, MemberKind.TRIMMER, 0)) == [(95.1875, 1.5, 166.0), (142.6875, 1.5, 166.0)]


def test_second_line(floor: FloorResult) -> None:
    joists = cut(members(floor, MemberKind.JOIST, 1))
    shifted = [s + 1.625 for s in STATIONS if s not in (249.625, 268.8125)]
    tails = [(251.25, 154.0, 231.25), (251.25, 264.75, 334.5)]
    assert joists == sorted([(s, 154.0, 334.5) for s in shifted] + tails)
    assert cut(members(floor, MemberKind.TRIMMER, 1)) == [(241.75, 154.0, 334.5), (271.25, 154.0, 334.5)]


def test_headers(floor: FloorResult) -> None:
    assert sorted(cut(members(floor, MemberKind.HEADER))) == [
        (21.25, 97.1875, 140.6875),
        (146.75, 97.1875, 140.6875),
        (233.25, 243.75, 269.25),
        (262.75, 243.75, 269.25),
    ]
    assert {m.plies for m in floor.members if m.kind is not MemberKind.JOIST} == {2}


def test_pieces_and_marks(floor: FloorResult) -> None:
    by_kind = Counter({(mark[1], length): n for (mark, length), n in pieces(floor).items()})
    assert by_kind == {
        ("J", 164.5): 15,
        ("J", 17.75): 2,
        ("J", 17.25): 2,
        ("J", 180.5): 16,
        ("J", 77.25): 1,
        ("J", 69.75): 1,
        ("T", 164.5): 4,
        ("T", 180.5): 4,
        ("H", 43.5): 4,
        ("H", 25.5): 4,
    }
    assert len({mark for mark, _ in pieces(floor)}) == 10


def test_install_sequence_takes_one_line_whole(floor: FloorResult) -> None:
    first = [m.sequence for m in floor.members if m.line == 0]
    second = [m.sequence for m in floor.members if m.line == 1]
    assert max(first) < min(second)
    assert sorted(first + second) == list(range(1, len(floor.members) + 1))


def test_holes_keep_clear_and_in_line(floor: FloorResult) -> None:
    """Hole centres stand 12 in off faces: where they may be follows from the faces above."""
    allowed = {
        (MemberKind.JOIST, 164.5): [(17.5, 146.25)],
        (MemberKind.TRIMMER, 164.5): [(34.875, 133.125)],
        (MemberKind.JOIST, 180.5): [(173.75, 322.875)],
        (MemberKind.TRIMMER, 180.5): [(173.75, 219.625), (246.875, 249.125), (276.375, 322.875)],
        (MemberKind.JOIST, 77.25): [(173.75, 219.625)],
        (MemberKind.JOIST, 69.75): [(276.375, 322.875)],
    }
    (phase,) = {h % 24 for m in floor.members for h in holes(m)}
    grid = [phase + 24 * k for k in range(15)]
    assert sum(all(h in holes(m) for m in whole) for whole in _lines(floor) for h in grid) == 9
    for member in floor.members:
        ranges = allowed.get((member.kind, inches(member.length_16)), [])
        assert holes(member) == [g for g in grid if any(low <= g <= high for low, high in ranges)]


def test_clips(floor: FloorResult) -> None:
    assert count(floor, Item.BEARING_CLIP) == {"1200": 21}
    assert count(floor, Item.CLIP_ANGLE) == {"1200": 55}
    assert count(floor, Item.LAP_PLATE) == {"1200": 18}
    assert count(floor, Item.PLY_CLIP) == {"1200": 44}


def test_ply_clip_positions(floor: FloorResult) -> None:
    spaces = [10.5 + 146.5 / 7 * k for k in range(8)]
    stair = [y for x, y in spots(floor, Item.PLY_CLIP) if x == 95.1875]
    assert stair == pytest.approx(spaces, abs=0.07)
    shaft = [y for x, y in spots(floor, Item.PLY_CLIP) if x == 241.75]
    step = 162.5 / 7
    even = [163 + step * k for k in range(8)]
    expected = [*even[:3], 230.25, (230.25 + even[4]) / 2, *even[4:]]
    assert shaft == pytest.approx(expected, abs=0.07)
    assert [x for x, y in spots(floor, Item.PLY_CLIP) if y == 21.25] == [106.1875, 118.9375, 131.375]
    assert [x for x, y in spots(floor, Item.PLY_CLIP) if y == 262.75] == [254.25, 260.25]


def test_bridging(floor: FloorResult) -> None:
    assert [(inches(b.along_16), len(b.runs)) for b in floor.lines] == [(81.875, 2), (248.3125, 2)]
    assert lengths(floor, Item.STRAP) == [
        6.0,
        6.0,
        6.0,
        6.0,
        89.25,
        95.6875,
        217.8125,
        242.25,
    ]  # 6: turned up


def test_solid_blocks(floor: FloorResult) -> None:
    low = [x for x, y in spots(floor, Item.SOLID_BLOCK) if y == 81.875]
    assert low == pytest.approx([28.78125, 85.59375, 148.5625, 240.0, 336.0], abs=0.07)
    high = [x for x, y in spots(floor, Item.SOLID_BLOCK) if y == 248.3125]
    assert len(high) == 6
    ends = [high[0], high[3], high[4], high[5]]
    assert ends == pytest.approx([30.40625, 236.46875, 280.84375, 337.625], abs=0.07)
    assert all(b - a <= 96 for a, b in pairwise(high[:4]))
    assert len(placed(floor, Item.SOLID_BLOCK)) == 11


def test_ladder_blocks(floor: FloorResult) -> None:
    heights = sorted(y for _, y in spots(floor, Item.LADDER_BLOCK))
    once = [43.6875, 81.875, 120.0625, 205.03125, 248.3125, 291.59375]
    assert heights == pytest.approx(sorted(once * 2), abs=0.07)
    assert spots(floor, Item.WOOD_PACKER) == []


def test_rim(floor: FloorResult) -> None:
    rests = [42.0, 42.0, 93.75, 93.75, 120.0, 120.0, 122.25, 122.25]
    assert lengths(floor, Item.RIM_BOARD) == [*rests, *[240.0] * 4]
    assert count(floor, Item.RIM_STICK) == {"20": 6, "16": 1, "12": 1}


def test_web_backing(floor: FloorResult) -> None:
    assert sum(lengths(floor, Item.WEB_BACKING)) == 324.0
    assert sum(count(floor, Item.BACKING_SHEET).values()) == 1


def test_sheathing(floor: FloorResult) -> None:
    assert sum(count(floor, Item.SHEATHING_CELL).values()) == 31
    assert panels(floor) == 28
    assert line(floor, "adhesive_tube") == (6773.25 * 16, 15)
    assert line(floor, "sheathing_nail") == (652 + 659, 2)
    rows = Counter(int(y // 48) + 1 for _, y in spots(floor, Item.SHEATHING_CLEAT))
    assert rows == {4: 4, 5: 3, 6: 4, 7: 3}


def test_fasteners(floor: FloorResult) -> None:
    assert line(floor, "steel_screw") == (1096, 5)
    assert line(floor, "wood_screw") == (252, 2)
    assert line(floor, "bearing_nail") == (182, 1)
    assert line(floor, "strap_screw") == (69, 1)
