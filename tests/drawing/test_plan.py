"""The framing plan: what it holds, that its strings measure true, and that its texts can be read."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace
from functools import cache
from itertools import combinations, pairwise
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from framing.drawing import LARGE, SheetInfo, paper_for, plan_svg
from framing.drawing.members import drawn_members
from framing.drawing.paper import Box, Spot, Stroke, View, cut
from framing.drawing.runs import find_runs
from framing.engine import Practice, design_floor, load_catalogue, read_document, to_plan
from framing.engine.errors import FloorRefused
from framing.engine.floor import FloorPlan
from framing.engine.geometry import Point
from framing.engine.result import FloorResult
from framing.engine.units import parse_length
from tests.drawing import builders as made
from tests.drawing.reading import SVG, ids, measured, root_of, strokes_in, strokes_of, texts

SHEET = SheetInfo("Alder Court, lot 14", "Second floor", "2026-03-02", "R1", 1, 3, north_deg=20)
FLOORS = {
    "house": made.house(),
    "ell": made.ell(),
    "corridor": made.bare_floor(120 * made.FT, 7 * made.FT),
    "metric": made.bare_floor(3780, 2646, units="metric"),
    "turned house": made.turned(made.house()),
    "turned ell": made.turned(made.ell()),
}


@cache
def designed(plan: FloorPlan) -> FloorResult:
    """The engine's own answer for a hand-made floor."""
    return design_floor(plan, load_catalogue(), Practice())


def sample(name: str) -> FloorPlan:
    return to_plan(
        read_document((Path(__file__).parents[1] / "plans" / f"{name}.json").read_text()), Practice()
    )


PLANS = {
    **{name: sample(name) for name in ("house", "corridor", "townhouse")},
    "hand-made house": made.house().plan,
    "ell": made.ell().plan,
    "turned house": made.turned(made.house()).plan,
    "from the far side": replace(made.house().plan, bays=(replace(made.house().plan.bays[0], start="high"),)),
}
every_floor = pytest.mark.parametrize("result", FLOORS.values(), ids=FLOORS)
every_plan = pytest.mark.parametrize("plan", PLANS.values(), ids=PLANS)


@every_floor
def test_strings_measure_what_they_say(result: FloorResult) -> None:
    parts = measured(plan_svg(result, SHEET))
    assert len(parts) >= 5
    scale = {round(length_16 * 25.4 / 16 / drawn) for length_16, drawn in parts}
    assert len(scale) == 1
    (factor,) = scale
    for length_16, drawn in parts:
        assert drawn * factor * 16 / 25.4 == pytest.approx(length_16, abs=0.002 * factor)


@every_floor
def test_each_string_text_is_a_length_of_its_string(result: FloorResult) -> None:
    """The text's last length is the part's claimed one, read by the reader people's entries go through."""
    units = result.plan.units
    checked = 0
    for group in root_of(plan_svg(result, SHEET)).iter(f"{SVG}g"):
        if group.attrib.get("class") != "dw-dim":
            continue
        claimed = [
            int(n.attrib["data-length-16"]) for n in group.iter(f"{SVG}path") if "data-length-16" in n.attrib
        ]
        words = [n.text or "" for n in group.iter(f"{SVG}text") if n.attrib["class"] == "dw-dim-text"]
        assert len(words) == len(claimed)
        for text, length_16 in zip(words, claimed, strict=True):
            assert parse_length(text.split("=")[-1].strip(), units) == pytest.approx(length_16, abs=0.5)
            checked += 1
    assert checked >= 5


@every_floor
def test_scale_in_the_title_strip_is_the_drawn_scale(result: FloorResult) -> None:
    svg = plan_svg(result, SHEET)
    words = next(t.text for t in texts(svg) if t.css == "dw-title" and (" = " in t.text or " : " in t.text))
    length_16, drawn = max(measured(svg))
    if " : " in words:
        factor = int(words.split(" : ")[1])
    else:
        over, under = re.match(r'(\d+)/(\d+)"', words).groups()  # type: ignore[union-attr]
        factor = 12 * int(under) // int(over)
    assert length_16 * 25.4 / 16 / drawn == pytest.approx(factor, rel=1e-4)


def check_texts(result: FloorResult, sheet: SheetInfo) -> None:
    """No two texts meet, and all lie within the frame."""
    written = texts(plan_svg(result, sheet))
    met = [(one.text, other.text) for one, other in combinations(written, 2) if one.box.meets(other.box)]
    assert met == []
    frame = Box(1.5, 1.5, sheet.paper.width - 1.5, sheet.paper.height - 1.5)
    assert [text.text for text in written if not frame.holds(text.box)] == []


@every_floor
def test_texts_stand_apart_and_within_the_frame(result: FloorResult) -> None:
    check_texts(result, SHEET)


@every_plan
def test_texts_of_an_engine_floor_stand_apart_and_within_the_frame(plan: FloorPlan) -> None:
    check_texts(designed(plan), SHEET)


@every_plan
def test_the_paper_chosen_for_a_floor_leaves_room_for_marks(plan: FloorPlan) -> None:
    result = designed(plan)
    sheet = replace(SHEET, paper=paper_for(result))
    check_texts(result, sheet)
    length_16, drawn = max(measured(plan_svg(result, sheet)))
    assert length_16 * 25.4 / 16 / drawn <= 128.1


@every_floor
def test_the_smallest_capitals_are_two_millimetres_high(result: FloorResult) -> None:
    assert (
        min(
            min(text.box.width, text.box.height)
            for text in texts(plan_svg(result, SHEET))
            if len(text.text) > 1
        )
        >= 2.0
    )


