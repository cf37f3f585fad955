"""Drawings of floors with skewed walls, several bays, flush beams and free edges, read back from their SVG."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import combinations
from math import hypot
from xml.etree import ElementTree as ET

import pytest

from framing.drawing import SheetInfo, paper_for, place_map, plan_svg, sketch_svg
from framing.drawing.chains import find_chains
from framing.drawing.dimensions import lay_rails
from framing.drawing.members import drawn_members
from framing.drawing.paper import Box, Spot, Stroke, View, cut
from framing.drawing.plan import placed_problems
from framing.drawing.runs import TO, find_runs
from framing.drawing.strings import Chain, Part
from framing.drawing.walls import borders, holds, stretches, within
from framing.engine.errors import Problem
from framing.engine.geometry import Point
from framing.engine.members import MemberKind
from framing.engine.units import parse_length
from tests.drawing.reading import SVG, ids, measured, root_of, strokes_in, strokes_of, texts
from tests.drawing.real_floors import DOCUMENTS, floor, plan

SHEET = SheetInfo("Alder Court, lot 14", "Second floor", "2026-03-02", "R1", 1, 3, north_deg=20)
every_floor = pytest.mark.parametrize("name", DOCUMENTS)


@cache
def drawn(name: str) -> str:
    return plan_svg(floor(name), SHEET)


def groups(svg: str, css: str) -> Iterator[ET.Element]:
    return (group for group in root_of(svg).iter(f"{SVG}g") if group.attrib.get("class") == css)


@every_floor
@pytest.mark.parametrize("large", [False, True])
def test_texts_stand_apart_and_within_the_frame(name: str, large: bool) -> None:
    paper = paper_for(floor(name)) if large else SHEET.paper
    written = texts(plan_svg(floor(name), replace(SHEET, paper=paper)))
    assert [(a.text, b.text) for a, b in combinations(written, 2) if a.meets(b)] == []
    frame = Box(1.5, 1.5, paper.width - 1.5, paper.height - 1.5)
    assert [text.text for text in written if not frame.holds(text.box)] == []


@every_floor
def test_strings_measure_what_they_say(name: str) -> None:
    """All parts have one scale, that of the title strip's bar, and their texts are read as their lengths."""
    svg = drawn(name)
    parts = measured(svg)
    (bar,) = [group for group in groups(svg, "dw-line") if "data-bar-16" in group.attrib]
    whole = next(iter(bar.iter(f"{SVG}rect")))
    factor = int(bar.attrib["data-bar-16"]) * 25.4 / 16 / float(whole.attrib["width"])
    assert len(parts) >= 5
    for length_16, long in parts:
        assert long * factor * 16 / 25.4 == pytest.approx(length_16, abs=0.6 + 0.002 * factor)
    for group in groups(svg, "dw-dim"):
        claimed = [
            int(node.attrib["data-length-16"])
            for node in group.iter(f"{SVG}path")
            if "data-length-16" in node.attrib
        ]
        words = [
            node.text or "" for node in group.iter(f"{SVG}text") if node.attrib["class"] == "dw-dim-text"
        ]
        read = [parse_length(text.split("=")[-1].strip(), plan(name).units) for text in words]
        assert read == pytest.approx(claimed, abs=0.5)


@every_floor
def test_every_member_and_placed_thing_can_be_lit(name: str) -> None:
    found, result = Counter(ids(drawn(name))), floor(name)
    wanted = (
        [m.id for m in result.members] + [p.id for p in result.placed] + [line.id for line in result.lines]
    )
    assert {one: found[one] for one in wanted if found[one] != 1} == {}


def counts_of(text: str) -> Counter[str]:
    """What a mark's text stands for: one member, several of a mark, or a series of marks."""
    first, to, last = text.partition(TO)
    if to:
        low, high = sorted((int(first[2:]), int(last[2:])))
        return Counter(f"{first[:2]}{number:02d}" for number in range(low, high + 1))
    mark, _, count = text.partition(" \u00d7 ")
    return Counter({mark: int(count or 1)})


@every_floor
def test_marks_count_every_member_and_no_line_runs_under_them(name: str) -> None:
    svg = drawn(name)
    marks = [text for text in texts(svg) if text.css == "dw-mark"]
    counted: Counter[str] = Counter()
    for written in marks:
        counted += counts_of(written.text)
    assert counted == Counter(member.mark for member in floor(name).members)
    classes = ("dw-joist", "dw-trimmer", "dw-header", "dw-flush", "dw-bridging", "dw-border")
    lines = [stroke for css in classes for stroke in strokes_in(svg, css)]
    for written in marks:
        for line in lines:
            kept = sum(stroke.length for stroke in cut(line, (written.box,)))
            assert kept == pytest.approx(line.length, abs=1e-6), written.text


