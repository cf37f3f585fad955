"""The member as a beam: what stands where, and that texts keep apart and on the paper."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import pytest

from framing.drawing import extremes, member_svg, reactions_of, significant
from framing.drawing.beam_loads import drawn_loads
from framing.engine.result import Curve, Value
from tests.drawing.reading import SVG, Written, root_of, texts
from tests.factories.sheets import failing_sheet, simple_sheet

SHEETS = (simple_sheet(), failing_sheet())


def words_of(svg: str) -> list[str]:
    return [text.text for text in texts(svg)]


def test_the_member_carries_its_loads_supports_and_spans() -> None:
    words = words_of(member_svg(simple_sheet()))
    assert words[:4] == ["wD 13.33 plf, wL 53.33 plf", "R1 400 lb", "R2 400 lb", "12'-0\""]
    assert words[4:] == [
        "Moment, kip-in",
        "14.4 at 6'-0\"",
        "Shear, lb",
        '400 at 0"',
        "−400 at 12'-0\"",  # noqa: RUF001
        "Deflection, in",
        "0.1604 at 6'-0\"",
    ]


def test_two_spans_show_partial_and_point_loads_and_the_moment_over_the_bearing() -> None:
    words = words_of(member_svg(failing_sheet()))
    assert {"w2 48 plf", "P1 412 lb", "wD 20 plf", "R2 2,100 lb"} <= set(words)
    assert words.count("12'-0\"") == 2
    assert "−44.06 at 12'-0\"" in words  # noqa: RUF001


def test_metric_projects_read_places_in_millimetres() -> None:
    words = words_of(member_svg(simple_sheet(), "metric"))
    assert "14.4 at 1829 mm" in words or "14.4 at 1,829 mm" in words


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: sheet.reference)
def test_texts_stand_apart_and_on_the_paper(sheet: object) -> None:
    svg = member_svg(sheet)  # type: ignore[arg-type]
    width, height = (float(v) for v in root_of(svg).attrib["viewBox"].split()[2:])
    found = texts(svg)
    for text in found:
        assert 0 <= text.box.left < text.box.right <= width, text.text
        assert 0 <= text.box.top < text.box.bottom <= height, text.text
    assert [pair for pair in combinations(found, 2) if _meet(*pair)] == []


def _meet(one: Written, other: Written) -> bool:
    return one.box.meets(other.box)


def test_places_share_one_scale() -> None:
    root = root_of(member_svg(failing_sheet()))
    supports = [
        float(node.find(f"{SVG}polygon").attrib["points"].split(",")[0])  # type: ignore[union-attr]
        for node in root.iter(f"{SVG}g")
        if "data-support" in node.attrib
    ]
    assert supports == [9.0, 60.0, 111.0]
    curve = next(node for node in root.iter(f"{SVG}g") if node.attrib.get("data-curve") == "Moment")
    line = curve.find(f"{SVG}polyline")
    assert line is not None
    xs = [float(pair.split(",")[0]) for pair in line.attrib["points"].split()]
    assert (min(xs), max(xs)) == (9.0, 111.0)
    assert 60.0 in xs


def test_moment_and_shear_rise_upward_and_deflection_goes_down() -> None:
    root = root_of(member_svg(simple_sheet()))
    for name, upward in (("Moment", True), ("Deflection", False)):
        curve = next(node for node in root.iter(f"{SVG}g") if node.attrib.get("data-curve") == name)
        line = curve.find(f"{SVG}polyline")
        assert line is not None
        ys = [float(pair.split(",")[1]) for pair in line.attrib["points"].split()]
        assert (ys[len(ys) // 2] < ys[0]) is upward, name


def test_title_and_description_say_what_a_reader_cannot_see() -> None:
    root = root_of(member_svg(failing_sheet()))
    title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert desc is not None
    assert title.text == "C2: Trimmer, spans 12'-0\" + 12'-0\""
    assert "Support 2, Wall W1, at 12'-0\"." in (desc.text or "")
    assert "smallest moment −44.06 kip-in at 12'-0\"." in (desc.text or "")  # noqa: RUF001


def test_a_member_that_carries_nothing_is_drawn_with_flat_curves() -> None:
    flat = Curve("Moment", "kip-in", ((0.0, 0.0, 0.0), (144.0, 0.0, 0.0)))
    svg = member_svg(replace(simple_sheet(), loads=(), reactions=(), curves=(flat,)))
    assert words_of(svg) == ["1", "2", "12'-0\"", "Moment, kip-in"]


def test_words_of_a_support_are_escaped() -> None:
    sheet = replace(simple_sheet(), supports=((0.0, "<b> & co"), (144.0, "W")))
    assert "&lt;b&gt; &amp; co" in member_svg(sheet)


def test_extremes_name_the_first_place_of_equal_values() -> None:
    high, low = extremes(Curve("Shear", "lb", ((0.0, 5.0, -1.0), (10.0, 5.0, -3.0), (20.0, 4.0, -3.0))))
    assert (high.value, high.at_in) == (5.0, 0.0)
    assert (low.value, low.at_in) == (-3.0, 10.0)


def test_loads_of_one_place_are_drawn_together_and_points_first() -> None:
    loads = (
        Value("Dead load", "wD", 10.0, "plf", "", (0.0, 144.0)),
        Value("Live load", "wL", 15.0, "plf", "", (0.0, 144.0)),
        Value("Live load of a room beside it", "wL", 25.0, "plf", "", (0.0, 144.0)),
        Value("Wall", "w2", 100.0, "lb/ft", "", (12.5, 60.0)),
        Value("Post", "P", 1234.4, "lb", "", (200.0, 200.0)),
        Value("Before it", "w3", 1.0, "plf", "", (-2.0, 12.5)),
        Value("Floor", "D", 10.0, "psf"),
        Value("Somewhere", "Q", 10.0, "lb"),
    )
    found = drawn_loads(loads, 144.0)
    assert [(load.low_in, load.high_in, load.words) for load in found] == [
        (144.0, 144.0, "P 1,234 lb"),
        (0.0, 12.5, "w3 1 plf"),
        (12.5, 60.0, "w2 100 lb/ft"),
        (0.0, 144.0, "wD 10 plf, wL 40 plf"),
    ]
    assert [load.is_point for load in found] == [True, False, False, False]


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.0, "0"),
        (29.8, "29.8"),
        (0.000775, "0.000775"),
        (0.0000012345, "0.000001234"),
        (999.96, "1,000"),
        (1234.5, "1,234"),
        (-44.064, "−44.06"),  # noqa: RUF001
        (12345678.0, "12,345,678"),
        (100.0, "100"),
        (1.0, "1"),
    ],
)
def test_numbers_have_four_figures_and_no_exponent(value: float, text: str) -> None:
    assert significant(value) == text


def test_the_drawn_reaction_is_the_last_that_the_sheet_gives() -> None:
    factored = tuple(
        Value(f"Support {n}, {words}", symbol, value, "lb")
        for n in (1, 2)
        for words, symbol, value in (("both", f"R{n}", 400.0), ("largest factored", f"Ru{n}", 608.0))
    )
    sheet = replace(simple_sheet(), reactions=factored)
    assert [share.symbol for share in reactions_of(sheet, 1)] == ["R2", "Ru2"]
    assert {"Ru1 608 lb", "Ru2 608 lb"} <= set(words_of(member_svg(sheet)))


def test_what_is_nothing_but_rounding_is_no_extreme() -> None:
    high, low = extremes(Curve("Deflection", "in", ((0.0, 0.0, -2e-18), (72.0, 0.4, 0.1))))
    assert (high.value, low.value) == (0.4, 0.0)


def test_an_arrow_is_broken_where_it_would_cross_the_words_of_another_load() -> None:
    def arrow(at_in: float) -> str:
        point = Value("Post", "P", 100.0, "lb", "", (at_in, at_in))
        line = Value("Dead load", "wD", 20.0, "plf", "", (0.0, 144.0))
        svg = member_svg(replace(simple_sheet(), loads=(line, point)))
        group = next(g for g in root_of(svg).iter(f"{SVG}g") if g.attrib.get("data-load") == "P 100 lb")
        path = group.find(f"{SVG}g/{SVG}path")
        assert path is not None
        return path.attrib["d"]

    assert arrow(72.0).count("M") == 2
    assert arrow(24.0).count("M") == 1
