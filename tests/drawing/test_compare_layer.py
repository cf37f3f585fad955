"""The drawing of two designs: each change has its own line and mark, counts stand in the legend."""

import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest

from framing.drawing import MemberChanges, compare_svg
from tests.factories.packages import floor

SVG = "{http://www.w3.org/2000/svg}"
CHANGES = MemberChanges(frozenset({"A.J1"}), frozenset({"A.J2"}), (("A.J3", "A.J3"),))


def moved_floor():
    """The hand-made floor whose third joist ends earlier, without the second."""
    whole = floor()
    kept = [m for m in whole.members if m.id != "A.J2"]
    kept[1] = replace(kept[1], high_16=kept[1].high_16 - 192)
    return replace(whole, bays=(replace(whole.bays[0], members=tuple(kept)),))


def groups(svg, css):
    return [node for node in ET.fromstring(svg).iter(f"{SVG}g") if node.get("class") == css]  # noqa: S314  # ours


def signs(node):
    """The strokes of a member's mark."""
    return [path.get("d") for path in node.find(f"{SVG}g").iter(f"{SVG}path")]


def test_added_removed_and_changed_have_lines_and_marks_of_their_own():
    svg = compare_svg(floor(), moved_floor(), CHANGES)
    (added, sample), (removed, _), (changed, _) = (
        groups(svg, f"dw-{k}") for k in ("added", "removed", "changed")
    )
    assert [node.get("data-id") for node in (added, removed, changed)] == ["A.J1", "A.J2", "A.J3"]
    assert sample.get("data-id") is None, "the legend's sample"
    assert (added.get("stroke-dasharray"), changed.get("stroke-dasharray")) == (None, None)
    assert removed.get("stroke-dasharray")
    assert [len(signs(node)) for node in (added, removed, changed)] == [2, 2, 4]
    upright, level = signs(added)
    assert {turned(upright), turned(level)} == {"upright", "level"}
    assert {turned(d) for d in signs(removed)} == {"slanting"}
    assert {turned(d) for d in signs(changed)} == {"upright", "level", "slanting"}
    assert "color" not in re.sub("currentColor", "", svg).lower().replace("dw-", "")


def turned(d):
    x1, y1, x2, y2 = (float(v) for v in re.findall(r"-?[\d.]+", d))
    return "upright" if x1 == x2 else "level" if y1 == y2 else "slanting"


def test_where_a_changed_member_stood_is_dashed():
    (before,) = groups(compare_svg(floor(), moved_floor(), CHANGES), "dw-before")
    assert len(before.findall(f"{SVG}path")) == 1
    same_place = MemberChanges(changed=(("A.J4", "A.J4"),))
    (nothing,) = groups(compare_svg(floor(), moved_floor(), same_place), "dw-before")
    assert nothing.findall(f"{SVG}path") == []


def test_the_legend_counts_and_the_words_say_it_too():
    svg = compare_svg(floor(), moved_floor(), CHANGES)
    texts = [node.text for node in ET.fromstring(svg).iter(f"{SVG}text")]  # noqa: S314  # ours
    assert texts[-4:] == ["added: 1", "removed: 1", "changed: 1", "as before: 2"]
    assert ET.fromstring(svg).find(f"{SVG}desc").text == "Members: 1 added, 1 removed, 1 changed."  # noqa: S314
    assert MemberChanges().words == "Every member is as before."


def test_a_floor_that_came_or_went_is_drawn_alone():
    ids = frozenset(member.id for member in floor().members)
    came = compare_svg(None, floor(), MemberChanges(added=ids))
    gone = compare_svg(floor(), None, MemberChanges(removed=ids))
    assert len(groups(came, "dw-added")) == len(groups(gone, "dw-removed")) == 6
    with pytest.raises(ValueError, match="no floor"):
        compare_svg(None, None, MemberChanges())


def test_another_outline_shows_the_old_one_dashed():
    wide = floor()
    corners = tuple(replace(c, x_16=c.x_16 + 192 if c.x_16 else 0) for c in wide.plan.outline)
    wider = replace(wide, plan=replace(wide.plan, outline=corners))
    assert len(groups(compare_svg(wide, wider, MemberChanges()), "dw-before")) == 2


def test_marks_of_neighbours_do_not_stand_on_each_other():
    ids = frozenset(member.id for member in floor().members)
    svg = compare_svg(None, floor(), MemberChanges(added=ids))
    centres = set()
    for node in groups(svg, "dw-added"):
        numbers = [float(v) for d in signs(node) for v in re.findall(r"-?[\d.]+", d)]
        centres.add((round(sum(numbers[0::2]) / 4, 1), round(sum(numbers[1::2]) / 4, 1)))
    assert len(centres) == 6
