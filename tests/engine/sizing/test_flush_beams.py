"""Flush beams, worked by hand: 10 ft wide, 10 + 40 psf, joists at 16 ... 112 on both sides of a beam at y 144.

Two plies are 3 1/4 in wide: joists span from 5.5 to 142.375 and from 145.625 to 282.5, 136.875 in each. At 16 in
one brings 50 x 16 / 144 x 136.875 / 2 = 380.208 lb. The beam spans from 5.5 to 114.5, 109 in.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from framing.engine.floor import FloorPlan
from framing.engine.pipeline import design_floor
from framing.engine.result import FloorResult
from framing.engine.sizing import check_members, member_sheets, options
from framing.engine.sizing.cases import cases_of
from framing.engine.sizing.figure import LB_IN_PER_KIP_IN, TOP_FLANGE
from framing.engine.sizing.figures import figures
from framing.engine.sizing.matrix import CHECKS, Row, loads_of, ratios
from framing.engine.sizing.seats import Seats
from framing.engine.sizing.strengths import strength_of
from framing.engine.sizing.tributary import carried_by
from tests.engine.layout.builders import PRACTICE
from tests.engine.sizing.floors import CATALOGUE, PROFILE, box, carried, floor, laid

REACTION = 50 * 16 / 144 * 136.875 / 2
PLACES = [16.0, 32.0, 48.0, 64.0, 80.0, 96.0, 112.0]
FIXED = {"id": "A", "direction": "y", "profile": PROFILE}


def beam_floor(width: float = 120, **rest: Any) -> FloorPlan:
    beam = {"id": "B1", "kind": "flush_beam", "from": [0, 144], "to": [width, 144]}
    rest = {"bays": [FIXED], **rest, "supports": [beam, *rest.get("supports", [])]}
    return floor(box(width, 288), **rest)


def designed(plan: FloorPlan) -> FloorResult:
    return design_floor(plan, CATALOGUE, PRACTICE)


def test_a_beam_takes_the_reactions_of_both_sides_at_their_places() -> None:
    beam = carried(beam_floor())["A.B1"]
    assert beam.model.supports_in == (5.5, 114.5)
    # the floor over its own 3 1/4 in: 40 and 10 psf x 3.25 / 12 = 10.833 and 2.708 lb per ft
    (own,) = beam.model.lines
    assert (own.low_in, own.high_in) == (5.5, 114.5)
    assert (own.live_lb_in * 12, own.dead_lb_in * 12) == pytest.approx((10.8333, 2.7083), abs=1e-4)
    assert sorted(p.at_in for p in beam.model.points) == sorted([*PLACES, *PLACES])
    assert all(p.dead_lb + p.live_lb == pytest.approx(REACTION) for p in beam.model.points)
    low = 2 * REACTION * sum(114.5 - place for place in PLACES) / 109 + (10.8333 + 2.7083) / 12 * 109 / 2
    assert sum(beam.demand.reactions_lb[0]) == pytest.approx(low, abs=1e-3)
    assert [seat for seat in (*beam.seats.supports, *beam.seats.points) if seat] == []


def test_its_top_flange_is_held_at_the_members_that_it_carries() -> None:
    plan = beam_floor(bays=[{**FIXED, "spacing": "24"}])
    beam = carried(plan)["A.B1"]
    # joists at 24, 48, 72, 96: 18.5 to the first, 24 between, 18.5 to the end
    assert beam.model.top_free_in == 24.0
    answer = next(c for c in check_members(plan, laid(plan), CATALOGUE, PRACTICE) if c.members == ("A.B1",))
    check = next(c for c in answer.checks if c.name == "Bending, top flange in compression")
    strength = strength_of(CATALOGUE.profile(PROFILE), PRACTICE)
    assert check.demand == pytest.approx(beam.demand.positive_moment_lb_in / LB_IN_PER_KIP_IN)
    assert check.capacity == pytest.approx(2 * strength.lateral_moment_kipin(24.0))
    assert check.clause == "AISI S100 F2, F3"
    assert strength.lateral_moment_kipin(120.0) < strength.lateral_moment_kipin(24.0)


def test_profiles_are_tried_with_the_free_stretch_of_top_flange_too() -> None:
    demand = replace(carried(beam_floor())["A.B1"].demand, top_free_in=96.0)
    strengths = [strength_of(profile, PRACTICE) for profile in CATALOGUE.profiles]
    found = ratios(loads_of([Row(demand, 2, Seats((None, None)))]), strengths, PRACTICE)
    layer = found.loaded[CHECKS.index(TOP_FLANGE), 0]
    for ratio, strength in zip(layer, strengths, strict=True):
        plain = next(f for f in figures(demand, strength, 2, PRACTICE, Seats()) if f.name == TOP_FLANGE)
        assert ratio == pytest.approx(plain.ratio, rel=1e-9)
    # at 96 in a 1 5/8 in flange turns over long before it yields
    assert max(layer) > max(found.loaded[CHECKS.index("Bending, local buckling"), 0])


def test_a_beam_that_carries_nothing_near_its_end_is_free_up_to_there() -> None:
    # the opening's edge lies in the beam's width: no tails between 40 and 112
    stair = {"id": "S1", "kind": "stair", "corner": [36, 144], "size": [40, 60]}
    beam = carried(beam_floor(bays=[{**FIXED, "spacing": "24"}], openings=[stair]))["A.B1"]
    above = sorted({p.at_in for p in beam.model.points})
    assert beam.model.top_free_in == max(b - a for a, b in zip([5.5, *above], [*above, 114.5], strict=True))


def test_joists_of_another_bay_bring_that_bays_loads() -> None:
    heavy = {"occupancy": "Stacks", "live_psf": 100, "layers": [{"name": "All", "psf": 20}]}
    bays = [
        {**FIXED, "outline": box(120, 144)},
        {
            **FIXED,
            "id": "B",
            "spacing": "12",
            "start": "high",
            "outline": box(120, 144, 0, 144),
            "load_case": heavy,
        },
    ]
    plan = beam_floor(bays=bays)
    beam = carried(plan)["A.B1"]
    brought = {p.source[0]: p for p in beam.model.points}
    assert brought["A"].dead_lb + brought["A"].live_lb == pytest.approx(REACTION)
    assert brought["B"].dead_lb == pytest.approx(20 * 12 / 144 * 136.875 / 2)
    assert brought["B"].live_lb == pytest.approx(100 * 12 / 144 * 136.875 / 2)
    # bay B counts from the high side: 108, 96, ... on the plan
    assert {p.at_in for p in beam.model.points if p.source[0] == "B"} == {12.0 * k for k in range(1, 10)}
    alone = carried_by(plan, laid(plan)[0], PRACTICE)
    assert {p.source[0] for c in alone for p in c.model.points} == {"A"}


def test_cases_options_and_sheets_know_of_the_other_bays_joists() -> None:
    bays = [{**FIXED, "outline": box(120, 144)}, {**FIXED, "id": "B", "outline": box(120, 144, 0, 144)}]
    plan = beam_floor(bays=bays)
    layouts = laid(plan)
    (beam,) = (c for c in cases_of(plan, layouts[0], PRACTICE, layouts) if c.members == ("A.B1",))
    assert len(beam.first.model.points) == 14
    (half,) = (c for c in cases_of(plan, layouts[0], PRACTICE) if c.members == ("A.B1",))
    assert len(half.first.model.points) == 7
    tried = {
        o.profile: o for o in options(plan, layouts[0], CATALOGUE, PRACTICE, layouts) if o.spacing_in == 16
    }
    less = {o.profile: o for o in options(plan, layouts[0], CATALOGUE, PRACTICE) if o.spacing_in == 16}
    assert tried[PROFILE].ratio > less[PROFILE].ratio
    sheets = member_sheets(designed(plan), CATALOGUE, PRACTICE)
    sheet = next(s for s in sheets if s.check.title.startswith("Flush beam"))
    assert sum("from A." in load.words or "from B." in load.words for load in sheet.loads) == 28
    titles = [working.title for working in sheet.workings]
    assert "Bending, lateral-torsional buckling" in titles
    joist = next(s for s in sheets if s.check.title.startswith("Joist"))
    assert "flush beam A.B1" in [words for _, words in joist.supports]


def test_a_failing_beam_takes_a_third_ply_and_then_asks_for_an_engineered_one() -> None:
    passing = designed(beam_floor(108))
    assert [m.plies for m in passing.members if m.id == "A.B1"] == [2]
    more = designed(beam_floor(132))
    assert [m.plies for m in more.members if m.id == "A.B1"] == [3]
    beam = next(c for c in more.checks if c.title.startswith("Flush beam, 3-ply"))
    assert beam.passes
    over = designed(beam_floor(240))
    problem = next(p for p in over.warnings if p.place == "A.B1")
    assert "Flush beam, 3-ply, span 19'-1\": 3 plies of 1000S162-54 do not carry it" in problem.message
    assert problem.message.endswith("An engineered beam is needed.")
    assert not over.passes


def test_a_beam_over_a_wall_is_held_below_at_its_members_too() -> None:
    wall = {"id": "W1", "from": [120, 130], "to": [120, 160]}
    beam = carried(beam_floor(240, supports=[wall]))["A.B1"]
    assert beam.model.supports_in == (5.5, 120.0, 234.5)
    assert beam.model.braces_in == (*PLACES, *(place + 112 for place in PLACES))
    # the wall stands 8 in from the joists beside it
    assert all(region.unbraced_in <= 16 for region in beam.demand.negative)
    assert [seat is not None for seat in beam.seats.supports] == [False, True, False]


def test_a_joist_that_pulls_its_beam_up_is_warned_of() -> None:
    # a short span of 28 in beside one of 164 over a wall that it passes
    supports = [
        {"id": "B1", "kind": "flush_beam", "from": [0, 100], "to": [120, 100]},
        {"id": "W1", "from": [0, 130], "to": [120, 130], "joint": "through"},
    ]
    plan = floor(box(120, 300), supports=supports, bays=[FIXED])
    answers = check_members(plan, laid(plan), CATALOGUE, PRACTICE)
    (words,) = {warning for answer in answers for warning in answer.warnings}
    assert words.startswith("Load on other spans pulls A.B1 up by ")
