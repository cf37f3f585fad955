"""What every drawing keeps to as an SVG document, and how texts and numbers are written."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from framing.drawing import SheetInfo, bundle_svg, plan_svg, sketch_svg
from framing.drawing.svg import number
from framing.engine.errors import Problem
from tests.drawing import builders as made
from tests.drawing.reading import SVG, measured, root_of, strokes_in, texts

SHEET = SheetInfo("Alder Court", "Second floor")
HOSTILE = '<script>alert("x")</script> & "quoted" \'floor\''
DRAWINGS = {
    "plan": plan_svg(made.house(), SHEET),
    "sketch": sketch_svg(made.house()),
    "outline": sketch_svg(made.house().plan),
    "bundle": bundle_svg(made.bundle()),
}
every_drawing = pytest.mark.parametrize("svg", DRAWINGS.values(), ids=DRAWINGS)


@every_drawing
def test_a_drawing_says_what_it_is(svg: str) -> None:
    root = root_of(svg)
    assert root.attrib["role"] == "img"
    assert [child.tag for child in list(root)[:2]] == [f"{SVG}title", f"{SVG}desc"]
    assert all(child.text for child in list(root)[:2])


@every_drawing
def test_a_drawing_keeps_to_plain_elements(svg: str) -> None:
    tags = {node.tag.removeprefix(SVG) for node in root_of(svg).iter()}
    assert tags <= {"svg", "title", "desc", "g", "path", "rect", "circle", "polygon", "polyline", "text"}
    names = {name for node in root_of(svg).iter() for name in node.attrib}
    assert not {name for name in names if name == "style" or name.startswith("on") or "href" in name}
    assert "url(" not in svg


@every_drawing
def test_black_on_white_without_a_style_sheet(svg: str) -> None:
    paints = set(re.findall(r'(?:fill|stroke)="([^"]*)"', svg))
    assert paints <= {"none", "currentColor"}


@pytest.mark.parametrize(
    ("value", "text"), [(1.0, "1"), (0.12345, "0.123"), (-0.0001, "0"), (12.5, "12.5"), (100, "100")]
)
def test_numbers_are_short_and_never_minus_nothing(value: float, text: str) -> None:
    assert number(value) == text


def test_texts_of_users_are_escaped_everywhere() -> None:
    house = made.house()
    openings = tuple(replace(opening, name=HOSTILE, id=HOSTILE) for opening in house.plan.openings)
    supports = tuple(replace(support, id=HOSTILE) for support in house.plan.supports)
    plan = replace(house.plan, openings=openings, supports=supports, name=HOSTILE)
    problems = (Problem("", HOSTILE, 0, 0),)
    for svg in (
        plan_svg(
            replace(house, plan=plan, warnings=problems),
            SheetInfo(HOSTILE, HOSTILE, HOSTILE, HOSTILE, company=HOSTILE),
        ),
        sketch_svg(plan, problems),
    ):
        assert "<script" not in svg
        assert any(node.text == HOSTILE for node in root_of(svg).iter())


def test_a_long_project_name_stays_in_its_cell() -> None:
    svg = plan_svg(made.house(), SheetInfo("Alder Court " * 20, "Second floor"))
    project = next(text for text in texts(svg) if text.text.startswith("Alder"))
    assert project.text.endswith("…")
    floor = next(text for text in texts(svg) if text.text == "Second floor")
    assert project.box.right < floor.box.left


def test_a_floor_name_a_little_too_long_is_written_whole_and_smaller() -> None:
    svg = plan_svg(made.house(), SheetInfo("Alder Court", "Town house, second floor"))
    by_words = {text.text: text for text in texts(svg)}
    assert 3.0 <= by_words["Town house, second floor"].size < by_words["Alder Court"].size
    assert by_words["Town house, second floor"].box.right < by_words["Scale, full size"].box.left


def test_bundle_lifts_at_a_fifth_from_each_end() -> None:
    parts = measured(bundle_svg(made.bundle()))
    whole_16, drawn = sum(length for length, _ in parts), sum(mm for _, mm in parts)
    assert whole_16 == made.bundle().length_16
    for length_16, mm in parts:
        assert mm / drawn == pytest.approx(length_16 / whole_16, abs=1e-4)
    assert parts[0][0] == parts[2][0] == whole_16 // 5


def test_bundle_has_its_longest_pieces_at_the_bottom_and_names_each_run_once() -> None:
    marks = [(text.text, text.box.top) for text in texts(bundle_svg(made.bundle())) if text.css == "dw-mark"]
    assert [mark for mark, _ in sorted(marks, key=lambda pair: pair[1])] == [
        "2T01",
        "2J02 \u00d7 3",
        "2J01 \u00d7 5",
    ]


def test_sketch_of_a_refused_floor_numbers_its_problems() -> None:
    crossed = made.plan(((0, 0), (1920, 1920), (1920, 0), (0, 1920)))
    problems = (
        Problem("outline", "No place."),
        Problem("outline.1", "The outline crosses itself.", 960, 960),
    )
    svg = sketch_svg(crossed, problems)
    shown = {
        g.attrib["data-problem"]: g.findtext(f"{SVG}title")
        for g in root_of(svg).iter()
        if "data-problem" in g.attrib
    }
    assert shown == {"2": "The outline crosses itself."}


def test_sketch_gives_the_overall_size_and_measures_it() -> None:
    svg = sketch_svg(made.house())
    (wide, wide_mm), (tall, tall_mm) = measured(svg)
    assert (wide, tall) == (32 * made.FT, 24 * made.FT)
    assert wide / wide_mm == pytest.approx(tall / tall_mm, rel=1e-4)
    assert {"32'-0\"", "24'-0\""} <= {text.text for text in texts(svg)}
    assert min(text.size for text in texts(svg)) / 120 * 360 >= 12


def test_the_text_of_a_sketch_keeps_its_place_when_a_page_makes_it_smaller() -> None:
    svg = sketch_svg(made.house())
    level, upright = strokes_in(svg, "dw-dim")
    for size in ("4.4", "1.75"):
        written = {
            text.text: text.box for text in texts(svg.replace('font-size="4.4"', f'font-size="{size}"'))
        }
        assert written["32'-0\""].top - level.a.y == pytest.approx(1.2, abs=0.01)
        assert upright.a.x - written["24'-0\""].right == pytest.approx(1.2, abs=0.01)


def test_names_on_a_sketch_stay_on_the_floor() -> None:
    written = {text.text: text.box for text in texts(sketch_svg(made.house()))}
    width, height = written["32'-0\""], written["24'-0\""]
    for name in ("Stair", "Duct"):
        assert written[name].left > height.right
        assert written[name].bottom < width.top


def test_sketch_of_a_flat_outline_still_draws() -> None:
    assert "dw-outline" in sketch_svg(made.plan(((0, 0), (1920, 0), (1920, 0), (0, 0))))
