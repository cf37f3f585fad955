"""Openings and bearing partitions worked by hand (R7, R8), in inches; flange 1 5/8, so 2 plies are 3 1/4.

The floor is 20'-0" x 14'-0" (240 x 168), joists along the 168 at 16: 14 stations 16 ... 224, each 165 long.
"""

from __future__ import annotations

from typing import Any

import pytest

from framing.engine.errors import FloorRefused
from framing.engine.floor import FloorPlan
from framing.engine.members import BayLayout, EndKind, Member, MemberKind
from tests.engine.layout.builders import centres, document, joists, lay, lengths, plan_of, rectangle


def _stair(x: Any, y: Any, width: Any, length: Any) -> dict[str, Any]:
    return {"id": "S1", "name": "Stair", "corner": [x, y], "size": [width, length]}


def _floor(x: Any, width: Any, y: Any = 40, length: Any = 80) -> FloorPlan:
    return rectangle(240, 168, openings=[_stair(x, y, width, length)])


def _kind(layout: BayLayout, kind: MemberKind) -> list[Member]:
    return [member for member in layout.members if member.kind is kind]


def _tails(layout: BayLayout) -> list[Member]:
    return [m for m in joists(layout) if EndKind.HEADER in (m.low.kind, m.high.kind)]


def _full(layout: BayLayout) -> list[Member]:
    return [m for m in joists(layout) if m not in _tails(layout)]


def test_trimmers_headers_and_tails() -> None:
    # Opening 66..110 x 40..120. Trimmer faces 64.875 and 111.125: bands 61.625-64.875 and 111.125-114.375.
    # Headers: 35.625-38.875 and 121.125-124.375; length 44 + 2.25 - 0.75 = 45.5.
    # Station 64 lies in the first trimmer, 112 in the second: both go. Tails at 80 and 96.
    layout = lay(_floor(66, 44))
    trimmers, headers = _kind(layout, MemberKind.TRIMMER), _kind(layout, MemberKind.HEADER)
    assert centres(trimmers) == [63.25, 112.75]
    assert lengths(trimmers) == [165.0, 165.0]
    assert [(t.plies, t.width_16) for t in trimmers] == [(2, 52), (2, 52)]
    assert centres(headers) == [37.25, 122.75]
    assert lengths(headers) == [45.5, 45.5]
    assert [(h.low_16 / 16, h.high_16 / 16) for h in headers] == [(65.25, 110.75)] * 2
    assert centres(_full(layout)) == [16, 32, 48, 128, 144, 160, 176, 192, 208, 224]
    # Low tails 1.5 to 35.625 - 0.375 = 35.25: 33.75. High tails 124.375 + 0.375 = 124.75 to 166.5: 41.75.
    assert sorted(lengths(_tails(layout))) == [33.75, 33.75, 41.75, 41.75]
    assert sorted(centres(_tails(layout))) == [80, 80, 96, 96]


def test_ends_name_what_they_meet() -> None:
    layout = lay(_floor(66, 44))
    ids = {member.id: member for member in layout.members}
    (framed,) = layout.openings
    for header in _kind(layout, MemberKind.HEADER):
        assert (header.low.host, header.high.host) == (framed.trimmer_low, framed.trimmer_high)
    for tail in _tails(layout):
        host = tail.high.host if tail.high.kind is EndKind.HEADER else tail.low.host
        assert ids[host].kind is MemberKind.HEADER


def test_install_sequence_takes_the_opening_together() -> None:
    # R12: 16, 32, 48, then both trimmers, low header, its tails, high header, its tails, then 128 onwards.
    layout = lay(_floor(66, 44))
    marks = [member.mark[1] for member in layout.members]
    assert "".join(marks) == "JJJ" + "TT" + "H" + "JJ" + "H" + "JJ" + "J" * 7
    assert [member.sequence for member in layout.members] == list(range(1, 19))


