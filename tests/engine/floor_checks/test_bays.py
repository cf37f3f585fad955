"""Several bays: in the floor, apart, together all of it, with a bearing under borders that end joists (R1, R51)."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from framing.engine.errors import FloorRefused
from framing.engine.floor_checks import check_floor
from tests.engine.floor_checks.asking import (
    L_SHAPE,
    PRACTICE,
    SQUARE,
    bay,
    bearing,
    box,
    drawn,
    opening,
    problems,
    refused,
    warned,
)

LEFT, RIGHT = box(0, 0, 120, 168), box(120, 0, 240, 168)
BELOW, ABOVE = box(0, 0, 240, 84), box(0, 84, 240, 168)
BORDER_WALL = bearing([120, 0], [120, 168])


def test_bays_side_by_side_need_no_bearing_between() -> None:
    assert warned(bays=[bay("A", LEFT), bay("B", RIGHT, spacing="12")]) == []
    # Drawn over the outline, in any order of corners, they count as far as they lie in the floor.
    assert warned(bays=[bay("A", box(-50, -9, 120, 400)), bay("B", box(120, -9, 999, 168)[::-1])]) == []


def test_a_border_that_ends_joists_needs_a_bearing_along_all_of_it() -> None:
    bays = [bay("A", LEFT), bay("B", RIGHT, "x")]
    place, message = refused(bays=bays)
    assert place == "bays.1.outline"
    assert message == (
        'Joists of bay B end on its border from (10\'-0", 14\'-0") to (10\'-0", 0"), but nothing bears at '
        "(10'-0\", 7'-0\"); draw a wall, a beam or a flush beam along all of it, or move the border."
    )
    for kind in ("wall", "beam", "flush_beam"):
        assert warned(bays=bays, supports=[bearing([120, 0], [120, 168], kind)]) == []
    # From inside to inside of the outside walls (5 1/2 in) is all of it, a hand's breadth less is not.
    assert warned(bays=bays, supports=[bearing([120, 5.5], [120, 162.5])]) == []
    (found,) = problems(bays=bays, supports=[bearing([120, 9.5], [120, 168])])
    assert (found.x_16, found.y_16) == (120 * 16, 120)  # the middle of 5 1/2 to 9 1/2 in
    # Half of 3 1/2 in off the border still stands under it, more does not.
    assert warned(bays=bays, supports=[bearing([121.75, 0], [121.75, 168])]) == []
    (found,) = problems(bays=bays, supports=[bearing([122, 0], [122, 168])])
    assert found.place == "bays.1.outline"


def test_two_walls_end_to_end_with_one_across_between_bear_a_border() -> None:
    walls = [
        bearing([120, 0], [120, 80]),
        bearing([0, 81.75], [240, 81.75], id="W2"),
        bearing([120, 83.5], [120, 168], id="W3"),
    ]
    bays = [bay("A", LEFT), bay("B", RIGHT, "x")]
    assert warned(bays=bays, supports=walls) == []
    (found,) = problems(bays=bays, supports=[walls[0], walls[2]])
    assert (found.x_16, found.y_16) == (1920, 1308)  # the middle of 80 to 83 1/2 in


def test_an_outline_of_a_bay_with_too_few_corners_or_crossing_itself() -> None:
    assert refused(bays=[bay("A", [[0, 0], [240, 168]])]) == (
        "bays.0.outline",
        "Bay A has 2 corners; draw 3 or more, or none for the whole floor.",
    )
    place, message = refused(bays=[bay("A", [[0, 0], [240, 168], [240, 0], [0, 168]])])
    assert place == "bays.0.outline"
    assert "crosses itself" in message


def test_a_bay_outside_the_floor() -> None:
    place, message = refused(bays=[bay("A", SQUARE), bay("B", box(300, 0, 400, 100))])
    assert place == "bays.1.outline"
    assert "does not lie in the floor" in message


def test_bays_that_overlap_say_where_and_how_much() -> None:
    # 12 in by 168 in: 14 sq ft.
    (found,) = problems(bays=[bay("A", box(0, 0, 126, 168)), bay("B", box(114, 0, 240, 168))])
    assert found.place == "bays.1.outline"
    assert found.message.startswith(
        "Bays A and B overlap by 14.0 sq ft at (10'-0\", 7'-0\"); draw their border"
    )
    # Both over the whole floor: 20 ft by 14 ft.
    (found,) = problems(bays=[bay("A", None), bay("B", None)])
    assert "overlap by 280.0 sq ft" in found.message


def test_floor_that_no_bay_covers() -> None:
    (found,) = problems(bays=[bay("A", box(0, 0, 108, 168)), bay("B", box(120, 0, 240, 168))])
    assert found.place == "bays"
    assert found.message == (
        "No bay covers 14.0 sq ft of the floor at (9'-6\", 7'-0\"); enlarge a bay or draw one more."
    )
    # One bay drawn too small: 96 in by 120 in at the foot of the L, 2.4 m by 3 m in millimetres.
    (found,) = problems(L_SHAPE, bays=[bay("A", box(0, 0, 144, 240))])
    assert "80.0 sq ft" in found.message
    metric = [[20 * value for value in corner] for corner in L_SHAPE]
    (found,) = problems(metric, units="metric", bays=[bay("A", box(0, 0, 2880, 4800))])
    assert "4.61 m²" in found.message  # 1.92 m by 2.4 m = 4.608 m²


def test_what_rounding_leaves_between_bays_is_no_gap_and_no_overlap() -> None:
    # An askew border through places off the sixteenths; the second bay's corner is a sixteenth off.
    one = [[0, 0], [240, 0], [240, 84.03], [0, 60.01]]
    two = [[0, 60.05], [240, 84.09], [240, 168], [0, 168]]
    wall = bearing([0, 60], [240, 84])
    assert warned(bays=[bay("A", one), bay("B", two)], supports=[wall]) == []


def test_spacing_offset_and_plies_are_judged_bay_by_bay() -> None:
    bays = [bay("A", LEFT, offset="17"), bay("B", RIGHT, spacing="18")]
    assert [problem.place for problem in problems(bays=bays)] == ["bays.0.offset", "bays.1.spacing"]
    plan = drawn(bays=[bay("A", None, plies=3)])
    assert check_floor(plan, PRACTICE) == ()
    with pytest.raises(FloorRefused) as caught:
        check_floor(plan, replace(PRACTICE, plies_most=2))
    (found,) = caught.value.problems
    assert (found.place, found.message) == (
        "bays.0.plies",
        "Joists of 3 plies in bay A can't be built; write 1 to 2.",
    )


def test_an_opening_lies_in_one_bay() -> None:
    def floor(low: float, **rest: Any) -> dict[str, Any]:
        return {
            "bays": [bay("A", LEFT), bay("B", RIGHT)],
            "openings": [opening("S1", box(low, 40, low + 36, 90))],
        }

    assert warned(**floor(84)) == []  # up to the border
    assert warned(**floor(120)) == []
    place, message = refused(**floor(100))
    assert place == "openings.0"
    assert message == "Opening S1 lies in bays A and B; keep it in one bay or move their border."


def test_an_opening_in_the_nook_of_a_bay_lies_in_the_other() -> None:
    # The box around the L of A holds all of B.
    nook = [[0, 0], [240, 0], [240, 84], [120, 84], [120, 168], [0, 168]]
    bays = [bay("A", nook), bay("B", box(120, 84, 240, 168))]
    stair = opening("S1", box(150, 100, 190, 150))
    wall = bearing([120, 84], [240, 84])
    assert warned(bays=bays, openings=[stair], supports=[wall]) == []


def test_a_bay_with_its_own_low_load_is_a_warning() -> None:
    low = {"occupancy": "Attic", "live_psf": 20, "layers": []}
    found = warned(bays=[bay("A", LEFT), bay("B", RIGHT, load_case=low)])
    assert found == [
        (
            "bays.1.load_case.live_psf",
            "Live load 20 psf on bay B is under 30 psf, the least for rooms; check the use.",
        )
    ]


def test_a_wall_under_a_border_carries_the_joists_that_end_there() -> None:
    bays = [bay("A", LEFT), bay("B", RIGHT, "x")]
    assert warned(bays=bays, supports=[BORDER_WALL]) == []
    # Between two bays whose joists both run along it, it carries none.
    assert warned(bays=[bay("A", LEFT), bay("B", RIGHT)], supports=[BORDER_WALL]) == [
        ("supports.0", "Bearing W1 runs along the joists and carries none of them.")
    ]


def test_borders_across_the_joists_with_bays_one_behind_the_other() -> None:
    bays = [bay("A", BELOW), bay("B", ABOVE)]
    assert [problem.place for problem in problems(bays=bays)] == ["bays.0.outline", "bays.1.outline"]
    assert warned(bays=bays, supports=[bearing([0, 84], [240, 84])]) == []
