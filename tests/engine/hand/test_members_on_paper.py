"""Whole members sized on paper from the clauses of AISI S100-16 and held against the engine's public door.

The paper keeps E = 29,500 ksi, G = 11,300 ksi, mu = 0.3 and rounds nothing before the last line. Lengths in in,
forces in lb, moments in kip-in unless said. `w` is load per in of joist, `a` the place on the member.

Sections, one ply (steel 50 ksi):
1000S162-54  t 0.0566, R 0.0849: h = 10 - 2 (0.0849 + 0.0566) = 9.717, h/t = 171.68; Ix 9.9508, Sf 1.99016
    F3   Se at 50 ksi: y 5.5795, Ie 8.7720, Se 1.57218; Mnlo = 78.609
    F4   L 15.567, kfe 0.20031, kwe 0.21351, kfg 0.0059951, kwg 0.0060595: Fcrd = 34.328, Mcrd = 68.319,
         My = 99.508, sqrt(Mcrd/My) = 0.82860: Mnd = (1 - 0.22 x 0.82860) 0.82860 x 99.508 = 67.421
    G2   Fcr = pi2 E 5.34 / (10.92 x 171.68^2) = 4.8307: Vn = 9.717 x 0.0566 x 4.8307 = 2.6568 kip
    G3   c/t = (9.717/2 - 0.75)/0.0566 = 72.6 >= 54: qs = 1
    Ixe at f = 26.545 (M = 47.071): 9.3916; E Ixe = 277,053 kip-in2
1000S162-68  t 0.0713, R 0.1070: h 9.6434, h/t 135.25; Ix 12.3266, Sf 2.46532, Iy 0.24707, J 0.0016577,
         Cw 4.8057 (round corners), xo 0.78823, ro2 13.4748, A 0.97823
    F3   y 5.3450, Ie 11.5174, Se 2.15481; Mnlo = 107.740
    F4   Fcrd 47.139, Mcrd 116.213, My 123.266: Mnd = 94.121
    G2   Vn = 9.6434 x 0.0713 x 7.7832 = 5.3515 kip;  G3: c/t = 57.1: qs = 1
    Ixe at f = 27.726: 11.9797; E Ixe = 353,401 kip-in2
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

import pytest

from framing.engine import FloorPlan, FloorResult, Practice, design_floor, load_catalogue
from framing.engine.members import MemberKind
from framing.engine.method import Method
from framing.engine.result import Check, MemberCheck, MemberSheet
from framing.engine.sizing import member_sheets
from tests.engine.layout.builders import document, plan_of, rectangle

CLOSE = 0.001

BENDING = "Bending, local buckling"
DISTORTIONAL = "Bending, distortional buckling"
BOTTOM = "Bending, bottom flange in compression"
WITH_SHEAR = "Bending with shear"
CRIPPLING = "Web crippling"
WITH_CRIPPLING = "Bending with web crippling"
LIVE = "Live-load deflection"
TOTAL = "Total deflection"
HOLE_SHEAR = "Shear at a hole"
HOLE_BENDING = "Bending at a hole"

Paper = Mapping[str, tuple[float, float]]


@cache
def designed(plan: FloorPlan, method: Method) -> FloorResult:
    return design_floor(plan, load_catalogue(), Practice(method=method))


def case(result: FloorResult, member: str) -> MemberCheck:
    return next(check for check in result.checks if member in check.members)


def sheet(result: FloorResult, member: str, method: Method) -> MemberSheet:
    sheets = member_sheets(result, load_catalogue(), Practice(method=method))
    return next(one for one in sheets if member in one.check.members)


def holds(check: MemberCheck, paper: Paper) -> None:
    """The engine's checks are those of the paper, no more and no fewer that must hold, number by number."""
    by_name: dict[str, Check] = {one.name: one for one in check.checks}
    assert {one.name for one in check.checks if one.required} == {
        name for name in paper if not name.startswith("Vibration")
    }
    for name, (demand, capacity) in paper.items():
        assert by_name[name].demand == pytest.approx(demand, rel=CLOSE), name
        assert by_name[name].capacity == pytest.approx(capacity, rel=CLOSE), name


