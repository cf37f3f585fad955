"""Checks of one member against one profile (R15-R17): demand, capacity, clause, inputs; over 1 fails.

First pass, from tabulated properties (ASD). Held: bending with local and with distortional buckling (no help
from the sheathing), shear at the gross web and at holes, bending with shear where both are high, live and
total deflection with the effective inertia. Plies share the load evenly.

Not yet held, so a quote must say so: web crippling (bearings and point loads are taken as stiffened, which
thin deep webs, h/t over 200, need in any case), bending of the web with a hole, lateral-torsional buckling
where a bottom flange is in compression over an inner bearing (the top flange is held by sheathing),
vibration, connections.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import hypot
from typing import NamedTuple

from framing.engine.catalogue import JoistProfile
from framing.engine.practice import Practice
from framing.engine.result import Check
from framing.engine.sizing.demand import Demand
from framing.engine.units import inches

ELASTIC_MODULUS_PSI = 29_500_000.0  # AISI S100
_LB_IN_PER_KIP_IN = 1000.0

Inputs = tuple[tuple[str, str], ...]


class Figure(NamedTuple):
    """A check without what is shown beside it; `limit` is the deflection limit, 0 for other checks."""

    name: str
    demand: float
    capacity: float
    unit: str
    clause: str
    limit: int = 0


def check_profile(
    demand: Demand,
    profile: JoistProfile,
    plies: int,
    practice: Practice,
    *,
    scale: float = 1.0,
    holes_in: Sequence[float] = (),
    inputs: Inputs = (),
) -> tuple[Check, ...]:
    """Hold a profile against a demand.

    Args:
        demand: envelope of the member's loads.
        profile, plies: what it is made of.
        practice: deflection limits; a limit of 0 is switched off.
        scale: factor on all loads, as from one spacing to another.
        holes_in: centers of service holes on the member's axis, in the demand's coordinates.
        inputs: what to show beside the profile's own values.
    """
    shown = (*inputs, *_profile_inputs(profile, plies))
    hole_shear_lb = demand.shear_at_holes_lb(holes_in, profile.hole_length_in)
    return tuple(
        Check(
            figure.name,
            figure.demand,
            figure.capacity,
            figure.unit,
            figure.clause,
            (("Limit", f"L/{figure.limit}"), *shown) if figure.limit else shown,
        )
        for figure in figures(demand, profile, plies, practice, scale=scale, hole_shear_lb=hole_shear_lb)
    )


def figures(
    demand: Demand,
    profile: JoistProfile,
    plies: int,
    practice: Practice,
    *,
    scale: float,
    hole_shear_lb: float | None,
) -> Iterator[Figure]:
    """The numbers of all checks, in the order of `check_profile`; `hole_shear_lb` before scaling."""
    yield from _bending(demand, profile, plies, scale)
    yield from _shear(demand, profile, plies, scale, hole_shear_lb)
    yield from _deflection(demand, profile, plies, scale, practice)


def governing(checks: Sequence[Check]) -> int:
    """Index of the check with the largest ratio; the first of equals."""
    return max(range(len(checks)), key=lambda i: (checks[i].ratio, -i))


def _bending(demand: Demand, profile: JoistProfile, plies: int, scale: float) -> Iterator[Figure]:
    moment_kipin = demand.moment_lb_in * scale / _LB_IN_PER_KIP_IN
    for name, allowed_kipin, clause in (
        ("Bending, local buckling", profile.local_moment_kipin, "AISI S100 F3, tabulated"),
        ("Bending, distortional buckling", profile.distortional_moment_kipin, "AISI S100 F4, tabulated"),
    ):
        yield Figure(name, moment_kipin, allowed_kipin * plies, "kip-in", clause)
    if demand.stepped:
        capacity = (profile.local_moment_kipin * plies * _LB_IN_PER_KIP_IN, profile.shear_lb * plies)
        worst = max(hypot(moment / capacity[0], shear / capacity[1]) for moment, shear in demand.meetings)
        yield Figure("Bending with shear", worst * scale, 1.0, "", "AISI S100 H2")


def _shear(
    demand: Demand, profile: JoistProfile, plies: int, scale: float, hole_shear_lb: float | None
) -> Iterator[Figure]:
    clause = "AISI S100 G2, tabulated"
    yield Figure("Shear", demand.shear_lb * scale, profile.shear_lb * plies, "lb", clause)
    if hole_shear_lb is not None:
        clause = "AISI S100 G3, tabulated"
        yield Figure("Shear at a hole", hole_shear_lb * scale, profile.net_shear_lb * plies, "lb", clause)


def _deflection(
    demand: Demand, profile: JoistProfile, plies: int, scale: float, practice: Practice
) -> Iterator[Figure]:
    stiffness = ELASTIC_MODULUS_PSI * profile.effective_inertia_in4 * plies
    for name, limit, (sag, span) in (
        ("Live-load deflection", practice.live_deflection, demand.live_sag),
        ("Total deflection", practice.total_deflection, demand.total_sag),
    ):
        if limit > 0:
            yield Figure(name, sag * scale / stiffness, span / limit, "in", "R16", limit)


def _profile_inputs(profile: JoistProfile, plies: int) -> Inputs:
    return (
        ("Profile", profile.designator),
        ("Plies", str(plies)),
        ("Yield", f"{profile.yield_ksi} ksi"),
        ("Effective inertia, one ply", f"{profile.effective_inertia_in4:g} in4"),
        ("Source", profile.source),
    )


def hole_places_in(holes_16: Sequence[int], low_16: int) -> tuple[float, ...]:
    """Hole centers from the printed end as positions on the member's axis."""
    return tuple(inches(low_16 + hole) for hole in holes_16)
