"""A floor document turned a quarter, and one put into other units: what is where, and how it is written."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from framing.engine.document import FloorDocument, dump_document, read_document, to_plan
from framing.engine.errors import DocumentRefused
from framing.engine.floor import FloorPlan
from framing.projects.mirrored import LEFT_RIGHT, mirrored
from framing.projects.turned import CHANGES, in_units, turned
from tests.engine.properties.documents import document
from tests.engine.properties.laying import PRACTICE
from tests.engine.properties.sketches import real_floors
from tests.projects.test_mirrored import typed

UNITS = st.sampled_from(["imperial", "metric"])


def data(source: FloorDocument) -> dict[str, Any]:
    return dump_document(turned(source))


def test_an_l_turned_to_the_left() -> None:
    """30 ft by 20 ft: a corner x, y comes to 20 ft - y, x; the joists run across then and count from the bottom."""
    source = typed(
        supports=[{"id": "W1", "from": ["0", "10'"], "to": ["18' 6", "10'"], "joint": "butt"}],
        openings=[{"id": "S1", "corner": ["2'", "3' 4"], "size": ["3' 6", "8'"]}],
        point_loads=[{"id": "Q1", "at": ["6'", "5'"], "dead_lb": 300, "live_lb": 0}],
        overrides={"plies": [{"of": "S1", "part": "header_low", "plies": 3}]},
        edges=[{"edge": 1, "kind": "balloon"}],
    )
    found = data(source)
    assert found["outline"] == [
        ["20'", "0"], ["20'", "30'"], ["8'", "30'"], ["8'", "18'"], ["0", "18'"], ["0", "0"],
    ]  # fmt: skip
    assert (found["supports"][0]["from"], found["supports"][0]["to"]) == (["10'", "0"], ["10'", "18' 6"])
    assert found["openings"][0]["corner"] == ["8'-8\"", "2'"]  # 20 - 3 1/3 - 8
    assert found["openings"][0]["size"] == ["8'", "3' 6"]
    assert found["point_loads"][0]["at"] == ["15'-0\"", "6'"]
    assert [(bay["direction"], bay["start"]) for bay in found["bays"]] == [("x", "low")]
    assert found["overrides"]["plies"][0]["part"] == "header_high", (
        "what was below is at the right, the high end"
    )
    assert found["edges"][0]["edge"] == 1, "the edge goes with its corners"


def test_joists_across_count_from_the_right_then() -> None:
    source = typed(
        bays=[{"id": "A", "direction": "x", "start": "low", "spacing": "16"}],
        openings=[{"id": "S1", "corner": ["2'", "3'"], "size": ["3'", "8'"]}],
        overrides={"plies": [{"of": "S1", "part": "header_low", "plies": 3}]},
    )
    found = data(source)
    assert [(bay["direction"], bay["start"]) for bay in found["bays"]] == [("y", "high")]
    assert found["overrides"]["plies"][0]["part"] == "header_low", "what was left is below, the low end still"


@given(real_floors(), UNITS)
def test_four_quarters_are_the_same_floor(plan: FloorPlan, units: str) -> None:
    source = read_document(document(plan, units))
    found = source
    for _ in range(4):
        found = turned(found)
    assert to_plan(found, PRACTICE) == to_plan(source, PRACTICE)


@given(real_floors(), UNITS)
def test_turned_and_mirrored_twice_is_turned_back(plan: FloorPlan, units: str) -> None:
    """A mirror, a quarter to the left and the mirror again is a quarter to the right: the next quarter undoes it."""
    source = read_document(document(plan, units))
    there = mirrored(turned(mirrored(source, LEFT_RIGHT)), LEFT_RIGHT)
    back, first = to_plan(turned(there), PRACTICE), to_plan(source, PRACTICE)
    assert (set(back.outline), back.openings, back.bays[0].axis) == (
        set(first.outline), first.openings, first.bays[0].axis,
    )  # fmt: skip


@given(real_floors(), UNITS, UNITS)
def test_other_units_say_the_same_floor(plan: FloorPlan, first: str, units: Any) -> None:
    source = read_document(document(plan, first))
    found = in_units(source, units)
    one, other = to_plan(source, PRACTICE), to_plan(found, PRACTICE)
    assert found.units == units
    assert (other.outline, other.openings, other.supports, other.partitions) == (
        one.outline, one.openings, one.supports, one.partitions,
    )  # fmt: skip
    assert [bay.spacing_16 for bay in other.bays] == [bay.spacing_16 for bay in one.bays]


def test_bare_numbers_are_written_anew_and_the_rest_stays() -> None:
    source = typed(
        outline=[["0", "0"], [360, "0"], [360, "20'"], ["0", "6096 mm"]],
        bays=[{"id": "A", "direction": "y", "spacing": "19.2", "offset": "12 1/2"}],
    )
    found = dump_document(in_units(source, "metric"))
    assert found["outline"] == [["0", "0"], ["9144 mm", "0"], ["9144 mm", "20'"], ["0", "6096 mm"]]
    assert (found["bays"][0]["spacing"], found["bays"][0]["offset"]) == ('19.2"', "318 mm")
    back = dump_document(in_units(read_document(found), "imperial"))
    assert (back["bays"][0]["spacing"], back["outline"][1][0]) == ("19.2", "9144 mm")
    assert in_units(source, "imperial") is source


@pytest.mark.parametrize("change", sorted(CHANGES))
def test_what_can_not_be_read_is_named_or_kept(change: str) -> None:
    source = typed(supports=[{"id": "W1", "from": ["0", "ten feet"], "to": ["30'", "10'"]}])
    if change in ("imperial", "metric"):
        assert dump_document(CHANGES[change](source))["supports"][0]["from"] == ["0", "ten feet"]
        return
    with pytest.raises(DocumentRefused) as found:
        CHANGES["turn"](source)
    assert [problem.place for problem in found.value.problems] == ["supports.0.from.1"]