# 1. Single span. 16-0 floor, walls 5 1/2: L = 192 - 11 = 181 from face to face. 16 in: wD = 10 x 16/144 = 1.11111,
# wL = 4.44444. Holes every 24 from 24 to 168 (R10), so the first edge is at 22, 16.5 from the wall's face.
#   ASD   w = 5.55556: M = w L2/8 = 22.7507, V = w L/2 = 502.778, at the hole w (90.5 - 16.5) = 411.111
#   LRFD  w = 1.2 x 1.11111 + 1.6 x 4.44444 = 8.44444: M = 34.5811, V = 764.222, hole 624.889
#   LSD   w = 1.25 x 1.11111 + 1.5 x 4.44444 = 8.05556: M = 32.9885, V = 729.028, hole 596.111
# Strength: ASD 78.609/1.67, 67.421/1.67, 2656.8/1.60; LRFD 0.90, 0.90, 0.95; LSD 0.90, 0.85, 0.80.
# Deflection: 5 w L4/(384 E Ixe) = 5 x 4.44444 x 181^4/(384 x 277,053,000) = 0.22419; L/480 = 0.37708.
SINGLE_STRENGTH = {
    Method.ASD: (22.7507, 502.778, 411.111, 47.0713, 40.3721, 1660.49),
    Method.LRFD: (34.5811, 764.222, 624.889, 70.7481, 60.6793, 2523.95),
    Method.LSD: (32.9885, 729.028, 596.111, 70.7481, 57.3082, 2125.43),
}
# Vibration, the same in every method. L = 4.5974 m.
#   1 kN: 0.5 x 224.81 x 181^3/(48 x 277,053,000) = 0.050123 in = 1.2731 mm; 8.0/4.5974^1.3 = 1.1011 mm
#   Walking: w = 16 psf x 16/144 = 1.77778: sag 0.089674, f = 0.18 sqrt(386/0.089674) = 11.81 Hz > 9:
#       stiffness 48 x 277,053/181^3/0.5 = 4.4854 kip/in against 1
#   EN 1995: (EI)L = 795,099 N m2/0.4064 m = 1,956,445; m = 48.824: f1 = pi/(2 L2) sqrt((EI)L/m) = 14.877 Hz
#       kdist = 0.38 - 0.08 ln(14 x 2.8246e9/406.4^4) = 0.3503; 1000 kdist 4597.4^3 1.05/(48 x 7.95099e11) = 0.9365
#       n40 = (6.2293 x (6.096/4.5974)^4 x 1,956,445/2,824.6)^0.25 = 10.746
#       v = 4 (0.4 + 0.6 n40)/(48.824 x 6.096 x 4.5974 + 200) = 0.017466; 120^(0.14877 - 1) = 0.016989
SINGLE_VIBRATION = {
    "Vibration, 1 kN at midspan": (1.2731, 1.1011),
    "Vibration, walking: stiffness over 9 Hz": (1.0, 4.4854),
    "Vibration, first frequency": (8.0, 14.877),
    "Vibration, deflection under 1 kN": (0.9365, 1.0),
    "Vibration, velocity from a unit impulse": (0.017466, 0.016989),
}


@pytest.mark.parametrize("method", list(Method))
def test_single_span_joist(method: Method) -> None:
    moment, shear, hole_shear, local, distortional, web = SINGLE_STRENGTH[method]
    result = designed(rectangle("240", "192", profile="1000S162-54"), method)
    (member,) = result.checks
    holds(
        member,
        {
            BENDING: (moment, local),
            DISTORTIONAL: (moment, distortional),
            "Shear": (shear, web),
            LIVE: (0.22419, 0.37708),
            TOTAL: (0.28023, 0.75417),
            HOLE_SHEAR: (hole_shear, web),
            HOLE_BENDING: (moment, local),
            **SINGLE_VIBRATION,
        },
    )
    # The required check with the largest ratio: 0.22419/0.37708 = 0.5945.
    assert member.checks[member.governing].name == LIVE
    assert member.passes


