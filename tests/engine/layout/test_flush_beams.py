"""Flush beams: where they stand, what joists do at them (R5, R7), worked by hand in inches."""

from __future__ import annotations

from typing import Any

from framing.engine.layout import layout_warnings, ply_keys
from framing.engine.layout.marks import list_pieces
from framing.engine.members import EndKind, MemberKind
from tests.engine.layout.builders import PRACTICE
from tests.engine.layout.real import box, lay_all, reach, real_plan, refused

BEAM = {"id": "F1", "kind": "flush_beam", "from": [0, 100], "to": [96, 100]}


def _floor(*supports: dict[str, Any], width: float = 96, **rest: Any) -> Any:
    return real_plan(box(0, 0, width, 200), supports=list(supports), **rest)


def test_joists_end_at_the_beams_faces() -> None:
    # Two plies of 1 5/8 centred on 100: faces 98 3/8 and 101 5/8; joists 3/8 off them. The beam 96 - 3 long.
    plan = _floor(BEAM)
    (bay,) = lay_all(plan)
    beam, *rest = bay.members
    assert (beam.kind, beam.plies, reach(beam), beam.mark) == (MemberKind.BEAM, 2, (100, 1.5, 94.5), "1B01")
    assert {(beam.low.kind, beam.low.host), (beam.high.kind, beam.high.host)} == {
        (EndKind.PLATFORM, "edge:3"),
        (EndKind.PLATFORM, "edge:1"),
    }
    assert [reach(m) for m in rest] == [(x, 1.5, 98.0) for x in (16, 32, 48, 64, 80)] + [
        (x, 102.0, 198.5) for x in (16, 32, 48, 64, 80)
    ]
    assert {(m.high.kind, m.high.host) for m in rest if m.line == 0} == {(EndKind.FLUSH, "A.B1")}
    assert not any(m.shifted for m in rest)
    assert [(s.low_face_16 / 16, s.high_face_16 / 16) for s in bay.spans] == [(5.5, 98.375), (101.625, 194.5)]
    assert (bay.beams, ply_keys(plan, bay)) == ((("F1", "A.B1"),), {"A.B1": "F1:beam"})
    assert layout_warnings(plan, [bay], PRACTICE) == ()
    assert list_pieces(plan, [bay])[0].zone == "flush beam F1"


def test_three_plies_push_the_joists_back() -> None:
    # 4 7/8 wide: faces 97 9/16 and 102 7/16.
    (bay,) = lay_all(_floor(BEAM), F1_beam=3)
    assert {m.high_16 / 16 for m in bay.members if m.line == 0 and m.kind is MemberKind.JOIST} == {
        97.5625 - 0.375
    }


def test_a_beam_under_a_border_belongs_to_the_first_bay_and_carries_both() -> None:
    bays = [
        {"id": "A", "direction": "y", "outline": box(0, 0, 96, 100)},
        {"id": "B", "direction": "y", "start": "high", "outline": box(0, 100, 96, 200)},
    ]
    first, second = lay_all(_floor(BEAM, bays=bays))
    assert [m.id for m in first.members if m.kind is MemberKind.BEAM] == ["A.B1"]
    assert second.beams == ()
    assert {m.low.host for m in second.members} == {"A.B1"}
    assert {(m.low_16 / 16, m.low.kind) for m in second.members} == {(102.0, EndKind.FLUSH)}


def test_a_beam_ends_and_passes_over_inner_walls_that_stand_across() -> None:
    # From the outline over a wall at 48 to the middle of a wall at 96: butted 3/16 short of 96, in one piece.
    walls = [{"id": f"W{i}", "from": [x, 0], "to": [x, 200]} for i, x in ((1, 48), (2, 96))]
    floor = _floor({**BEAM, "from": [5.5, 100]}, *walls, width=192)
    beam = lay_all(floor)[0].members[0]
    assert reach(beam) == (100, 1.5, 95.8125)
    assert (beam.high.kind, beam.high.host, beam.high.face_16 / 16) == (EndKind.BUTT, "support:W2", 94.25)
    assert [(c.support, c.centre_16 / 16, c.low_face_16 / 16) for c in beam.crossings] == [("W1", 48, 46.25)]
    # Beyond the beam's end the joists run through.
    long = {
        m.length_16 / 16
        for m in lay_all(floor)[0].members
        if m.kind is MemberKind.JOIST and m.centre_16 > 96 * 16
    }
    assert long == {197.0}


