"""Floors out of DXF drawings: worked by hand in several units, turned, torn, with openings and walls; our own too."""

from __future__ import annotations

from dataclasses import replace
from math import cos, radians, sin
from typing import Any

import pytest

from framing.drawing.dxf import plan_dxf
from framing.drawing.svg import TIMES
from framing.engine.document import dump_document, rectangle_document
from framing.engine.floor import FloorPlan
from framing.engine.practice import Practice
from framing.projects.design import design_plan, plan_of
from framing.projects.draw_start import blank_document
from framing.projects.import_choice import Choice, choice_of
from framing.projects.import_dxf import import_dxf, usual_choice
from framing.projects.import_found import Found
from tests.projects.reading_dxf_files import L_SHAPE, box, drawn, facts_of, lines, ring

PRACTICE = Practice()
INCH_16 = 16


def found_in(facts: dict[str, Any], system: str = "imperial", **changes: Any) -> Found:
    """The import with the usual choice, and what is chosen otherwise."""
    choice = replace(usual_choice(facts, "Lot 7"), **changes)
    return import_dxf(facts, choice, blank_document(system, "Lot 7"))


def plan_in(found: Found) -> FloorPlan:
    assert found.document is not None, found.problems
    return plan_of(found.document, PRACTICE)


def corners_in(plan: FloorPlan) -> list[tuple[float, float]]:
    return [(p.x_16 / INCH_16, p.y_16 / INCH_16) for p in plan.outline]


def number(facts: dict[str, Any], layer: str) -> int:
    return next(n for n, row in enumerate(facts["layers"]) if row["name"] == layer)


def place(corner: tuple[float, float], degrees: float, scale: float = 1.0) -> tuple[float, float]:
    """A corner as it is drawn: turned about 0, 0, far from it, in another unit."""
    c, s = cos(radians(degrees)), sin(radians(degrees))
    x, y = corner
    return (5000 + x * c - y * s) * scale, (7000 + x * s + y * c) * scale


@pytest.mark.parametrize(("unit", "code", "scale"), [
    ("in", 1, 1), ("ft", 2, 1 / 12), ("mm", 4, 25.4), ("cm", 5, 2.54), ("m", 6, 0.0254),
])  # fmt: skip
def test_the_same_floor_in_every_unit(unit: str, code: int, scale: float) -> None:
    facts = drawn(lambda space: lines(space, [(x * scale, y * scale) for x, y in L_SHAPE], "A"), units=code)
    found = found_in(facts)
    assert corners_in(plan_in(found)) == list(L_SHAPE)
    assert usual_choice(facts, "").units == unit
    assert found.taken == (f"Outline from layer “A”: 6 corners, 40'-0\" {TIMES} 32'-0\".",)
    assert (found.mended, found.left, found.problems) == ((), (), ())


def test_a_metric_project_gets_the_millimetres_that_were_drawn() -> None:
    facts = drawn(lambda space: lines(space, box((100, 100), (4100, 3900)), "A"), units=4)
    found = found_in(facts, "metric")
    assert found.document is not None
    assert found.document["outline"] == [
        ["0 mm", "0 mm"],
        ["4000 mm", "0 mm"],
        ["4000 mm", "3800 mm"],
        ["0 mm", "3800 mm"],
    ]


def test_a_turned_building_is_turned_back() -> None:
    facts = drawn(lambda space: lines(space, [place(corner, 17.5) for corner in L_SHAPE], "A"))
    found = found_in(facts)
    assert corners_in(plan_in(found)) == list(L_SHAPE)
    assert found.mended == (
        "The drawing was turned back by 17.50 degrees, so that its longest sides lie along the plan.",
    )


def test_a_skewed_side_stays_skewed() -> None:
    corners = [(0.0, 0.0), (480.0, 0.0), (400.0, 300.0), (0.0, 300.0)]
    found = found_in(drawn(lambda space: lines(space, corners, "A")))
    assert corners_in(plan_in(found)) == corners
    assert found.mended == ()


def test_a_side_that_leans_by_a_32nd_is_straight_and_one_by_a_quarter_is_not() -> None:
    # The right side leans by 1/32 in: both ends take its middle, moved 1/64; nothing to tell. At 1/4 in it stays askew.
    leaning = [(0.0, 0.0), (480.0, 0.0), (480.03, 300.0), (0.0, 300.0)]
    found = found_in(drawn(lambda space: lines(space, leaning, "A")))
    assert corners_in(plan_in(found)) == box((0, 0), (480, 300))
    assert found.mended == ()
    askew = [(0.0, 0.0), (480.0, 0.0), (480.25, 300.0), (0.0, 300.0)]
    assert corners_in(plan_in(found_in(drawn(lambda space: lines(space, askew, "A")))))[2] == (480.25, 300)