# 2. One piece over an inner wall at 200, 28-0 floor: spans 5.5 -> 200 = 194.5 and 200 -> 330.5 = 130.5, loads as in 1.
# Three moments: Mw = (w1 L1^3 + w2 L2^3)/(8 x 325).
#   both loaded   ASD w 5.55556: Mw = 20.4710, reaction w 325/2 + Mw (1/L1 + 1/L2) = 1164.89,
#                 V = w L1/2 + Mw/L1 = 645.527.  LRFD w 8.44444: 31.1159, 1770.64, 981.201
#   span 1 alone  ASD Mw 16.6720, R1 454.561, +M = R1^2/(2 w) = 18.5963.  LRFD R1 692.495, +M 28.3944
#                 far end: dead 41.1268 - 96.3812 = -55.25 ASD; 0.9 D + 1.6 L: 37.014 - 154.210 = -117.2 LRFD
#   Local and distortional see the larger: Mw.
# Bottom flange. Straps (R24): clear span 192.75: two, the last one 66 from the wall; clear span 128.75: one, 66.125
#   from the wall. Points of inflection with both spans loaded: 37.890 and 56.472, both nearer.
#   short side, both loaded: Lb 56.472, Cb 1.8996, sey 23.058, st 34.707: Fcre = 78.27, Fn = 55.556 (1 - 500/(36 Fcre))
#   = 45.698, Se at Fn 2.18100: Mnl = 99.666 (ratio 0.343); long side: Fcre 159.6 > 139: Mnlo (0.317);
#   span 1 alone: short side lifted throughout, Lb = strap 66.125, Cb 1.397: Mnl 83.60, 16.672: 0.333. First rules.
# H2 at the wall: sqrt((20.4710/64.5153)^2 + (645.527/3344.71)^2) = 0.37139; LRFD 0.37446.
# G5 interior one-flange fastened, N 3.5, R/t 1.5007, N/t 49.088, h/t 135.25:
#   Pn = 13 x 0.0713^2 x 50,000 (1 - 0.23 x 1.22503)(1 + 0.14 x 7.00631)(1 - 0.01 x 11.6298) = 4154.6
#   G6 nearest hole: centre at 216, edge 214, bearing's edge 201.75: x = 12.25:
#   Rc = 0.90 - 0.047 x 0.15555 + 0.053 x 12.25/9.6434 = 0.96002;  4154.6 Rc/1.65 = 2417.26; x 0.90 = 3589.63
# H3: 0.91 x 1164.89/(4154.6 Rc) + 20.4710/107.740 = 0.45578 <= 1.33/1.70 = 0.78235: 0.58258
#   LRFD 0.91 x 1770.64/(4154.6 Rc) + 31.1159/107.740 = 0.69279 <= 1.33 x 0.90: 0.57877
# Deflection, live on span 1: sag = [w x (L^3 - 2 L x2 + x3)/24 - Mw x (L2 - x2)/(6 L)]/EI; live Mw 13.3376 (x 90.4):
#   0.15119; with dead on both, Mw 16.6720: 0.18282. 194.5/480 = 0.40521.
# Holes: shear 645.527 - 5.55556 x (200 - 170) = 478.861 at the edge 170; moment largest at the edge 94 of the hole
#   at 96, span 1 alone: 454.561 x 88.5 - 5.55556 x 88.5^2/2 = 18.4724 (the largest lies at a = 87.3, in no hole).
THROUGH_DEFLECTION = {LIVE: (0.15119, 0.40521), TOTAL: (0.18282, 0.81042)}
THROUGH = {
    Method.ASD: {
        BENDING: (20.4710, 64.5153),
        DISTORTIONAL: (20.4710, 56.3596),
        BOTTOM: (20.4710, 59.6804),
        WITH_SHEAR: (0.37139, 1.0),
        "Shear": (645.527, 3344.71),
        CRIPPLING: (1164.89, 2417.26),
        WITH_CRIPPLING: (0.58258, 1.0),
        HOLE_SHEAR: (478.861, 3344.71),
        HOLE_BENDING: (18.4724, 64.5153),
        **THROUGH_DEFLECTION,
    },
    Method.LRFD: {
        BENDING: (31.1159, 96.9664),
        DISTORTIONAL: (31.1159, 84.7085),
        BOTTOM: (31.1159, 89.6997),
        WITH_SHEAR: (0.37446, 1.0),
        "Shear": (981.201, 5083.96),
        CRIPPLING: (1770.64, 3589.63),
        WITH_CRIPPLING: (0.57877, 1.0),
        HOLE_SHEAR: (727.868, 5083.96),
        HOLE_BENDING: (28.2163, 96.9664),
        **THROUGH_DEFLECTION,
    },
}
THROUGH_UPLIFT = {Method.ASD: "by 55 lb", Method.LRFD: "by 117 lb"}


