"""Checks, choice and plies on laid-out floors, worked by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from framing.engine.catalogue import load_catalogue
from framing.engine.errors import UnknownProfile
from framing.engine.floor import Partition
from framing.engine.geometry import Point
from framing.engine.members import BayLayout
from framing.engine.practice import Practice
from framing.engine.result import Option
from framing.engine.sizing import (
    check_members,
    check_profile,
    choose_profile,
    options,
    plies_needed,
    span_warnings,
)
from framing.engine.sizing.cases import cases_of
from framing.engine.sizing.strengths import strength_of
from tests.engine.layout.builders import PRACTICE, document, lay, plan_of, rectangle

CATALOGUE = load_catalogue()
STAIR = {"id": "S1", "name": "Stair", "kind": "stair", "corner": ["10'", "4'"], "size": ["3'", "8'"]}


def test_equal_joists_share_one_answer_with_clause_and_inputs() -> None:
    plan = rectangle("24'", "16'")
    (answer,) = check_members(plan, (lay(plan),), CATALOGUE, PRACTICE)
    assert (answer.title, len(answer.members), answer.span_in) == ("Joist, span 15'-1\"", 17, 181.0)
    by_name = {check.name: check for check in answer.checks}
    # 66.67 plf over 15.083 ft: M = wL2/8 = 1,895.9 lb-ft, V = wL/2
    assert by_name["Bending, local buckling"].demand == pytest.approx(
        66.6667 * 15.0833**2 / 8 * 12 / 1000, rel=1e-4
    )
    strength = strength_of(CATALOGUE.profile("1000S162-54"), PRACTICE)
    assert by_name["Bending, distortional buckling"].capacity == strength.distortional_moment_kipin
    assert by_name["Shear"].demand == pytest.approx(66.6667 * 15.0833 / 2, rel=1e-4)
    # 5 w L4 / (384 E I) with 53.33 plf of live load
    live = 5 * (53.3333 / 12) * 181.0**4 / (384 * 29.5e6 * strength.effective_inertia_in4)
    assert by_name["Live-load deflection"].demand == pytest.approx(live, rel=1e-4)
    assert by_name["Live-load deflection"].capacity == pytest.approx(181 / 480)
    assert answer.checks[answer.governing].name == "Live-load deflection"
    assert dict(answer.checks[0].inputs)["Live load"] == "40 psf"
    assert by_name["Shear"].clause == "AISI S100 G2"
    assert answer.passes


def test_net_shear_is_held_at_the_hole_nearest_the_bearing() -> None:
    plan = rectangle("24'", "16'")
    layout = lay(plan)
    (answer,) = check_members(plan, (layout,), CATALOGUE, PRACTICE)
    first = layout.members[0]
    edges = [(first.low_16 + hole) / 16 + side for hole in first.holes_16 for side in (-2.0, 2.0)]
    farthest = max(abs(edge - 96.0) for edge in edges)
    check = next(check for check in answer.checks if check.name == "Shear at a hole")
    assert check.demand == pytest.approx(66.6667 / 12 * farthest, rel=1e-4)


def test_a_deflection_limit_of_nought_is_switched_off() -> None:
    plan = rectangle("24'", "16'")
    (answer,) = check_members(plan, (lay(plan),), CATALOGUE, replace(PRACTICE, live_deflection=0))
    assert "Live-load deflection" not in {check.name for check in answer.checks}


def test_every_profile_and_spacing_is_an_option_in_the_stated_order() -> None:
    plan = rectangle("24'", "20'")
    found = options(plan, lay(plan), CATALOGUE, PRACTICE)
    assert len(found) == 4 * len(CATALOGUE.profiles)
    passing = [option for option in found if option.passes]
    failing = [option for option in found if not option.passes]
    assert passing
    assert failing
    assert list(found) == passing + failing
    assert [option.weight_lb for option in passing] == sorted(option.weight_lb for option in passing)
    assert [option.ratio for option in failing] == sorted(option.ratio for option in failing)
    assert all(option.ratio <= 1 and not option.reason for option in passing)
    assert all(option.ratio > 1 and option.governing in option.reason for option in failing)


def test_an_option_says_what_laying_it_out_says() -> None:
    plan = rectangle("24'", "20'")
    here = next(
        o
        for o in options(plan, lay(plan), CATALOGUE, PRACTICE)
        if (o.profile, o.spacing_in) == ("1000S162-54", 24.0)
    )
    wider = rectangle("24'", "20'", spacing="24")
    (answer,) = check_members(wider, (lay(wider),), CATALOGUE, PRACTICE)
    assert here.ratio == pytest.approx(answer.checks[answer.governing].ratio, rel=0.02)
    assert here.passes == answer.passes is False


def test_the_lightest_passing_profile_is_chosen_at_the_bays_spacing() -> None:
    plan = rectangle("24'", "20'")
    layout = lay(plan)
    chosen = choose_profile(plan, layout, CATALOGUE, PRACTICE)
    passing = [o for o in options(plan, layout, CATALOGUE, PRACTICE) if o.passes and o.spacing_in == 16.0]
    assert chosen == passing[0].profile
    lighter = [p for p in CATALOGUE.profiles if p.weight_plf < CATALOGUE.profile(chosen).weight_plf]
    assert all(p.designator not in {o.profile for o in passing} for p in lighter)


def test_a_fixed_profile_stays_even_where_it_fails() -> None:
    plan = rectangle("24'", "24'", profile="800S162-54")
    assert choose_profile(plan, lay(plan), CATALOGUE, PRACTICE) == "800S162-54"
    unknown = rectangle("24'", "24'", profile="900S162-54")
    with pytest.raises(UnknownProfile):
        choose_profile(unknown, lay(unknown), CATALOGUE, PRACTICE)


def test_where_nothing_passes_the_nearest_is_chosen() -> None:
    plan = rectangle("24'", "39'", spacing="24")
    layout = lay(plan)
    found = options(plan, layout, CATALOGUE, PRACTICE)
    at_spacing = [option for option in found if option.spacing_in == 24.0]
    assert not any(option.passes for option in at_spacing)
    assert choose_profile(plan, layout, CATALOGUE, PRACTICE) == min(at_spacing, key=lambda o: o.ratio).profile


def test_a_failing_trimmer_asks_for_more_plies_up_to_three() -> None:
    plan = rectangle("24'", "24'", openings=[{**STAIR, "size": ["10'", "8'"]}])
    checks = check_members(plan, (lay(plan),), CATALOGUE, PRACTICE)
    failing = [c for c in checks if c.plies > 1 and not c.passes]
    assert failing
    plies, problems = plies_needed(checks, PRACTICE)
    assert set(plies) == {member for c in failing for member in c.members}
    assert set(plies.values()) == {3}
    over = {m for c in failing if max(k.ratio for k in c.checks) > 1.5 for m in c.members}
    assert {problem.place for problem in problems} == over
    assert all("engineered beam" in problem.message for problem in problems)


def test_nothing_to_ply_up_where_all_pass() -> None:
    plan = rectangle("24'", "14'", openings=[{**STAIR, "corner": ["10'", "3'"]}])
    checks = check_members(plan, (lay(plan),), CATALOGUE, PRACTICE)
    assert plies_needed(checks, PRACTICE) == ({}, ())


def test_an_unusual_span_is_a_warning() -> None:
    plan = rectangle("24'", "21'-3\"")
    # clear 255 - 11 = 244 in; 24 x 10 = 240
    (warning,) = span_warnings(plan, (lay(plan),), CATALOGUE, PRACTICE)
    assert (warning.place, "24.4 times the depth" in warning.message) == ("bays.0", True)
    assert span_warnings(plan, (lay(plan),), CATALOGUE, Practice(unusual_span_over_depth=24.4)) == ()


def test_a_vibration_method_that_is_asked_for_can_govern() -> None:
    plan = rectangle("24'", "20'")
    asked = replace(PRACTICE, vibration_point_load=True)
    plain = {(o.profile, o.spacing_in): o for o in options(plan, lay(plan), CATALOGUE, PRACTICE)}
    held = {(o.profile, o.spacing_in): o for o in options(plan, lay(plan), CATALOGUE, asked)}
    assert all(held[key].ratio >= plain[key].ratio for key in plain)
    lively = [o for o in held.values() if o.governing == "Vibration, 1 kN at midspan" and not o.passes]
    assert lively
    assert all("1 kN point-load limit" in option.reason for option in lively)
    assert any(plain[option.profile, option.spacing_in].passes for option in lively)


def test_an_option_that_only_just_governs_by_vibration_passes_without_a_reason() -> None:
    plan = rectangle("24'", "10'")
    asked = replace(PRACTICE, vibration_point_load=True)
    found = [o for o in options(plan, lay(plan), CATALOGUE, asked) if o.governing.startswith("Vibration")]
    assert any(option.passes and not option.reason for option in found)


def test_a_floor_without_load_passes_everywhere() -> None:
    plain = rectangle("24'", "16'")
    empty = replace(plain, load_case=replace(plain.load_case, live_psf=0.0, layers=()))
    found = options(empty, lay(empty), CATALOGUE, PRACTICE)
    assert all(option.passes and option.ratio == 0 and option.governing for option in found)


def test_inputs_tell_of_cold_work_where_it_counts() -> None:
    plan = rectangle("24'", "16'")
    thick = check_members(plan, (replace(lay(plan), profile="800S200-97"),), CATALOGUE, PRACTICE)
    demand = cases_of(plan, lay(plan), PRACTICE)[0].first.demand
    checks = check_profile(demand, CATALOGUE.profile("800S200-97"), 1, PRACTICE)
    shown = dict(checks[0].inputs)
    assert float(shown["Yield with cold work of forming"].split()[0]) > 50
    assert "Yield with cold work of forming" not in dict(thick[0].checks[0].inputs)


def _option(spacing: str, tried_in: float, *, wall_from: float, wall_to: float) -> Option:
    """1000S162-54 tried at a spacing on a 24 x 16 ft floor drawn at another, a wall of 100 lb/ft across at 8 ft."""
    wall = {"id": "P1", "load_plf": 100, "from": [wall_from, 96], "to": [wall_to, 96]}
    ring = [[0, 0], [288, 0], [288, 192], [0, 192]]
    plan = plan_of(document(ring, partitions=[wall], bays=[{"direction": "y", "spacing": spacing}]))
    found = options(plan, lay(plan), CATALOGUE, PRACTICE)
    return next(o for o in found if (o.profile, o.spacing_in) == ("1000S162-54", tried_in))


@pytest.mark.parametrize("drawn", ["12", "16", "24"])
def test_a_wall_across_weighs_on_a_joist_by_the_spacing_tried(drawn: str) -> None:
    # at 12 in: wL = 40 x 12/144 = 3.33333 lb per in, P = 100 lb at midspan of 181 in
    stiffness = 29.5e6 * strength_of(CATALOGUE.profile("1000S162-54"), PRACTICE).effective_inertia_in4
    sag = 5 * 3.33333 * 181**4 / (384 * stiffness) + 100 * 181**3 / (48 * stiffness)
    tried = _option(drawn, 12.0, wall_from=0, wall_to=288)
    assert tried.governing == "Live-load deflection"
    assert tried.ratio == pytest.approx(sag / (181 / 480), rel=1e-4)


def test_a_wall_over_a_part_of_a_strip_is_not_lessened_with_the_spacing() -> None:
    # 12 in long over the joist at 96, all of it on that joist at 24 in and at 12 in
    drawn = _option("24", 24.0, wall_from=90, wall_to=102)
    assert _option("24", 12.0, wall_from=90, wall_to=102).ratio == pytest.approx(drawn.ratio)


def test_more_plies_are_not_asked_for_where_the_web_is_too_slender() -> None:
    stair = {**STAIR, "size": ["3'", "8'"]}
    plain = rectangle("24'", "16'", openings=[stair], profile="1200S162-54")
    wall = Partition("P1", Point(0, 34 * 16), Point(24 * 192, 34 * 16), bearing=False, load_plf=240.0)
    plan = replace(plain, partitions=(wall,))
    checks = check_members(plan, (replace_profile(lay(plan), "1200S162-54"),), CATALOGUE, PRACTICE)
    slender = [c for c in checks if c.plies > 1 and not c.passes]
    assert slender
    assert all(c.checks[c.governing].name == "Slenderness of the web" for c in slender)
    assert plies_needed(checks, PRACTICE) == ({}, ())


def replace_profile(layout: BayLayout, profile: str) -> BayLayout:
    """The same members in another profile."""
    return replace(
        layout, profile=profile, members=tuple(replace(m, profile=profile) for m in layout.members)
    )
