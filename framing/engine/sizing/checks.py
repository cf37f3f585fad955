"""Checks of one member as they are shown (R15-R17): demand, capacity, clause, inputs; over 1 fails.

Held: bending with local, distortional and, over inner bearings, on overhangs and in flush beams, lateral-torsional
buckling; shear; bending with shear; web crippling with and without bending where force goes into a bare web;
slenderness of the web;
shear and bending at service holes; live and total deflection with the effective inertia; vibration by three
named methods, for information where the practice set leaves a method off.

Not held, and said so on every sheet: clips, plates, screws and nails; what stands below the floor; wind and
earthquake; fire and sound.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from framing.engine.catalogue import JoistProfile
from framing.engine.practice import Practice
from framing.engine.result import Check
from framing.engine.sizing.demand import Demand
from framing.engine.sizing.figure import Figure
from framing.engine.sizing.figures import figures
from framing.engine.sizing.hole_checks import hole_figures
from framing.engine.sizing.seats import Seats
from framing.engine.sizing.strengths import strength_of
from framing.engine.strength.profile import ProfileStrength
from framing.engine.units import inches

Inputs = tuple[tuple[str, str], ...]


def check_profile(
    demand: Demand,
    profile: JoistProfile,
    plies: int,
    practice: Practice,
    *,
    seats: Seats | None = None,
    scale: float = 1.0,
    holes_in: Sequence[float] = (),
    inputs: Inputs = (),
) -> tuple[Check, ...]:
    """Hold a profile against a demand.

    Args:
        demand: envelope of the member's loads, by the practice's method.
        profile, plies: what it is made of.
        practice: deflection limits; a limit of 0 is switched off.
        seats: where force goes into a bare web; none by default.
        scale: factor on all loads, as from one spacing to another.
        holes_in: centers of service holes on the member's axis, in the demand's coordinates.
        inputs: what to show beside the profile's own values.
    """
    strength = strength_of(profile, practice)
    shown = (*inputs, *_profile_inputs(profile, strength, plies))
    found: list[Figure] = [
        *figures(demand, strength, plies, practice, seats or Seats(), scale=scale, holes_in=holes_in),
        *hole_figures(demand, strength, plies, holes_in, scale=scale),
    ]
    return tuple(_check(figure, shown) for figure in found)


def governing(checks: Sequence[Check]) -> int:
    """Index of the required check with the largest ratio; the first of equals."""
    required = [i for i, check in enumerate(checks) if check.required]
    return max(required, key=lambda i: (checks[i].ratio, -i))


def _check(figure: Figure, shown: Inputs) -> Check:
    inputs = (("Limit", f"L/{figure.limit}"), *shown) if figure.limit else shown
    return Check(figure.name, figure.demand, figure.capacity, figure.unit, figure.clause, inputs)


def _profile_inputs(profile: JoistProfile, strength: ProfileStrength, plies: int) -> Inputs:
    return tuple(_rows(profile, strength, plies))


def _rows(profile: JoistProfile, strength: ProfileStrength, plies: int) -> Iterator[tuple[str, str]]:
    yield "Profile", profile.designator
    yield "Plies", str(plies)
    yield "Yield", f"{profile.yield_ksi} ksi"
    if strength.cold_work:
        yield "Yield with cold work of forming", f"{strength.bending_yield_ksi:.2f} ksi"
    yield "Effective inertia, one ply", f"{strength.effective_inertia_in4:.4g} in4"
    yield "Slenderness of the web, h/t", f"{strength.web_slenderness:.1f}"
    yield "Method", strength.method.value
    yield "Source", profile.source


def hole_places_in(holes_16: Sequence[int], low_16: int) -> tuple[float, ...]:
    """Hole centers from the printed end as positions on the member's axis."""
    return tuple(inches(low_16 + hole) for hole in holes_16)