@pytest.mark.parametrize("method", [Method.ASD, Method.LRFD])
def test_through_joist_over_an_inner_wall(method: Method) -> None:
    wall = {"id": "W", "from": ["0", "200"], "to": ["240", "200"], "joint": "through"}
    result = designed(rectangle("240", "336", profile="1000S162-68", supports=[wall]), method)
    (member,) = result.checks
    holds(member, THROUGH[method])
    assert [warning for warning in member.warnings if THROUGH_UPLIFT[method] in warning]
    assert member.checks[member.governing].name == WITH_CRIPPLING
    values = {value.words: value.value for value in sheet(result, "A.J1", method).reactions}
    assert values["Support 2, dead"] == pytest.approx(232.979, rel=CLOSE)
    assert values["Support 2, largest live"] == pytest.approx(931.914, rel=CLOSE)
    assert values["Support 3, largest live"] == pytest.approx(260.888, rel=CLOSE)


# 3. Stair opening 112 x 84 at 81, 60 in a 20-0 x 16-0 floor of 1000S162-54 at 16 in, ASD; a bearing wall of 200 lb/ft
# across at 40: P = 200 x 16/12 = 266.667 on each joist, live, 3 1/2 long, not fastened. The opening's edges less 1 1/8:
# trimmers' faces at 79.875 and 194.125, headers' faces at 58.875 and 145.125. Two plies each to begin with:
# headers at 57.25 and 146.75, 3.25 wide. Tails at 80.6875 (moved to touch the trimmer), 96, 112, ... 192: eight.
# Low tail: 5.5 -> 55.625 = 50.125; wD 1.11111, wL 4.44444, P at 34.5. On the header D = 1.11111 x 50.125/2 = 27.847,
#   L = 4.44444 x 50.125/2 + 266.667 x 34.5/50.125 = 294.930
#   M under P = 322.777 x 15.625 - 5.55556 x 15.625^2/2 = 4.36523
#   Crippling: member's end 55.25 - 41.75 = 13.5 < 1.5 h = 14.58: an end, and the header's reaction as near: two-flange.
#   Pn = 13 x 0.0566^2 x 50,000 (1 - 0.32 x 1.22474)(1 + 0.05 x 7.86368)(1 - 0.04 x 13.1026) = 839.51; /1.65 = 508.80
#   H3: (0.91 x 266.667/839.51 + 4.36523/78.609)/0.78235 = 0.44045. H2 at the header: 322.777/1660.49 = 0.19439.
#   Sag at the worst place 0.0033888 live; with dead 0.0037171; 50.125/480 = 0.10443. No hole fits beside P.
# High tail: header's face 148.375 -> 186.5 = 38.125: D 21.1806, L 84.7222.
# Headers: 79.875 -> 194.125 = 114.25, strip 2.75 to the opening's edge + 3.25/2 = 4.375: wD 0.303819, wL 1.215278.
#   Tails at x = 0.8125 and 16.125 + 16 k, k = 0 ... 6: sum of (114.25 - x)/114.25 = 4.06400, of x/114.25 = 3.93600
#   Low:  D 27.847 x 4.06400 + 17.356 = 130.527 and 126.962; L 294.930 x 4.06400 + 69.423 = 1268.02 and 1230.27
#         M at the fifth tail, x = 64.125: 35.1361; V = 1398.55; sag live 0.078231, with dead 0.086374; /480 0.23802
#   High: D 103.434 and 100.722; L 413.734 and 402.889
# Trimmers: 181, points at 57.25 - 5.5 = 51.75 and 141.25, P at 34.5; strip 16, beside the opening
#   8 + 2.75 + n/2 x 1.625 - 1.625: 10.75 with two plies, 11.5625 with three (the middle of the plies moves outwards).
#   Two plies: live sag of the first 0.39285, of the second 0.38489, over 181/480 = 0.37708: both take a third (R7).
#   Three, first: D1 203.603, L1 1562.90; M under the low header 79.3773; V 1766.50; sag 0.26455, with dead 0.30384
#   H2 there: M/(3 x 47.0713) = 0.56211, V = 1766.50 - 5.55556 x 51.75 - 266.67 = 1212.33, /4981.48 = 0.24337: 0.61253
#   Crippling inside: Pn = 13 x 160.178 (1 - 0.23 x 1.22474)(1 + 0.14 x 7.86368)(1 - 0.01 x 13.1026) = 2730.7 a ply,
#   hole at 28, its edge at 30, the wall's at 38.25: x 8.25: Rc = 0.90 - 0.00726 + 0.053 x 8.25/9.717 = 0.93774:
#   3 Pn Rc/1.65 = 4655.8
#   H3: M under P = 1766.50 x 34.5 - 5.55556 x 34.5^2/2 = 57.6380:
#   (0.91 x 266.667/(3 x 2560.7) + 57.6380/235.827)/0.78235 = 0.35278
OPENING = {"id": "S", "kind": "stair", "corner": ["81", "60"], "size": ["112", "84"]}
PARTITION = {"id": "P", "from": ["0", "40"], "to": ["240", "40"], "bearing": True, "load_plf": 200}
TAIL = {
    BENDING: (4.36523, 47.0713),
    DISTORTIONAL: (4.36523, 40.3721),
    WITH_SHEAR: (0.19439, 1.0),
    "Shear": (322.777, 1660.49),
    CRIPPLING: (266.667, 508.80),
    WITH_CRIPPLING: (0.44045, 1.0),
    LIVE: (0.0033888, 0.10443),
    TOTAL: (0.0037171, 0.20885),
}
HEADER = {
    BENDING: (35.1361, 94.1425),
    DISTORTIONAL: (35.1361, 80.7443),
    WITH_SHEAR: (0.42112, 1.0),
    "Shear": (1398.55, 3320.99),
    LIVE: (0.078231, 0.23802),
    TOTAL: (0.086374, 0.47604),
}
TRIMMER = {
    BENDING: (79.3773, 141.214),
    DISTORTIONAL: (79.3773, 121.116),
    WITH_SHEAR: (0.61253, 1.0),
    "Shear": (1766.50, 4981.48),
    CRIPPLING: (266.667, 4655.8),
    WITH_CRIPPLING: (0.35278, 1.0),
    LIVE: (0.26455, 0.37708),
    TOTAL: (0.30384, 0.75417),
    # Edge at 26, 20.5 from the wall's face: 1766.50 - 5.55556 x 20.5.
    HOLE_SHEAR: (1652.61, 4981.48),
    # Hole at 76, edge at 74, 68.5 from the wall's face: the nearest to the largest moment at 51.75.
    HOLE_BENDING: (75.6950, 141.214),
}