@every_floor
def test_each_bay_has_its_start_its_spaces_and_its_clear_spans(name: str) -> None:
    result = floor(name)
    starts = [text.text for text in texts(drawn(name)) if text.text.startswith("start")]
    bays = [bay.id for bay in result.plan.bays]
    assert sorted(starts) == (["start"] if len(bays) == 1 else [f"start {bay}" for bay in bays])
    chains = find_chains(result)
    spacings = [part.text for chain in chains if chain.name == "joists" for part in chain.parts]
    for bay in result.plan.bays:
        spacing = "406" if result.plan.units == "metric" else f'{float(bay.spacing_16) / 16:g}"'
        assert any(f"@ {spacing} =" in text for text in spacings), bay.id
    clear = {(part.low_16, part.high_16) for chain in chains if chain.name == "clear" for part in chain.parts}
    for layout in result.bays:
        for span in layout.spans:
            assert any(low == span.low_face_16 for low, _ in clear)
            assert any(high == span.high_face_16 for _, high in clear)


def test_a_skewed_side_carries_its_true_length_along_it() -> None:
    """28 ft across and 4 1/2 ft up: 28'-4 5/16" by Pythagoras (340.304 in)."""
    assert hypot(28 * 12, 4.5 * 12) == pytest.approx(340.312, abs=0.01)
    (group,) = [g for g in groups(drawn("trapezoid"), "dw-dim") if g.attrib["data-chain"] == "edge"]
    string = next(
        s for node in group.iter(f"{SVG}path") if "data-length-16" in node.attrib for s in strokes_of(node)
    )
    edge = _edge(drawn("trapezoid"), 2)
    assert string.length == pytest.approx(edge.length, abs=0.002)
    across = string.direction.x * edge.direction.y - string.direction.y * edge.direction.x
    assert across == pytest.approx(0, abs=1e-4)
    assert [node.text for node in group.iter(f"{SVG}text")] == ["28'-4 5/16\""]
    (words,) = [text for text in texts(drawn("trapezoid")) if text.text == "28'-4 5/16\""]
    ring = [_edge(drawn("trapezoid"), index).a for index in range(4)]
    assert not any(holds(ring, corner) for corner in words.corners)
    assert _away(string, words.box.centre) == pytest.approx(1.9, abs=0.01)
    assert words.corners[1].x > words.corners[0].x  # it reads from left to right


def test_a_skewed_wall_is_as_wide_as_it_is_square_to_itself() -> None:
    """The face under the skewed edge stands 5 1/2 in from it, an inner wall's faces 3 1/2 in apart."""
    svg = drawn("steep")
    mm = _mm_per_16(svg)
    faces = {
        group.attrib["data-id"]: [s for node in group.iter(f"{SVG}path") for s in strokes_of(node)]
        for group in groups(svg, "dw-wall")
    }
    edge = _edge(svg, 2)
    assert _apart(edge, max(faces["edge:2"], key=lambda s: s.length)) == pytest.approx(88 * mm, abs=0.005)
    one, other = sorted(faces["support:W1"], key=lambda s: -s.length)[:2]
    assert _apart(one, other) == pytest.approx(56 * mm, abs=0.005)
    ring = [_edge(svg, index).a for index in range(5)]
    for place in (one.at(0.1), one.at(one.length - 0.1), other.at(0.1), other.at(other.length - 0.1)):
        assert holds(ring, place)


def _edge(svg: str, index: int) -> Stroke:
    """An outline edge from its first stroke to its last: a text may break it."""
    parts = [
        stroke
        for group in groups(svg, "dw-outline")
        for node in group.iter(f"{SVG}path")
        if node.attrib["data-id"] == f"edge:{index}"
        for stroke in strokes_of(node)
    ]
    return Stroke(parts[0].a, parts[-1].b)


def _mm_per_16(svg: str) -> float:
    length_16, long = max(measured(svg))
    return long / length_16


def _away(line: Stroke, spot: Spot) -> float:
    return _apart(line, Stroke(spot, spot))


def _apart(one: Stroke, other: Stroke) -> float:
    way = one.direction
    return abs((other.a.x - one.a.x) * way.y - (other.a.y - one.a.y) * way.x)