def test_a_joist_that_only_touches_a_trimmer_stays_and_one_that_overlaps_moves() -> None:
    # Opening from 68.875: trimmer 64.5-67.75. Station 64 (63.1875-64.8125) overlaps, its centre lies outside:
    # moved down to 64.5 - 0.8125 = 63.6875.
    assert 63.6875 in centres(_full(lay(_floor("68 7/8", 40))))
    # Opening from 69.1875: trimmer 64.8125-68.0625; 64 + 0.8125 touches it and stays.
    assert 64.0 in centres(_full(lay(_floor("69 3/16", 40))))


def test_a_tail_that_overlaps_a_trimmer_moves_inwards() -> None:
    # Opening from 80.625: trimmer 76.25-79.5; station 80 overlaps, centre beyond the face: tail at 80.3125.
    assert 80.3125 in centres(_tails(lay(_floor("80 5/8", 40))))


def test_a_centre_on_the_trimmers_face_goes() -> None:
    # Opening from 81.125: near face exactly 80. Faces count as the trimmer's width.
    layout = lay(_floor("81 1/8", 40))
    assert not [c for c in centres(joists(layout)) if 78 < c < 82]


def test_three_plies_take_more_room() -> None:
    # Trimmer of 3: 4.875 wide, 62.875-67.75: station 64 lies in it now. Header of 3 at 40: far face
    # 40 - 1.125 - 4.875 = 34, tails 34 - 0.375 - 1.5 = 32.125.
    layout = lay(_floor("68 7/8", 40), S1_trimmer_low=3, S1_header_low=3)
    assert not [c for c in centres(joists(layout)) if 62 < c < 66]
    low_tails = [t for t in _tails(layout) if t.high.kind is EndKind.HEADER]
    assert set(lengths(low_tails)) == {32.125}
    assert _kind(layout, MemberKind.TRIMMER)[0].plies == 3


@pytest.mark.parametrize(("y", "length"), [("5 1/2", "74 1/2"), (0, 80), (3, 77)])
def test_an_edge_within_a_bearings_width_has_no_header(y: Any, length: Any) -> None:
    # Wall 0..5.5, faces included. One header at 80 (far face 84.375); tails 84.75 to 166.5 = 81.75 at 80
    # and 96.
    layout = lay(_floor(66, 44, y, length))
    (framed,) = layout.openings
    assert framed.header_low is None
    assert centres(_kind(layout, MemberKind.HEADER)) == [82.75]
    assert lengths(_tails(layout)) == [81.75, 81.75]


def test_an_edge_just_clear_of_the_bearing_has_a_header_but_no_tails_there() -> None:
    # Edge at 5.5625: header 1.1875-4.4375, wholly over the wall: nothing is left to span below it.
    layout = lay(_floor(66, 44, "5 9/16", 70))
    assert len(_kind(layout, MemberKind.HEADER)) == 2
    assert len(_tails(layout)) == 2


def test_an_edge_just_clear_of_the_far_bearing_has_a_header_but_no_tails_there() -> None:
    # Edge at 162.4375, the wall's face at 162.5: the header 163.5625-166.8125 stands wholly over the wall.
    layout = lay(_floor(66, 44, 90, "72 7/16"))
    assert len(_kind(layout, MemberKind.HEADER)) == 2
    assert [tail.high.kind for tail in _tails(layout)] == [EndKind.HEADER] * 2


def test_an_opening_behind_a_through_bearing_ends_the_joists_there() -> None:
    # 120 x 288, through bearing at 144, opening 30..60 x 144..204: its edge lies on the bearing, so no header
    # there. Joists 32 and 48 of the span below end 6 past the centre: 1.5 to 150; tails run from
    # 204 + 4.375 + 0.375 = 208.75 to 286.5.
    wall = {"id": "W1", "from": [0, 144], "to": [120, 144], "joint": "through"}
    layout = lay(rectangle(120, 288, supports=[wall], openings=[_stair(30, 144, 30, 60)]))
    between = [m for m in joists(layout) if m.centre_16 / 16 in (32, 48)]
    assert (
        sorted((m.low_16 / 16, m.high_16 / 16) for m in between) == [(1.5, 150.0)] * 2 + [(208.75, 286.5)] * 2
    )
    assert all(m.crossings == () for m in between)
    assert {m.high.host for m in between if m.low_16 < 100} == {"support:W1"}


