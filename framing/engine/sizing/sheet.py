"""The calculation sheet of every case of a designed floor (R17): loads, reactions, curves, workings, checks."""

from __future__ import annotations

from collections.abc import Iterator

from framing.engine.catalogue import Catalogue
from framing.engine.loads import INCHES_PER_FOOT, combinations
from framing.engine.members import EndKind, MemberEnd
from framing.engine.method import Method
from framing.engine.practice import Practice
from framing.engine.result import Curve, FloorResult, MemberCheck, MemberSheet, Value, Working
from framing.engine.sizing.cases import Case, cases_of
from framing.engine.sizing.crippled import counted_length_in, holes_share, in_limits, pressed_places
from framing.engine.sizing.curves import curves, deflection_curve
from framing.engine.sizing.demand import Demand
from framing.engine.sizing.figure import ELASTIC_MODULUS_PSI, LB_IN_PER_KIP_IN
from framing.engine.sizing.strengths import strength_of
from framing.engine.sizing.workings import (
    crippling_working,
    distortional_working,
    hole_working,
    lateral_working,
    local_working,
    net_shear_working,
    section_values,
    shear_working,
)
from framing.engine.strength.profile import ProfileStrength
from framing.engine.units import inches

_ENDS = {
    EndKind.PLATFORM: "outside bearing",
    EndKind.BALLOON: "ledger",
    EndKind.LAP: "inner bearing, lapped",
    EndKind.BUTT: "inner bearing, butted",
    EndKind.HEADER: "header",
    EndKind.TRIMMER: "trimmer",
    EndKind.FLUSH: "flush beam",
}
_COMBINED = {
    Method.ASD: "ASCE 7-16 2.4.1",
    Method.LRFD: "ASCE 7-16 2.3.1",
    Method.LSD: "NBCC 2015 4.1.3.2, from memory",
}


def member_sheets(result: FloorResult, catalogue: Catalogue, practice: Practice) -> tuple[MemberSheet, ...]:
    """One sheet for each of the result's checks, in their order, `C1` the first.

    `result` must come from `design_floor` with the same catalogue and practice. Raises UnknownProfile.
    """
    cases = [case for bay in result.bays for case in cases_of(result.plan, bay, practice, result.bays)]
    return tuple(
        _sheet(f"C{number}", check, case, strength_of(catalogue.profile(check.profile), practice), practice)
        for number, (check, case) in enumerate(zip(result.checks, cases, strict=True), start=1)
    )


def _sheet(
    reference: str, check: MemberCheck, case: Case, strength: ProfileStrength, practice: Practice
) -> MemberSheet:
    member = case.member
    return MemberSheet(
        reference=reference,
        check=check,
        length_in=inches(member.length_16),
        supports=tuple(_supports(case)),
        loads=tuple(_loads(case)),
        reactions=tuple(_reactions(case, practice)),
        section=section_values(strength),
        curves=_curves(case, strength, practice),
        workings=tuple(_workings(case, strength, practice)),
    )


def _supports(case: Case) -> Iterator[tuple[float, str]]:
    member, start = case.member, inches(case.member.low_16)
    inner = [f"inner bearing {crossing.support}" for crossing in member.crossings]
    low, high = ([] if end.kind is EndKind.FREE else [_end(end)] for end in (member.low, member.high))
    words = [*low, *inner, *high]
    for place, word in zip(case.first.demand.supports_in, words, strict=True):
        yield place - start, word


def _end(end: MemberEnd) -> str:
    hosted = end.kind in (EndKind.HEADER, EndKind.TRIMMER, EndKind.FLUSH)
    return f"{_ENDS[end.kind]} {end.host}" if hosted else _ENDS[end.kind]


def _loads(case: Case) -> Iterator[Value]:
    start = inches(case.member.low_16)
    for line in case.first.model.lines:
        reach = line.low_in - start, line.high_in - start
        parts = ("Dead", "wD", line.dead_ends_lb_in), ("Live", "wL", line.live_ends_lb_in)
        for words, symbol, (value, at_end) in parts:
            place = f"{words} load, {reach[0]:.2f} to {reach[1]:.2f} in"
            if value == at_end and value:
                yield Value(place, symbol, value * INCHES_PER_FOOT, "lb/ft", "R13, R19", reach)
            elif value != at_end:
                for where, number, part in (("low", 1, value), ("high", 2, at_end)):
                    part_plf = part * INCHES_PER_FOOT
                    yield Value(
                        f"{place}, {where} end", f"{symbol}{number}", part_plf, "lb/ft", "R13, R19", reach
                    )
    for point in case.first.model.points:
        at = point.at_in - start
        for words, symbol, value in (("Dead", "PD", point.dead_lb), ("Live", "PL", point.live_lb)):
            if value:
                place = f"{words} load at {at:.2f} in, from {point.source}"
                yield Value(place, symbol, value, "lb", "R8, R19", (at, at))