def stair_floor(**rest: object) -> FloorPlan:
    return plan_of(
        document(
            [[0, 0], [240, 0], [240, 192], [0, 192]],
            bays=[{"direction": "y", "profile": "1000S162-54"}],
            openings=[OPENING],
            partitions=[PARTITION],
            **rest,
        )
    )


def test_trimmers_headers_and_tails_around_a_stair() -> None:
    result = designed(stair_floor(), Method.ASD)
    holds(case(result, "A.J5"), TAIL)
    holds(case(result, "A.H1"), HEADER)
    holds(case(result, "A.T1"), TRIMMER)
    plies = {member.id: member.plies for member in result.members if member.kind is not MemberKind.JOIST}
    assert plies == {"A.T1": 3, "A.T2": 3, "A.H1": 2, "A.H2": 2}


def test_two_plies_would_sag_too_far() -> None:
    fixed = [{"of": "S", "part": part, "plies": 2} for part in ("trimmer_low", "trimmer_high")]
    result = designed(stair_floor(overrides={"plies": fixed}), Method.ASD)
    for member, sag_in in (("A.T1", 0.39285), ("A.T2", 0.38489)):
        live = next(one for one in case(result, member).checks if one.name == LIVE)
        assert live.demand == pytest.approx(sag_in, rel=CLOSE)
        assert not live.passes
    assert not result.passes


