"""Plots: round ticks, labels that never collide by the fonts' own widths, and what is odd in the numbers."""

import re
from functools import cache
from itertools import combinations
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st

from framing.drawing.paper import Box
from framing.drawing.plot_scale import Scale, nice_step, scale_of, short_number, step_with_room, tick_words
from framing.drawing.plots import (
    NARROW,
    WIDE,
    Category,
    Plot,
    PlotSize,
    Row,
    Series,
    bars_svg,
    lines_svg,
    rows_svg,
)
from tests.drawing.reading import SVG, Written, root_of, strokes_in, strokes_of, texts

FONTS = Path("framing/common/static/framing/fonts")
MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]


@cache
def advances(mono):
    """Widths of signs in units of the em, from the font that pages load."""
    name = f"atkinson-hyperlegible-{'mono' if mono else 'next'}-latin-400-normal.woff2"
    font = TTFont(FONTS / name)
    names, widths = font.getBestCmap(), font["hmtx"]
    return {chr(code): widths[name][0] / font["head"].unitsPerEm for code, name in names.items()}


def true_box(node):
    """The box of a text by the font's real widths."""
    size, words = float(node.attrib["font-size"]), node.text or ""
    widths = advances("Mono" in node.attrib["font-family"])
    width = sum(widths[sign] for sign in words) * size
    left = (
        float(node.attrib["x"]) - {"start": 0, "middle": width / 2, "end": width}[node.attrib["text-anchor"]]
    )
    foot = float(node.attrib["y"])
    return Box(left, foot - size * 0.75, left + width, foot + size * 0.2)


def boxes(svg):
    return [(node.text, true_box(node)) for node in root_of(svg).iter(f"{SVG}text")]


