"""Joist elevations: every hole once at its place, lengths as the engine has them, texts apart."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from functools import cache
from itertools import combinations, pairwise
from xml.etree import ElementTree as ET

import pytest

from framing.drawing import SheetInfo
from framing.drawing.elevation import elevation_svg, elevations_svg
from framing.drawing.elevation_rows import elevations, letter, scale_for
from framing.drawing.paper import Stroke
from framing.drawing.stretch import lay_stretch
from framing.engine import load_catalogue
from framing.engine.members import MemberKind
from framing.engine.result import FloorResult
from framing.engine.units import format_length
from tests.drawing.reading import SVG, root_of, strokes_of, texts
from tests.drawing.test_plan import designed, sample

SHEET = SheetInfo("Alder Court, lot 14", "Second floor", "2026-03-02", "R1", 2, 3)
SAMPLES = ("house", "corridor", "townhouse")
every_sample = pytest.mark.parametrize("name", SAMPLES)


@cache
def floor(name: str) -> FloorResult:
    return designed(sample(name))


@cache
def sheets(name: str) -> tuple[str, ...]:
    return elevations_svg(floor(name), SHEET, load_catalogue())


def long_floor() -> FloorResult:
    """One mark of 40 ft with a hole every foot: longer than the paper at every scale."""
    result = floor("house")
    line = replace(result.schedule[0], length_16=40 * 192, holes_16=tuple(range(192, 40 * 192, 192)))
    return replace(result, schedule=(line,))


@every_sample
def test_every_mark_stands_once_with_its_count_and_length(name: str) -> None:
    marks = Counter(
        group.attrib["data-mark"]
        for svg in sheets(name)
        for group in root_of(svg).iter(f"{SVG}g")
        if "data-mark" in group.attrib
    )
    assert marks == Counter(line.mark for line in floor(name).schedule)
    words = [text.text for svg in sheets(name) for text in texts(svg)]
    for line in floor(name).schedule:
        assert format_length(line.length_16, "imperial") in words
        pieces = f"{line.pieces} piece" + ("s" if line.pieces != 1 else "")
        assert any(line.profile in text and pieces in text for text in words)


@every_sample
def test_every_hole_is_drawn_once_at_its_place(name: str) -> None:
    """At the true distance from the printed end, by the one scale of the sheets, and under it its running length."""
    result = floor(name)
    scale = scale_for(result, load_catalogue())[0]
    for line in result.schedule:
        profile = load_catalogue().profile(line.profile)
        root = root_of(elevation_svg(result, line.mark, load_catalogue()))
        holes = [node for node in root.iter(f"{SVG}rect") if "data-hole-16" in node.attrib]
        assert [int(node.attrib["data-hole-16"]) for node in holes] == list(line.holes_16)
        start = min(stroke.a.x for stroke in _part(root, "flange"))
        for node in holes:
            x, wide = float(node.attrib["x"]), float(node.attrib["width"])
            place_in = (x + wide / 2 - start) * scale / 25.4
            assert place_in * 16 == pytest.approx(int(node.attrib["data-hole-16"]), abs=1.0)
            assert wide * scale / 25.4 == pytest.approx(profile.hole_length_in, abs=0.01)
        running = {
            int(node.attrib["data-at-16"]): node.text
            for node in root.iter(f"{SVG}text")
            if "data-at-16" in node.attrib
        }
        assert running == {place: format_length(place, "imperial") for place in line.holes_16}


def _part(root: ET.Element, name: str) -> list[Stroke]:
    return [
        stroke
        for group in root.iter(f"{SVG}g")
        if group.attrib.get("data-part") == name
        for path in group.iter(f"{SVG}path")
        for stroke in strokes_of(path)
    ]


@every_sample
def test_holes_left_out_are_dashed_and_their_reasons_said(name: str) -> None:
    for row in elevations(floor(name), load_catalogue()):
        svg = elevation_svg(floor(name), row.line.mark, load_catalogue())
        dashed = [
            int(node.attrib["data-omitted-16"])
            for node in root_of(svg).iter(f"{SVG}rect")
            if "stroke-dasharray" in node.attrib
        ]
        wanted = {h for m in floor(name).members if m.mark == row.line.mark for h in m.omitted}
        assert sorted(dashed) == sorted(place for place, _ in wanted)
        said = " ".join(row.words)
        for index, (place, reason) in enumerate(sorted(wanted)):
            assert f"{letter(index)} at {format_length(place, 'imperial')}" in said
            assert reason in said


@every_sample
def test_texts_keep_apart_and_on_the_paper(name: str) -> None:
    for svg in sheets(name):
        written = texts(svg)
        for one, other in combinations(written, 2):
            assert not one.box.meets(other.box), (one.text, other.text)
        for text in written:
            assert text.box.left > 0
            assert text.box.right < SHEET.paper.width
            assert 0 < text.box.top < text.box.bottom < SHEET.paper.height
        assert min(text.size for text in written) >= 3.0


def test_the_printed_end_is_the_left_one() -> None:
    root = root_of(elevation_svg(floor("house"), "1J01", load_catalogue()))
    (end,) = [node for node in root.iter(f"{SVG}polygon") if node.attrib["points"].count(",") == 3][:1]
    assert float(end.attrib["points"].split(",")[0]) == pytest.approx(
        min(stroke.a.x for stroke in _part(root, "flange"))
    )


def test_a_member_longer_than_the_paper_is_broken_between_holes() -> None:
    svg = elevation_svg(long_floor(), "1J01", load_catalogue())
    root = root_of(svg)
    holes = [
        (float(node.attrib["x"]), float(node.attrib["x"]) + float(node.attrib["width"]))
        for node in root.iter(f"{SVG}rect")
        if "data-hole-16" in node.attrib
    ]
    assert len(holes) == 39
    assert all(a[1] < b[0] for a, b in pairwise(holes))
    zigzags = [p for p in root.iter(f"{SVG}path") if p.attrib.get("data-part") == "break"]
    assert len(zigzags) > 0
    for path in zigzags:
        xs = [x for stroke in strokes_of(path) for x in (stroke.a.x, stroke.b.x)]
        assert not any(low < x < high for low, high in holes for x in xs)
    written = texts(svg)
    assert not [1 for one, other in combinations(written, 2) if one.box.meets(other.box)]
    assert "not drawn to length here" in {
        text.text for text in texts(elevations_svg(long_floor(), SHEET, load_catalogue())[0])
    }


def test_only_as_many_stretches_are_shortened_as_must_be() -> None:
    """10 in on paper at 1 : 1 is 254 mm; 230 mm of room shorten the longest stretch by 24 mm only."""
    stretch = lay_stretch(5.0, 160, (64,), 1.0, 230.0)
    assert stretch.length == pytest.approx(230.0)
    assert stretch.broken == (False, True)
    assert stretch.x(64) == pytest.approx(5.0 + 64 * 25.4 / 16)
    assert len(stretch.parts) == 2
    assert lay_stretch(5.0, 160, (64,), 1.0, 300.0).breaks == ()


def test_built_up_members_say_their_plies_and_metric_floors_their_lengths() -> None:
    result = floor("house")
    words = [text.text for text in texts(elevation_svg(result, "1T01", load_catalogue()))]
    assert "trimmer, 2 \u00d7 800S200-43, one ply drawn, 4 pieces in 2 places" in words
    metric = replace(result, plan=replace(result.plan, units="metric"))
    words = [text.text for text in texts(elevation_svg(metric, "1J01", load_catalogue()))]
    assert format_length(result.schedule[0].length_16, "metric") in words
    assert scale_for(metric, load_catalogue())[1] == "1 : 25"


def test_holes_that_only_some_members_go_without_are_counted() -> None:
    result = floor("house")
    joists = [m for m in result.members if m.mark == "1J01"]
    bay = result.bays[0]
    reason = ((360, "shear at its edges"),)
    members = tuple(replace(m, omitted=reason) if m is joists[0] else m for m in bay.members)
    changed = replace(result, bays=(replace(bay, members=members),))
    row = next(row for row in elevations(changed, load_catalogue()) if row.line.mark == "1J01")
    assert row.words == ("Left out: a at 1'-10 1/2\" shear at its edges (in 1 of them)",)


def test_a_floor_without_that_mark_has_no_elevation() -> None:
    with pytest.raises(KeyError):
        elevation_svg(floor("house"), "9J99", load_catalogue())


def test_letters_go_on_after_z() -> None:
    assert [letter(index) for index in (0, 25, 26, 27, 52)] == ["a", "z", "aa", "ab", "ba"]


def test_an_empty_schedule_has_no_sheets() -> None:
    assert elevations_svg(replace(floor("house"), schedule=()), SHEET, load_catalogue()) == ()
    assert {kind.value for kind in MemberKind} == set("JTHBK")


def test_a_short_piece_with_many_holes_left_out_keeps_its_words_apart() -> None:
    """Its length stands beside it; reasons go on in a second line."""
    result = floor("house")
    bay = result.bays[0]
    places = tuple((40 * index, f"reason number {index}") for index in range(1, 9))
    members = tuple(replace(m, omitted=places) if m.mark == "1J02" else m for m in bay.members)
    line = replace(next(line for line in result.schedule if line.mark == "1J02"), length_16=330, holes_16=())
    changed = replace(result, bays=(replace(bay, members=members),), schedule=(line,))
    (row,) = elevations(changed, load_catalogue())
    assert len(row.words) == 2
    assert row.words[1].startswith("    ")
    svg = elevation_svg(changed, "1J02", load_catalogue())
    assert not [1 for one, other in combinations(texts(svg), 2) if one.box.meets(other.box)]
    plain = tuple(replace(m, omitted=()) for m in bay.members)
    short = replace(changed, schedule=(replace(line, length_16=60),), bays=(replace(bay, members=plain),))
    (length,) = [
        text for text in texts(elevation_svg(short, "1J02", load_catalogue())) if text.text == '3 3/4"'
    ]
    (drawn,) = elevations(short, load_catalogue())
    assert length.box.left > drawn.stretch.xs[-1]