def test_reactions_go_from_tail_to_header_to_trimmer() -> None:
    result = designed(stair_floor(), Method.ASD)
    paper = {
        ("A.H1", "PD", "A.J5"): 27.847,
        ("A.H1", "PL", "A.J5"): 294.930,
        ("A.T1", "PD", "A.H1"): 130.527,
        ("A.T1", "PL", "A.H1"): 1268.02,
        ("A.T1", "PD", "A.H2"): 103.434,
        ("A.T1", "PL", "A.H2"): 413.734,
        ("A.T1", "PL", "P"): 266.667,
        ("A.T2", "PD", "A.H1"): 126.962,
        ("A.T2", "PL", "A.H1"): 1230.27,
        ("A.T2", "PD", "A.H2"): 100.722,
        ("A.T2", "PL", "A.H2"): 402.889,
        ("A.T2", "PL", "P"): 266.667,
    }
    found = {
        (member, value.symbol, value.words.rsplit(" ", 1)[1]): value.value
        for member in ("A.H1", "A.T1", "A.T2")
        for value in sheet(result, member, Method.ASD).loads
        if value.unit == "lb"
    }
    assert {key: found[key] for key in paper} == {
        key: pytest.approx(value, rel=CLOSE) for key, value in paper.items()
    }
    assert {key for key in found if key[0] != "A.H1"} == {key for key in paper if key[0] != "A.H1"}


# 4. A tail that runs on over an inner wall. The floor of 2, a stair opening 60 x 84 at 81, 60: the high header's face
# at 148.375, the wall at 200: spans 51.625 and 130.5, 1000S162-68, loads as in 1.
#   dead: Mw = 1.11111 (51.625^3 + 130.5^3)/(8 x 182.125) = 1.79976; at the header 28.681 - 34.862 = -6.18: it pulls up
#   live on the short span: Mw 0.41970: 114.722 - 8.130 = 106.59 down; on the long one: Mw 6.77937: -131.32
#   The header counts on no pull: dead 0, live 106.59. ASD -6.18 - 131.32 = -137.50: said on the sheet.
def test_a_tail_that_runs_over_a_wall_pulls_its_header_up() -> None:
    wall = {"id": "W", "from": ["0", "200"], "to": ["240", "200"], "joint": "through"}
    stair = {**OPENING, "size": ["60", "84"]}
    result = designed(
        rectangle("240", "336", profile="1000S162-68", supports=[wall], openings=[stair]), Method.ASD
    )
    tail = next(m.id for m in result.members if m.low.host == "A.H2" and m.centre_16 == 112 * 16)
    reactions = {value.symbol: value.value for value in sheet(result, tail, Method.ASD).reactions}
    assert (reactions["D1"], reactions["L1"]) == pytest.approx((-6.18, 106.59), rel=CLOSE)
    found = {
        value.symbol: value.value
        for value in sheet(result, "A.H2", Method.ASD).loads
        if value.words.endswith(f"from {tail}")
    }
    assert found == {"PL": pytest.approx(106.59, rel=CLOSE)}
    assert [words for words in case(result, tail).warnings if "pulls A.H2 up by 138 lb" in words]
