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

from framing.engine.catalogue import JoistProfile
from framing.engine.practice import Practice
from framing.engine.result import Check
from framing.engine.sizing.demand import Demand
from framing.engine.units import inches

ELASTIC_MODULUS_PSI = 29_500_000.0  # AISI S100
_LB_IN_PER_KIP_IN = 1000.0

Inputs = tuple[tuple[str, str], ...]


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
    return (
        *_bending(demand, profile, plies, scale, shown),
        *_shear(demand, profile, plies, scale, holes_in, shown),
        *_deflection(demand, profile, plies, scale, practice, shown),
    )


def governing(checks: Sequence[Check]) -> int:
    """Index of the check with the largest ratio; the first of equals."""
    return max(range(len(checks)), key=lambda i: (checks[i].ratio, -i))


def _bending(
    demand: Demand, profile: JoistProfile, plies: int, scale: float, shown: Inputs
) -> Iterator[Check]:
    moment_kipin = demand.moment_lb_in * scale / _LB_IN_PER_KIP_IN
    for name, allowed_kipin, clause in (
        ("Bending, local buckling", profile.local_moment_kipin, "AISI S100 F3, tabulated"),
        ("Bending, distortional buckling", profile.distortional_moment_kipin, "AISI S100 F4, tabulated"),
    ):
        yield Check(name, moment_kipin, allowed_kipin * plies, "kip-in", clause, shown)
    if demand.stepped:
        capacity = (profile.local_moment_kipin * plies * _LB_IN_PER_KIP_IN, profile.shear_lb * plies)
        worst = max(
            hypot(section.moment_lb_in / capacity[0], section.shear_lb / capacity[1])
            for section in demand.sections
        )
        yield Check("Bending with shear", worst * scale, 1.0, "", "AISI S100 H2", shown)


def _shear(
    demand: Demand,
    profile: JoistProfile,
    plies: int,
    scale: float,
    holes_in: Sequence[float],
    shown: Inputs,
) -> Iterator[Check]:
    yield Check(
        "Shear", demand.shear_lb * scale, profile.shear_lb * plies, "lb", "AISI S100 G2, tabulated", shown
    )
    half = profile.hole_length_in / 2
    edges = [edge for hole in holes_in for edge in (hole - half, hole + half)]
    if edges:
        shear = max(demand.shear_at_lb(edge) for edge in edges)
        clause = "AISI S100 G3, tabulated"
        yield Check("Shear at a hole", shear * scale, profile.net_shear_lb * plies, "lb", clause, shown)


def _deflection(
    demand: Demand, profile: JoistProfile, plies: int, scale: float, practice: Practice, shown: Inputs
) -> Iterator[Check]:
    stiffness = ELASTIC_MODULUS_PSI * profile.effective_inertia_in4 * plies
    for name, limit, sags in (
        ("Live-load deflection", practice.live_deflection, demand.live_sags),
        ("Total deflection", practice.total_deflection, demand.total_sags),
    ):
        if limit <= 0:
            continue
        sag, span = max(zip(sags, demand.spans_in, strict=True), key=lambda pair: pair[0] / pair[1])
        limited = (("Limit", f"L/{limit}"), *shown)
        yield Check(name, sag * scale / stiffness, span / limit, "in", "R16", limited)


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
