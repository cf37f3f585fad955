"""Calculation sheets made by hand, to show and to draw; the 8 in section is example II-5 of AISI D100-17."""

from __future__ import annotations

from framing.engine.result import Check, Curve, MemberCheck, MemberSheet, Value, Working

INPUTS = (
    ("Spans", "12'-0\""),
    ("Spacing", "16 in"),
    ("Live load", "40 psf"),
    ("Dead load", "10 psf"),
    ("Profile", "800S200-54"),
    ("Plies", "1"),
    ("Yield", "50 ksi"),
    ("Method", "ASD"),
)
DEAD_LB_IN, LIVE_LB_IN = 10 * 16 / 144, 40 * 16 / 144
SPAN_IN, INERTIA_IN4, E_PSI = 144.0, 6.573, 29_500_000.0
PLACES = 40


def simple_sheet(reference: str = "C1", members: tuple[str, ...] = ("A.J1", "A.J2", "A.J3")) -> MemberSheet:
    """A joist of 12 ft, 16 in apart, under 10 psf dead and 40 psf live load: 14.4 kip-in, 400 lb, 0.16 in."""
    return MemberSheet(
        reference=reference,
        check=MemberCheck(
            members=members,
            title="Joist, span 12'-0\"",
            profile="800S200-54",
            plies=1,
            span_in=SPAN_IN,
            checks=_simple_checks(),
            governing=0,
            notes=("The bearing clip stiffens the web at both bearings.",),
        ),
        length_in=SPAN_IN,
        supports=((0.0, "Wall at the low edge"), (SPAN_IN, "Wall at the high edge")),
        loads=(
            Value(
                "Dead load of the floor, 10 psf at 16 in",
                "wD",
                DEAD_LB_IN * 12,
                "plf",
                "floor document",
                (0.0, SPAN_IN),
            ),
            Value(
                "Live load, living areas, 40 psf at 16 in",
                "wL",
                LIVE_LB_IN * 12,
                "plf",
                "ASCE 7-16 Table 4.3-1",
                (0.0, SPAN_IN),
            ),
        ),
        reactions=_reactions(("1", 80.0, 320.0), ("2", 80.0, 320.0)),
        section=_section(),
        curves=_simple_curves(),
        workings=_workings(),
    )


def failing_sheet(reference: str = "C2") -> MemberSheet:
    """A trimmer over two spans of 12 ft with a point load, whose bending fails, and a check for information."""
    checks = (
        Check("Bending, distortional buckling", 30.6, 29.8, "kip-in", "AISI S100-16 F4.1", INPUTS),
        Check("Shear", 1062.0, 2283.0, "lb", "AISI S100-16 G2.1", INPUTS),
        Check(
            "Walking",
            0.62,
            0.5,
            "% g",
            "AISC Design Guide 11",
            (*INPUTS, ("Damping", "0.03")),
            required=False,
        ),
    )
    case = MemberCheck(
        members=("A.T1", "A.T2"),
        title="Trimmer, spans 12'-0\" + 12'-0\"",
        profile="800S200-54",
        plies=1,
        span_in=SPAN_IN,
        checks=checks,
        governing=0,
    )
    return MemberSheet(
        reference=reference,
        check=case,
        length_in=2 * SPAN_IN,
        supports=(
            (0.0, "Wall at the low edge"),
            (SPAN_IN, "Wall W1"),
            (2 * SPAN_IN, "Wall at the high edge"),
        ),
        loads=(
            Value("Floor, dead load", "wD", 20.0, "plf", "floor document", (0.0, 2 * SPAN_IN)),
            Value(
                "Partition, dead load, 24.00 to 120.00 in", "w2", 48.0, "plf", "floor document", (24.0, 120.0)
            ),
            Value("Dead load at 96.00 in, from header A.H1", "P1", 412.0, "lb", "case C3", (96.0, 96.0)),
        ),
        reactions=_reactions(("1", 120.0, 400.0), ("2", 700.0, 1400.0), ("3", 90.0, 320.0)),
        section=_section(),
        curves=_two_span_curves(),
        workings=_workings(),
    )


def _simple_checks() -> tuple[Check, ...]:
    return (
        Check("Bending, distortional buckling", 14.4, 29.8, "kip-in", "AISI S100-16 F4.1", INPUTS),
        Check("Bending, local buckling", 14.4, 44.9, "kip-in", "AISI S100-16 F3.2.1", INPUTS),
        Check("Shear", 400.0, 2283.0, "lb", "AISI S100-16 G2.1", INPUTS),
        Check("Live-load deflection", 0.1284, 0.3, "in", "R16", (("Limit", "L/480"), *INPUTS)),
        Check("Total deflection", 0.1604, 0.6, "in", "R16", (("Limit", "L/240"), *INPUTS)),
        Check(
            "Sag under 1 kN at midspan",
            0.071,
            0.06,
            "in",
            "practice set",
            (("Share", "0.5"), *INPUTS),
            required=False,
        ),
    )


