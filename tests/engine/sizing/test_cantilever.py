"""Joists that run out over a bearing to a free edge, worked by hand.

16 in spacing, 10 + 40 psf: wD = 10 x 16 / 144 = 1.1111, wL = 4.4444, w = 5.5556 lb per in. The free edge is at y 0,
the bearing W1 at y a, the far face at y a + L. A tip is taken to reach the outline, 1 1/2 in past the cut end.

Overhang a and span L, even load w (statics; the tip's deflection by the moment-area theorem):
M over W1 = w a^2 / 2; back reaction = w L / 2 - w a^2 / (2 L);
tip from load on the overhang = w a^3 (4 L + 3 a) / 24 EI down, from load on the span = w L^3 a / 24 EI up.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from framing.engine.errors import FloorRefused
from framing.engine.floor import FloorPlan
from framing.engine.members import EndKind, MemberEnd
from framing.engine.pipeline import design_floor
from framing.engine.result import MemberCheck
from framing.engine.sizing import check_members, member_sheets
from framing.engine.sizing.figure import ELASTIC_MODULUS_PSI
from framing.engine.sizing.strengths import strength_of
from framing.engine.sizing.tributary import Carried, carried_on
from tests.engine.layout.builders import PRACTICE
from tests.engine.sizing.floors import CATALOGUE, PROFILE, box, carried, floor, laid, widths

DEAD, LIVE = 10 * 16 / 144, 40 * 16 / 144
ALL = DEAD + LIVE


def cantilever(over: float, span: float, **rest: object) -> FloorPlan:
    """A free edge at y 0, a wall at y `over`, a clear span behind it."""
    wall = {"id": "W1", "from": [0, over], "to": [240, over]}
    edges = [{"edge": 0, "kind": "free"}]
    bays = [{"id": "A", "direction": "y", "profile": PROFILE}]
    return floor(box(240, over + span + 5.5), edges=edges, supports=[wall], bays=bays, **rest)


def first(plan: FloorPlan) -> Carried:
    return carried(plan)["A.J1"]


def answer(plan: FloorPlan) -> MemberCheck:
    (found,) = check_members(plan, laid(plan), CATALOGUE, PRACTICE)
    return found


def test_the_tip_is_no_support_and_the_floor_weighs_out_to_the_outline() -> None:
    one = first(cantilever(24, 138.5))
    assert one.model.supports_in == (24.0, 162.5)
    assert one.model.ends_in == (0.0, 162.5)
    assert widths(one) == [(0.0, 162.5, 16.0)]
    assert one.demand.overhangs_in == (24.0,)


def test_live_load_is_patterned_over_span_and_overhang() -> None:
    demand = first(cantilever(24, 138.5)).demand
    # dead on the overhang, all on the span
    back = ALL * 138.5 / 2 - DEAD * 24**2 / 2 / 138.5
    assert demand.positive_moment_lb_in == pytest.approx(back**2 / (2 * ALL))
    (back_dead, back_live) = demand.reactions_lb[1]
    assert back_dead == pytest.approx(DEAD * 138.5 / 2 - DEAD * 24**2 / 2 / 138.5)
    assert back_live == pytest.approx(LIVE * 138.5 / 2)
    # over the wall all live load pushes
    over_dead, over_live = demand.reactions_lb[0]
    assert (over_dead + over_live) == pytest.approx(ALL * 162.5 - (ALL * 138.5 / 2 - ALL * 24**2 / 2 / 138.5))


def test_the_bottom_flange_is_unbraced_over_the_overhang_and_back_to_the_strap() -> None:
    demand = first(cantilever(48, 72)).demand
    # live load on the overhang alone turns all of the 72 in span over; no strap under 96 in
    found = {round(region.unbraced_in, 6): region for region in demand.negative}
    assert set(found) == {48.0, 72.0}
    assert found[48.0].moment_lb_in == pytest.approx(ALL * 48**2 / 2)
    assert found[48.0].cb == 1.0
    assert found[72.0].moment_lb_in == pytest.approx(ALL * 48**2 / 2)
    # M at quarters from the wall: back reaction dead wD 72/2 - 6400/72, M(s) = R s - wD s^2 / 2 from the back
    back = DEAD * 36 - 6400 / 72
    quarter, half, three = (abs(back * s - DEAD * s**2 / 2) for s in (54, 36, 18))
    assert found[72.0].cb == pytest.approx(12.5 * 6400 / (2.5 * 6400 + 3 * quarter + 4 * half + 3 * three))
    strapped = first(cantilever(48, 110)).demand
    # a strap holds it in the middle of the span's 108.25 in, 1.75 + 54.125 behind the wall's centre
    assert 48.0 in {round(region.unbraced_in, 6) for region in strapped.negative}
    assert all(region.unbraced_in <= 55.875 + 1e-9 for region in strapped.negative)


def test_the_tip_may_bend_by_twice_the_overhang_over_the_limit() -> None:
    plan = cantilever(48, 72)
    found = answer(plan)
    stiffness = ELASTIC_MODULUS_PSI * strength_of(CATALOGUE.profile(PROFILE), PRACTICE).effective_inertia_in4
    down = 48**3 * (4 * 72 + 3 * 48) / 24
    up = 72**3 * 48 / 24
    checks = {check.name: check for check in found.checks}
    live, total = checks["Live-load deflection"], checks["Total deflection"]
    assert live.demand == pytest.approx(LIVE * down / stiffness)
    assert live.capacity == pytest.approx(96 / 480)
    assert total.demand == pytest.approx((ALL * down - DEAD * up) / stiffness)
    assert total.capacity == pytest.approx(96 / 240)
    assert {live.clause, total.clause} == {"R16, L is twice the overhang"}
    assert dict(live.inputs)["Length that limits divide at a tip"] == "twice the overhang (IBC Table 1604.3)"
    assert found.title == "Joist, span 6'-0\", overhang 4'-0\""


def test_where_the_span_bends_more_for_its_length_its_own_length_is_taken() -> None:
    checks = {check.name: check for check in answer(cantilever(24, 138.5)).checks}
    assert checks["Live-load deflection"].capacity == pytest.approx(138.5 / 480)
    assert checks["Live-load deflection"].clause == "R16"


def test_a_back_bearing_that_is_lifted_is_warned_of() -> None:
    found = answer(cantilever(48, 72))
    # live on the overhang 4.4444 x 1152 / 72 = 71.11 up, dead 1.1111 x (36 - 16) = 22.22 down
    assert found.warnings == (
        "Live load on other spans lifts this member off its bearing 2 by 49 lb: tie it down.",
    )
    assert answer(cantilever(24, 138.5)).warnings == ()


@pytest.mark.parametrize(("over", "words"), [(48, "inside, on one flange"), (14, "at an end, on one flange")])
def test_the_web_is_pressed_at_the_passed_bearing(over: float, words: str) -> None:
    # 3 1/2 in of wall: 12.25 clear to the tip is under 1.5 h = 1.5 x 9.717
    plan = cantilever(over, 120)
    (sheet,) = member_sheets(design_floor(plan, CATALOGUE, PRACTICE), CATALOGUE, PRACTICE)
    assert f"Web crippling {words}" in {working.title for working in sheet.workings}
    crippling = next(check for check in sheet.check.checks if check.name == "Web crippling")
    back = ALL * 120 / 2 - ALL * over**2 / 2 / 120
    assert crippling.demand == pytest.approx(ALL * (120 + over) - back)
    assert "nothing bears at a free tip" in sheet.check.notes[0]
    assert [words for _, words in sheet.supports] == ["inner bearing W1", "outside bearing"]
    # places count from the cut end, 1 1/2 in inside the outline
    assert sheet.supports[0][0] == pytest.approx(over - 1.5)


def test_the_sheet_says_that_the_overhang_rules() -> None:
    (sheet,) = member_sheets(design_floor(cantilever(48, 72), CATALOGUE, PRACTICE), CATALOGUE, PRACTICE)
    working = next(working for working in sheet.workings if working.title == "Deflection")
    lengths = [(value.words, value.value) for value in working.values if value.symbol == "L"]
    assert lengths == [("Twice the overhang, which is the worst", 96.0)] * 2


def test_a_wall_on_the_rim_of_a_free_edge_weighs_on_the_tips() -> None:
    wall = {"id": "P1", "load_plf": 120, "from": [0, 0], "to": [240, 0]}
    one = first(cantilever(24, 138.5, partitions=[wall]))
    (point,) = one.model.points
    assert (point.at_in, point.live_lb) == (0.0, pytest.approx(160.0))
    assert one.demand.moment_lb_in >= ALL * 288 + 160 * 24 - 1e-6


def test_an_upper_free_edge_is_the_mirror_image() -> None:
    wall = {"id": "W1", "from": [0, 77.5], "to": [240, 77.5]}
    bays = [{"id": "A", "direction": "y", "profile": PROFILE}]
    edges = [{"edge": 2, "kind": "free"}]
    one = first(floor(box(240, 125.5), edges=edges, supports=[wall], bays=bays))
    assert one.model.supports_in == (5.5, 77.5)
    assert one.model.ends_in == (5.5, 125.5)
    mirrored = first(cantilever(48, 72)).demand
    assert one.demand.total_sag == pytest.approx(mirrored.total_sag)
    assert one.demand.moment_lb_in == pytest.approx(mirrored.moment_lb_in)
    assert one.demand.uplift_lb == pytest.approx(mirrored.uplift_lb[::-1])
    assert one.demand.tip_rules(one.demand.total_sags)
    assert [seat is None for seat in one.seats.supports] == [True, False]


def test_a_skewed_free_edge_is_taken_out_to_its_farthest_in_the_strip() -> None:
    # from (0, 0) to (240, -60) a quarter falls per inch: 2 in more at 8 in aside
    wall = {"id": "W1", "from": [0, 24], "to": [240, 24]}
    outline = [[0, 0], [240, -60], [240, 168], [0, 168]]
    bays = [{"id": "A", "direction": "y", "profile": PROFILE}]
    edges = [{"edge": 0, "kind": "free"}]
    found = carried(floor(outline, edges=edges, supports=[wall], bays=bays))
    assert found["A.J1"].model.ends_in[0] == pytest.approx(-16 / 4 - 2)
    assert found["A.J4"].model.ends_in[0] == pytest.approx(-64 / 4 - 2)
    assert widths(found["A.J4"]) == [(pytest.approx(-18), 162.5, 16.0)]
    # the last one at 224 has 8 in aside up to 232
    assert found["A.J14"].model.ends_in[0] == pytest.approx(-224 / 4 - 2)


def test_a_joist_over_one_bearing_only_is_refused() -> None:
    plan = cantilever(48, 72)
    (layout,) = laid(plan)
    member = layout.members[0]
    far = replace(
        member, crossings=(), high=MemberEnd(EndKind.LAP, "support:W1", member.crossings[0].low_face_16)
    )
    with pytest.raises(FloorRefused, match="free edge over one bearing only"):
        carried_on(plan, (replace(layout, members=(far, *layout.members[1:])),), PRACTICE)