def test_at_a_ledger_the_width_is_the_ledgers() -> None:
    plan = rectangle(240, 168, edges=[{"edge": 0, "kind": "balloon"}], openings=[_stair(66, "1 1/8", 44, 80)])
    assert lay(plan).openings[0].header_low is None
    plan = rectangle(240, 168, edges=[{"edge": 0, "kind": "balloon"}], openings=[_stair(66, "6 1/2", 44, 80)])
    assert lay(plan).openings[0].header_low is not None


def test_a_header_needs_room_before_the_rim_and_its_tails_before_it() -> None:
    # Two plies and the stand-off take 4 3/8: an opening 5 in from a ledger's far face leaves 5/8, in the 1 1/8 rim; at
    # 6 1/4 there are 3/4 in clear of it, all taken by the tails' two clearances. At 6 5/16 a tail is 1/16 long.
    ledger = [{"edge": 0, "kind": "balloon"}]
    for at in (5, "6 1/4"):
        with pytest.raises(FloorRefused, match="leaves no room for its header"):
            lay(rectangle(240, 168, edges=ledger, openings=[_stair(66, at, 44, 80)]))
    lay(rectangle(240, 168, edges=ledger, openings=[_stair(66, "6 5/16", 44, 80)]))
    # Over a platform wall's plate no tail fits: 5 5/8 leaves 1 1/4, clear of the rim; 5 9/16 would stand in 1 1/8.
    # A wall 3 1/2 wide, the opening 3 5/8 from the outline: beyond its width, and no room.
    narrow = [{"edge": 2, "width": "3 1/2"}]
    assert lay(rectangle(240, 168, openings=[_stair(66, "5 5/8", 44, 80)])).openings[0].header_low
    with pytest.raises(FloorRefused, match="leaves no room for its header"):
        lay(rectangle(240, 168, edges=narrow, openings=[_stair(66, "84 3/8", 44, 80)]))


def test_through_joists_keep_the_other_span_where_a_trimmer_takes_their_place() -> None:
    # 120 x 288, through bearing at 144. Opening 30..60 x 40..100: trimmers 25.625-28.875 and 61.125-64.375.
    # Station 64 goes in the lower span only; its upper part starts 6 before the centre, 138, ends at 286.5:
    # 148.5, and moves off the trimmer that laps there: to 64.375 + 0.8125 = 65.1875.
    # High tails run through: 100 + 4.375 + 0.375 = 104.75 to 286.5 = 181.75. Low tails 35.25 - 1.5 = 33.75.
    wall = {"id": "W1", "from": [0, 144], "to": [120, 144], "joint": "through"}
    layout = lay(rectangle(120, 288, supports=[wall], openings=[_stair(30, 40, 30, 60)]))
    upper = [m for m in joists(layout) if m.low.host == "support:W1"]
    assert (centres(upper), lengths(upper)) == ([65.1875], [148.5])
    assert sorted(lengths(_tails(layout))) == [33.75, 33.75, 181.75, 181.75]
    assert [len(m.crossings) for m in _tails(layout)].count(1) == 2
    assert set(lengths(_kind(layout, MemberKind.TRIMMER))) == {148.5}
    assert lengths(_full(layout)).count(285.0) == 4  # stations 16, 80, 96, 112


def test_in_a_lapped_floor_the_neighbour_of_a_moved_tail_stays_clear_of_it() -> None:
    # 120 x 288, lap at 144. Opening 49..80 x 40..100: trimmers 44.625-47.875 and 81.125-84.375. Station 48:
    # tail moved to 47.875 + 0.8125 = 48.6875; its neighbour 49.625 goes to 48.6875 + 1.625 = 50.3125.
    # Neighbour of station 80 at 81.625 would stand in the trimmer's lap: away from 80, to 84.375 + 0.8125.
    wall = {"id": "W1", "from": [0, 144], "to": [120, 144], "joint": "lap"}
    layout = lay(rectangle(120, 288, supports=[wall], openings=[_stair(49, 40, 31, 60)]))
    assert sorted(set(centres(_tails(layout)))) == [48.6875, 64.0, 80.0]
    assert centres(joists(layout, line=1)) == [17.625, 33.625, 50.3125, 65.625, 85.1875, 97.625, 113.625]


