"""A take-off in words: sums that add up, what each member is counted in, schedule and cut list."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from framing.engine import Practice, load_catalogue, read_document, to_plan
from framing.engine.document import rectangle_document
from framing.engine.pipeline import design_floor
from framing.engine.result import BomLine, FloorResult
from framing.projects.models import FloorVersion
from framing.projects.takeoff import FloorTakeoff
from framing.projects.takeoff_rows import LineRow, bought_words, how_bought

PLANS = Path(__file__).parents[1] / "plans"
PRACTICE = Practice()


def takeoff_of(result: FloorResult) -> FloorTakeoff:
    return FloorTakeoff(FloorVersion(), PRACTICE, None, load_catalogue(), result)


@cache
def house() -> FloorTakeoff:
    plan = to_plan(read_document((PLANS / "house.json").read_bytes()), PRACTICE)
    return takeoff_of(design_floor(plan, load_catalogue(), PRACTICE))


@cache
def rectangle(units: str = "imperial") -> FloorTakeoff:
    """24 ft by 14 ft, joists of 8 in across the 14 ft at 16 in."""
    width, depth = ("24'", "14'") if units == "imperial" else ("7200", "4200")
    document = rectangle_document(
        name="Plain",
        width=width,
        depth=depth,
        direction="y",
        spacing="16" if units == "imperial" else "406",
        profile="800S200-54",
        units=units,
    )
    return takeoff_of(design_floor(to_plan(document, PRACTICE), load_catalogue(), PRACTICE))


def line_of(takeoff: FloorTakeoff, code: str) -> LineRow:
    return next(row for row in takeoff.lines if row.line.code == code)


def test_a_plain_floor_by_hand() -> None:
    """Stations 16, 32, ... 272 in of 288 in: 17 joists, each 14'-0" less twice 1 1/8 + 3/8 in: 13'-9"."""
    takeoff = rectangle()
    steel = line_of(takeoff, "800S200-54")
    assert steel.exact == "233'-9\""  # 17 x 13.75 ft
    assert steel.bought == "234 ft"
    assert steel.how == "233.75 ft, up to whole feet: 234 ft."
    assert steel.places == 17
    (term,) = steel.terms
    assert (term.each, term.marks) == ("17 \N{MULTIPLICATION SIGN} 13'-9\"", ("1J01",))
    clips = line_of(takeoff, "bearing_clip:800")
    assert (clips.exact, clips.bought, clips.how, clips.places) == ("34", "34 pieces", "", 34)
    wood = line_of(takeoff, "wood_screw")
    assert wood.terms[0].each == "34 \N{MULTIPLICATION SIGN} 4"  # four in each leg of an 8 in clip
    assert (wood.exact, wood.bought) == ("136", "1 box of 250")
    assert wood.how == "136 and 5 % allowance are 142.8: 1 box of 250, 250 in all."


def test_metric_floors_count_lengths_in_millimetres() -> None:
    steel = line_of(rectangle("metric"), "800S200-54")
    assert steel.exact.endswith(" mm")
    assert steel.bought.endswith(" ft")


def test_every_line_of_the_bill_stands_once_and_adds_up() -> None:
    takeoff = house()
    assert takeoff.result is not None
    assert [row.line for row in takeoff.lines] == list(takeoff.result.bill)
    assert [group.words for group in takeoff.groups] == [
        "Members",
        "Hardware",
        "Fasteners",
        "Boards",
        "Sheathing",
    ]
    assert all(sum(row.term.quantity for row in line.terms) == line.line.exact for line in takeoff.lines)
    numbers = [row.number for line in takeoff.lines for row in line.terms]
    assert numbers == list(range(len(numbers)))
    assert takeoff.weight_lb == pytest.approx(sum(line.weight_lb for line in takeoff.result.bill))


def test_a_derivation_reads_as_a_sum() -> None:
    """8 header ends, 6 tail ends and 12 ladder blocks make 26 clip angles."""
    row = line_of(house(), "clip_angle:800")
    assert row.sum_words == "26 = 8 + 6 + 12"
    assert [term.each for term in row.terms] == ["", "", ""]
    assert row.terms[1].marks == ("1J02", "1J03")


def test_places_that_differ_are_told_apart_in_the_sum() -> None:
    """54 joist ends at bearings: 50 of one ply and 4 ends... each ply of a trimmer takes two nails too."""
    row = line_of(house(), "bearing_nail")
    first = row.terms[0]
    assert (first.amount, first.places) == ("112", 54)
    assert first.each == "52 \N{MULTIPLICATION SIGN} 2 + 2 \N{MULTIPLICATION SIGN} 4"
    screws = line_of(house(), "strap_screw").terms[0]
    assert (screws.amount, screws.each) == (
        "53",
        "49 \N{MULTIPLICATION SIGN} 1 + 2 \N{MULTIPLICATION SIGN} 2",
    )