def _reactions(case: Case, practice: Practice) -> Iterator[Value]:
    demand = case.first.demand
    factored = practice.method is not Method.ASD
    for number, (dead, live) in enumerate(demand.reactions_lb, start=1):
        yield Value(f"Support {number}, dead", f"D{number}", dead, "lb")
        yield Value(f"Support {number}, largest live", f"L{number}", live, "lb")
        yield Value(f"Support {number}, both", f"R{number}", dead + live, "lb")
        if factored:
            yield Value(
                f"Support {number}, largest factored",
                f"Ru{number}",
                demand.strength_reactions_lb[number - 1],
                "lb",
            )


def _curves(case: Case, strength: ProfileStrength, practice: Practice) -> tuple[Curve, ...]:
    stiffness = ELASTIC_MODULUS_PSI * strength.effective_inertia_in4 * case.member.plies
    moment, shear, sag = curves(case.first.model, practice.method)
    start = inches(case.member.low_16)
    return tuple(
        Curve(c.name, c.unit, tuple((at - start, high, low) for at, high, low in c.points))
        for c in (moment, shear, deflection_curve(sag, stiffness))
    )


def _workings(case: Case, strength: ProfileStrength, practice: Practice) -> Iterator[Working]:
    method, demand = practice.method, case.first.demand
    combined = "; ".join(combination.words for combination in combinations(method))
    yield Working("Load combinations", _COMBINED[method], combined, ())
    yield local_working(strength)
    yield distortional_working(strength)
    if demand.negative:
        worst = max(
            demand.negative,
            key=lambda r: r.moment_lb_in / strength.lateral_moment_kipin(r.unbraced_in, r.cb),
        )
        yield lateral_working(strength, worst.unbraced_in, worst.cb)
    if demand.top_free_in:
        yield lateral_working(strength, demand.top_free_in, 1.0)
    yield shear_working(strength)
    if case.holes_in:
        yield net_shear_working(strength)
        yield hole_working(strength)
    yield from _crippling(case, strength)
    yield _deflection(case, strength)


def _crippling(case: Case, strength: ProfileStrength) -> Iterator[Working]:
    """One working for each kind of bare bearing: case, fastening, length, holes near it."""
    done = set()
    for pressed in pressed_places(case.first.demand, case.first.seats):
        kind, fastened = pressed.row(strength.shape)
        length_in = counted_length_in(pressed.seat, strength.shape)
        factor = holes_share(pressed, strength, case.holes_in)
        if in_limits(pressed, strength) and (kind, fastened, length_in, factor) not in done:
            done.add((kind, fastened, length_in, factor))
            working = crippling_working(strength, kind, fastened=fastened, bearing_in=length_in)
            near = Value("Factor of the nearest hole", "Rc", factor, "", "AISI S100-16 G6")
            values = working.values if factor == 1 else (*working.values, near)
            yield Working(working.title, working.clause, working.formula, values)


def _deflection(case: Case, strength: ProfileStrength) -> Working:
    demand, plies = case.first.demand, case.member.plies
    stiffness = ELASTIC_MODULUS_PSI * strength.effective_inertia_in4 * plies
    (live, live_span), (total, total_span) = demand.live_sag, demand.total_sag
    return Working(
        "Deflection",
        "elastic beam, exact between load steps",
        "deflection = (integral of M over the member, twice) / (E Ixe)",
        (
            Value("Stiffness of all plies", "E Ixe", stiffness / LB_IN_PER_KIP_IN, "kip-in2"),
            Value("Live load, worst span", "dL", live / stiffness, "in"),
            Value(_length_words(demand, demand.live_sags), "L", live_span, "in"),
            Value("Span over deflection", "L/dL", live_span * stiffness / live if live else 0.0, ""),
            Value("Dead and live load, worst span", "dT", total / stiffness, "in"),
            Value(_length_words(demand, demand.total_sags), "L", total_span, "in"),
            Value("Span over deflection", "L/dT", total_span * stiffness / total if total else 0.0, ""),
        ),
    )


def _length_words(demand: Demand, sags: tuple[float, ...]) -> str:
    return "Twice the overhang, which is the worst" if demand.tip_rules(sags) else "That span"
