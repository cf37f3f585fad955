"""Plain rectangles worked by hand from R3 to R5; all figures in inches unless said."""

from __future__ import annotations

from dataclasses import replace

import pytest

from framing.engine.members import EndKind
from tests.engine.layout.builders import centres, joists, lay, lengths, rectangle


def test_twenty_four_feet_at_sixteen_inches_has_seventeen_joists_of_15_9() -> None:
    # R3: 16, 32, ... 272; 288 is the outline. R4: 192 - 2 x (1 1/8 + 3/8) = 189 = 15'-9".
    layout = lay(rectangle("24'", "16'"))
    assert centres(layout.members) == [16.0 * k for k in range(1, 18)]
    assert set(lengths(layout.members)) == {189.0}
    assert {(m.low.kind, m.high.kind) for m in layout.members} == {(EndKind.PLATFORM, EndKind.PLATFORM)}
    # 5 1/2 walls: inside faces at 5.5 and 192 - 5.5.
    assert {(m.low.face_16, m.high.face_16) for m in layout.members} == {(88, 2984)}


def test_forty_by_twenty_four_both_ways() -> None:
    # Joists along the 24': 480/16 = 30, so 29, each 288 - 3 = 285. Along the 40': 17, each 480 - 3 = 477.
    short = lay(rectangle("40'", "24'", direction="y"))
    assert (len(short.members), set(lengths(short.members))) == (29, {285.0})
    long = lay(rectangle("40'", "24'", direction="x"))
    assert (len(long.members), set(lengths(long.members))) == (17, {477.0})


def test_a_station_too_near_the_rim_gives_way_to_a_closing_joist() -> None:
    # 20'-2" = 242: inside face of the rim 240.875; station 240 is 0.875 away, not set. Left
    # 242 - 224 = 18 > 16: one closing joist at 224 + 9 = 233. 14 stations and that one: 15.
    layout = lay(rectangle(242, "14'"))
    assert centres(layout.members) == [*(16.0 * k for k in range(1, 15)), 233.0]
    assert [m.station for m in layout.members] == [*range(14), None]  # R3 counts k from 0, at the offset


def test_more_closing_joists() -> None:
    # 16'-1" = 193: station 192 lies 0.125 beyond the inside face 191.875; left 193 - 176 = 17 > 16: at 184.5.
    assert centres(lay(rectangle(193, "14'")).members)[-1] == 184.5
    # 24 in spacing, 218: 216 is 0.875 from the face 216.875; left 218 - 192 = 26 > 24: (192 + 218)/2 = 205.
    assert centres(lay(rectangle(218, "14'", spacing="24")).members)[-1] == 205.0


@pytest.mark.parametrize(
    ("width", "last"),
    [
        # Face 240 + 3 = 243, so station 240 is exactly 3 in away and set; 244.125 - 240 is little.
        ("244 1/8", 240.0),
        # A sixteenth less: not set; 20.0625 left > 16: closing (224 + 244.0625)/2 = 234.03125, up to 1/16.
        ("244 1/16", 234.0625),
    ],
)
def test_exactly_three_inches_from_the_rim_is_set(width: str, last: float) -> None:
    assert centres(lay(rectangle(width, "14'")).members)[-1] == last


def test_stations_near_the_start_rim_follow_the_same_rule() -> None:
    # Offset 4, width 120: station 4 is 2.875 from the face 1.125, not set; first 20 leaves 20 > 16: closing
    # at 10. Far side: face 118.875; 116 is 2.875 away, not set; left 120 - 100 = 20 > 16: closing at 110.
    plan = rectangle(120, "14'")
    (bay,) = plan.bays
    moved = replace(plan, bays=(replace(bay, offset_16=bay.offset_16 / 4),))
    assert centres(lay(moved).members) == [10.0, 20.0, 36.0, 52.0, 68.0, 84.0, 100.0, 110.0]


def test_offset_zero_puts_no_joist_on_the_rim() -> None:
    plan = rectangle(96, "14'")
    at_zero = replace(plan, bays=(replace(plan.bays[0], offset_16=plan.bays[0].offset_16 * 0),))
    assert centres(lay(at_zero).members) == [16.0, 32.0, 48.0, 64.0, 80.0]


def test_stations_at_19_2_are_rounded_one_by_one() -> None:
    # 16'-0" = 10 spaces of 307.2 sixteenths, each station rounded half up on its own; no drift.
    layout = lay(rectangle("16'", "14'", spacing="19.2"))
    assert [m.centre_16 for m in layout.members] == [307, 614, 922, 1229, 1536, 1843, 2150, 2458, 2765]


def test_a_floor_at_19_2_of_whole_spaces_needs_no_closing_joist() -> None:
    # 19.2 x 10 = 192 is outside; the last space 192 - 172.8 is the spacing, not over it, however rounded.
    assert [m.station for m in lay(rectangle("16'", "14'", spacing="19.2")).members] == list(range(9))