def months(count, start=10):
    return tuple(Category(MONTHS[(start + i) % 12], str(2024 + (start + i) // 12)) for i in range(count))


def plot(*values, unit="$", names=("Quoted", "Booked", "Lost")):
    series = tuple(Series(name, tuple(each)) for name, each in zip(names, values, strict=False))
    return Plot("A title", "Some words", months(len(values[0])), series, unit)


def assert_tidy(svg, size):
    """No text meets another one and none leaves the drawing."""
    found = boxes(svg)
    for (one, a), (other, b) in combinations(found, 2):
        assert not a.meets(b), (one, other)
    for words, box in found:
        assert box.left >= -0.5, words
        assert box.right <= size.width + 0.5, words
        assert box.top >= 0, words
        assert box.bottom <= size.height, words


# --- ticks ---


@pytest.mark.parametrize(
    ("span", "most", "step"),
    [
        (1, 5, 0.2),  # 1/5 is 0.2 itself
        (0.3, 5, 0.1),  # 0.06 -> 0.1
        (90000, 5, 20000),  # 18,000 -> 20,000
        (110, 5, 25),  # 22 -> 25
        (12, 5, 2.5),  # 2.4 -> 2.5
        (7, 1, 10),
        (1e12, 5, 2e11),
    ],
)
def test_steps_are_one_two_two_and_a_half_or_five(span, most, step):
    assert nice_step(span, most) == pytest.approx(step, rel=1e-12)


@pytest.mark.parametrize(("span", "step"), [(12, 5), (3, 1), (0.2, 1), (1, 1), (130, 50)])
def test_counts_have_whole_steps(span, step):
    """12/5 would be 2.5: for counts it is 5; a span of less than one step is one whole."""
    assert nice_step(span, 5, whole=True) == step


@pytest.mark.parametrize("span", [0, -1, float("nan"), float("inf")])
def test_no_step_for_no_span(span):
    with pytest.raises(ValueError, match="can't be parted"):
        nice_step(span, 5)


@given(st.lists(st.floats(-1e13, 1e13).filter(lambda v: v == 0 or abs(v) > 1e-6), min_size=1, max_size=9))
def test_a_scale_holds_all_values_and_zero(values):
    scale = scale_of(values)
    slack = 1e-6 * (scale.high - scale.low)
    assert scale.low <= 0 <= scale.high
    assert scale.low - slack <= min(values)
    assert max(values) <= scale.high + slack
    assert 2 <= len(scale.ticks) <= 8  # five steps, one more at each end of a span over 0
    assert any(tick == 0 for tick in scale.ticks)


def test_nothing_has_a_scale_from_nought_to_one():
    assert scale_of([]) == scale_of([0.0]) == Scale(0, 1, 1)
    with pytest.raises(ValueError, match="finite"):
        scale_of([1.0, float("inf")])


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (0, "0"), (950, "950"), (1000, "1k"), (2500, "2.5k"), (12_340, "12.34k"), (999_999, "1M"),
        (-40_000, "\N{MINUS SIGN}40k"),
        (1_250_000, "1.25M"), (3e9, "3B"), (2e12, "2,000B"), (0.25, "0.25"), (-0.001, "0"),
    ],
)  # fmt: skip
def test_short_numbers(value, words):
    assert short_number(value) == words


@pytest.mark.parametrize(
    ("value", "unit", "words"),
    [
        (0.25, "%", "25 %"),
        (-0.1, "%", "\N{MINUS SIGN}10 %"),
        (2500, "$", "$2.5k"),
        (-2500, "$", "\N{MINUS SIGN}$2.5k"),
        (0, "$", "$0"),
        (3, "", "3"),
    ],
)
def test_ticks_are_written_with_their_unit(value, unit, words):
    assert tick_words(value, unit) == words


def test_labels_are_left_out_evenly_from_where_a_year_begins():
    """Boxes 10 wide, 12 apart, gap 5: every second one has room (24 apart); the year begins at the third."""
    row = [Box(12 * i, 0, 12 * i + 10, 10) for i in range(8)]
    assert step_with_room(row, [], 2) == (1, 0)
    assert step_with_room(row, [3], 5) == (2, 1)
    assert step_with_room([Box(0, 0, 90, 9)] * 3, [], 5) == (3, 0)


# --- what is drawn ---


@pytest.mark.parametrize("size", [WIDE, NARROW], ids=["wide", "narrow"])
@pytest.mark.parametrize("count", [1, 2, 3, 5, 12, 13, 24, 36, 60, 120])
def test_no_text_meets_another(count, size):
    quoted, booked = [9000.0 * (i % 7) for i in range(count)], [5000.0 * (i % 5) for i in range(count)]
    assert_tidy(bars_svg(plot(quoted, booked), size), size)
    margins = [None if i % 4 == 3 else 0.3 - 0.05 * (i % 9) for i in range(count)]
    assert_tidy(lines_svg(plot(margins, unit="%"), size), size)


@pytest.mark.parametrize("size", [WIDE, NARROW], ids=["wide", "narrow"])
@pytest.mark.parametrize(
    "values", [[0.0] * 12, [1e12, -3e12, 5.0], [0.01, 0.02], [-5.0, -7.0], [999_999_999.99], [None] * 6]
)
def test_odd_numbers_stay_within_the_drawing(values, size):
    for draw, unit in ((bars_svg, "CA$"), (lines_svg, "%"), (bars_svg, "")):
        svg = draw(plot(values, unit=unit), size)
        assert_tidy(svg, size)
        assert "nan" not in svg
        assert "inf" not in svg
        for node in root_of(svg).iter(f"{SVG}rect"):
            assert float(node.attrib["height"]) >= 0
            assert float(node.attrib["y"]) >= -0.5
            assert float(node.attrib["y"]) + float(node.attrib["height"]) <= size.height


def bars_of(svg, place):
    """Bars of a series, without its swatch of the key."""
    groups = [node for node in root_of(svg).iter(f"{SVG}g") if node.attrib.get("class") == f"pl-{place}"]
    return list(groups[-1].iter(f"{SVG}rect"))


def test_bars_are_as_high_as_their_values():
    """60k and 30k on one scale: the second is half as high; both stand on 0."""
    svg = bars_svg(plot([60000.0, 30000.0, 0.0]))
    first, second, nothing = bars_of(svg, 0)
    assert float(first.attrib["height"]) == pytest.approx(2 * float(second.attrib["height"]), abs=0.01)
    feet = {
        round(float(bar.attrib["y"]) + float(bar.attrib["height"]), 2) for bar in (first, second, nothing)
    }
    assert len(feet) == 1


def test_bars_below_zero_hang_from_it():
    """+2 stands on the line that -1 hangs from."""
    up, down = bars_of(bars_svg(plot([2.0, -1.0])), 0)
    foot = float(up.attrib["y"]) + float(up.attrib["height"])
    assert float(down.attrib["y"]) == pytest.approx(foot, abs=0.01)


def test_series_differ_without_colour():
    svg = bars_svg(plot([1.0, 2.0], [1.0, 2.0], [1.0, 2.0]))
    fills = [{bar.attrib["fill"] for bar in bars_of(svg, place)} for place in range(3)]
    assert fills == [{"currentColor"}, {"none"}, {"none"}]
    hatched = [len(list(group.iter(f"{SVG}path"))) for group in last_groups(svg)]
    assert hatched[0] == hatched[2] == 0
    assert hatched[1] == 2  # one hatching a bar
    lines = lines_svg(plot([1.0, 2.0], [2.0, 1.0], [0.0, 1.0]))
    dashes = [next(g.iter(f"{SVG}path")).attrib.get("stroke-dasharray") for g in last_groups(lines)]
    assert len(set(dashes)) == 3
    shapes = [
        {n.tag.removeprefix(SVG) for n in g.iter()} - {"g", "title", "path"} for g in last_groups(lines)
    ]
    assert shapes == [{"circle"}, {"rect"}, {"polygon"}]


def last_groups(svg):
    """The group that holds each series' marks; swatches of the key come first."""
    found = {}
    for node in root_of(svg).iter(f"{SVG}g"):
        if node.attrib.get("class", "").startswith("pl-") and node.attrib["class"][3:].isdigit():
            found[node.attrib["class"]] = node
    return [found[name] for name in sorted(found)]


def test_hatching_stays_in_its_bar():
    svg = bars_svg(plot([5.0, 1.0], [3.0, 4.0]))
    for bar in bars_of(svg, 1):
        left, top = float(bar.attrib["x"]), float(bar.attrib["y"])
        box = Box(left, top, left + float(bar.attrib["width"]), top + float(bar.attrib["height"])).grown(0.01)
        inside = [s for g in last_groups(svg)[1:] for p in g.iter(f"{SVG}path") for s in strokes_of(p)]
        own = [s for s in inside if box.left <= s.a.x <= box.right]
        assert own
        assert all(box.holds(stroke.box) for stroke in own)


def test_a_line_breaks_where_a_value_is_missing():
    """Values at 1, 2, 4 and 6 of six: one stroke from 1 to 2; the lone ones are marks."""
    svg = lines_svg(plot([0.1, 0.2, None, 0.3, None, 0.2], unit="%"))
    group = last_groups(svg)[0]
    strokes = [stroke for path in group.iter(f"{SVG}path") for stroke in strokes_of(path)]
    assert len(strokes) == 1
    assert len(list(group.iter(f"{SVG}circle"))) == 4


def test_the_drawing_names_itself_and_each_mark_its_value():
    svg = bars_svg(plot([1234.0]))
    root = root_of(svg)
    assert root.attrib["role"] == "img"
    assert [root[0].text, root[1].text] == ["A title", "Some words"]
    assert "Nov, Quoted: $1.23k" in [node.text for node in root.iter(f"{SVG}title")]
    assert not re.search(r"style=|<script|<style|\son\w+=|href", svg)


def test_words_are_escaped():
    svg = bars_svg(Plot("<b>", "&", (Category("<i>"),), (Series("a", (1.0,)), Series("<s>", (1.0,)))))
    assert [node.text for node in root_of(svg).iter(f"{SVG}text")].count("<i>") == 1
    assert "<s>" not in svg


def test_the_zero_line_is_drawn_once_and_ticks_each_once():
    svg = bars_svg(plot([60000.0]))
    assert len(strokes_in(svg, "pl-axis")) == 1
    assert [text.text for text in texts(svg)][:4] == ["$0", "$20k", "$40k", "$60k"]


def test_rows_say_what_they_are():
    rows = [
        Row("The price", 4, "4, $12,000.00"),
        Row("No answer", 2, "2, $500.00"),
        Row("x" * 200, 0, "0, $0.00"),
    ]
    for size in (WIDE, NARROW):
        svg = rows_svg("Reasons", "Why", rows, size.width)
        height = float(root_of(svg).attrib["height"])
        assert_tidy(svg, PlotSize(size.width, height + 1))
        widths = [float(bar.attrib["width"]) for bar in root_of(svg).iter(f"{SVG}rect")]
        assert widths[0] == pytest.approx(2 * widths[1], abs=0.01)
        assert widths[2] == 0
    with pytest.raises(ValueError, match="0 or more"):
        rows_svg("Reasons", "Why", [])
    with pytest.raises(ValueError, match="0 or more"):
        rows_svg("Reasons", "Why", [Row("a", -1, "")])


@pytest.mark.parametrize(
    ("categories", "series", "words"),
    [
        ((), (Series("a", ()),), "1 to 240 categories"),
        (months(241), (Series("a", (1.0,) * 241),), "1 to 240 categories"),
        (months(1), (), "1 to 3 series"),
        (months(1), (Series("a", (1.0,)),) * 4, "1 to 3 series"),
        (months(2), (Series("a", (1.0,)),), "one value for each"),
    ],
)
def test_what_does_not_fit_is_refused(categories, series, words):
    with pytest.raises(ValueError, match=words):
        Plot("", "", categories, series)


def test_equal_numbers_give_equal_bytes():
    assert bars_svg(plot([1.0, 2.0])) == bars_svg(plot([1.0, 2.0]))
    assert isinstance(texts(bars_svg(plot([1.0])))[0], Written)
