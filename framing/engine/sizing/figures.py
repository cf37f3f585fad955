"""The numbers of all checks of one member against one profile (R15-R17), without what is shown beside them.

The same clauses over many members and profiles at once stand in `matrix`; both call the formulas of
`framing.engine.strength`, and a test holds them to each other.

Plies share the load evenly. The top flange is held by the sheathing, a flush beam's by the members that it carries;
the bottom flange by straps and bearings.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from framing.engine.practice import Practice
from framing.engine.section.effective import WEB_PLAIN_MOST, WEB_STIFFENED_MOST
from framing.engine.sizing.crippled import crippling_figures
from framing.engine.sizing.demand import Demand
from framing.engine.sizing.figure import (
    BENDING_SHEAR,
    BOTTOM_FLANGE,
    DISTORTIONAL,
    ELASTIC_MODULUS_PSI,
    LB_IN_PER_KIP_IN,
    LIVE_SAG,
    LOCAL,
    SHEAR,
    SLENDERNESS,
    TOP_FLANGE,
    TOTAL_SAG,
    WEB_LIMIT_UNIT,
    Figure,
)
from framing.engine.sizing.seats import Seats
from framing.engine.strength.combined import bending_shear_ratio
from framing.engine.strength.profile import ProfileStrength


def figures(
    demand: Demand,
    strength: ProfileStrength,
    plies: int,
    practice: Practice,
    seats: Seats,
    *,
    scale: float = 1.0,
    holes_in: Sequence[float] = (),
) -> Iterator[Figure]:
    """All checks but shear and bending at holes and vibration.

    `scale` is a factor on all loads; `holes_in` are the centers of service holes, in the demand's coordinates.
    """
    yield from _bending(demand, strength, plies, scale)
    yield Figure(SHEAR, demand.shear_lb * scale, strength.shear_lb * plies, "lb", "AISI S100 G2")
    yield from crippling_figures(demand, strength, plies, seats, scale, holes_in)
    most = WEB_PLAIN_MOST if seats.bears else WEB_STIFFENED_MOST
    if strength.web_slenderness > most:  # a limit, not a use: it shows only where it is passed
        yield Figure(SLENDERNESS, strength.web_slenderness, most, WEB_LIMIT_UNIT, "AISI S100 B4.1")
    yield from _deflection(demand, strength, plies, practice, scale)


def _bending(demand: Demand, strength: ProfileStrength, plies: int, scale: float) -> Iterator[Figure]:
    moment = demand.moment_lb_in * scale / LB_IN_PER_KIP_IN
    yield Figure(LOCAL, moment, strength.local_moment_kipin * plies, "kip-in", "AISI S100 F3")
    yield Figure(DISTORTIONAL, moment, strength.distortional_moment_kipin * plies, "kip-in", "AISI S100 F4")
    held = [
        Figure(
            BOTTOM_FLANGE,
            region.moment_lb_in * scale / LB_IN_PER_KIP_IN,
            strength.lateral_moment_kipin(region.unbraced_in, region.cb) * plies,
            "kip-in",
            "AISI S100 F2, F3",
        )
        for region in demand.negative
    ]
    if held:
        yield max(held, key=lambda figure: figure.ratio)
    if demand.top_free_in:
        capacity = strength.lateral_moment_kipin(demand.top_free_in) * plies
        top = demand.positive_moment_lb_in * scale / LB_IN_PER_KIP_IN
        yield Figure(TOP_FLANGE, top, capacity, "kip-in", "AISI S100 F2, F3")
    if demand.stepped:
        alone = strength.local_moment_kipin * plies * LB_IN_PER_KIP_IN, strength.shear_lb * plies
        worst = max(bending_shear_ratio(moment, shear, *alone) for moment, shear in demand.meetings)
        yield Figure(BENDING_SHEAR, worst * scale, 1.0, "", "AISI S100 H2")


def _deflection(
    demand: Demand, strength: ProfileStrength, plies: int, practice: Practice, scale: float
) -> Iterator[Figure]:
    stiffness = ELASTIC_MODULUS_PSI * strength.effective_inertia_in4 * plies
    for name, limit, (sag, span), sags in (
        (LIVE_SAG, practice.live_deflection, demand.live_sag, demand.live_sags),
        (TOTAL_SAG, practice.total_deflection, demand.total_sag, demand.total_sags),
    ):
        if limit > 0:
            clause = "R16, L is twice the overhang" if demand.tip_rules(sags) else "R16"
            yield Figure(name, sag * scale / stiffness, span / limit, "in", clause, limit)
