"""The sample house worked by hand: 36' x 26', bearing wall at 14'-6", stair 3'-6" x 10' in the lower span.

In inches: 432 x 312, lapped over 174. R3: 432/16 = 27, so 26 stations 16 ... 416. Stair 168..210 x 30..150:
trimmers 163.625-166.875 and 211.125-214.375; tails at 176, 192 and 208; no station is hit.
R4, R5: first line 1.5 to 180 = 178.5, second 168 to 310.5 = 142.5, one flange (1 5/8) off.
Headers 42 + 2.25 - 0.75 = 43.5, at 25.625-28.875 and 151.125-154.375. Low tails 1.5 to 25.25 = 23.75; high
tails 154.75 to 180 = 25.25.
R10: hole centres at least 10 + 2 = 12 from faces. First line: faces 5.5 and 172.25, so 17.5 to 160.25;
trimmers also 12 off the headers: 40.875 to 139.125; second line: faces 175.75 and 306.5, so 187.75 to 294.5;
tails none. Grid lines on which all joists have holes lie in 40.875-139.125 (98.25 long) and 187.75-294.5
(106.75 long). Five in the first need a first one at 40.875 to 43.125, five in the second one at 187.75 to
198.5, which is 43.75 to 54.5 six pitches lower: never both, so nine at most. Phase 0 gives 48 ... 120 (4) and
192 ... 288 (5): the first whole inch with nine.
"""

from __future__ import annotations

from collections import Counter

from framing.engine.layout import layout_warnings, list_pieces
from framing.engine.members import MemberKind
from tests.engine.layout.builders import PRACTICE, STEEL, joists, lay, lengths, sample


def test_members_and_lengths() -> None:
    layout = lay(sample("house"))
    kinds = Counter(member.kind for member in layout.members)
    assert kinds == {MemberKind.JOIST: 55, MemberKind.TRIMMER: 2, MemberKind.HEADER: 2}
    assert Counter(lengths(joists(layout, line=0))) == {178.5: 23, 23.75: 3, 25.25: 3}
    assert Counter(lengths(joists(layout, line=1))) == {142.5: 26}
    assert lengths([m for m in layout.members if m.kind is MemberKind.HEADER]) == [43.5, 43.5]


def test_nothing_moves_and_nothing_warns() -> None:
    plan = sample("house")
    layout = lay(plan)
    assert not [member.why for member in layout.members if "moved" in member.why]
    assert layout_warnings(plan, [layout], PRACTICE) == ()


def test_marks_follow_the_install_order() -> None:
    layout = lay(sample("house"))
    firsts = list(dict.fromkeys(member.mark for member in layout.members))
    assert firsts == ["1J01", "1T01", "1H01", "1J02", "1J03", "1J04"]
    order = [(m.mark, m.sequence) for m in layout.members]
    assert [mark for mark, _ in order[:21]] == (
        ["1J01"] * 10 + ["1T01"] * 2 + ["1H01"] + ["1J02"] * 3 + ["1H01"] + ["1J03"] * 3 + ["1J01"]
    )
    assert [sequence for _, sequence in order] == list(range(1, 60))


def test_holes_stand_in_line_over_the_whole_bay() -> None:
    layout = lay(sample("house"))
    places = {m.mark: [(m.low_16 + hole) / 16 for hole in m.holes_16] for m in layout.members}
    assert layout.hole_phase_16 == 0
    assert places == {
        "1J01": [24.0, 48.0, 72.0, 96.0, 120.0, 144.0],
        "1T01": [48.0, 72.0, 96.0, 120.0],
        "1H01": [],
        "1J02": [],
        "1J03": [],
        "1J04": [192.0, 216.0, 240.0, 264.0, 288.0],
    }


def test_holes_left_out_are_shown_with_the_reason() -> None:
    layout = lay(sample("house"))
    left_out = {m.mark: [((m.low_16 + at) / 16, why) for at, why in m.omitted] for m in layout.members}
    near_header = "too near a header"
    assert left_out["1T01"] == [(24.0, near_header), (144.0, near_header)]
    assert left_out["1J01"] == []
    assert [place for place, _ in left_out["1J02"]] == [24.0]


def test_pieces_are_one_a_ply_in_order() -> None:
    plan = sample("house")
    pieces = list_pieces(plan, [lay(plan)])
    assert len(pieces) == 55 + 2 * 2 + 2 * 2
    assert [piece.sequence for piece in pieces] == list(range(1, 64))
    assert Counter(piece.zone for piece in pieces) == {
        "line 1": 23,
        "opening Stair": 14,
        "line 2": 26,
    }
    assert {piece.profile for piece in pieces} == {STEEL["A"].designator}


def test_spans_for_bridging() -> None:
    layout = lay(sample("house"))
    found = [(span.low_face_16 / 16, span.high_face_16 / 16, span.reach) for span in layout.spans]
    assert found == [
        (5.5, 172.25, ((0, 6912, 88, 2756),)),
        (175.75, 306.5, ((0, 6912, 2812, 4904),)),
    ]
