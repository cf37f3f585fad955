"""Flush beams: square to the joists they carry, held at both ends, alone at their level (R2, R51)."""

from __future__ import annotations

from typing import Any

import pytest

from tests.engine.floor_checks.asking import L_SHAPE, bay, bearing, box, opening, problems, refused, warned


def beam(start: list[float], end: list[float], **rest: Any) -> dict[str, Any]:
    return bearing(start, end, "flush_beam", **rest)


def test_a_beam_from_outline_to_outline() -> None:
    assert warned(supports=[beam([0, 84], [240, 84])]) == []
    # Drawn into the outside wall, anywhere in its 5 1/2 in.
    assert warned(supports=[beam([5.5, 84], [236, 84])]) == []


def test_a_beam_ends_on_a_wall_or_beam_that_crosses_under_it() -> None:
    for kind in ("wall", "beam"):
        under = bearing([144, 0], [144, 168], kind, id="W2")
        assert warned(supports=[beam([0, 84], [144, 84]), under]) == []
        # Within half of its 3 1/2 in of its centre.
        assert warned(supports=[beam([0, 84], [145.75, 84]), under]) == []
        place, message = refused(supports=[beam([0, 84], [146, 84]), under])
        assert place == "supports.0"
        assert message == (
            "Flush beam B1 ends on nothing at (12'-2\", 7'-0\"); end it at the outline, or on a wall or beam that "
            "crosses under its end."
        )


def test_a_beam_does_not_end_on_a_beam_or_on_a_wall_along_it() -> None:
    other = beam([120, 0], [120, 168], id="B2")
    bays = [bay("A", box(0, 0, 120, 168)), bay("B", box(120, 0, 240, 168), "x")]
    held, clash = problems(supports=[beam([0, 84], [120, 84]), other], bays=bays)
    assert (held.place, "ends on nothing at (10'-0\", 7'-0\")" in held.message) == ("supports.0", True)
    assert (held.x_16, held.y_16) == (1920, 1344)
    assert (clash.place, clash.message) == (
        "supports.1",
        "Bearings B1 and B2 stand in each other; keep one or move it.",
    )
    along = bearing([144, 84], [240, 84], id="W2")
    assert "ends on nothing" in refused(supports=[beam([0, 84], [144, 84]), along])[1]
    # Nor at an edge under which nothing stands.
    wall = bearing([0, 140], [240, 140], id="W2")
    bays = [bay("A", box(0, 0, 120, 168)), bay("B", box(120, 0, 240, 168), "x")]
    place, message = refused(
        bays=bays, supports=[beam([120, 0], [120, 168]), wall], edges=[{"edge": 2, "kind": "free"}]
    )
    assert (place, "ends on nothing at (10'-0\", 14'-0\")" in message) == ("supports.0", True)


def test_beams_end_to_end_on_a_wall() -> None:
    under = bearing([120, 0], [120, 168], id="W2")
    pair = [beam([0, 84], [120, 84]), beam([120, 84], [240, 84], id="B2")]
    assert warned(supports=[*pair, under]) == []


def test_a_wall_that_holds_up_a_beam_is_not_one_that_carries_nothing() -> None:
    under = bearing([120, 0], [120, 168], id="W2")
    assert warned(supports=[beam([0, 84], [240, 84]), under]) == []  # the beam runs on over it
    far = bearing([60, 100], [60, 168], id="W3")
    assert warned(supports=[beam([0, 84], [240, 84]), under, far]) == [
        ("supports.2", "Bearing W3 runs along the joists and carries none of them.")
    ]


@pytest.mark.parametrize(
    ("drawn", "words"),
    [
        (beam([0, 84], [240, 85]), "Flush beam B1 is askew; draw it square to the joists that it carries."),
        (
            beam([100, 0], [100, 168]),
            "Flush beam B1 runs along the joists of bay A; draw it square to them, or end it at the bay's border.",
        ),
        (
            beam([0, 2], [240, 2]),
            "Flush beam B1 lies in an outside wall; move it inside the wall or remove it.",
        ),
        (beam([0, 84], [0, 84]), "Bearing B1 has no length; draw it from end to end."),
        (beam([0, 84], [250, 84]), "Bearing B1 leaves the floor; end it at the outline."),
    ],
)
def test_beams_that_can_not_be(drawn: dict[str, Any], words: str) -> None:
    assert refused(supports=[drawn]) == ("supports.0", words)


def test_a_beam_between_bays_whose_joists_run_along_it_carries_none() -> None:
    bays = [bay("A", box(0, 0, 120, 168)), bay("B", box(120, 0, 240, 168))]
    place, message = refused(bays=bays, supports=[beam([120, 0], [120, 168])])
    assert place == "supports.0"
    assert message == (
        "Flush beam B1 carries no joists; draw it square to the joists of a bay, or remove it."
    )


def test_a_beam_runs_on_into_no_bay_along_its_joists() -> None:
    # The joists of A end at it, those of B run along it; in B it ends on the wall at x 180.
    bays = [bay("A", box(0, 0, 120, 168)), bay("B", box(120, 0, 240, 168), "x")]
    walls = [bearing([120, 0], [120, 168], id="W2"), bearing([180, 0], [180, 168], id="W3")]
    assert warned(bays=bays, supports=[beam([0, 84], [120, 84]), *walls]) == []
    place, message = refused(bays=bays, supports=[beam([0, 84], [180, 84]), *walls])
    assert place == "supports.0"
    assert "runs along the joists of bay B" in message


def test_a_beam_on_the_side_of_a_step() -> None:
    # From the re-entrant corner of the L down: joists of B end at it, above it lies no bay on its right.
    bays = [bay("A", box(0, 0, 144, 240)), bay("B", box(144, 0, 240, 120), "x")]
    assert warned(L_SHAPE, bays=bays, supports=[beam([144, 0], [144, 120])]) == []


def test_an_opening_ends_in_a_beams_width_or_clear_of_it() -> None:
    def floor(high: float, plies: int = 2) -> dict[str, Any]:
        fixed = {"plies": [{"of": "B1", "part": "beam", "plies": plies}]}
        ring = box(80, 40, 120, high)
        return {"supports": [beam([0, 84], [240, 84])], "openings": [opening("S1", ring)], "overrides": fixed}

    # Two plies of 1 5/8 in: 82 3/8 to 85 5/8 in is its width.
    assert warned(**floor(85.625)) == []
    place, message = refused(**floor(86))
    assert place == "openings.0"
    assert message == "Bearing B1 crosses opening S1; end the bearing at the opening or move one of them."
    assert warned(**floor(86, plies=3)) == []  # to 86 7/16 in


def test_a_beam_and_a_wall_along_it_stand_apart() -> None:
    wall = bearing([0, 86], [240, 86], id="W2")
    place, message = refused(supports=[beam([0, 84], [240, 84]), wall])
    assert (place, message.startswith("Bearings B1 and W2 stand in each other")) == ("supports.1", True)


def test_fixed_plies_of_a_beam_name_a_flush_beam() -> None:
    fixed = {"plies": [{"of": "W2", "part": "beam", "plies": 3}]}
    wall = bearing([0, 84], [240, 84], "beam", id="W2")
    assert refused(supports=[wall], overrides=fixed) == (
        "overrides.plies.0.of",
        "There is no flush beam “W2”; remove the entry or correct its name.",
    )