def test_lapped_middle_wall() -> None:
    # 24' deep, wall at 12' = 144. R5: each runs 6 past the centre: 150 - 1.5 = 148.5 and 286.5 - 138 = 148.5.
    # The second line stands 1 5/8 further from the start edge. Faces of the 3 1/2 wall: 142.25 and 145.75.
    wall = {"id": "W1", "from": ["0", "12'"], "to": ["10'", "12'"], "joint": "lap"}
    layout = lay(rectangle("10'", "24'", supports=[wall]))
    first, second = joists(layout, line=0), joists(layout, line=1)
    assert centres(first) == [16.0, 32.0, 48.0, 64.0, 80.0, 96.0, 112.0]
    assert centres(second) == [c + 1.625 for c in centres(first)]
    assert set(lengths(first)) == set(lengths(second)) == {148.5}
    assert {(m.low_16 / 16, m.high_16 / 16) for m in first} == {(1.5, 150.0)}
    assert {(m.low_16 / 16, m.high_16 / 16) for m in second} == {(138.0, 286.5)}
    assert {m.high.face_16 / 16 for m in first} == {142.25}
    assert {m.low.face_16 / 16 for m in second} == {145.75}
    # R12: one line whole before the next.
    assert [m.line for m in layout.members] == [0] * 7 + [1] * 7
    assert [(s.low_face_16 / 16, s.high_face_16 / 16) for s in layout.spans] == [
        (5.5, 142.25),
        (145.75, 282.5),
    ]


def test_three_lapped_lines_stand_on_off_and_on_the_stations() -> None:
    walls = [
        {"id": name, "from": ["0", at], "to": ["10'", at], "joint": "lap"}
        for name, at in (("W1", "12'"), ("W2", "20'"))
    ]
    layout = lay(rectangle("10'", "32'", supports=walls))
    offs = [
        {m.centre_16 / 16 - 16 * ((m.station or 0) + 1) for m in joists(layout, line=line)}
        for line in (0, 1, 2)
    ]
    assert offs == [{0.0}, {1.625}, {0.0}]


def test_butted_middle_wall() -> None:
    # Each stops 3/16 short of the centre 144: 143.8125 - 1.5 = 142.3125 both ways; nothing is shifted.
    wall = {"id": "W1", "from": ["0", "12'"], "to": ["10'", "12'"], "joint": "butt"}
    layout = lay(rectangle("10'", "24'", supports=[wall]))
    assert set(lengths(layout.members)) == {142.3125}
    assert centres(joists(layout, line=0)) == centres(joists(layout, line=1))
    assert {m.high.kind for m in joists(layout, line=0)} == {EndKind.BUTT}


def _through(name: str, at: str) -> dict[str, object]:
    return {"id": name, "from": ["0", at], "to": ["10'", at], "joint": "through"}


def test_through_joists_are_one_piece_within_forty_feet() -> None:
    # 36'-0" - 3 = 429 = 35'-9", over bearings at 144 and 288 with faces 1.75 either side.
    layout = lay(rectangle("10'", "36'", supports=[_through("W1", "12'"), _through("W2", "24'")]))
    assert (len(layout.members), set(lengths(layout.members))) == (7, {429.0})
    faces = [(c.support, c.low_face_16 / 16, c.high_face_16 / 16) for c in layout.members[0].crossings]
    assert faces == [("W1", 142.25, 145.75), ("W2", 286.25, 289.75)]
    assert len(layout.spans) == 3


def test_through_joists_over_forty_feet_lap_at_the_last_bearing_within_it() -> None:
    # 44'-0": one piece would be 525 > 480. From 1.5 over 168 to a lap at 336: 342 - 1.5 = 340.5.
    # The rest: 330 to 526.5 = 196.5, one flange off.
    layout = lay(rectangle("10'", "44'", supports=[_through("W1", "14'"), _through("W2", "28'")]))
    assert set(lengths(joists(layout, line=0))) == {340.5}
    assert set(lengths(joists(layout, line=1))) == {196.5}
    assert {len(m.crossings) for m in joists(layout, line=0)} == {1}
    assert all(m.shifted for m in joists(layout, line=1))


def test_a_ledger_edge_counts_as_rim_and_its_face_is_its_inside() -> None:
    # R2, R4: same cut length; the clear span starts at the ledger's inside face, 1 1/8.
    layout = lay(rectangle("10'", "16'", edges=[{"edge": 0, "kind": "balloon"}]))
    assert set(lengths(layout.members)) == {189.0}
    assert {(m.low.kind, m.low.face_16) for m in layout.members} == {(EndKind.BALLOON, 18)}
