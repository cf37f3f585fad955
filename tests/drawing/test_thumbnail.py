"""A floor in a list: what is drawn, where, and the words for it."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from framing.common.templatetags.drawings import drawing
from framing.drawing import size_words, thumbnail_svg, thumbnail_words
from framing.engine import Practice, design_floor, load_catalogue, read_document, to_plan
from framing.engine.members import MemberKind
from framing.engine.result import FloorResult
from tests.drawing import builders
from tests.drawing.reading import SVG, root_of, strokes_of

PLANS = Path(__file__).parents[1] / "plans"
FT = builders.FT


@cache
def designed(name: str) -> FloorResult:
    practice = Practice()
    plan = to_plan(read_document((PLANS / f"{name}.json").read_bytes()), practice)
    return design_floor(plan, load_catalogue(), practice)


def group(root: ET.Element, css: str) -> list[ET.Element]:
    return [child for part in root.iter(f"{SVG}g") if part.get("class") == css for child in part]


def lines(root: ET.Element, css: str) -> int:
    return sum(len(list(strokes_of(path))) for path in group(root, css))


@pytest.mark.parametrize("name", ["house", "townhouse", "corridor"])
def test_every_member_is_one_line_and_all_lie_in_the_frame(name: str) -> None:
    result = designed(name)
    root = root_of(thumbnail_svg(result))
    drawn = sum(lines(root, css) for css in ("dw-joist", "dw-trimmer", "dw-header", "dw-fail"))
    assert drawn == len(result.members)
    assert len([e for e in group(root, "dw-opening") if e.tag == f"{SVG}polygon"]) == len(
        result.plan.openings
    )
    assert root.get("viewBox") == "0 0 120 75"
    for path in root.iter(f"{SVG}path"):
        for stroke in strokes_of(path):
            for spot in (stroke.a, stroke.b):
                assert -0.1 <= spot.x - 3 <= 114.1
                assert -0.1 <= spot.y - 3 <= 69.1


def test_a_floor_fills_its_frame_and_stands_in_its_middle() -> None:
    """24 ft by 14 ft: 114 / 24 = 4.75 units a foot, 66.5 high, so 4.25 over and under."""
    root = root_of(thumbnail_svg(builders.plan(builders.rectangle(24 * FT, 14 * FT))))
    (outline,) = group(root, "dw-outline")
    assert outline.get("points") == "3,70.75 117,70.75 117,4.25 3,4.25"


def test_failing_members_are_apart_and_told() -> None:
    result = builders.house(fails=True)
    failing = {member for check in result.checks if not check.passes for member in check.members}
    root = root_of(thumbnail_svg(result))
    assert lines(root, "dw-fail") == len(failing) == 2
    assert thumbnail_words(result).endswith(", 2 members fail")
    sound = builders.house(fails=False)
    assert lines(root_of(thumbnail_svg(sound)), "dw-fail") == 0
    assert "fail" not in thumbnail_words(sound)
    more = replace(result.checks[0], members=tuple(m.id for m in result.members[:1]))
    bad = replace(more, checks=tuple(replace(c, demand=c.capacity * 2) for c in more.checks))
    assert thumbnail_words(replace(result, checks=(bad,))).endswith(", 1 member fails")


def test_words_say_name_size_and_joists() -> None:
    result = designed("house")
    joists = sum(member.kind is MemberKind.JOIST for member in result.members)
    root = root_of(thumbnail_svg(result))
    assert root.findtext(f"{SVG}title") == f"{result.plan.name}, {size_words(result.plan)}, {joists} joists"
    plan = builders.plan(builders.rectangle(24 * FT, 14 * FT), name="Loft")
    assert thumbnail_words(plan) == "Loft, 24 ft by 14 ft"
    one = builders.house(fails=False)
    layout = replace(one.bays[0], members=one.bays[0].members[:1])
    assert thumbnail_words(replace(one, bays=(layout,), checks=())).endswith(", 1 joist")


@pytest.mark.parametrize(
    ("wide", "deep", "words"),
    [
        (40 * FT, 28 * FT + 104, "40 ft by 28 ft 6 1/2 in"),
        (6 * 16, 12, "6 in by 3/4 in"),
        (10 * FT + 8, 192 + 16, "10 ft 1/2 in by 1 ft 1 in"),
    ],
)
def test_sizes_are_said_in_feet_and_inches(wide: int, deep: int, words: str) -> None:
    assert size_words(builders.plan(builders.rectangle(wide, deep))) == words


def test_sizes_are_said_in_millimetres() -> None:
    """40 ft are 12,192 mm; 1 ft 1 in are 330.2 mm."""
    plan = builders.plan(builders.rectangle(40 * FT, 192 + 16), units="metric")
    assert size_words(plan) == "12,192 mm by 330 mm"


def test_a_plan_has_its_bearings_and_no_members() -> None:
    plan = designed("house").plan
    root = root_of(thumbnail_svg(plan))
    assert lines(root, "dw-joist") == 0
    assert lines(root, "dw-wall") == len([s for s in plan.supports if s.kind.value != "flush_beam"])


def test_the_page_takes_it() -> None:
    assert drawing(thumbnail_svg(designed("townhouse"))).startswith("<svg")