def test_gaps_and_doubles_are_mended_and_told() -> None:
    def draw(space: Any) -> None:
        for a, b in (
            ((0, 0), (479.9, 0)),
            ((480, 0.1), (480, 300)),
            ((480, 300), (0, 300)),
            ((0, 300), (0, 0)),
        ):
            space.add_line(a, b)
        space.add_line((480, 300), (0, 300))
        space.add_line((100, 100), (200, 100))

    found = found_in(drawn(draw))
    assert corners_in(plan_in(found)) == box((0, 0), (480, 300))
    assert found.mended == (
        'The outline was open at 1 place, by 1/8" at most; it is closed now.',
        "1 line of layer “0” drawn twice; taken once.",
    )
    assert [(row.what, row.where, row.why) for row in found.left] == [("1 line", "0", "close to no outline")]


def test_an_outline_with_an_arc_gets_chords_and_says_so() -> None:
    facts = drawn(lambda space: space.add_lwpolyline(
        [(0, 0, 0), (480, 0, 1), (480, 120, 0), (0, 120, 0)], format="xyb", close=True
    ))  # fmt: skip
    found = found_in(facts)
    plan = plan_in(found)
    assert "keep within 1/8 in" in found.mended[0]
    bow = [(p.x_16 / 16, p.y_16 / 16) for p in plan.outline if p.x_16 > 480 * 16]
    assert len(bow) >= 10
    assert all(abs(((x - 480) ** 2 + (y - 60) ** 2) ** 0.5 - 60) <= 1 / 16 for x, y in bow)


def test_an_open_outline_is_refused_with_the_gap() -> None:
    def draw(space: Any) -> None:
        for a, b in (
            ((0, 0), (480, 0)),
            ((480, 0), (480, 300)),
            ((480, 300), (0, 300)),
            ((0, 300), (0, 1.5)),
        ):
            space.add_line(a, b)

    facts = drawn(draw)
    found = found_in(facts, outline=0, units="in")
    assert found.document is None
    (problem,) = found.problems
    assert problem.place == "outline"
    assert '1 1/2" apart' in problem.message
    assert "ends up to 1/4 in apart are joined" in problem.message


def test_units_are_asked_not_guessed() -> None:
    small = drawn(lambda space: lines(space, box((0, 0), (6, 5)), "A"))  # inches, the file says
    found = found_in(small)
    assert found.document is None
    assert found.problems[0].place == "units"
    assert "smaller than 4 ft" in found.problems[0].message
    assert corners_in(plan_in(found_in(small, units="ft"))) == box((0, 0), (72, 60))
    assert (
        "or another unit" in found_in(small, units="in").problems[0].message
    )  # closed, but under 4 square feet
    huge = found_in(drawn(lambda space: lines(space, box((0, 0), (36_000, 500)), "A")))
    assert "larger than 1,000 ft" in huge.problems[0].message


def test_an_outline_that_crosses_itself_is_refused() -> None:
    bow_tie = [(0, 0), (480, 0), (100, 300), (480, 310)]
    found = found_in(drawn(lambda space: ring(space, bow_tie, "A")), outline=0)
    assert "crosses itself" in found.problems[0].message


def test_without_layers_the_page_asks() -> None:
    facts = drawn(lambda space: lines(space, L_SHAPE, "A"))
    assert found_in(facts, outline=-1).problems[0].message == "Say on which layer the outline lies."
    assert found_in(facts, outline=7).problems[0].place == "outline"


# --- several loops ---


def test_separate_loops_are_separate_floors() -> None:
    def draw(space: Any) -> None:
        lines(space, box((0, 0), (480, 300)), "A")
        lines(space, box((600, 0), (800, 240)), "A")
        lines(space, box((100, 100), (150, 150)), "A")
        lines(space, box((900, 0), (910, 10)), "A")

    facts = drawn(draw)
    first, second = found_in(facts), found_in(facts, loop=1)
    assert first.others == second.others == (f"40'-0\" {TIMES} 25'-0\"", f"16'-8\" {TIMES} 20'-0\"")
    assert corners_in(plan_in(first)) == box((0, 0), (480, 300))
    assert corners_in(plan_in(second)) == box((0, 0), (200, 240))
    told = {row.why: row.what for row in first.left}
    assert told["are outlines of other floors; choose one above to take it"] == "1 closed shape"
    assert (
        "1 closed shape"
        in told["lie inside the outline; tick “Shapes inside the outline are openings” to take them"]
    )
    assert plan_in(first).openings == ()
    (opening,) = plan_in(found_in(facts, inside=True)).openings
    assert (opening.rect.low.x_16, opening.rect.width_16) == (100 * 16, 50 * 16)
    assert found_in(facts, loop=99).document == second.document


