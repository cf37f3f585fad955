"""Point loads drawn: a triangle whose tip is the place, name and weight beside it, on every kind of drawing."""

from __future__ import annotations

import io
from dataclasses import replace

import ezdxf
import pytest

from framing.drawing import SheetInfo, plan_svg, sketch_svg
from framing.drawing.dxf import plan_dxf
from framing.drawing.dxf_marks import MARK, load_box, mark_places
from framing.drawing.editor_layer import plan_layer
from framing.drawing.paper import Box, Spot, View, box_at
from framing.drawing.plan import placed_problems
from framing.drawing.point_loads import HALF, HIGH, load_words
from framing.drawing.sketch import sketch_view
from framing.engine.errors import Problem
from framing.engine.floor import StandingLoad
from framing.engine.geometry import Point
from tests.drawing.reading import SVG, measured, root_of, texts
from tests.drawing.real_floors import floor, plan

SHEET = SheetInfo("Alder Court, lot 14", "Second floor", "2026-03-02", "R1", 1, 3, north_deg=20)
IDS = [f"point_load:Q{number}" for number in range(1, 7)]


def triangles(svg: str) -> dict[str, list[tuple[float, float]]]:
    """Corners by id."""
    found = {}
    for node in root_of(svg).iter(f"{SVG}polygon"):
        if (name := node.attrib.get("data-id", "")).startswith("point_load:"):
            spots = [tuple(map(float, pair.split(","))) for pair in node.attrib["points"].split()]
            found[name] = [(x, y) for x, y in spots]
    return found


def test_each_stands_with_its_tip_on_its_place() -> None:
    found = triangles(plan_svg(floor("loaded"), SHEET))
    assert list(found) == IDS
    # Q1 at 4 ft, 5 ft and Q4 at 20.5 ft, 8 ft: 16.5 ft apart across and 3 ft up, at the drawn scale
    svg = plan_svg(floor("loaded"), SHEET)
    claimed, drawn = measured(svg)[0]
    mm_per_ft = drawn / claimed * 192
    (x1, y1), (x4, y4) = found["point_load:Q1"][0], found["point_load:Q4"][0]
    assert (x4 - x1, y1 - y4) == pytest.approx((16.5 * mm_per_ft, 3 * mm_per_ft), abs=0.01)
    for tip, left, right in found.values():
        assert (left[0] - tip[0], left[1] - tip[1]) == pytest.approx((-HALF, -HIGH), abs=0.002)
        assert (right[0] - tip[0], right[1] - tip[1]) == pytest.approx((HALF, -HIGH), abs=0.002)


def test_name_and_weight_stand_beside_it_and_in_the_key() -> None:
    written = [text.text for text in texts(plan_svg(floor("loaded"), SHEET))]
    for words in ("Post 400 lb", "Tub with a long name th… 1,150.5 lb", "Q3 1,200 lb", "Column 5,000 lb"):
        assert words in written
    assert written.count("Post 110 lb") == 2
    assert "point load" in written
    bare = [text.text for text in texts(plan_svg(floor("trapezoid"), SHEET))]
    assert "point load" not in bare


def test_the_description_tells_them() -> None:
    desc = root_of(plan_svg(floor("loaded"), SHEET)).find(f"{SVG}desc")
    assert desc is not None
    assert desc.text is not None
    assert "Point loads: Post 400 lb, Tub with" in desc.text


def test_the_sketch_has_them_before_and_after_the_floor_is_designed() -> None:
    view = sketch_view(plan("loaded"))[0]
    tip = view.spot(plan("loaded").point_loads[0].at)
    for source in (plan("loaded"), floor("loaded")):
        found = triangles(sketch_svg(source))
        assert list(found) == IDS
        assert found["point_load:Q1"][0] == pytest.approx((tip.x, tip.y), abs=0.001)


def test_its_warning_stands_under_its_tip() -> None:
    view = View(48.0, Point(0, 0), Spot(0, 0))
    problems = [Problem("point_loads.0", "One.", 192, 192), Problem("openings.0", "Two.", 1920, 192)]
    (_, loaded, _), (_, plain, _) = placed_problems(problems, view, Box(0, -50, 100, 0))
    assert loaded.y - plain.y == pytest.approx(3.6)


def test_the_dxf_has_a_layer_of_them_with_room_for_their_words() -> None:
    drawing = ezdxf.read(io.StringIO(plan_dxf(floor("loaded"))))  # type: ignore[attr-defined]
    rings = drawing.modelspace().query('LWPOLYLINE[layer=="LOADS"]')
    tips = [tuple(ring.get_points("xy")[0]) for ring in rings]
    assert tips == [(load.at.x_16 / 16, load.at.y_16 / 16) for load in plan("loaded").point_loads]
    words = [text.dxf.text for text in drawing.modelspace().query('TEXT[layer=="LOADS"]')]
    assert words == [load_words(load) for load in plan("loaded").point_loads]
    boxes = [load_box(load) for load in plan("loaded").point_loads]
    marks = mark_places(floor("loaded"))
    for member in floor("loaded").members:
        long = len(member.mark) * MARK * 0.95
        size = (MARK, long) if marks[member.id].turned else (long, MARK)
        at = box_at(Spot(*marks[member.id].at), *size)
        assert not any(at.meets(box) for box in boxes), member.mark
    bare = ezdxf.read(io.StringIO(plan_dxf(floor("trapezoid"))))  # type: ignore[attr-defined]
    assert "LOADS" not in bare.layers


def test_the_editor_gets_them_in_plan_inches() -> None:
    first, *rest = plan_layer(plan("loaded"), plan("loaded").outline)["point_loads"]
    assert first == {"id": "Q1", "name": "Post", "at": [48, 60], "dead_lb": 100.0, "live_lb": 300.0}
    assert [load["id"] for load in rest] == ["Q2", "Q3", "Q4", "Q5", "Q6"]
    assert plan_layer(plan("trapezoid"), plan("trapezoid").outline)["point_loads"] == []


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("", "Q9 12.25 lb"),
        ("Post", "Post 12.25 lb"),
        ("x" * 24, f"{'x' * 24} 12.25 lb"),
        ("x" * 25, f"{'x' * 23}… 12.25 lb"),
    ],
)
def test_a_long_name_is_cut(name: str, words: str) -> None:
    load = StandingLoad("Q9", "Post", Point(0, 0), 10.0, 2.25)
    assert load_words(replace(load, name=name)) == words