def _reactions(*rows: tuple[str, float, float]) -> tuple[Value, ...]:
    found = []
    for name, dead, live in rows:
        found += [
            Value(f"Support {name}, dead", f"D{name}", dead, "lb"),
            Value(f"Support {name}, largest live", f"L{name}", live, "lb"),
            Value(f"Support {name}, both", f"R{name}", dead + live, "lb"),
        ]
    return tuple(found)


def _section() -> tuple[Value, ...]:
    source = "AISI D100-17, table I-2"
    return (
        Value("Depth, out to out", "D", 8.0, "in"),
        Value("Base steel thickness", "t", 0.0566, "in"),
        Value("Area", "A", 0.726, "in2", source),
        Value("Moment of inertia", "Ix", INERTIA_IN4, "in4", source),
        Value("Section modulus, gross", "Sf", 1.64, "in3", source),
        Value("Torsion constant", "J", 0.000775, "in4", source),
        Value("Yield stress", "Fy", 50.0, "ksi"),
    )


def _workings() -> tuple[Working, ...]:
    example = "AISI D100-17, example II-5"
    return (
        Working(
            "Bending, distortional buckling",
            "AISI S100-16 F4.1",
            "Mnd = (1 - 0.22 (Mcrd / My)^0.5) (Mcrd / My)^0.5 My where (My / Mcrd)^0.5 > 0.673",
            (
                Value("Elastic distortional buckling stress", "Fcrd", 26.1, "ksi", example),
                Value("Critical moment, Sf Fcrd", "Mcrd", 42.8, "kip-in", "AISI S100-16 Appendix 2"),
                Value("Yield moment, Sf Fy", "My", 82.0, "kip-in"),
                Value("Nominal strength", "Mnd", 49.8, "kip-in", example),
                Value("Safety factor", "omega", 1.67, "", "AISI S100-16 F4.1"),
                Value("Allowable moment", "Ma", 29.8, "kip-in", example),
            ),
        ),
        Working(
            "Bending, local buckling",
            "AISI S100-16 F3.1",
            "Mnl = Se Fn",
            (
                Value("Effective section modulus at Fy", "Se", 1.5, "in3", example),
                Value("Nominal strength", "Mnl", 75.0, "kip-in", example),
                Value("Allowable moment", "Ma", 44.9, "kip-in", example),
            ),
        ),
    )


def _simple_curves() -> tuple[Curve, ...]:
    load = DEAD_LB_IN + LIVE_LB_IN
    places = [SPAN_IN * i / PLACES for i in range(PLACES + 1)]
    moments, shears, sags = [], [], []
    for x in places:
        for rows, whole in (
            (moments, load * x * (SPAN_IN - x) / 2000),
            (shears, load * (SPAN_IN / 2 - x)),
            (sags, load * x * (SPAN_IN**3 - 2 * SPAN_IN * x**2 + x**3) / (24 * E_PSI * INERTIA_IN4)),
        ):
            dead = whole * DEAD_LB_IN / load
            rows.append((x, max(whole, dead), min(whole, dead)))
    return _named(moments, shears, sags)


def _two_span_curves() -> tuple[Curve, ...]:
    """Two equal spans of 17 lb per in, without patterns: the end reactions are 3/8 of a span's load."""
    load, end = 17.0, 3 / 8 * 17.0 * SPAN_IN
    moments, shears, sags = [], [], []
    half = [SPAN_IN * i / PLACES for i in range(PLACES + 1)]
    for x in (*half, *(2 * SPAN_IN - x for x in reversed(half))):
        near = min(x, 2 * SPAN_IN - x)
        right = len(moments) > PLACES
        moment, shear = (end * near - load * near**2 / 2) / 1000, (end - load * near) * (-1 if right else 1)
        sag = load * near * (SPAN_IN**3 - 3 * SPAN_IN * near**2 + 2 * near**3) / (48 * E_PSI * INERTIA_IN4)
        for rows, value in ((moments, moment), (shears, shear), (sags, sag)):
            rows.append((x, value, value))
    return _named(moments, shears, sags)


def _named(
    moments: list[tuple[float, float, float]],
    shears: list[tuple[float, float, float]],
    sags: list[tuple[float, float, float]],
) -> tuple[Curve, ...]:
    return (
        Curve("Moment", "kip-in", tuple(moments)),
        Curve("Shear", "lb", tuple(shears)),
        Curve("Deflection", "in", tuple(sags)),
    )