@every_floor
def test_no_member_line_runs_under_a_mark(result: FloorResult) -> None:
    svg = plan_svg(result, SHEET)
    marks = [text for text in texts(svg) if text.css == "dw-mark"]
    lines = [
        s for css in ("dw-joist", "dw-trimmer", "dw-header", "dw-bridging") for s in strokes_in(svg, css)
    ]
    assert marks
    assert lines
    for mark in marks:
        for line in lines:
            left = sum(stroke.length for stroke in cut(line, (mark.box,)))
            assert left == pytest.approx(line.length, abs=1e-6), mark.text


@every_plan
def test_marks_count_every_member(plan: FloorPlan) -> None:
    result = designed(plan)
    counted: Counter[str] = Counter()
    for text in texts(plan_svg(result, SHEET)):
        if text.css == "dw-mark":
            mark, _, count = text.text.partition(" \u00d7 ")
            counted[mark] += int(count or 1)
    assert counted == Counter(member.mark for member in result.members)


@every_plan
def test_every_member_and_placed_thing_can_be_lit(plan: FloorPlan) -> None:
    result = designed(plan)
    drawn = Counter(ids(plan_svg(result, SHEET)))
    wanted = (
        [m.id for m in result.members] + [p.id for p in result.placed] + [line.id for line in result.lines]
    )
    assert {name: drawn[name] for name in wanted if drawn[name] != 1} == {}


def test_print_goes_without_spots() -> None:
    result = designed(made.house().plan)
    assert "dw-spot" not in plan_svg(result, SHEET, spots=False)


def test_members_stand_at_their_true_places() -> None:
    """A joist's line lies at its station from the outline, in the scale of the strings."""
    result = made.bare_floor(24 * made.FT, 16 * made.FT)
    svg = plan_svg(result, SHEET)
    outline = next(iter(strokes_in(svg, "dw-outline")))
    scale = 24 * made.FT * 25.4 / 16 / outline.length
    first = {
        group.attrib["data-id"]: next(path for path in group.iter(f"{SVG}path"))
        for group in root_of(svg).iter(f"{SVG}g")
        if "data-mark" in group.attrib
    }
    for member in result.members:
        x = float(re.match(r"M(-?[\d.]+)", first[member.id].attrib["d"]).group(1))  # type: ignore[union-attr]
        assert (x - outline.a.x) * scale * 16 / 25.4 == pytest.approx(member.centre_16, abs=0.002 * scale)


def test_a_run_ends_at_a_trimmer_and_counts_its_members() -> None:
    result = made.house()
    view = View(64.0, Point(0, 0), Spot(0, 0))
    runs = [(run.text, len(run.members)) for run in find_runs(drawn_members(result, view))]
    assert ("2J02 \u00d7 8", 8) in runs
    assert ("2J02 \u00d7 12", 12) in runs
    assert sum(count for _, count in runs) == len(result.members)


def test_a_failing_member_is_hatched_and_named_in_the_key() -> None:
    good, bad = plan_svg(made.house(fails=False), SHEET), plan_svg(made.house(), SHEET)
    assert strokes_in(good, "dw-fail") == []
    assert len(strokes_in(bad, "dw-fail")) > 20
    assert "fails a check" in {text.text for text in texts(bad)}
    assert "fails a check" not in {text.text for text in texts(good)}


def test_a_warning_with_a_place_is_numbered_there() -> None:
    svg = plan_svg(made.house(), SHEET)
    (care,) = [g for g in root_of(svg).iter(f"{SVG}g") if "data-problem" in g.attrib]
    assert care.attrib["data-problem"] == "1"
    assert care.findtext(f"{SVG}title") == "The bearing is off its line."


def test_highlight_lights_only_what_is_named() -> None:
    svg = plan_svg(made.house(), SHEET, highlight=frozenset({"A.J3", "A.B1"}))
    lit = [
        group.attrib["data-id"]
        for group in root_of(svg).iter(f"{SVG}g")
        if "data-id" in group.attrib and any(n.attrib.get("class") == "dw-highlight" for n in group)
    ]
    assert sorted(lit) == ["A.B1", "A.J3"]


def test_one_input_one_drawing() -> None:
    assert plan_svg(made.house(), SHEET) == plan_svg(made.house(), SHEET)


def test_large_paper_takes_a_larger_scale() -> None:
    small, large = (
        max(measured(plan_svg(made.house(), sheet)))[1] for sheet in (SHEET, replace(SHEET, paper=LARGE))
    )
    assert large > 2 * small


def test_stations_counted_from_the_far_side_start_there() -> None:
    svg = plan_svg(designed(PLANS["from the far side"]), SHEET)
    start = next(text for text in texts(svg) if text.text == "start")
    assert start.box.left > SHEET.paper.width / 2


def test_the_engine_refuses_rather_than_draws() -> None:
    plan = made.plan(((0, 0), (960, 960), (960, 0), (0, 960)))
    with pytest.raises(FloorRefused):
        designed(plan)


def test_strings_on_one_side_run_from_the_outline_outwards() -> None:
    """Spacing runs first, overall last."""
    svg = plan_svg(made.house(), SHEET)
    sides = [
        (g.attrib["data-side"], g.attrib["data-chain"], max(s.a.y for s in _parts(g)))
        for g in root_of(svg).iter(f"{SVG}g")
        if "data-chain" in g.attrib
    ]
    bottom = [(name, y) for side, name, y in sides if side == "bottom"]
    assert [name for name, _ in bottom] == ["joists", "overall"]
    assert all(a < b for (_, a), (_, b) in pairwise(bottom))


def _parts(group: ET.Element) -> list[Stroke]:
    return [s for path in group.iter(f"{SVG}path") for s in strokes_of(path)]
