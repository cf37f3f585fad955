"""Warnings of layout: R6 and members in each other's way."""

from __future__ import annotations

from typing import Any

from framing.engine.layout import assign_marks, layout_floor, layout_warnings
from framing.engine.members import EndKind
from tests.engine.layout.builders import JOIST, PRACTICE, document, lay, plan_of, rectangle

OUTLINE = [[0, 0], [240, 0], [240, 288], [0, 288]]


def _warnings(**parts: Any) -> list[tuple[str, str]]:
    plan = plan_of(document(OUTLINE, **parts))
    return [(w.place, w.message) for w in layout_warnings(plan, [lay(plan)], PRACTICE)]


def _walls(second: float) -> list[dict[str, Any]]:
    return [
        {"id": "W1", "from": [0, 144], "to": [120, 144]},
        {"id": "W2", "from": [120, second], "to": [240, second]},
    ]


def test_a_bearing_an_inch_off_its_neighbours_line_is_within_the_clips() -> None:
    assert _warnings(supports=_walls(145)) == []


def test_the_order_of_two_bearings_in_line_is_nothing() -> None:
    # The left one stands 1 in higher than the right one: still one bearing line, whatever comes first.
    walls = [{**_walls(143)[1], "id": "W1"}, {**_walls(143)[0], "id": "W2"}]
    plan = plan_of(document(OUTLINE, supports=walls))
    assert _warnings(supports=walls) == []
    assert {member.line for member in lay(plan).members} == {0, 1}


def test_a_bearing_further_off_is_a_warning() -> None:
    ((place, message),) = _warnings(supports=_walls(145.0625))
    assert place == "supports.1"
    assert 'W2 stands 1 1/16" off the line of W1' in message


def test_bearings_far_apart_are_two_lines() -> None:
    assert _warnings(supports=_walls(170)) == []


def test_a_lap_that_reaches_the_rim_behind_a_short_stretch_is_a_warning() -> None:
    # The right side has a bite from 12 to 24 in. The wall rises from 24 in at the left to 31 at the right: over the
    # bite's end 7 in and less are left, a joist of 10 7/8 in is not set there, and the one above laps to 24 1/2 in,
    # within the rim's 24 to 25 1/8 in.
    step = [(0, 0), (144, 0), (144, 12), (132, 12), (132, 24), (144, 24), (144, 144), (0, 144)]
    bay = {"id": "A", "direction": "y", "spacing": "12", "profile": "1000S162-54"}
    plan = plan_of(document(step, supports=[{"id": "W1", "from": [0, 24], "to": [144, 31]}], bays=[bay]))
    layout = lay(plan)
    found = [p for p in layout_warnings(plan, [layout], PRACTICE) if "rim board" in p.message]
    assert [p.message for p in found] == [
        "A.J22 stands in the rim board; butt the joists over that bearing, or move it."
    ]
    (lapped,) = [m for m in layout.members if m.id == "A.J22"]
    assert (lapped.low_16 / 16, lapped.low.kind) == (24.5, EndKind.LAP)


def test_a_trimmer_in_the_rim_is_a_warning() -> None:
    # Opening 5 1/2 from the outline: trimmer 1.125 to 4.375, just clear of the rim. A sixteenth nearer there is
    # no room and the outside wall takes its place; but where a step's wall runs beside a part of the opening
    # only (here from 0 to 100 of 60 to 140), the trimmer stands in that part's rim.
    def opening(x: Any) -> list[dict[str, Any]]:
        return [{"id": "S1", "name": "Stair", "corner": [x, 60], "size": [40, 80]}]

    assert _warnings(openings=opening("5 1/2")) == []
    assert _warnings(openings=opening("5 7/16")) == []
    step = [(0, 0), (240, 0), (240, 288), (-60, 288), (-60, 100), (0, 100)]
    plan = plan_of(document(step, openings=opening("5 7/16")))
    (found,) = [p for p in layout_warnings(plan, [lay(plan)], PRACTICE) if "rim board" in p.message]
    assert "stands in the rim board; move the opening" in found.message