# --- openings ---


def openings_drawing(space: Any) -> None:
    lines(space, L_SHAPE, "A")
    lines(space, box((40, 40), (84, 160)), "O")  # 3 ft 8 in by 10 ft
    ring(space, [(200, 40), (236, 40.1), (236, 76), (200, 75.95)], "O")  # within 1/8 in of a square of 36
    ring(space, [(300, 40), (340, 40), (335, 100), (300, 100)], "O")  # 5 in askew
    ring(space, box((600, 40), (640, 80)), "O")
    space.add_circle((120, 300), 20, dxfattribs={"layer": "O"})
    space.add_line((40, 90), (84, 90), dxfattribs={"layer": "O"})
    space.add_text("Stair up", dxfattribs={"insert": (50, 100), "layer": "T"})
    space.add_text("4 x 10", dxfattribs={"insert": (50, 120), "layer": "T"})
    space.add_text("Plumbing chase", dxfattribs={"insert": (210, 60), "layer": "T"})


def test_openings_are_rectangles_with_the_words_that_stand_in_them() -> None:
    found = found_in(drawn(openings_drawing))
    stair, chase = plan_in(found).openings
    assert (stair.name, stair.kind.value, stair.rect.low.x_16, stair.rect.low.y_16) == (
        "Stair up",
        "stair",
        640,
        640,
    )
    assert (stair.rect.width_16, stair.rect.height_16) == (44 * 16, 120 * 16)
    assert (chase.name, chase.kind.value, chase.rect.width_16) == ("Plumbing chase", "shaft", 36 * 16)
    told = {(row.where, row.why): row.what for row in found.left}
    assert told["O", "no rectangle along the plan within 1/8 in, as openings are"] == "2 closed shapes"
    assert told["O", "outside the outline"] == "1 closed shape"
    assert told["O", "close to no shape; only closed rectangles are openings"] == "1 line"


# --- walls ---


def walls_drawing(space: Any) -> None:
    lines(space, L_SHAPE, "A")
    ring(space, box((5.5, 190), (180, 193.5)), "W")
    ring(space, box((216, 190), (474.5, 193.5)), "W")
    ring(space, box((140, 193.5), (143.5, 378.5)), "W")
    space.add_line((0, 5.5), (480, 5.5), dxfattribs={"layer": "W"})
    space.add_line((0, 0), (480, 0), dxfattribs={"layer": "W"})
    space.add_line((50, 50), (55, 50), dxfattribs={"layer": "W"})


def supports_in(found: Found) -> list[tuple[float, float, float, float, float]]:
    return [
        (s.start.x_16 / 16, s.start.y_16 / 16, s.end.x_16 / 16, s.end.y_16 / 16, s.width_16 / 16)
        for s in plan_in(found).supports
    ]


def test_walls_across_the_joists_with_their_thickness() -> None:
    found = found_in(drawn(walls_drawing))
    assert supports_in(found) == [(0, 191.75, 180, 191.75, 3.5), (216, 191.75, 480, 191.75, 3.5)]
    assert plan_in(found).bays[0].axis == "y"
    assert "2 walls run on to the outline, at most 12 in away." in found.mended
    told = {row.why: row.what for row in found.left if row.where == "W"}
    assert told["along the outline, which bears by itself"] == "1 wall"
    assert (
        told["at most 4 ft wide, left open; tick “Close gaps” to close them"] == "1 gap between wall pieces"
    )
    assert told["under 12 in long, no wall"] == "1 line"
    assert any(why.startswith("along the joists") for why in told)


def test_a_door_closed_if_asked_and_walls_along_if_asked() -> None:
    facts = drawn(walls_drawing)
    joined = found_in(facts, join=True)
    assert supports_in(joined) == [(0, 191.75, 480, 191.75, 3.5)]
    along = found_in(facts, join=True, along=True)
    # The wall along the joists stops at the other one's face, 191.75 + 1.75, and runs on to the outline at 384.
    assert supports_in(along) == [(0, 191.75, 480, 191.75, 3.5), (141.75, 193.5, 141.75, 384, 3.5)]
    across = found_in(facts, direction="x")
    assert plan_in(across).bays[0].axis == "x"
    assert supports_in(across) == [(141.75, 193.5, 141.75, 384, 3.5)]