def test_walls_stand_only_under_edges_that_joists_end_on() -> None:
    """A free edge has none; an edge of two bays has one under the part where joists end."""
    walls = {name: [g.attrib["data-id"] for g in groups(drawn(name), "dw-wall")] for name in DOCUMENTS}
    assert walls["cantilever"] == ["edge:2", "support:W1"]
    assert "free edge" in {text.text for text in texts(drawn("cantilever"))}
    assert walls["skewed deck"] == ["support:W1"]
    top = [part for part in stretches(plan("two ways")) if part.edge.index == 2]
    assert [(part.start.x_16, part.end.x_16, part.walled) for part in top] == [
        (38 * 192, 24 * 192, False),
        (24 * 192, 0, True),
    ]
    faces = [
        stroke
        for group in groups(drawn("two ways"), "dw-wall")
        if group.attrib["data-id"] == "edge:2"
        for node in group.iter(f"{SVG}path")
        for stroke in strokes_of(node)
    ]
    level = [stroke for stroke in faces if stroke.a.y == stroke.b.y]
    mm = _mm_per_16(drawn("two ways"))
    reach = max(s.box.right for s in level) - min(s.box.left for s in level)
    assert reach == pytest.approx((24 * 192 - 18) * mm, abs=0.3)  # from the other wall's rim to the border


def test_borders_are_drawn_once_and_not_along_a_flush_beam() -> None:
    view = View(64.0, plan("two ways").outline[0], Spot(0.0, 0.0))
    lines = borders(plan("two ways"), view)
    assert [(line.a.x, line.b.x) for line in lines] == [(view.x(24 * 192),) * 2] * len(lines)
    assert sum(line.length for line in lines) == pytest.approx(view.mm(26 * 192), abs=0.2)
    assert borders(plan("trapezoid"), view) == []
    assert strokes_in(drawn("side by side"), "dw-border")


def test_a_flush_beam_is_drawn_as_its_plies_closed_at_both_ends() -> None:
    result = floor("two ways")
    (beam,) = [member for member in result.members if member.kind is MemberKind.BEAM]
    strokes = strokes_in(drawn("two ways"), "dw-flush")
    level = [s for s in strokes if s.a.y == s.b.y and s.length > 10]
    assert len({round(s.a.y, 2) for s in level} - {_key_line(strokes)}) >= beam.plies
    names = {text.text for text in texts(drawn("two ways"))}
    assert {beam.mark, "FB1", "flush beam", "bay border"} <= names
    assert "flush beam" not in {text.text for text in texts(drawn("trapezoid"))}
    assert "support:FB1" not in sketch_svg(result)
    assert "support:FB1" in sketch_svg(result.plan)


def _key_line(strokes: list[Stroke]) -> float:
    return round(max(stroke.a.y for stroke in strokes), 2)


def test_joists_of_a_bay_of_two_plies_are_doubled() -> None:
    svg = drawn("cantilever")
    lines = [
        sum(abs(s.a.x - s.b.x) < 1e-6 for node in group.iter(f"{SVG}path") for s in strokes_of(node))
        for group in root_of(svg).iter(f"{SVG}g")
        if re.match(r"A\.J\d+$", group.attrib.get("data-id", ""))
    ]
    assert len(lines) == 14
    assert min(lines) >= 2


def test_a_lapped_line_that_reaches_further_has_a_string_of_its_own() -> None:
    """The wings of the T stand on the shifted line: 16 in + 1 5/8 in from the outline."""
    chains = {chain.side: chain for chain in find_chains(floor("t shape")) if chain.name == "joists"}
    assert [part.text for part in chains["bottom"].parts] == ["10'-8\"", '9 @ 16" = 12\'-0"', "11'-4\""]
    assert chains["top"].parts[0].text == "1'-5 5/8\""


def test_skewed_bearings_are_measured_at_both_ends() -> None:
    walls = {chain.side: chain for chain in find_chains(floor("steep")) if chain.name == "walls"}
    assert [part.text for part in walls["left"].parts] == ["9'-0\"", "13'-0\""]
    assert [part.text for part in walls["right"].parts] == ["12'-0\"", "10'-0\""]


def test_span_arrows_end_at_the_faces_they_measure() -> None:
    """Each span has one where its text finds room: not an overhang of 1'-9", nor between a rim's ladder blocks."""
    for name, short in (("trapezoid", 0), ("steep", 1), ("two ways", 0), ("cantilever", 1)):
        svg, result = drawn(name), floor(name)
        mm, spans = _mm_per_16(svg), {(b.bay.id, s.index): s for b in result.bays for s in b.spans}
        arrows = list(groups(svg, "dw-span"))
        assert len(arrows) == len(spans) - short, name
        for group in arrows:
            strokes = [s for node in list(group.iter(f"{SVG}path"))[:1] for s in strokes_of(node)]
            ends = [spot for stroke in strokes for spot in (stroke.a, stroke.b)]
            long = max(hypot(a.x - b.x, a.y - b.y) for a, b in combinations(ends, 2))
            span = spans[group.attrib["data-bay"], int(group.attrib["data-span"])]
            assert long == pytest.approx(span.clear_16 * mm, abs=0.01)


