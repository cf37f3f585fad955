"""Point loads worked on paper: at a quarter of a joist, on a header, on a cantilever's tip, on two spans.

Lengths in in, forces in lb. Joists of 1000S162-54 (50 ksi) at 16 in: wD = 10 x 16/144 = 1.11111, wL = 4.44444,
w = 5.55556 lb per in. Strengths of one ply as in `test_members_on_paper`: Mnlo 78.609, Mnd 67.421 kip-in, Vn 2656.8 lb,
E Ixe 277,053 kip-in2, h 9.717, t 0.0566. P = 400: 100 dead, 300 live; LRFD 1.2 x 100 + 1.6 x 300 = 600.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from framing.engine import FloorResult, Practice, design_floor, load_catalogue
from framing.engine.floor import FloorPlan, StandingLoad
from framing.engine.geometry import Point
from framing.engine.members import Member, MemberKind
from framing.engine.method import Method
from framing.engine.result import Check, MemberCheck
from framing.engine.sizing import member_sheets
from framing.engine.sizing.tributary import Carried
from tests.engine.layout.builders import PRACTICE, rectangle
from tests.engine.sizing.floors import box, carried, floor

CLOSE = 0.001
W_DEAD, W_LIVE, EIX = 1.111111, 4.444444, 277_053_000.0
PROFILE = "1000S162-54"
P = 400.0


def post(x: float, y: float, dead: float = 100.0, live: float = 300.0, name: str = "Q1") -> StandingLoad:
    return StandingLoad(name, "Post", Point(round(16 * x), round(16 * y)), dead, live)


def with_posts(plan: FloorPlan, *posts: StandingLoad) -> FloorPlan:
    return replace(plan, point_loads=posts)


def designed(plan: FloorPlan, practice: Practice = PRACTICE) -> FloorResult:
    return design_floor(plan, load_catalogue(), practice)


def answer(result: FloorResult, member: str) -> dict[str, Check]:
    return {check.name: check for check in case(result, member).checks}


def case(result: FloorResult, member: str) -> MemberCheck:
    return next(check for check in result.checks if member in check.members)


# 1. A quarter of a simple span. 16-0 floor: L = 181 from face to face (5.5 .. 186.5). Joist A.J3 at x 48; P at
# y 50.75, a = 45.25, b = 135.75.
#   ASD   R1 = w L/2 + P b/L = 502.778 + 300 = 802.778 = V; R2 = 502.778 + 100 = 602.778
#         M under P = w a b/2 + P a b/L = 17,063.0 + 13,575 = 30,638.0; shear is 0 at x = (802.778 - 400)/w = 72.5 and
#         M = 802.778 x 72.5 - w 72.5^2/2 - 400 x 27.25 = 32,700.7
#         With shear, just before P: V = 802.778 - w a = 551.389:
#         ((30,638/47,071.3)^2 + (551.389/1660.49)^2)^1/2 = 0.73071
#   LRFD  w 8.44444, P 600: R1 = 764.222 + 450 = 1214.22; M at P = 25,935.8 + 20,362.5 = 46,298.3; shear 0 at
#         x = (1214.22 - 600)/w = 72.7368: M = 1214.22 x 72.7368 - w 72.7368^2/2 - 600 x 27.4868 = 49,488.1
#         V before P: 1214.22 - 382.111 = 832.111: ((46,298.3/70,748.1)^2 + (832.111/2523.95)^2)^1/2 = 0.73279
# Web crippling, interior, one flange, not fastened, 3 1/2 in: 13 x 160.178 (1 - 0.23 x 1.22474)(1 + 0.14 x 7.86368)
#   (1 - 0.01 x 13.1026) = 2730.7. Holes 24 .. 168 but 48, which is within 10 + 1.75 + 2 of P. The nearest edge is
#   that of 72: 70 - 52.5 = 17.5 from the plate: Rc = 0.90 - 0.047 x 1.5/9.717 + 0.053 x 17.5/9.717 = 0.98820,
#   Pn = 2698.4.
#   ASD 1.65: 400/1635.4; H3: (0.91 x 400/2698.4 + 30,638/78,609)/(1.33/1.70) = 0.67060
#   LRFD 0.90: 600/2428.6; H3: (0.91 x 600/2698.4 + 46,298.3/78,609)/(1.33 x 0.90) = 0.66109
# Shear at a hole: edge 22, x = 16.5: 802.778 - 91.667 = 711.111; LRFD 1214.22 - 139.333 = 1074.89.
# Bending at a hole: edge 74, x = 68.5: 802.778 x 68.5 - w 68.5^2/2 - 400 x 23.25 = 32,656.3; LRFD: 49,412.4.
QUARTER = {
    Method.ASD: {
        "Bending, local buckling": (32.7007, 47.0713),
        "Bending, distortional buckling": (32.7007, 40.3721),
        "Shear": (802.778, 1660.49),
        "Bending with shear": (0.73071, 1.0),
        "Web crippling": (400.0, 1635.4),
        "Bending with web crippling": (0.67060, 1.0),
        "Shear at a hole": (711.111, 1660.49),
        "Bending at a hole": (32.6563, 47.0713),
    },
    Method.LRFD: {
        "Bending, local buckling": (49.4881, 70.7481),
        "Bending, distortional buckling": (49.4881, 60.6793),
        "Shear": (1214.22, 2523.95),
        "Bending with shear": (0.73279, 1.0),
        "Web crippling": (600.0, 2428.6),
        "Bending with web crippling": (0.66109, 1.0),
        "Shear at a hole": (1074.89, 2523.95),
        "Bending at a hole": (49.4124, 70.7481),
    },
}


def sag_in(even: float, point: float) -> float:
    """Largest sag of a simple span of 181 under an even load and a force at 45.25, by the closed forms of handbooks."""
    length, a = 181.0, 45.25
    x = np.linspace(a, length, 200_001)  # it sags most beyond the force
    left = length - x
    sag = even * x * (length**3 - 2 * length * x**2 + x**3) / 24
    sag += point * a * left * (length**2 - a**2 - left**2) / (6 * length)
    return float(sag.max() / EIX)


@pytest.mark.parametrize("method", [Method.ASD, Method.LRFD])
def test_a_quarter_of_a_simple_span(method: Method) -> None:
    plan = with_posts(rectangle("240", "192", profile=PROFILE), post(48, 50.75))
    result = designed(plan, Practice(method=method))
    found = answer(result, "A.J3")
    paper = QUARTER[method] | {
        "Live-load deflection": (sag_in(W_LIVE, 300.0), 181 / 480),
        "Total deflection": (sag_in(W_LIVE + W_DEAD, 400.0), 181 / 240),
    }
    assert {name for name, check in found.items() if check.required} == set(paper)
    for name, (demand, capacity) in paper.items():
        assert found[name].demand == pytest.approx(demand, rel=CLOSE), name
        assert found[name].capacity == pytest.approx(capacity, rel=CLOSE), name


def test_only_the_joist_under_it_carries_it() -> None:
    bare = rectangle("240", "192", profile=PROFILE)
    result = designed(with_posts(bare, post(48, 50.75)))
    assert case(result, "A.J3").members == ("A.J3",)
    others, plain = case(result, "A.J2"), case(designed(bare), "A.J2")
    assert others.members == tuple(m for m in plain.members if m != "A.J3")
    assert others.checks == plain.checks


def test_no_hole_stands_within_ten_inches_of_the_post() -> None:
    result = designed(with_posts(rectangle("240", "192", profile=PROFILE), post(48, 50.75)))
    members = {member.id: member for member in result.members}
    assert places(members["A.J2"]) == [24, 48, 72, 96, 120, 144, 168]
    assert places(members["A.J3"]) == [24, 72, 96, 120, 144, 168]
    # from the printed end, which is 1 1/2 in behind the outline
    assert members["A.J3"].omitted == (((48 * 16 - 24), "too near a point load"),)
    assert members["A.J3"].mark != members["A.J2"].mark


def places(member: Member) -> list[float]:
    return [(member.low_16 + hole) / 16 for hole in member.holes_16]


@pytest.mark.parametrize(("off", "stays"), [(13.75, True), (13.6875, False)])
def test_exactly_ten_inches_from_plate_to_hole_are_enough(off: float, stays: bool) -> None:
    # half a plate 1.75, half a hole 2
    result = designed(with_posts(rectangle("240", "192", profile=PROFILE), post(48, 48 + off)))
    assert (48 in places(next(m for m in result.members if m.id == "A.J3"))) is stays


def test_the_sheet_and_the_case_name_the_post() -> None:
    plan = with_posts(rectangle("240", "192", profile=PROFILE), post(48, 50.75))
    result = designed(plan)
    sheet = next(s for s in member_sheets(result, load_catalogue(), PRACTICE) if "A.J3" in s.check.members)
    # from the cut end, 1.5: 49.25
    loads = [(load.words, load.value, load.reach_in) for load in sheet.loads if load.unit == "lb"]
    assert loads == [
        ("Dead load at 49.25 in, from Q1 Post", 100.0, (49.25, 49.25)),
        ("Live load at 49.25 in, from Q1 Post", 300.0, (49.25, 49.25)),
    ]
    assert ("Point load of Q1 Post", "400 lb at 45.2 in") in case(result, "A.J3").checks[0].inputs


# 2. On a header. Stair x 64..100, y 60..120; its high header's centre is y 120 + 1.125 + 1.625 = 122.75, the trimmers'
# faces are x 62.875 and 101.125: L = 38.25. P in the middle (82): P L/4 = 3825 lb-in more there, 50 + 150 on each end.
# A trimmer spans 181 with the header at 117.25 from its low face: 200 more there, of which 200 x 63.75/181 = 70.442 go
# to the low bearing and 129.558 to the high one.
STAIR = {"id": "O1", "name": "Stair", "corner": [64, 60], "size": [36, 60]}


def framed() -> FloorPlan:
    return floor(box(240, 192), openings=[STAIR], bays=[{"id": "A", "direction": "y", "profile": PROFILE}])


def test_a_header_and_its_trimmers_carry_it_on() -> None:
    bare, loaded = carried(framed()), carried(with_posts(framed(), post(82, 122.75)))
    header = next(
        c.member.id
        for c in bare.values()
        if c.member.kind is MemberKind.HEADER and c.member.centre_16 == 1964
    )
    one, two = bare[header], loaded[header]
    assert two.demand.supports_in == (62.875, 101.125)
    assert two.demand.total[0].moment_at(82.0) - one.demand.total[0].moment_at(82.0) == pytest.approx(
        P * 38.25 / 4
    )
    assert more(one, two) == pytest.approx([50, 150, 50, 150])
    trimmers = [c.member.id for c in bare.values() if c.member.kind is MemberKind.TRIMMER]
    assert len(trimmers) == 2
    for trimmer in trimmers:
        assert more(bare[trimmer], loaded[trimmer]) == pytest.approx(
            [70.442 / 4, 70.442 * 3 / 4, 129.558 / 4, 129.558 * 3 / 4], abs=1e-3
        )
        (rider,) = (p for p in loaded[trimmer].model.points if p.source == header)
        assert (rider.at_in, rider.plate_in) == (122.75, 0.0)
    others = [name for name, c in bare.items() if c.member.kind is MemberKind.JOIST]
    assert all(bare[name].model == loaded[name].model for name in others)


def more(one: Carried, two: Carried) -> list[float]:
    """What the loaded one brings to its supports over the bare one: dead and live of the first, of the second, ..."""
    pairs = zip(one.demand.reactions_lb, two.demand.reactions_lb, strict=True)
    return [b - a for before, after in pairs for a, b in zip(before, after, strict=True)]


def test_a_tail_brings_it_to_its_header() -> None:
    # Tail at x 80 from 5.5 to the header's far face, 55.625: a post at 30.5625, its middle, brings half to the header.
    bare, loaded = carried(framed()), carried(with_posts(framed(), post(80, 30.5625)))
    header = next(
        c.member.id for c in bare.values() if c.member.kind is MemberKind.HEADER and c.member.centre_16 == 916
    )
    # at x 80, 17.125 of 38.25 from the low trimmer
    assert more(bare[header], loaded[header]) == pytest.approx(
        [50 * 21.125 / 38.25, 150 * 21.125 / 38.25, 50 * 17.125 / 38.25, 150 * 17.125 / 38.25]
    )


def test_a_header_that_a_post_breaks_gets_a_ply_more() -> None:
    heavy = designed(with_posts(framed(), post(82, 122.75, 1500, 3500)))
    light = designed(framed())
    assert {m.plies for m in light.members if m.kind is MemberKind.HEADER} == {2}
    assert {m.plies for m in heavy.members if m.kind is MemberKind.HEADER and m.centre_16 > 1900} == {3}


# 3. On a cantilever's tip. Wall at y 24 under a free edge at y 0, clear span 138.5 behind it; P at the outline, over
# joist A.J1: 400 x 24 = 9600 more over the wall, 400 x 24/138.5 = 69.314 less at the back, tip
# P a2 (L + a)/3 = 400 x 576 x 162.5/3 = 12,480,000 lb-in3 more.
def test_a_cantilevers_tip() -> None:
    plan = floor(
        box(240, 168),
        edges=[{"edge": 0, "kind": "free"}],
        supports=[{"id": "W1", "from": [0, 24], "to": [240, 24]}],
        bays=[{"id": "A", "direction": "y", "profile": PROFILE}],
    )
    one, two = (carried(p)["A.J1"] for p in (plan, with_posts(plan, post(16, 0))))
    before, after = one.demand.total[0], two.demand.total[0]
    assert two.demand.ends_in == (0.0, 162.5)
    assert before.moment_at(24.0) - after.moment_at(24.0) == pytest.approx(9600)
    assert before.reactions_lb[1] - after.reactions_lb[1] == pytest.approx(9600 / 138.5)
    assert after.sag_at(0.0) - before.sag_at(0.0) == pytest.approx(12_480_000)
    # all of it comes with the overhang's live load: w 24^2/2 + 9600, at the wall's web 8 in back that much less
    assert max(region.moment_lb_in for region in two.demand.negative) == pytest.approx(1600 + 9600, abs=1e-3)
    # at the back live load on the span alone is the worst, and the post's dead part lifts
    assert more(one, two)[2:] == pytest.approx([-100 * 24 / 138.5, 0.0])
    # live load on the overhang alone: (wL 24^2/2 + 300 x 24)/138.5 = 61.227 up; dead wD 138.5/2 - wD 24^2/2/138.5
    # - 100 x 24/138.5 = 57.305 down
    assert two.demand.uplift_lb == pytest.approx((0.0, 3.922), abs=1e-3)


# 4. One piece over a wall at y 200: spans 194.5 and 130.5. P in the middle of the first, a = 97.25 (y 102.75): over the
# wall P a (L1^2 - a^2)/(2 L1 (L1 + L2)) = 21.8251 P = 8730.06; so R1 has P/2 - 8730.06/194.5 = 155.115 more, the far
# end 8730.06/130.5 = 66.897 less (live 50.173, dead 16.724), the wall 400 - 155.115 + 66.897 = 311.782 more.
def test_two_spans() -> None:
    plan = floor(
        box(240, 336),
        supports=[{"id": "W1", "from": [0, 200], "to": [240, 200], "joint": "through"}],
        bays=[{"id": "A", "direction": "y", "profile": PROFILE}],
    )
    one, two = (carried(p)["A.J3"] for p in (plan, with_posts(plan, post(48, 102.75))))
    before, after = one.demand.total[0], two.demand.total[0]
    assert two.demand.supports_in == (5.5, 200.0, 330.5)
    assert before.moment_at(200.0) - after.moment_at(200.0) == pytest.approx(8730.06, rel=1e-6)
    pushed = [b - a for a, b in zip(before.reactions_lb, after.reactions_lb, strict=True)]
    assert pushed == pytest.approx([155.115, 311.782, -66.897], abs=1e-3)
    # live load is set span by span: at the far end the live part of the post only lifts, so the largest has none of it
    assert more(one, two)[4:] == pytest.approx([-16.724, 0.0], abs=1e-3)
    assert more(one, two)[:2] == pytest.approx([155.115 / 4, 155.115 * 3 / 4], abs=1e-3)
    # under it: P/2 x 97.25 less half the wall's share
    assert after.moment_at(102.75) - before.moment_at(102.75) == pytest.approx(
        200 * 97.25 - 8730.06 / 2, rel=1e-6
    )


# 5. What presses on the web. Two posts whose plates overlap press on one stretch together, in LRFD each factored; a
# light one (100 lb and less, as a foot of the heaviest wall that the sheathing spreads) presses not at all.
def test_posts_on_one_stretch_of_flange_press_together() -> None:
    plan = rectangle("240", "192", profile=PROFILE)
    apart = designed(with_posts(plan, post(48, 90), post(48, 93.5, 50, 20, "Q2")))
    close = designed(with_posts(plan, post(48, 90), post(48, 93.4375, 50, 20, "Q2")))
    assert answer(apart, "A.J3")["Web crippling"].demand == pytest.approx(400.0)
    assert answer(close, "A.J3")["Web crippling"].demand == pytest.approx(470.0)


@pytest.mark.parametrize(("live", "presses"), [(60.0, False), (60.01, True)])
def test_a_light_load_spreads_through_the_sheathing(live: float, presses: bool) -> None:
    plan = with_posts(rectangle("240", "192", profile=PROFILE), post(48, 90, 40.0, live))
    result = designed(plan)
    assert ("Web crippling" in answer(result, "A.J3")) is presses
    notes = case(result, "A.J3").notes
    assert any("No web crippling under Q1 Post" in note for note in notes) is not presses


def test_over_the_wall_it_goes_into_the_wall() -> None:
    plan = rectangle("240", "192", profile=PROFILE)
    bare, over = (answer(designed(p), "A.J3") for p in (plan, with_posts(plan, post(48, 4))))
    for name in ("Shear", "Bending, local buckling", "Total deflection"):
        assert over[name].demand == pytest.approx(bare[name].demand)


# 6. Options. At a closer spacing the floor weighs less on the joist, the post as much: the ratio at 12 in is not under
# that at 16 (the whole of it is kept), that at 24 in is 1.5 of it.
def test_a_closer_spacing_makes_no_post_lighter() -> None:
    result = designed(with_posts(rectangle("240", "192", profile=PROFILE), post(48, 50.75)))
    ratios = {o.spacing_in: o.ratio for o in result.options if o.profile == PROFILE}
    worst = max(
        check.ratio for check in case(result, "A.J3").checks if check.required and "hole" not in check.name
    )
    assert ratios[16.0] == pytest.approx(worst)
    assert ratios[12.0] == pytest.approx(worst)
    assert ratios[24.0] == pytest.approx(1.5 * worst)


def test_a_heavier_post_asks_for_a_stronger_joist() -> None:
    plan = rectangle("240", "192")
    weights = [1000.0 * n for n in range(4)]
    chosen = [designed(with_posts(plan, post(48, 96, 0.0, weight or 1.0))) for weight in weights]
    passing = [sum(option.passes for option in result.options) for result in chosen]
    assert all(a > b for a, b in pairwise(passing))
