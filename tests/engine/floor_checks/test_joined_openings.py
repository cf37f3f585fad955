"""Openings that share a border are one where they fill a rectangle (R7)."""

from __future__ import annotations

from framing.engine.floor import OpeningKind
from framing.engine.floor_checks import join_openings
from framing.engine.geometry import Point, Rect
from tests.engine.floor_checks.asking import bearing, box, drawn, opening, problems, refused, warned

SHAFT = opening("S1", box(40, 40, 80, 60), name="Duct", kind="shaft")
STAIR = opening("S2", box(40, 60, 80, 130), name="Stair", kind="stair")
APART = opening("S3", box(120, 40, 160, 80), kind="shaft")


def test_two_that_fill_a_rectangle_become_one_stair() -> None:
    plan = drawn(openings=[SHAFT, APART, STAIR])
    joined, apart = join_openings(plan).openings
    assert (joined.id, joined.name, joined.kind) == ("S1", "Duct", OpeningKind.STAIR)
    assert joined.rect == Rect(Point(640, 640), Point(1280, 2080))
    assert apart == plan.openings[1]
    assert warned(openings=[SHAFT, APART, STAIR]) == []


def test_apart_nothing_changes() -> None:
    plan = drawn(openings=[SHAFT, APART])
    assert join_openings(plan) is plan


def test_overlapping_shafts_stay_a_shaft() -> None:
    over = opening("S4", box(40, 50, 80, 90), kind="shaft")
    (joined,) = join_openings(drawn(openings=[SHAFT, over])).openings
    assert joined.kind is OpeningKind.SHAFT
    assert (joined.rect.low.y_16, joined.rect.high.y_16) == (640, 1440)


def test_three_join_through_the_one_between() -> None:
    # 20 + 40 + 20 in wide; the outer two do not touch. A fourth touches only a corner.
    row = [
        opening("S1", box(40, 40, 60, 80)),
        opening("S2", box(100, 40, 120, 80)),
        opening("S3", box(60, 40, 100, 80)),
        opening("S4", box(120, 80, 140, 120)),
    ]
    assert [o.id for o in join_openings(drawn(openings=row)).openings] == ["S1", "S4"]
    assert warned(openings=row) == []
    place, message = refused(openings=[*row[:2], opening("S3", box(60, 40, 100, 81))])
    assert place == "openings.2"
    assert message == (
        "Openings S1, S2 and S3 overlap or touch but fill no rectangle together; join them into one rectangle or "
        "move them apart."
    )


def test_fixed_plies_follow_into_the_joined_opening() -> None:
    fixed = [
        {"of": "S1", "part": "header_low", "plies": 1},
        {"of": "S2", "part": "header_low", "plies": 3},
        {"of": "S2", "part": "trimmer_low", "plies": 2},
        {"of": "S3", "part": "header_low", "plies": 1},
    ]
    plan = join_openings(drawn(openings=[SHAFT, STAIR, APART], overrides={"plies": fixed}))
    assert plan.plies == (("S1:header_low", 3), ("S1:trimmer_low", 2), ("S3:header_low", 1))


def test_a_bearing_between_two_halves_crosses_the_whole() -> None:
    wall = bearing([0, 60], [240, 60])
    place, message = refused(supports=[wall], openings=[SHAFT, STAIR])
    assert place == "openings.0"
    assert message.startswith("Bearing W1 crosses opening Duct")


def test_one_without_size_or_outside_is_not_asked_to_join() -> None:
    nothing = opening("S4", box(80, 40, 80, 60))
    outside = opening("S5", box(80, 60, 300, 130))
    found = problems(openings=[SHAFT, STAIR, nothing, outside])
    assert [problem.place for problem in found] == ["openings.2.size.0", "openings.3"]


def test_a_bearing_partition_through_a_joined_opening() -> None:
    partition = {"id": "P1", "from": [60, 10], "to": [60, 50], "bearing": True}
    place, message = refused(openings=[SHAFT, STAIR], partitions=[partition])
    assert (place, message) == (
        "partitions.0",
        "Bearing partition P1 crosses opening Duct; move one of them.",
    )
