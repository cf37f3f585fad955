"""A floor document in a mirror: what is where afterwards, how its lengths are written, the same pieces."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from framing.engine.catalogue import load_catalogue
from framing.engine.document import FloorDocument, dump_document, read_document, to_plan
from framing.engine.errors import DocumentRefused
from framing.engine.floor import FloorPlan, Joint, SupportKind
from framing.engine.members import MemberKind
from framing.engine.pipeline import design_floor
from framing.engine.practice import Practice
from framing.projects.mirrored import FRONT_BACK, LEFT_RIGHT, WAYS, Way, mirrored
from tests.engine.properties.documents import document
from tests.engine.properties.laying import PRACTICE, laid, times
from tests.engine.properties.sketches import real_floors
from tests.engine.properties.test_moves import all_along_y, counts, in_frame

PLANS = Path(__file__).parents[1] / "plans"
BAY: dict[str, Any] = {"id": "A", "direction": "y", "start": "low", "spacing": "16"}
L_SHAPE = [["0", "0"], ["30'", "0"], ["30'", "12'"], ["18'", "12'"], ["18'", "20'"], ["0", "20'"]]


def typed(**fields: Any) -> FloorDocument:
    """An L of 30 ft by 20 ft, its step at the upper right, joists along y counted from the left."""
    plain = {
        "format": "spanyard.floor",
        "version": 1,
        "name": "Upper floor",
        "outline": L_SHAPE,
        "bays": [BAY],
        "load_case": {"occupancy": "Living rooms (other than sleeping)", "live_psf": 40},
    }
    return read_document(plain | fields)


def data(source: FloorDocument, way: Way) -> dict[str, Any]:
    return dump_document(mirrored(source, way))


def sides(source: FloorDocument) -> dict[frozenset[tuple[int, int]], str]:
    """Each outline edge by its two corners, in sixteenths, with what it does."""
    plan = to_plan(source, PRACTICE)
    ring = [(p.x_16, p.y_16) for p in plan.outline]
    return {
        frozenset({ring[edge.index], ring[(edge.index + 1) % len(ring)]}): f"{edge.kind} {edge.width_16}"
        for edge in plan.edges
    }


def test_a_rectangle_is_the_same_rectangle_with_its_sides_changed_over() -> None:
    """24 ft wide: edge 1 (right) and edge 3 (left) change over, edge 0 and 2 stay; corners begin at 0, 0."""
    ring = [["0", "0"], ["24'", "0"], ["24'", "14'"], ["0", "14'"]]
    edges = [{"edge": 0, "kind": "balloon"}, {"edge": 1, "kind": "platform", "width": "6"}]
    source = typed(outline=ring, edges=edges)
    across, along = data(source, LEFT_RIGHT), data(source, FRONT_BACK)
    assert across["outline"] == along["outline"] == ring
    assert [(e["edge"], e["kind"], e["width"]) for e in across["edges"]] == [
        (0, "balloon", None),
        (3, "platform", "6"),
    ]
    assert [(e["edge"], e["kind"]) for e in along["edges"]] == [(2, "balloon"), (1, "platform")]


def test_an_l_keeps_its_notation_where_the_place_has_one() -> None:
    """The step's inner corner at 18 ft comes to 30 - 18 = 12 ft, which the front's wing has typed on the other axis
    only, so it is written anew; corner 1 of what was typed comes first."""
    assert data(typed(), LEFT_RIGHT)["outline"] == [
        ["0", "0"], ["30'", "0"], ["30'", "20'"], ["12'-0\"", "20'"], ["12'-0\"", "12'"], ["0", "12'"],
    ]  # fmt: skip
    assert data(typed(), FRONT_BACK)["outline"] == [
        ["0", "0"], ["18'", "0"], ["18'", "8'-0\""], ["30'", "8'-0\""], ["30'", "20'"], ["0", "20'"],
    ]  # fmt: skip


def test_edges_stay_with_their_sides() -> None:
    edges = [{"edge": n, "kind": "balloon", "width": str(2 + n)} for n in range(6)]
    source = typed(edges=edges)
    ways: tuple[tuple[Way, int, int], ...] = ((LEFT_RIGHT, 0, 30 * 192), (FRONT_BACK, 1, 20 * 192))
    for way, axis, total_16 in ways:
        turned = {
            frozenset(tuple(total_16 - v if i == axis else v for i, v in enumerate(p)) for p in ends): words
            for ends, words in sides(source).items()
        }
        assert sides(mirrored(source, way)) == turned


def test_things_on_the_floor_come_to_the_other_side() -> None:
    source = typed(
        supports=[
            {"id": "W1", "kind": "wall", "from": ["0", "10'"], "to": ["18' 6", "10'"], "joint": "butt"}
        ],
        openings=[{"id": "S1", "corner": ["2'", "3' 4"], "size": ["3' 6", "8'"]}],
        partitions=[{"id": "P1", "from": ["5'", "1'"], "to": ["5'", "9'"], "load_plf": 80}],
    )
    across, along = data(source, LEFT_RIGHT), data(source, FRONT_BACK)
    assert (across["supports"][0]["from"], across["supports"][0]["to"]) == (
        ["30'", "10'"],
        ["11'-6\"", "10'"],
    )
    assert across["openings"][0]["corner"] == ["24'-6\"", "3' 4"]  # 30 - 2 - 3 1/2
    assert across["openings"][0]["size"] == along["openings"][0]["size"] == ["3' 6", "8'"]
    assert along["openings"][0]["corner"] == ["2'", "8'-8\""]  # 20 - 3 1/3 - 8
    assert across["partitions"][0]["from"] == ["25'-0\"", "1'"]
    assert (along["partitions"][0]["from"], along["partitions"][0]["to"]) == (
        ["5'", "19'-0\""],
        ["5'", "11'-0\""],
    )
    assert across["partitions"][0]["load_plf"] == 80


def test_point_loads_stand_on_the_other_side() -> None:
    source = typed(
        point_loads=[{"id": "Q1", "name": "Stove", "at": ["6'", "5'"], "dead_lb": 300, "live_lb": 0}]
    )
    across, along = data(source, LEFT_RIGHT), data(source, FRONT_BACK)
    assert across["point_loads"][0]["at"] == ["24'-0\"", "5'"]
    assert along["point_loads"][0]["at"] == ["6'", "15'-0\""]
    assert across["point_loads"][0]["dead_lb"] == 300
    twice = mirrored(mirrored(source, LEFT_RIGHT), LEFT_RIGHT)
    assert to_plan(twice, PRACTICE) == to_plan(source, PRACTICE)


def test_start_edges_change_over_with_the_sides_that_stations_count_between() -> None:
    two = [BAY, {"id": "B", "direction": "x", "start": "high", "spacing": "12", "outline": L_SHAPE}]
    source = typed(bays=two)
    assert [bay["start"] for bay in data(source, LEFT_RIGHT)["bays"]] == ["high", "high"]
    assert [bay["start"] for bay in data(source, FRONT_BACK)["bays"]] == ["low", "low"]
    assert data(source, LEFT_RIGHT)["bays"][1]["outline"][3] == ["12'-0\"", "20'"]


def stair(**fields: Any) -> FloorDocument:
    """14 ft by 12 ft with a stair off the middle; one member around it has three plies, the others two."""
    ring = [["0", "0"], ["14'", "0"], ["14'", "12'"], ["0", "12'"]]
    hole = {"id": "S1", "corner": ["3'", "3'"], "size": ["4'", "6'"]}
    return typed(outline=ring, openings=[hole], **fields)


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("direction", ["x", "y"])
@pytest.mark.parametrize("part", ["trimmer_low", "trimmer_high", "header_low", "header_high"])
def test_fixed_plies_stay_on_their_side_of_an_opening(part: str, direction: str, way: Way) -> None:
    bay = BAY | {"direction": direction, "profile": "1000S162-54"}
    source = stair(bays=[bay], overrides={"plies": [{"of": "S1", "part": part, "plies": 3}]})
    axis, total_16 = (0, 14 * 192) if way == LEFT_RIGHT else (1, 12 * 192)

    def heavy(source: FloorDocument) -> tuple[int, ...]:
        result = design_floor(to_plan(source, PRACTICE), load_catalogue(), PRACTICE)
        found = [
            member.plan_ends(layout.frame)
            for layout in result.bays
            for member in layout.members
            if member.plies == 3 and member.kind in (MemberKind.TRIMMER, MemberKind.HEADER)
        ]
        assert len(found) == 1
        return tuple(sorted(p.x_16 if axis == 0 else p.y_16 for p in found[0]))

    assert heavy(mirrored(source, way)) == tuple(sorted(total_16 - at for at in heavy(source)))


def test_an_opening_takes_the_direction_of_the_bay_that_it_lies_in() -> None:
    """Joists run along y on the left half and along x on the right one, where the stair is."""
    left = [["0", "0"], ["12'", "0"], ["12'", "14'"], ["0", "14'"]]
    right = [["12'", "0"], ["24'", "0"], ["24'", "14'"], ["12'", "14'"]]
    bays = [BAY | {"outline": left}, {"id": "B", "direction": "x", "spacing": "16", "outline": right}]
    hole = {"id": "S1", "corner": ["16'", "3'"], "size": ["4'", "6'"]}
    fixed = {"plies": [{"of": "S1", "part": "header_low", "plies": 3}]}
    ring = [["0", "0"], ["24'", "0"], ["24'", "14'"], ["0", "14'"]]
    source = typed(outline=ring, bays=bays, openings=[hole], overrides=fixed)
    parts = [data(source, way)["overrides"]["plies"][0]["part"] for way in WAYS]
    assert parts == ["header_high", "header_low"]
    whole = typed(
        outline=ring, bays=[bays[0], BAY | {"id": "C", "direction": "x"}], openings=[hole], overrides=fixed
    )
    assert data(whole, LEFT_RIGHT)["overrides"]["plies"][0]["part"] == "header_high"
    beside = typed(outline=ring, bays=[bays[0]], openings=[hole], overrides=fixed)
    assert data(beside, FRONT_BACK)["overrides"]["plies"][0]["part"] == "header_high"


def test_metric_lengths_are_short_where_they_can_be_and_exact_always() -> None:
    """7,320 - 1,000 = 6,320 mm; 1/4 in is 6.35 mm; where rounding each place alone comes to another sixteenth, the
    sixteenth itself is written, 1.5875 mm each."""
    ring = [[0, 0], [7320, 0], [7320, "4.2 m"], ["1000", "4.2 m"], ["1000", 4800], [0, 4800]]
    source = typed(
        units="metric", outline=ring, partitions=[{"id": "P", "from": ['1/4"', 0], "to": [2.001, 9]}]
    )
    across = data(source, LEFT_RIGHT)
    assert across["outline"][0] == [0, 0]
    assert across["outline"][4] == ["6320 mm", "4.2 m"]
    assert across["partitions"][0]["from"][0] == "7313.65 mm"
    plan, turned = to_plan(source, PRACTICE), to_plan(mirrored(source, LEFT_RIGHT), PRACTICE)
    for before, after in zip(plan.partitions, turned.partitions, strict=True):
        width_16 = max(p.x_16 for p in plan.outline)
        assert (before.start.x_16 + after.start.x_16, before.end.x_16 + after.end.x_16) == (
            width_16,
            width_16,
        )


def test_what_cannot_be_built_is_mirrored_and_what_cannot_be_read_is_named() -> None:
    crossed = [["0", "0"], ["24'", "14'"], ["24'", "0"], ["0", "14'"]]
    assert data(typed(outline=crossed), LEFT_RIGHT)["outline"] == [
        ["0", "14'"], ["24'", "0"], ["24'", "14'"], ["0", "0"]
    ]  # fmt: skip
    hole = {"id": "S1", "corner": ["wide", "3'"], "size": ["4'", "tall"]}
    with pytest.raises(DocumentRefused) as refused:
        mirrored(typed(openings=[hole]), LEFT_RIGHT)
    assert [problem.place for problem in refused.value.problems] == ["openings.0.corner.0"]


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("path", sorted(PLANS.glob("*.json")), ids=lambda path: path.stem)
def test_our_plans_mirrored_twice_are_the_same_floor(path: Path, way: Way) -> None:
    source = read_document(path.read_text())
    twice = mirrored(mirrored(source, way), way)
    assert to_plan(twice, PRACTICE) == to_plan(source, PRACTICE)
    design_floor(to_plan(mirrored(source, way), PRACTICE), load_catalogue(), Practice())


def typed_of(drawn: FloorPlan, units: str) -> FloorDocument:
    return read_document(document(drawn, units))


@times(300)
@given(drawn=real_floors(), units=st.sampled_from(("imperial", "metric")), way=st.sampled_from(WAYS))
def test_mirrored_twice_is_the_same_floor(drawn: FloorPlan, units: str, way: Way) -> None:
    source = typed_of(drawn, units)
    assert to_plan(mirrored(mirrored(source, way), way), PRACTICE) == to_plan(source, PRACTICE)


@times(300)
@given(drawn=real_floors(), units=st.sampled_from(("imperial", "metric")))
def test_mirroring_across_the_joists_changes_no_piece(drawn: FloorPlan, units: str) -> None:
    assume(all_along_y(drawn))
    turned = to_plan(mirrored(typed_of(drawn, units), LEFT_RIGHT), PRACTICE)
    assert in_frame(laid(drawn)) == in_frame(laid(turned))


@times(300)
@given(drawn=real_floors())
def test_mirroring_along_the_joists_keeps_the_count_of_unlapped_floors(drawn: FloorPlan) -> None:
    """Printed ends (R9), the lap's side (R5) and the greedy parts of long pieces name an end, so they may move."""
    assume(all_along_y(drawn))
    inner = [s for s in drawn.supports if s.kind is not SupportKind.FLUSH_BEAM]
    assume(all(s.joint is not Joint.LAP for s in inner))
    deep = [p.y_16 for p in drawn.outline]
    assume(max(deep) - min(deep) < PRACTICE.longest_piece_16)
    turned = to_plan(mirrored(typed_of(drawn, "imperial"), FRONT_BACK), PRACTICE)
    assert counts(laid(drawn)) == counts(laid(replace(turned, name=drawn.name)))


def test_the_bill_of_a_mirrored_floor_is_the_same_bill() -> None:
    source = read_document((PLANS / "house.json").read_text())
    fixed = [bay.model_copy(update={"profile": "1000S162-54"}) for bay in source.bays]
    source = source.model_copy(update={"bays": tuple(fixed), "supports": (), "partitions": ()})
    way: Way = LEFT_RIGHT if source.bays[0].direction == "y" else FRONT_BACK

    def bill(document: FloorDocument) -> Counter[tuple[str, int]]:
        result = design_floor(to_plan(document, PRACTICE), load_catalogue(), PRACTICE)
        return Counter((line.code, line.exact) for line in result.bill)

    assert bill(mirrored(source, way)) == bill(source)
