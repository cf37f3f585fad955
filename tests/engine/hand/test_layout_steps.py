"""L-shapes and other stepped outlines worked by hand from R2, R3 and R24, in inches; joists along y at 16."""

from __future__ import annotations

from collections import Counter

import pytest

from framing.engine.members import EndKind, MemberKind
from tests.engine.layout.builders import centres, document, joists, lay, lengths, plan_of, sample


def _narrowing(step: object) -> list[list[object]]:
    """240 deep up to x = step, 120 deep from there to x = 240."""
    return [[0, 0], [240, 0], [240, 120], [step, 120], [step, 240], [0, 240]]


def _widening(step: object) -> list[list[object]]:
    """120 deep up to x = step, 240 deep from there to x = 288."""
    return [[0, 0], [288, 0], [288, 240], [step, 240], [step, 120], [0, 120]]


@pytest.mark.parametrize(
    ("step", "at", "length"),
    [
        # On the step: belongs to the part away from the start edge, 120 deep: 117; it does not run beside
        # the rim.
        (144, 144.0, 117.0),
        # Rim face 144.875, 0.875 away, and the floor goes on: moved to 144.875 - 3 = 141.875, full depth.
        (146, 141.875, 237.0),
        # Rim face 143.875: the station is in the rim: 140.875.
        (145, 140.875, 237.0),
        # Rim face 147, exactly 3 away: set where it is.
        ("148 1/8", 144.0, 237.0),
    ],
)
def test_where_the_floor_narrows(step: object, at: float, length: float) -> None:
    layout = lay(plan_of(document(_narrowing(step))))
    assert centres(layout.members) == [16, 32, 48, 64, 80, 96, 112, 128, at, 160, 176, 192, 208, 224]
    assert lengths(layout.members) == [237.0] * 8 + [length] + [117.0] * 5


@pytest.mark.parametrize(
    ("step", "at", "length"),
    [
        # On the step: belongs to the deep part and stands in the step's rim (face 145.125): moved to 148.125.
        (144, 148.125, 237.0),
        # Face 143.125, 0.875 away: moved to 146.125.
        (142, 146.125, 237.0),
        # Face 141, exactly 3 away: set.
        ("139 7/8", 144.0, 237.0),
        # The step beyond it: the station still belongs to the shallow part and runs beside nothing.
        (145, 144.0, 117.0),
    ],
)
def test_where_the_floor_widens(step: object, at: float, length: float) -> None:
    layout = lay(plan_of(document(_widening(step))))
    expected = [*range(16, 144, 16), at, *range(160, 288, 16)]
    assert centres(layout.members) == expected
    assert lengths(layout.members) == [117.0] * 8 + [length] + [237.0] * 8


def test_a_closing_joist_in_the_leg() -> None:
    # Leg from 144 to 242: 240 is 0.875 from the face 240.875, not set; 242 - 224 = 18 > 16: closing at 233.
    outline = [[0, 0], [242, 0], [242, 120], [144, 120], [144, 240], [0, 240]]
    layout = lay(plan_of(document(outline)))
    assert centres(layout.members)[-2:] == [224.0, 233.0]
    assert lengths(layout.members)[-1] == 117.0


def test_a_notch_beside_the_joists_parts_them() -> None:
    # Notch 100..200 x 60..140 from the right. Station 96 is 2.875 from the notch's rim face 98.875: moved
    # to 95.875. From 112 on, two joists of 57 a station.
    outline = [[0, 0], [200, 0], [200, 60], [100, 60], [100, 140], [200, 140], [200, 200], [0, 200]]
    layout = lay(plan_of(document(outline)))
    assert Counter(centres(layout.members)) == {
        **dict.fromkeys([16.0, 32.0, 48.0, 64.0, 80.0, 95.875], 1),
        **dict.fromkeys([112.0, 128.0, 144.0, 160.0, 176.0, 192.0], 2),
    }
    assert Counter(lengths(layout.members)) == {197.0: 6, 57.0: 12}
    (span,) = layout.spans  # one span, set by its largest clear span, with a strip for each arm
    assert span.clear_16 == (200 - 11) * 16
    assert [strip[:2] for strip in span.reach] == [(0, 1600), (1600, 3200), (1600, 3200)]


def test_a_notch_across_the_joists_shortens_them() -> None:
    # Notch 90..150 x 80..200 from the top: 96, 112, 128 and 144 are 77 long, the others 197.
    outline = [[0, 0], [240, 0], [240, 200], [150, 200], [150, 80], [90, 80], [90, 200], [0, 200]]
    layout = lay(plan_of(document(outline)))
    assert centres(layout.members) == [16.0 * k for k in range(1, 15)]
    assert lengths(layout.members) == [197.0] * 5 + [77.0] * 4 + [197.0] * 5


