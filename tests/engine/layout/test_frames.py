"""Openings that no frame can be made for are refused in words (R7), in inches."""

from __future__ import annotations

from typing import Any

import pytest

from framing.engine.errors import FloorRefused
from framing.engine.floor import FloorPlan
from framing.engine.members import EndKind, MemberKind
from tests.engine.layout.builders import document, lay, plan_of, rectangle


def _opening(ident: str, x: Any, y: Any, width: Any, length: Any) -> dict[str, Any]:
    return {"id": ident, "name": ident, "corner": [x, y], "size": [width, length]}


def _refused(**parts: Any) -> tuple[str, str]:
    plan = rectangle(240, 288, **parts)
    with pytest.raises(FloorRefused) as caught:
        lay(plan)
    (problem,) = caught.value.problems
    return problem.place, problem.message


def test_a_bearing_under_one_trimmer_only_crosses_the_opening() -> None:
    # The wall at 84 ends at the opening's side x = 50, so the trimmer there stops at it and the other doesn't.
    wall = {"id": "W1", "from": [0, 84], "to": [50, 84]}
    place, message = _refused(supports=[wall], openings=[_opening("S1", 50, 40, 40, 80)])
    assert place == "openings.0"
    assert "crosses a bearing" in message


def test_an_opening_at_the_floors_side_has_a_wall_for_a_trimmer() -> None:
    # Opening x 200 to 240 on a floor 240 wide: no room for a trimmer at the outline. The headers run from the
    # other trimmer's face 198 7/8, less 3/8, to 1 1/2 short of the outline: 199 1/4 to 238 1/2.
    bay = lay(rectangle(240, 288, openings=[_opening("S1", 200, 40, 40, 80)]))
    (framed,) = bay.openings
    assert framed.trimmer_low is not None
    assert framed.trimmer_high is None
    headers = [m for m in bay.members if m.kind is MemberKind.HEADER]
    assert [(m.low_16 / 16, m.high_16 / 16) for m in headers] == [(200 - 1.125 + 0.375, 238.5)] * 2
    assert {(m.high.kind, m.high.host) for m in headers} == {(EndKind.PLATFORM, "edge:1")}
    # Seen from the other side it is the low trimmer that is missing.
    mirrored = lay(rectangle(240, 288, start="high", openings=[_opening("S1", 200, 40, 40, 80)]))
    assert (mirrored.openings[0].trimmer_low, mirrored.openings[0].trimmer_high) == (None, "A.T1")


def test_a_trimmer_beyond_a_step_of_the_outline_is_refused() -> None:
    # The floor steps out by 60 from y = 100 on; the opening stands 1 in off the wall below the step, so no wall runs
    # beside all of it and its trimmer, centred 1 3/4 beyond that wall, would stand outside.
    step = [(0, 0), (240, 0), (240, 288), (-60, 288), (-60, 100), (0, 100)]
    plan = plan_of(document(step, openings=[_opening("S1", 1, 40, 40, 80)]))
    with pytest.raises(FloorRefused, match="lies beyond the floor on one side"):
        lay(plan)


def test_frames_in_each_others_way() -> None:
    # Trimmers take 1 1/8 + 3 1/4 beside each opening: 8 3/4 between two openings is the least.
    first = _opening("S1", 40, 40, 40, 80)
    place, message = _refused(openings=[first, _opening("S2", "88 5/8", 100, 40, 80)])
    assert place == "openings.1"
    assert "S2 and opening S1 are in each other's way" in message
    both = lay(rectangle(240, 288, openings=[first, _opening("S2", "88 3/4", 100, 40, 80)]))
    assert sum(member.kind is MemberKind.TRIMMER for member in both.members) == 4


def test_an_opening_in_the_far_arm_of_a_notched_floor() -> None:
    # Notch x 100 to 240, y 80 to 120: the opening at y 180 to 220 lies in the upper of the two arms, whose
    # joists run from 120 + 1.5 to 288 - 1.5: 165.
    outline = [[0, 0], [240, 0], [240, 80], [100, 80], [100, 120], [240, 120], [240, 288], [0, 288]]
    layout = lay(plan_of(document(outline, openings=[_opening("S1", 140, 180, 40, 40)])))
    trimmers = [member for member in layout.members if member.kind is MemberKind.TRIMMER]
    assert [(t.low_16 / 16, t.high_16 / 16) for t in trimmers] == [(121.5, 286.5)] * 2


def test_a_header_before_a_step_under_its_trimmer_is_refused() -> None:
    # The wall steps up by 4 in at x = 48. An opening up to x = 46 has its high trimmer beyond the step, where the floor
    # begins at 4: a header from y = 1 5/8 to 4 7/8 would hang below the trimmer's end. From y = 13 on it has room.
    step = [(0, 0), (48, 0), (48, 4), (96, 4), (96, 144), (0, 144)]

    def floor(y: float) -> FloorPlan:
        return plan_of(document(step, openings=[_opening("S1", 20, y, 26, 30)]))

    with pytest.raises(FloorRefused, match="leaves no room for its header"):
        lay(floor(6))
    assert lay(floor(13)).openings[0].header_low is not None