@pytest.mark.parametrize(
    ("line", "words", "how"),
    [
        (
            BomLine("x", "", "fasteners", 1000, "piece", 5, "box", 250, 1.0, ()),
            "5 boxes of 250",
            "1,000 and 5 % allowance are 1,050: 5 boxes of 250, 1,250 in all.",
        ),
        (BomLine("x", "", "boards", 1, "piece", 1, "stick", 1, 1.0, ()), "1 stick", ""),
        (
            BomLine("x", "", "sheathing", 40 * 192 + 1, "length_16", 2, "tube", 1, 1.0, ()),
            "2 tubes",
            "40.01 ft of bead at 40 ft a tube: 2 tubes.",
        ),
        (
            BomLine("x", "", "hardware", 192, "length_16", 1, "ft", 1, 1.0, ()),
            "1 ft",
            "1.00 ft, up to whole feet: 1 ft.",
        ),
    ],
)
def test_what_is_bought_says_how(line: BomLine, words: str, how: str) -> None:
    assert bought_words(line) == words
    assert how_bought(line, PRACTICE) == how


def test_owners_follow_hosts_and_ids() -> None:
    takeoff = house()
    assert takeoff.result is not None
    of = takeoff.owners
    assert of["clip:A.J1:low:0"] == {"A.J1"}
    assert of["steel_screw:clip:A.J1:low:0:bearing-clip,-joist-leg"] == {"A.J1"}
    assert of["lap:A.J1:A.J30"] == {"A.J1", "A.J30"}
    assert of["clip:ladder:1:0"] == of["row:A:0:0:0"] == of["stick:0"] == frozenset()
    assert set(of) == {thing.id for thing in takeoff.result.placed}


def test_what_members_are_counted_in_adds_up_to_the_terms() -> None:
    takeoff = house()
    members = takeoff.lights()["members"]
    words, shape, counted = members["A.J1"]
    assert words == "Joist 1J01, 1 of 23, 14'-10 1/2\""
    pairs = dict(zip(counted[::2], counted[1::2], strict=True))
    clips = line_of(takeoff, "bearing_clip:800").terms[0].number
    steel = line_of(takeoff, "800S200-43").terms[0].number
    assert (pairs[clips], pairs[steel]) == ("1", "14'-10 1/2\"")
    assert takeoff.lights()["shapes"][shape]
    every = [dict(zip(row[2][::2], row[2][1::2], strict=True)) for row in members.values()]
    assert sum(int(row[clips]) for row in every if clips in row) == 56
    laps = line_of(takeoff, "lap_plate:800").terms[0].number
    assert sum(int(row[laps]) for row in every if laps in row) == 2 * 26  # a plate joins two


def test_every_term_lights_something() -> None:
    lights = house().lights()
    shapes = range(len(lights["shapes"]))
    assert len(lights["terms"]) == sum(len(line.terms) for line in house().lines)
    for indexes in lights["terms"]:
        assert indexes
        assert set(indexes) <= set(shapes)


def test_schedule_and_choices_name_every_member() -> None:
    takeoff = house()
    row = takeoff.schedule[0]
    assert (row.line.mark, row.kind, row.length, row.hole_count) == ("1J01", "Joist", "14'-10 1/2\"", 6)
    assert row.holes[:2] == ("1'-10 1/2\"", "3'-10 1/2\"")
    assert [choice.mark for choice in takeoff.choices] == [line.line.mark for line in takeoff.schedule]
    assert takeoff.choices[4].members == (("A.T1", "1T01, 1 of 2"), ("A.T2", "1T01, 2 of 2"))
    assert sum(len(choice.members) for choice in takeoff.choices) == 59


def test_the_cut_list_runs_in_install_order_with_equal_neighbours_together() -> None:
    rows = house().cuts
    assert [(row.first, row.last, row.mark, row.pieces) for row in rows[:3]] == [
        (1, 10, "1J01", 10),
        (11, 14, "1T01", 4),
        (15, 16, "1H01", 2),
    ]
    assert all(row.last - row.first + 1 == row.pieces for row in rows)
    assert [row.first for row in rows[1:]] == [row.last + 1 for row in rows[:-1]]
    assert sum(row.pieces for row in rows) == house().pieces == 63
    assert (rows[0].hole_count, rows[2].hole_count) == (6, 0)