def test_townhouse() -> None:
    """24' wide; 32' deep to x = 12', then 20'. Ledger at the front, wall at 20' under the step.

    R3: stations 16 ... 128 in the deep part, 144 (on the step, so shallow) ... 272. R5: deep first line 1.5
    to 246 = 244.5, second 234 to 382.5 = 148.5. Shallow: 1.5 to 238.5 = 237, its exterior wall kept (R2).
    Stair 200..240 x 72..180: trimmers 195.625-198.875 and 241.125-244.375, tails at 208, 224 and 240:
    1.5 to 67.25 = 65.75 and 184.75 to 238.5 = 53.75; headers 40 + 1.5 = 41.5.
    """
    layout = lay(sample("townhouse"))
    assert Counter(lengths(joists(layout, line=0))) == {244.5: 8, 237.0: 6, 65.75: 3, 53.75: 3}
    assert Counter(lengths(joists(layout, line=1))) == {148.5: 8}
    others = [(m.kind, m.length_16 / 16) for m in layout.members if m.kind is not MemberKind.JOIST]
    trimmer, header = (MemberKind.TRIMMER, 237.0), (MemberKind.HEADER, 41.5)
    assert others == [trimmer, trimmer, header, header]
    shallow = [m for m in joists(layout) if m.length_16 == 237 * 16]
    assert {(m.low.kind, m.high.kind, m.high.face_16 / 16) for m in shallow} == {
        (EndKind.BALLOON, EndKind.PLATFORM, 234.5)
    }


def test_townhouse_spans() -> None:
    # Ledger face 1.125. First span: to the wall's face 238.25 in the deep part, to 234.5 in the shallow one.
    lower, upper = lay(sample("townhouse")).spans
    assert (lower.low_face_16 / 16, lower.high_face_16 / 16) == (1.125, 238.25)
    assert lower.reach == ((0, 2304, 18, 3812), (2304, 4608, 18, 3752))
    assert upper.reach == ((0, 2304, 3868, 6056),)


def test_a_bearing_drawn_within_the_exterior_wall_is_that_wall() -> None:
    # The same floor with the bearing drawn right across, 2 3/4 inside the step: beyond the step it lies in
    # the exterior wall (234.5 to 240) and cuts nothing.
    wall = {"id": "W1", "from": [0, "237 1/4"], "to": [288, "237 1/4"], "width": "5 1/2", "joint": "lap"}
    outline = [[0, 0], [288, 0], [288, 240], [144, 240], [144, 384], [0, 384]]
    layout = lay(plan_of(document(outline, supports=[wall])))
    assert Counter(lengths(layout.members))[237.0] == 9
    assert {m.line for m in layout.members} == {0, 1}


def test_a_bearing_drawn_between_the_walls_carries_over_them() -> None:
    # Drawn from inside face to inside face (5.5 to 114.5): the joist at 4.125, 3 from the rim, rests on it
    # too.
    wall = {"id": "W1", "from": ["5 1/2", 144], "to": ["114 1/2", 144], "joint": "butt"}
    bays = [{"direction": "y", "offset": "4 1/8"}]
    outline = [[0, 0], [120, 0], [120, 288], [0, 288]]
    layout = lay(plan_of(document(outline, supports=[wall], bays=bays)))
    assert centres(layout.members)[0] == 4.125
    assert len(joists(layout, line=0)) == len(joists(layout, line=1)) == 8


def test_joists_of_a_wing_beyond_a_lapped_wall_keep_the_second_lines_shift() -> None:
    # 240 deep to x = 144 with a lap at 120; beyond it only the upper half. The wing's joists stand in the
    # row of the second line, so they are shifted with it and the spacing carries on.
    outline = [[0, 0], [144, 0], [144, 120], [240, 120], [240, 240], [0, 240]]
    wall = {"id": "W1", "from": [0, 120], "to": [144, 120], "joint": "lap"}
    layout = lay(plan_of(document(outline, supports=[wall])))
    upper = centres(joists(layout, line=1))
    assert upper[:8] == [16 * k + 1.625 for k in range(1, 9)]
    # Station 144 is on the step: it belongs to the wing, which does not run beside the step's rim (0 to 120).
    assert upper[8:] == [145.625, 161.625, 177.625, 193.625, 209.625, 225.625]
