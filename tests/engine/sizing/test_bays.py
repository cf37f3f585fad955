"""Several bays on one floor, double joists, one depth, and openings beside walls, worked by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from framing.engine.floor import FloorPlan
from framing.engine.members import EndKind
from framing.engine.pipeline import design_floor
from framing.engine.sizing import (
    check_members,
    choose_profile,
    choose_profiles,
    depth_warnings,
    holes_matter,
    options,
    plies_needed,
)
from framing.engine.sizing.cases import is_built_up
from framing.engine.sizing.strengths import strength_of
from framing.engine.vibration import vibration_checks
from tests.engine.layout.builders import PRACTICE
from tests.engine.sizing.floors import CATALOGUE, PROFILE, box, carried, floor, laid, widths

HEAVY = {"occupancy": "Stacks", "live_psf": 100, "layers": [{"name": "All", "psf": 20}]}


def side_by_side(**second: Any) -> FloorPlan:
    """Two bays of 20 x 14 ft with a border at x 240 that the joists of both run beside."""
    bays = [
        {"id": "A", "direction": "y", "outline": box(240, 168)},
        {"id": "B", "direction": "y", "outline": box(240, 168, 240), **second},
    ]
    return floor(box(480, 168), bays=bays)


def test_at_a_border_beside_them_joists_share_the_floor_between() -> None:
    found = carried(side_by_side(spacing="12"))
    # A's stations 16 ... 224, B's from 252; 28 in between is over 16: one more in the middle, at 238
    assert [found[m].member.centre_16 / 16 for m in ("A.J14", "A.J15")] == [224, 238]
    # 14 in to each side of 238; at least half the spacing: 8 in A, 6 in B
    assert widths(found["A.J14"]) == [(5.5, 162.5, 16)]
    assert widths(found["A.J15"]) == [(5.5, 162.5, 16)]
    assert widths(found["B.J1"]) == [(5.5, 162.5, 7 + 6)]
    assert widths(found["B.J2"]) == [(5.5, 162.5, 12)]


def test_the_last_joist_before_a_border_with_nothing_beyond_has_half_a_spacing() -> None:
    bays = [
        {"id": "A", "direction": "y", "outline": box(240, 168)},
        {"id": "B", "direction": "x", "outline": box(240, 168, 240)},
    ]
    wall = {"id": "W1", "from": [240, 0], "to": [240, 168]}
    found = carried(floor(box(480, 168), bays=bays, supports=[wall]))
    last = max((c for c in found.values() if c.member.bay == "A"), key=lambda c: c.member.centre_16)
    assert last.member.centre_16 in (224 * 16, 240 * 16)
    assert widths(last) == [(5.5, 162.5, 16)]


def test_each_bay_weighs_by_its_own_loads_and_says_so() -> None:
    plan = side_by_side(load_case=HEAVY)
    found = carried(plan)
    assert widths(found["B.J9"], dead_psf=20) == [(5.5, 162.5, 16)]
    answers = check_members(plan, laid(plan), CATALOGUE, PRACTICE)
    shown = {answer.members[0][0]: dict(answer.checks[0].inputs) for answer in answers}
    assert (shown["A"]["Live load"], shown["A"]["Dead load"]) == ("40 psf", "10 psf")
    assert (shown["B"]["Live load"], shown["B"]["Dead load"]) == ("100 psf", "20 psf")


def test_double_joists_carry_with_two_plies() -> None:
    plan = side_by_side(plies=2)
    single, double = (
        next(a for a in check_members(plan, laid(plan), CATALOGUE, PRACTICE) if f"{bay}.J7" in a.members)
        for bay in "AB"
    )
    assert (single.title, double.title) == ("Joist, span 13'-1\"", "Joist, 2-ply, span 13'-1\"")
    for one, two in zip(single.checks, double.checks, strict=True):
        if not one.name.startswith("Vibration"):
            assert two.ratio == pytest.approx(one.ratio / 2)


def test_options_of_double_joists_have_two_plies_neither_less_nor_more() -> None:
    plan = side_by_side(plies=2)
    layouts = laid(plan)
    single, double = (
        {(o.profile, o.spacing_in): o for o in options(plan, layout, CATALOGUE, PRACTICE, layouts)}
        for layout in layouts
    )
    at = (PROFILE, 16.0)
    assert double[at].ratio == pytest.approx(single[at].ratio / 2)
    # steel of both plies: 18 joists against the first bay's, the border's joist among them
    lengths = [sum(m.length_16 * m.plies for m in layout.members) / 192 for layout in layouts]
    weight = CATALOGUE.profile(PROFILE).weight_plf
    assert (single[at].weight_lb, double[at].weight_lb) == pytest.approx([n * weight for n in lengths])


def test_the_joist_under_a_bearing_partition_may_have_a_third_ply_among_double_ones() -> None:
    wall = {"id": "P1", "from": [104, 0], "to": [104, 240], "bearing": True, "load_plf": 700}
    plan = floor(box(240, 240), bays=[{"id": "A", "direction": "y", "plies": 2}], partitions=[wall])
    (layout,) = laid(plan)
    under = next(m for m in layout.members if m.centre_16 == 104 * 16)
    assert [is_built_up(plan, layout, m) for m in layout.members].count(True) == 1
    assert is_built_up(plan, layout, under)
    answer = next(a for a in check_members(plan, (layout,), CATALOGUE, PRACTICE) if under.id in a.members)
    # it rules; checked as it stands on two plies, tried on three
    sag = next(c for c in answer.checks if c.name == "Live-load deflection")
    tried = next(
        o for o in options(plan, layout, CATALOGUE, PRACTICE) if (o.profile, o.spacing_in) == (PROFILE, 16)
    )
    assert tried.ratio == pytest.approx(sag.ratio * 2 / 3)
    assert not any(check.name.startswith("Vibration") for check in answer.checks)


def test_double_joists_that_fail_are_not_given_a_third_ply() -> None:
    plan = floor(box(240, 400), bays=[{"id": "A", "direction": "y", "plies": 2, "profile": "800S162-54"}])
    result = design_floor(plan, CATALOGUE, PRACTICE)
    assert not result.passes
    assert {member.plies for member in result.members} == {2}
    assert not any("engineered beam" in warning.message for warning in result.warnings)
    # asked without the list of built-up members, they count as such
    plies, problems = plies_needed(result.checks, PRACTICE)
    assert set(plies.values()) == {3}
    assert problems
    assert plies_needed(result.checks, PRACTICE, ()) == ({}, ())


def test_double_joists_are_walked_on_as_one() -> None:
    plan = side_by_side(plies=2, load_case={**HEAVY, "layers": []})
    answers = check_members(plan, laid(plan), CATALOGUE, PRACTICE)
    double = next(a for a in answers if "B.J7" in a.members)
    profile = CATALOGUE.profile(PROFILE)
    stiffness = 29.5e6 * strength_of(profile, PRACTICE).effective_inertia_in4
    # no layers: the floor weighs its steel, two plies each 16 in; the bay is 240 in wide
    steel_psf = 2 * profile.weight_plf * 12 / 16
    wanted = vibration_checks(157.0, 16.0, 2 * stiffness, steel_psf, 240.0, PRACTICE)
    found = [check for check in double.checks if check.name.startswith("Vibration")]
    assert [check.ratio for check in found] == pytest.approx([check.ratio for check in wanted])


def deep_and_shallow(**second: Any) -> FloorPlan:
    """A bay of 18 ft and one of 8 ft beside it."""
    bays = [
        {"id": "A", "direction": "y", "outline": box(240, 216)},
        {"id": "B", "direction": "y", "outline": box(240, 96, 240), **second},
    ]
    outline = [[0, 0], [480, 0], [480, 96], [240, 96], [240, 216], [0, 216]]
    return floor(outline, bays=bays)


def test_all_bays_get_the_depth_of_the_deepest() -> None:
    plan = deep_and_shallow()
    layouts = laid(plan)
    own = [choose_profile(plan, layout, CATALOGUE, PRACTICE, layouts) for layout in layouts]
    depths = [CATALOGUE.profile(name).depth_16 for name in own]
    assert depths[0] > depths[1]
    chosen = choose_profiles(plan, layouts, CATALOGUE, PRACTICE)
    assert chosen["A"].designator == own[0]
    assert chosen["B"].depth_16 == depths[0]
    # the lightest of that depth that passes
    passing = [
        o.profile
        for o in options(plan, layouts[1], CATALOGUE, PRACTICE, layouts)
        if o.passes and o.spacing_in == 16 and CATALOGUE.profile(o.profile).depth_16 == depths[0]
    ]
    assert chosen["B"].designator == passing[0]
    result = design_floor(plan, CATALOGUE, PRACTICE)
    assert {CATALOGUE.profile(layout.profile).depth_16 for layout in result.bays} == {depths[0]}
    assert not any("deep; choose that depth" in warning.message for warning in result.warnings)


def test_a_fixed_profile_of_another_depth_stays_and_is_warned_of() -> None:
    result = design_floor(deep_and_shallow(profile="800S162-54"), CATALOGUE, PRACTICE)
    assert result.bays[1].profile == "800S162-54"
    depth_in = CATALOGUE.profile(result.bays[0].profile).depth_16 / 16
    (warning,) = (w for w in result.warnings if w.place == "bays.1.profile")
    assert warning.message == (
        f"Bay B is fixed to 800S162-54, but the floor's joists are {depth_in:g} in deep; choose that depth, or "
        "step the bearings."
    )


def test_a_fixed_profile_deeper_than_needed_draws_the_others_along() -> None:
    plan = deep_and_shallow(profile="1200S162-68")
    result = design_floor(plan, CATALOGUE, PRACTICE)
    assert CATALOGUE.profile(result.bays[0].profile).depth_16 == 192
    assert depth_warnings(result.bays, CATALOGUE) == ()


def test_holes_are_heeded_in_a_choice_where_a_bare_web_is_pressed() -> None:
    plain = side_by_side()
    assert not holes_matter(plain, laid(plain), PRACTICE)
    wall = {"id": "W1", "from": [0, 84], "to": [480, 84], "joint": "through"}
    through = floor(box(480, 168), bays=[{"id": "A", "direction": "y"}], supports=[wall])
    assert holes_matter(through, laid(through), PRACTICE)


def test_the_choice_is_the_same_however_it_is_come_by() -> None:
    """A layout in one profile serves all of its flange width; holes change nothing where none is heeded."""
    plan = deep_and_shallow()
    result = design_floor(plan, CATALOGUE, PRACTICE)
    chosen = {layout.bay.id: layout.profile for layout in result.bays}
    fresh = [replace(bay, profile=chosen[bay.id]) for bay in plan.bays]
    layouts = laid(replace(plan, bays=tuple(fresh)))
    assert [replace(m, profile="") for layout in layouts for m in layout.members] == [
        replace(m, profile="") for layout in result.bays for m in layout.members
    ]
    again = choose_profiles(plan, laid(plan, chosen["A"]), CATALOGUE, PRACTICE)
    assert {bay: profile.designator for bay, profile in again.items()} == chosen


def test_a_header_without_a_trimmer_on_one_side_bears_on_the_outside_wall() -> None:
    # 3 in between opening and outline: no room for a trimmer, headers run to the wall
    stair = {"id": "S1", "name": "Stair", "kind": "stair", "corner": [3, 48], "size": [36, 96]}
    found = carried(floor(box(288, 192), openings=[stair], bays=[{"id": "A", "direction": "y"}]))
    header = found["A.H1"]
    assert header.member.low.kind is EndKind.PLATFORM
    assert header.member.low.host == "edge:3"
    # wall's face at 5.5, trimmer's at 39 + 1.125; far face 1.125 + 3.25 from the edge
    assert header.model.supports_in == (5.5, 40.125)
    assert widths(header) == [(5.5, 40.125, 4.375)]
    trimmer = found["A.T1"]
    hung = [p.source for p in trimmer.model.points]
    assert hung == ["A.H1", "A.H2"]
    assert trimmer.model.points[0].live_lb == pytest.approx(header.demand.reactions_lb[1][1])