def test_laps_that_run_into_an_opening_are_a_warning() -> None:
    # Edge on the bearing's near face 142.25: the second line's joists start at 138, in the opening.
    wall = {"id": "W1", "from": [0, 144], "to": [120, 144], "joint": "lap"}
    stair = {"id": "S1", "name": "Stair", "corner": [40, 40], "size": [36, "102 1/4"]}
    plan = rectangle(120, 288, supports=[wall], openings=[stair])
    (found,) = layout_warnings(plan, [lay(plan)], PRACTICE)
    assert found.place == "openings.0"
    assert "2 joists lap their bearing into opening Stair" in found.message


def test_a_partition_joist_in_a_trimmer_is_a_warning() -> None:
    # Stair x 40 to 80: its high trimmer stands on 81 1/8 to 84 3/8. The partition's joist, 3 1/4 wide at 83,
    # takes 81 3/8 to 84 5/8; at 86 it starts at 84 3/8 and only touches.
    def warnings(x: float) -> list[tuple[str, str]]:
        stair = {"id": "S1", "name": "Stair", "corner": [40, 60], "size": [40, 80]}
        partition = {"id": "P1", "from": [x, 0], "to": [x, 288], "bearing": True}
        return _warnings(openings=[stair], partitions=[partition])

    ((_, message),) = warnings(83)
    assert message.startswith("A.T2 and A.J")
    assert "stand in each other's way" in message
    assert warnings(86) == []


def test_butts_within_an_opening_are_a_warning() -> None:
    # Wall 144 +- 1.75, butt: the second span's joists start at 144.1875. An opening to that line is clear of
    # them; to 144 1/4, still on the bearing, the two at 48 and 64 stand 1/16 in it.
    wall = {"id": "W1", "from": [0, 144], "to": [120, 144], "joint": "butt"}

    def warnings(length: str, width: int = 36) -> list[tuple[str, str]]:
        stair = {"id": "S1", "name": "Stair", "corner": [40, 40], "size": [width, length]}
        plan = rectangle(120, 288, supports=[wall], openings=[stair])
        return [(w.place, w.message) for w in layout_warnings(plan, [lay(plan)], PRACTICE)]

    assert warnings("104 3/16") == []
    ((place, message),) = warnings("104 1/4")
    assert place == "openings.0"
    assert message.startswith("2 joists butt over a bearing within opening Stair")
    ((_, message),) = warnings("104 1/4", width=20)
    assert message.startswith("1 joist butts over a bearing within opening Stair")


def test_a_lap_that_runs_into_a_header_is_a_warning() -> None:
    # Edge 4 in past the bearing's centre: the header's far face stands at 144 + 4 - 4 3/8, in the laps that run to 150.
    # From 154 1/2 on it stands at 150 1/8, clear of them.
    wall = {"id": "W1", "from": [0, 144], "to": [120, 144], "joint": "lap"}

    def said(low: str) -> list[str]:
        stair = {"id": "S1", "name": "Stair", "corner": [40, low], "size": [36, 60]}
        plan = rectangle(120, 288, supports=[wall], openings=[stair])
        return [w.message for w in layout_warnings(plan, [lay(plan)], PRACTICE) if "lap" in w.message]

    assert len(said("148")) == 1
    assert said("154 1/2") == []


def test_a_joist_that_stands_in_a_flush_beam_on_its_border_is_a_warning() -> None:
    # The beam's two plies take y 94 3/8 to 97 5/8. The upper bay's joists run along x from the border on: one on it
    # stands in the beam; from an offset of 1 5/8 + 13/16 on it is clear.
    def said(offset: str) -> list[str]:
        bays = [
            {"id": "A", "direction": "y", "outline": [[0, 0], [120, 0], [120, 96], [0, 96]]},
            {
                "id": "B",
                "direction": "x",
                "offset": offset,
                "outline": [[0, 96], [120, 96], [120, 240], [0, 240]],
            },
        ]
        beam = {"id": "B1", "kind": "flush_beam", "from": [0, 96], "to": [120, 96]}
        plan = plan_of(document([[0, 0], [120, 0], [120, 240], [0, 240]], bays=bays, supports=[beam]))
        steel = {"A": JOIST, "B": JOIST}
        laid = assign_marks(plan, layout_floor(plan, steel, PRACTICE), steel, PRACTICE)
        return [w.message for w in layout_warnings(plan, laid, PRACTICE) if "way" in w.message]

    assert said("0") == ["A.B1 and B.J1 stand in each other's way; change the offset of a bay."]
    assert said("2 3/8") == ["A.B1 and B.J1 stand in each other's way; change the offset of a bay."]
    assert said("2 7/16") == []
