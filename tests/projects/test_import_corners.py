"""Floors out of lists of corners: R50 lengths, errors by row and column, openings and walls; worked by hand."""

from __future__ import annotations

from typing import Any

import pytest

from framing.engine.practice import Practice
from framing.projects.design import plan_of
from framing.projects.draw_start import blank_document
from framing.projects.import_choice import Choice
from framing.projects.import_corners import import_corners
from framing.projects.import_found import Found
from framing.projects.reading.corners import read_corners

L_LIST = "x,y\n0,0\n40',0\n40',18'\n24',18'\n24',32'\n0,32'\n"
FULL = L_LIST + "4',4',opening S1\n7' 8\",14',opening S1\n0,15' 11 3/4\",wall W1\n40',15' 11 3/4\",wall W1\n"


def found_in(text: str, units: str = "imperial", bare: str = "", **choice: Any) -> Found:
    facts, _ = read_corners(text.encode(), {})
    return import_corners(facts, Choice(units=bare or units, **choice), blank_document(units, "List"))


def corners_in(found: Found) -> list[tuple[float, float]]:
    assert found.document is not None, found.problems
    return [(p.x_16 / 16, p.y_16 / 16) for p in plan_of(found.document, Practice()).outline]


def test_an_l_with_a_stair_and_a_wall() -> None:
    found = found_in(FULL)
    assert corners_in(found) == [(0, 0), (480, 0), (480, 216), (288, 216), (288, 384), (0, 384)]
    plan = plan_of(found.document or {}, Practice())
    (stair,), (wall,) = plan.openings, plan.supports
    assert (stair.id, stair.rect.low.x_16, stair.rect.width_16, stair.rect.height_16) == (
        "S1",
        768,
        44 * 16,
        120 * 16,
    )
    assert (wall.id, wall.start.y_16, wall.end.x_16) == ("W1", 191.75 * 16, 480 * 16)
    assert plan.bays[0].axis == "y"
    assert found.taken[1:] == ("1 opening.", "1 wall.")
    assert (found.mended, found.left) == ((), ())


def test_bare_numbers_are_in_the_chosen_units() -> None:
    assert corners_in(found_in("0,0\n288,0\n288,168\n0,168\n"))[2] == (288, 168)
    metric = found_in("0,0\n4000,0\n4000,3.8m\n0,3800\n", "metric")
    assert metric.document is not None
    assert metric.document["outline"][2] == ["4000 mm", "3800 mm"]
    assert corners_in(found_in("0,0\n2540,0\n2540,1270\n0,1270\n", bare="metric"))[2] == (100, 50)


def test_errors_name_row_and_column() -> None:
    found = found_in("x,y,what\n0,0\n12,5 ft,outline\n\n3 cubits,7,outline\n9,9,ceiling\n")
    assert found.document is None
    told = {problem.place: problem.message for problem in found.problems}
    assert set(told) == {"row 5, column x", "row 6, column what"}
    assert "3 cubits" in told["row 5, column x"]
    assert "write outline, opening S1 or wall W1" in told["row 6, column what"]
    comma = found_in("x;y\n0;0\n3,81;1\n5;5\n")
    assert "decimals with a point" in comma.problems[0].message
    assert found_in("x,y\n0\n1,1\n").problems[0].place == "row 2, column y"


def test_many_errors_are_counted() -> None:
    found = found_in("x,y\n" + "a1,b1\n" * 80)
    assert len(found.problems) == 101
    assert found.problems[-1].message == "60 more cells can't be read."


def test_too_few_corners_are_refused_and_doubles_taken_once() -> None:
    assert "has 2 corners of an outline" in found_in("0,0\n5,5\n0,0\n").problems[0].message
    found = found_in("0,0\n0,0\n288,0\n288,168\n0,168\n0,0\n")
    assert len(corners_in(found)) == 4
    assert found.mended == ("Corners on each other were taken once.",)
    many = "".join(f"{k},{k % 2}\n" for k in range(401))
    assert "at most 400 are taken" in found_in(many).problems[0].message


def test_all_is_moved_to_zero() -> None:
    found = found_in("-10,5\n278,5\n278,173\n-10,173\n0,20,wall W1\n288,20,W1\n")
    assert corners_in(found)[0] == (0, 0)
    assert found.document is not None
    assert found.document["supports"][0]["from"] == ['10"', "1'-3\""]
    assert "lie at 0" in found.mended[0]


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ("4,4,opening S1\n", "two opposite corners"),
        ("4,4,opening S1\n4,90,opening S1\n", "two opposite corners"),
        ("4,4,S1\n60,4,S1\n70,60,S1\n4,60,S1\n", "is no rectangle"),
        ("4,4,wall W1\n", "has one end only"),
    ],
)
def test_what_is_no_opening_or_wall_is_left(rows: str, words: str) -> None:
    found = found_in("0,0\n288,0\n288,168\n0,168\n" + rows)
    assert len(corners_in(found)) == 4
    assert words in found.left[0].why


def test_a_shaft_by_four_corners_and_a_wall_in_two_pieces() -> None:
    found = found_in(
        "0,0\n288,0\n288,168\n0,168\n"
        "48,48,shaft\n72,48,shaft\n72,90,shaft\n48,90,shaft\n"
        "0,100,bearing B1\n100,100,bearing B1\n100,168,bearing B1\n",
        name="Upper",
        level="2",
        direction="x",
    )
    assert found.document is not None
    (shaft,) = found.document["openings"]
    assert (shaft["kind"], shaft["size"]) == ("shaft", ["2'-0\"", "3'-6\""])
    assert [row["id"] for row in found.document["supports"]] == ["B1-1", "B1-2"]
    assert (found.document["name"], found.document["level"]) == ("Upper", "2")
    assert found.document["bays"][0]["direction"] == "x"