def test_a_lone_line_leaves_the_width_to_the_practice_set() -> None:
    def draw(space: Any) -> None:
        lines(space, L_SHAPE, "A")
        space.add_line((0, 200), (480, 200), dxfattribs={"layer": "W"})

    facts = drawn(draw)
    found = found_in(facts, walls=number(facts, "W"))
    assert found.document is not None
    assert found.document["supports"][0]["width"] is None
    assert supports_in(found) == [(0, 200, 480, 200, PRACTICE.inside_bearing_16 / 16)]


def test_a_wall_stops_at_an_opening_and_at_the_outline() -> None:
    def draw(space: Any) -> None:
        lines(space, L_SHAPE, "A")
        ring(space, box((100, 150), (148, 250)), "O")
        space.add_line((-60, 200), (600, 200), dxfattribs={"layer": "W"})
        space.add_line((600, 0), (600, 300), dxfattribs={"layer": "W"})

    facts = drawn(draw)
    found = found_in(facts, walls=number(facts, "W"))
    assert [row[:4] for row in supports_in(found)] == [(0, 200, 100, 200), (148, 200, 480, 200)]
    assert "1 wall cut at the outline, an opening or another wall." in found.mended


def test_the_imported_floor_can_be_framed() -> None:
    result = design_plan(plan_in(found_in(drawn(walls_drawing), join=True)), PRACTICE)
    assert result.members


# --- our own drawing comes back ---


@pytest.mark.parametrize("turned", ["y", "x"])
def test_our_own_export_comes_back(turned: str) -> None:
    wall = {"id": "W1", "from": ["0", "14'"], "to": ["40'", "14'"], "width": "5 1/2"}
    if turned == "x":
        wall |= {"from": ["20'", "0"], "to": ["20'", "28'"]}
    document = dump_document(
        rectangle_document(
            name="Ground",
            width="40'",
            depth="28'",
            direction=turned,  # type: ignore[arg-type]
            supports=[wall],
            openings=[
                {"id": "S1", "name": "Stair", "corner": ["4'", "2'"], "size": ["4'", "8' 3 1/2\""]},
                {"id": "S2", "name": "Duct", "kind": "shaft", "corner": ["30'", "20'"], "size": ["2'", "3'"]},
            ],
        )
    )
    before = plan_of(document, PRACTICE)
    found = found_in(facts_of(plan_dxf(design_plan(before, PRACTICE)).encode()))
    after = plan_in(found)
    assert after.outline == before.outline
    assert [(o.name, o.kind, o.rect) for o in after.openings] == [
        (o.name, o.kind, o.rect) for o in before.openings
    ]
    assert [(s.start, s.end, s.width_16) for s in after.supports] == [
        (s.start, s.end, s.width_16) for s in before.supports
    ]
    assert after.bays[0].axis == turned
    assert found.mended == ()


# --- choices ---


def test_choices_come_from_a_form_or_a_body() -> None:
    usual = Choice(units="in", outline=2, openings=1, join=True, name="A")
    assert choice_of({}, usual) == usual
    assert choice_of({"chosen": "1"}, usual) == replace(usual, join=False)
    sent = {
        "units": "mm",
        "outline": "0",
        "walls": 3,
        "inside": "1",
        "loop": "-4",
        "direction": "x",
        "name": " B\n1 ",
    }
    assert choice_of(sent, usual) == replace(
        usual, units="mm", outline=0, walls=3, inside=True, loop=0, direction="x", name="B 1"
    )
    nonsense = {"units": "cubits", "outline": "x", "direction": "z", "name": 5, "level": "12345"}
    assert choice_of(nonsense, usual) == replace(usual, level="1234")
    assert choice_of(sent | {"chosen": "1"}, usual) == choice_of(
        choice_of(sent | {"chosen": "1"}, usual).as_query(), usual
    )


def test_what_moves_more_than_a_32nd_is_told() -> None:
    # 1589.55 mm are written as 1590 mm, which are read as 1002 sixteenths, 1590.675 mm: 1.125 mm further.
    facts = drawn(lambda space: lines(space, box((0, 0), (1589.55, 3000)), "A"), units=4)
    found = found_in(facts, "metric")
    assert plan_in(found).outline[2].x_16 == 1002
    assert found.mended == (
        "2 corners moved by up to 1 mm by rounding and by making sides straight along the plan.",
    )
    # In sixteenths 1589.55 mm are 1001.291, drawn 1001: 1/32 in at most, nothing to tell.
    assert found_in(facts).mended == ()