def test_a_line_is_cut_back_to_the_ring_and_run_out_only_where_it_is_askew() -> None:
    ring = [Spot(0, 0), Spot(10, 0), Spot(10, 10), Spot(0, 10)]
    assert within(Stroke(Spot(-2, 5), Spot(12, 5)), ring, 3.0) == Stroke(Spot(0, 5), Spot(10, 5))
    assert within(Stroke(Spot(2, 5), Spot(8, 5)), ring, 3.0) == Stroke(Spot(2, 5), Spot(8, 5))
    out = within(Stroke(Spot(1, 4), Spot(9, 5)), ring, 2.0)
    assert [out.a.x, out.b.x] == pytest.approx([0, 10])
    short = within(Stroke(Spot(4, 4), Spot(6, 5)), ring, 1.0)
    assert (short.a, short.b) == (Spot(4, 4), Spot(6, 5))


@every_floor
def test_sketches_show_the_floor_before_and_after_it_is_designed(name: str) -> None:
    shown = sketch_svg(floor(name), marks=True)
    assert {member.id for member in floor(name).members} <= set(ids(shown))
    plain = sketch_svg(plan(name))
    assert plain.count('data-id="edge:') == len(plan(name).outline)
    assert ("dw-border" in plain) == (len(plan(name).bays) > 1)


def test_joists_too_close_for_a_mark_each_share_a_text() -> None:
    """12 in apart at 1 : 128 leave 2.4 mm. Short ones at the tip are a series of their own; wider ones stay alone."""
    marks = [text.text for text in texts(drawn("long taper")) if text.css == "dw-mark"]
    series = [text for text in marks if TO in text]
    assert len(series) == 3
    assert all(sum(counts_of(text).values()) >= 3 for text in series)
    assert not [text.text for text in texts(drawn("trapezoid")) if TO in text.text]
    alone = find_runs(drawn_members(floor("trapezoid"), View(48.0, Point(0, 0), Spot(0, 0))))
    assert [run.series for run in alone] == [False] * 20
    close = find_runs(drawn_members(floor("trapezoid"), View(96.0, Point(0, 0), Spot(0, 0))))
    assert [run.text for run in close] == [f"1J01{TO}1J20"]
    assert len(close[0].lane.us) == 20


def test_a_series_ends_where_marks_do_not_follow_one_another() -> None:
    result = floor("trapezoid")
    bay = result.bays[0]
    other = tuple(replace(m, mark="1J77") if m.mark == "1J10" else m for m in bay.members)
    runs = find_runs(
        drawn_members(
            replace(result, bays=(replace(bay, members=other),)), View(96.0, Point(0, 0), Spot(0, 0))
        )
    )
    assert {run.text for run in runs} == {f"1J01{TO}1J09", "1J77", f"1J11{TO}1J20"}


def test_warnings_of_one_place_stand_beside_each_other() -> None:
    view = View(48.0, Point(0, 0), Spot(0, 0))
    problems = [Problem("a", "One.", 192, 192), Problem("b", "Two.", 192, 192), Problem("c", "No place.")]
    for outline, step in ((Box(0, -50, 100, 0), 6.2), (Box(-100, -50, 10, 0), -6.2)):
        (one, first, _), (two, second, _) = placed_problems(problems, view, outline)
        assert (one, two) == ("1", "2")
        assert (second.x - first.x, second.y - first.y) == pytest.approx((step, 0.0))


def test_a_run_that_is_longer_than_its_part_is_written_without_blanks() -> None:
    part = Part(0, 12 * 192, '9 @ 16" = 12\'-0"')
    ends = {"left": '9@16"=12\'-0"', "bottom": '9@16"=12\'-0"'}
    for side, words in ends.items():
        chain = Chain(side, "joists", (part,))  # type: ignore[arg-type]
        (rail,) = lay_rails((chain,), View(128.0, Point(0, 0), Spot(0, 0)))
        assert [text.words for text in rail.texts] == [words]
    (rail,) = lay_rails((Chain("bottom", "joists", (part,)),), View(96.0, Point(0, 0), Spot(0, 0)))
    assert [text.words for text in rail.texts] == [part.text]


def test_strings_that_do_not_meet_lie_equally_near_the_floor() -> None:
    view = View(96.0, Point(0, 0), Spot(0, 0))
    near, far = (Chain("bottom", "clear", (Part(low, low + 960, "5'-0\""),)) for low in (0, 9600))
    across = Chain("bottom", "walls", (Part(0, 9600, "50'-0\""),))
    one, other, whole = lay_rails((near, far, across), view)
    assert one.off == other.off < whole.off


@every_floor
def test_everything_that_is_counted_has_a_place_on_the_sketch(name: str) -> None:
    result = floor(name)
    places = place_map(result)
    assert set(places.indexes) == {m.id for m in result.members} | {p.id for p in result.placed}
    assert all(places.indexes.values())