def _bearing(x: Any, start: Any = 0, end: Any = 168) -> dict[str, Any]:
    return {"id": "P1", "from": [x, start], "to": [x, end], "bearing": True, "load_plf": 300}


def _with_partition(entry: dict[str, Any]) -> FloorPlan:
    outline = [[0, 0], [240, 0], [240, 168], [0, 168]]
    return plan_of(document(outline, partitions=[entry]))


@pytest.mark.parametrize(
    ("x", "beside", "count"),
    [
        (104, [96.0, 112.0], 14),  # band 102.375-105.625, clear of both
        (98, [95.5625, 112.0], 14),  # band 96.375-99.625: 96 overlaps, moved to 96.375 - 0.8125
        (97, [80.0, 112.0], 13),  # band 95.375-98.625 holds 96: it goes
    ],
)
def test_a_bearing_partition_gets_a_two_ply_joist(x: float, beside: list[float], count: int) -> None:
    layout = lay(_with_partition(_bearing(x)))
    (own,) = [m for m in joists(layout) if m.plies == 2]
    assert (own.centre_16 / 16, own.length_16 / 16, own.kind) == (x, 165.0, MemberKind.JOIST)
    single = centres([m for m in joists(layout) if m.plies == 1])
    assert len(single) == count
    assert [max(c for c in single if c < x), min(c for c in single if c > x)] == beside


def test_a_partition_that_bears_nothing_adds_no_joist() -> None:
    assert len(lay(_with_partition({**_bearing(104), "bearing": False})).members) == 14


def test_partition_joists_of_two_spans_butt_in_line() -> None:
    # Wall at 84, lap: the partition's two joists are in line, so each stops 3/16 short of 84: 82.3125 long.
    wall = {"id": "W1", "from": [0, 84], "to": [240, 84], "joint": "lap"}
    outline = [[0, 0], [240, 0], [240, 168], [0, 168]]
    plan = plan_of(document(outline, partitions=[_bearing(104)], supports=[wall]))
    own = [m for m in joists(lay(plan)) if m.plies == 2]
    assert [(m.low_16 / 16, m.high_16 / 16) for m in own] == [(1.5, 83.8125), (84.1875, 166.5)]


def test_a_partition_on_one_span_gets_a_joist_there_only() -> None:
    wall = {"id": "W1", "from": [0, 84], "to": [240, 84], "joint": "lap"}
    outline = [[0, 0], [240, 0], [240, 168], [0, 168]]
    plan = plan_of(document(outline, partitions=[_bearing(104, 0, 80)], supports=[wall]))
    (own,) = [m for m in joists(lay(plan)) if m.plies == 2]
    assert (own.low_16 / 16, own.high_16 / 16, own.high.kind) == (1.5, 90.0, EndKind.LAP)


def test_a_joist_that_runs_on_past_a_trimmer_in_its_place_moves() -> None:
    # 240 x 288, wall at y 96 from x 0 to 111.5: it stands under the low trimmer (109.375..112.625, centre 111), which
    # ends over it at 96 + 6, and not under station 112, whose joist runs to 286.5: 184.5 past the trimmer. It moves to
    # 112.625 + 0.8125 = 113.4375, inside the trimmer: tails below (headers' far faces 19.625 and 84.375) and above.
    wall = {"id": "W1", "from": [0, 96], "to": ["111 1/2", 96]}
    layout = lay(rectangle(240, 288, supports=[wall], openings=[_stair("113 3/4", 24, 36, 56)]))
    (low, _) = sorted(_kind(layout, MemberKind.TRIMMER), key=lambda m: m.centre_16)
    assert (low.centre_16 / 16, low.high_16 / 16) == (111, 102)
    moved = [m for m in joists(layout) if m.station == 6]
    assert [(m.centre_16 / 16, m.low_16 / 16, m.high_16 / 16) for m in moved] == [
        (113.4375, 1.5, 19.25),
        (113.4375, 84.75, 286.5),
    ]
