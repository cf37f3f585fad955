"""The sketch of a load: everything on it, in its place and readable on paper."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from xml.etree import ElementTree as ET

import pytest

from framing.drawing.load_view import LEFT, WIDTH
from framing.drawing.load_words import ENGLISH, SENTENCES, LoadWords
from framing.drawing.loads import SHEET, load_svg, load_svgs
from framing.engine.trucks import CAUTION, Stack, Truck, TruckFigures, TrucksPlan, figures_of, plan_trucks
from tests.drawing.reading import SVG, root_of, strokes_in, texts
from tests.engine.trucks.hands import FT, SMALL, task_of, thing
from tests.engine.trucks.lots import lot


def load() -> TruckFigures:
    """A wide pack at the headboard, a stack of two stops behind it, and one that stands 2 ft out."""
    task = task_of(
        thing("w", 8, width_in=40, pack=True),
        thing("a", 12, 1234, stop=2),
        thing("b", 9, 800),
        thing("c", 1, 20),
        thing("d", 12, 700),
    )
    stacks = (Stack(1, 2, 0, ("w",)), Stack(1, 1, 8 * FT, ("a", "b", "c")), Stack(2, 1, 8 * FT, ("d",)))
    return figures_of(task, TrucksPlan((Truck(3, "Small", stacks),))).trucks[0]


def words(svg: str) -> list[str]:
    return [written.text for written in texts(svg)]


def bars(svg: str) -> dict[str, ET.Element]:
    return {g.attrib["data-thing"]: g for g in root_of(svg).iter(f"{SVG}g") if "data-thing" in g.attrib}


def box_of(bar: ET.Element) -> tuple[float, float, float, float]:
    rect = next(iter(bar.iter(f"{SVG}rect")))
    x, y, width, height = (float(rect.attrib[name]) for name in ("x", "y", "width", "height"))
    return x, y, x + width, y + height


def test_each_thing_once_with_its_order_name_and_weight() -> None:
    svg = load_svg(load())
    assert sorted(bars(svg)) == ["a", "b", "c", "d", "w"]
    # stop 1 from the top and the rear: c on b, then d and w of tier 1; a of stop 2 last
    assert {"2 S1 Bundle b, 800 lb", "5 S2 Bundle a, 1,234 lb", "3 S1 Bundle d, 700 lb"} <= set(words(svg))
    assert "4 S1 Bundle w, 500 lb, to lane 2" in words(svg)
    tips = [title.text or "" for title in root_of(svg).iter(f"{SVG}title")]
    assert "Bundle a, 12'-0\", 1,234 lb, stop 2, tier 1" in tips


def test_lengths_along_the_deck_are_to_scale() -> None:
    svg = load_svg(load())
    per_ft = (WIDTH - LEFT - 1) / 20
    low, _, high, _ = box_of(bars(svg)["b"])
    assert (low, high) == pytest.approx((LEFT + 8 * per_ft, LEFT + 17 * per_ft), abs=0.01)


def test_tiers_lie_on_each_other() -> None:
    svg = load_svg(load())
    boxes = {name: box_of(bar) for name, bar in bars(svg).items()}
    assert boxes["c"][3] < boxes["b"][1] < boxes["b"][3] < boxes["a"][1]
    for one, other in combinations(boxes.values(), 2):
        assert one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]


def test_lift_points_and_dunnage_of_each_thing() -> None:
    told = load()
    for tier in (tier for stack in told.stacks for tier in stack.tiers):
        bar = bars(load_svg(told))[tier.thing]
        assert len(list(bar.iter(f"{SVG}polygon"))) == 2
        assert len(list(bar.iter(f"{SVG}rect"))) == 1 + tier.sticks


def test_deck_weights_and_what_is_left_to_law() -> None:
    told = load()
    svg = load_svg(told)
    said = " ".join(words(svg))
    assert "Truck 3: Small" in said
    assert f"{told.weight_lb:,.0f} lb of 10,000 lb; centre of weight" in said
    for quarter in told.quarters_lb:
        assert f"{quarter:,.0f} lb" in words(svg)
    near, far = told.sides_lb
    assert f"driver's side {near:,.0f}, other {far:,.0f} lb." in said
    assert CAUTION in said
    assert f"Tie-downs across (dashed): {told.tie_downs}; from the headboard at " in said
    assert "Dunnage (small squares): " in said
    assert "S2 is stop 2." in said
    drawn = {round(stroke.a.x, 2) for stroke in strokes_in(svg, "dw-bridging")}
    assert len(drawn) == told.tie_downs


def test_one_stop_needs_no_mark() -> None:
    task = task_of(thing("a", 20))
    svg = load_svg(figures_of(task, TrucksPlan((Truck(1, "Small", (Stack(1, 1, 0, ("a",)),)),))).trucks[0])
    assert "1 Bundle a, 500 lb" in words(svg)
    assert "S1" not in " ".join(words(svg))


def test_what_overhangs_is_said_and_within_the_paper() -> None:
    task = task_of(thing("a", 23))
    svg = load_svg(figures_of(task, TrucksPlan((Truck(1, "Small", (Stack(1, 1, 0, ("a",)),)),))).trucks[0])
    assert "3'-0\" out over the rear end" in " ".join(words(svg))
    assert box_of(bars(svg)["a"])[2] <= WIDTH


def test_an_empty_truck() -> None:
    svg = load_svg(figures_of(task_of(thing("a", 2)), TrucksPlan((Truck(1, "Small"),))).trucks[0])
    assert "Nothing on it." in words(svg)
    assert bars(svg) == {}


def test_a_metric_project() -> None:
    metric, usual = load_svg(load(), "metric"), load_svg(load())
    assert "6096 mm" in words(metric)
    assert "Lengths are in millimetres, weights in pounds (1 lb is 0.45 kg)." in words(metric)
    assert "Lengths are in feet and inches, weights in pounds (1 lb is 0.45 kg)." in words(usual)


def test_every_word_comes_from_the_caller() -> None:
    """With marks for words nothing of ours is left but figures and units."""
    marks = {name: "".join(re.findall(r"%\(\w+\)s", getattr(ENGLISH, name))) or "#" for name in SENTENCES}
    names = dict.fromkeys("abcdw", ("#", "#"))
    svg = load_svg(load(), words=LoadWords(**marks, title="#", group=".", names=names))
    said = " ".join([*words(svg), *(one.text or "" for one in root_of(svg).iter(f"{SVG}title"))])
    assert set(re.findall(r"[^\W\d_]+", said)) == {"lb"}
    assert "1.234" in said


@pytest.mark.parametrize("heavy", [False, True])
def test_texts_are_large_enough_apart_and_on_the_paper(heavy: bool) -> None:
    for svg in sketches(ENGLISH, heavy=heavy):
        readable(svg)


def sketches(told: LoadWords, *, heavy: bool) -> Iterator[str]:
    """Many trucks of three stops, in some language."""
    task = lot(4, 45, heavy=heavy, stops=3)
    task = replace(task, things=tuple(replace(t, name=f"{t.name} of SO-2026-0003") for t in task.things))
    for truck in figures_of(task, plan_trucks(task).plan).trucks:
        yield from load_svgs(truck, words=told)


def readable(svg: str) -> None:
    height = float(root_of(svg).attrib["viewBox"].split()[3])
    assert height <= SHEET + 2
    written = texts(svg)
    for one in written:
        assert one.size >= 3.0  # capitals of 2 mm
        assert one.box.left >= -0.01
        assert one.box.right <= WIDTH + 0.01
        assert one.box.bottom <= height
    for one, other in combinations(written, 2):
        assert not one.meets(other), (one.text, other.text)


def test_the_smallest_truck() -> None:
    kind = replace(SMALL, deck_length_16=FT)
    task = task_of(thing("a", 0.25), kinds=(kind,))
    assert "Truck 1: Small" in words(load_svg(figures_of(task, plan_trucks(task).plan).trucks[0]))


def test_on_paper_a_high_load_goes_on_in_parts_of_a_sheet_at_most() -> None:
    """Three lanes of nine tiers: 56 mm each, more than one sheet beside deck and words."""
    kind = replace(SMALL, deck_width_16=60 * 16, stack_height_16=90 * 16, tiers=9, payload_lb=40_000)
    task = task_of(*(thing(f"b{n}", 18, 700) for n in range(27)), kinds=(kind,))
    told = figures_of(task, plan_trucks(task).plan).trucks[0]
    parts = load_svgs(told)
    assert len(parts) == 2
    for part in parts:
        assert float(root_of(part).attrib["viewBox"].split()[3]) <= SHEET + 2
    drawn = [name for part in parts for name in bars(part)]
    assert sorted(drawn) == sorted(told.unloading)
    assert words(parts[1])[0] == f"Truck {told.number}: Small, continued"
    everything = " ".join(" ".join(words(part)) for part in parts)
    assert everything.count(CAUTION.split(":")[0]) == 1
    assert "one more for each 10 ft begun" in everything
    assert len(load_svgs(load())) == 1


def test_the_words_below_never_take_a_sheet_of_their_own() -> None:
    """A sheet that ends just under the last lane: that lane goes on with the words."""
    told = load()
    height = float(root_of(load_svg(told)).attrib["viewBox"].split()[3])
    first, second = load_svgs(told, most=height - 10)
    assert sorted(bars(first)) == ["a", "b", "c", "w"]
    assert sorted(bars(second)) == ["d"]
    assert CAUTION in " ".join(words(second))
    lone = figures_of(
        task_of(thing("a", 20)), TrucksPlan((Truck(1, "Small", (Stack(1, 1, 0, ("a",)),)),))
    ).trucks[0]
    one, other = load_svgs(lone, most=60)
    assert (sorted(bars(one)), sorted(bars(other))) == ([], ["a"]), "the deck stands on the first one"