def test_a_beam_that_starts_inside_faces_the_other_way() -> None:
    wall = {"id": "W1", "from": [48, 0], "to": [48, 200]}
    beam = lay_all(_floor({**BEAM, "from": [48, 100]}, wall))[0].members[0]
    assert reach(beam) == (100, 48.1875, 94.5)
    assert beam.low.face_16 / 16 == 49.75


def test_a_beam_meets_a_skewed_outside_wall_on_its_own_line() -> None:
    # The right wall leans from (96, 0) to (144, 200): at y = 100 it stands at 120, 6 in 25. Set back
    # 1 1/8 x 1.02840 + 1 5/8 x 0.24 = 1.54695, over 1 1/2: 120 - 1.54695 - 1.5 = 116.953, 116 15/16 long.
    plan = real_plan([(0, 0), (96, 0), (144, 200), (0, 200)], supports=[{**BEAM, "to": [120, 100]}])
    assert reach(lay_all(plan)[0].members[0]) == (100, 1.5, 118.4375)


def test_beams_that_cannot_be() -> None:
    assert "ends on nothing" in refused(_floor({**BEAM, "to": [60, 100]})).message
    free = [{"edge": 1, "kind": "free"}]
    assert "ends on nothing" in refused(_floor(BEAM, edges=free)).message
    along = {**BEAM, "from": [48, 0], "to": [48, 200]}
    assert "carries no joists" in refused(_floor(along)).message
    outside = {**BEAM, "from": [300, 100], "to": [400, 100]}
    assert "carries no joists" in refused(_floor(outside)).message
    long = refused(_floor({**BEAM, "to": [600, 100]}, width=600))
    assert "would be 49'-9\" long; the longest piece is 40'-0\"" in long.message


def test_a_beam_along_an_outside_wall_is_refused() -> None:
    # The floor is 96 deep on the right of x = 48, and the beam at y = 96 runs on along that edge.
    notch = [(0, 0), (96, 0), (96, 96), (48, 96), (48, 200), (0, 200)]
    beam = {**BEAM, "from": [0, 96], "to": [96, 96]}
    assert "runs along an outside wall" in refused(real_plan(notch, supports=[beam])).message


def test_an_opening_that_a_beam_stands_in_is_warned_of() -> None:
    # Faces at 98 3/8 and 101 5/8. An opening from 100 on needs no header there; the beam takes 1 5/8 of it. From
    # 100 5/8 on it takes an inch, which the clips' tolerance covers.
    def said(low: str) -> list[str]:
        opening = {"id": "S1", "name": "Hatch", "kind": "shaft", "corner": [30, low], "size": [30, 40]}
        plan = _floor(BEAM, openings=[opening])
        return [p.message for p in layout_warnings(plan, lay_all(plan), PRACTICE)]

    assert said("100") == ['Flush beam F1 takes 1 5/8" of opening Hatch; end the opening at its face.']
    assert said("100 5/8") == []


def test_joists_at_the_very_end_of_a_beam_are_warned_of() -> None:
    # The beam ends 3/16 short of the wall's centre at x = 48, so at 47 13/16. A joist on 48 (start low) is not held by
    # it, runs through and takes 47 3/16 to 48 13/16: in the beam's way. Counted from the other side (start high, 192
    # wide, 48 on the grid) the joists at 48 do end at it, both with half their flange beyond the beam's end.
    wall = {"id": "W2", "from": [48, 0], "to": [48, 200]}
    for start, count in (("low", 1), ("high", 2)):
        plan = _floor({**BEAM, "to": [48, 100]}, wall, width=192, bays=[{"direction": "y", "start": start}])
        found = [p.message for p in layout_warnings(plan, lay_all(plan), PRACTICE)]
        assert [words.split(" stand")[0].split(" and ")[1] for words in found if "stand in" in words] == [
            "the end of A.B1"
        ] * count
