"""Where counted things lie on the sketch: at the lines that the sketch draws, equal shapes once."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from framing.drawing import place_map, sketch_svg
from framing.engine import Practice, design_floor, load_catalogue, read_document, to_plan
from framing.engine.placement import Item
from framing.engine.result import FloorResult
from tests.drawing.reading import SVG, root_of, strokes_of

PLANS = Path(__file__).parents[1] / "plans"


@cache
def designed(name: str) -> FloorResult:
    practice = Practice()
    plan = to_plan(read_document((PLANS / f"{name}.json").read_bytes()), practice)
    return design_floor(plan, load_catalogue(), practice)


def test_a_member_lies_where_the_sketch_draws_it() -> None:
    result = designed("house")
    places = place_map(result)
    drawn = {
        group.attrib["data-id"]: [stroke for path in group.iter(f"{SVG}path") for stroke in strokes_of(path)]
        for group in root_of(sketch_svg(result)).iter(f"{SVG}g")
        if "data-id" in group.attrib
    }
    singles = [member for member in result.members if member.plies == 1]
    assert len(singles) == 55
    for member in singles:
        (index,) = places.indexes[member.id]
        x, y, x2, y2 = places.shapes[index]
        first, last = drawn[member.id][0].a, drawn[member.id][-1].b
        assert (first.x, first.y, last.x, last.y) == pytest.approx((x, y, x2, y2), abs=0.051)


@pytest.mark.parametrize("name", ["house", "townhouse"])
def test_everything_that_is_counted_has_a_shape_and_equal_shapes_are_one(name: str) -> None:
    result = designed(name)
    places = place_map(result)
    assert set(places.indexes) == {m.id for m in result.members} | {p.id for p in result.placed}
    assert all(places.indexes.values())
    assert len(set(places.shapes)) == len(places.shapes)
    assert len(places.shapes) < len(places.indexes)
    assert {len(shape) for shape in places.shapes} == {2, 4, 5}


def test_screws_share_the_place_of_their_clip() -> None:
    result = designed("house")
    places = place_map(result)
    screws = next(p for p in result.placed if p.item is Item.STEEL_SCREW and p.host == "clip:A.J1:low:0")
    assert places.indexes[screws.id] == places.indexes["clip:A.J1:low:0"]
    assert places.of([screws.id, "clip:A.J1:low:0", "A.J1"]) == (
        *places.indexes[screws.id],
        *places.indexes["A.J1"],
    )


def test_nails_show_their_panel_and_a_stick_all_boards_that_are_cut_from_it() -> None:
    result = designed("house")
    places = place_map(result)
    nail = next(p for p in result.placed if p.item is Item.SHEATHING_NAIL)
    (panel,) = places.indexes[nail.id]
    assert places.indexes[nail.host] == (panel,)
    assert len(places.shapes[panel]) == 5
    shared = [p for p in result.placed if p.item is Item.RIM_STICK and "," in p.host]
    assert shared
    for stick in shared:
        boards = stick.host.split(",")
        assert places.indexes[stick.id] == places.of(boards)
        assert len(places.indexes[stick.id]) == len(boards)


def test_marks_and_blocks_come_only_where_asked_for_and_where_there_is_room() -> None:
    plain, marked = sketch_svg(designed("house")), sketch_svg(designed("house"), marks=True)
    assert 'class="dw-mark"' not in plain
    assert ">1J04 \N{MULTIPLICATION SIGN} 26</text>" in marked
    assert marked.count('class="dw-block"') == 11
    assert 'class="dw-block"' not in plain
    large = sketch_svg(designed("corridor"), marks=True)
    assert 'class="dw-mark"' not in large
    assert 'class="dw-block"' in large
