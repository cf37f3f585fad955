"""Service holes against the shear and moment beside them (R10): one that fails is left out of its joist."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from framing.engine.errors import OutsideSourceLimits
from framing.engine.practice import Practice
from framing.engine.section.effective import WEB_PLAIN_MOST
from framing.engine.sizing.crippled import clear_of_hole_in, hole_factor, hole_reach_in, pressed_places
from framing.engine.sizing.demand import Demand
from framing.engine.sizing.figure import HOLE_BENDING, HOLE_SHEAR, LB_IN_PER_KIP_IN, Figure
from framing.engine.sizing.seats import Seats
from framing.engine.strength.profile import ProfileStrength


def hole_figures(
    demand: Demand,
    strength: ProfileStrength,
    plies: int,
    holes_in: Sequence[float],
    *,
    scale: float = 1.0,
) -> Iterator[Figure]:
    """Shear and bending at the worst of the holes; nothing where there are none, or where no clause holds."""
    found = demand.hole_figures(holes_in, strength.hole.length_in)
    if found is None or strength.net_shear_lb is None or strength.hole_moment_kipin is None:
        return
    shear_lb, moment_lb_in = found
    yield Figure(HOLE_SHEAR, shear_lb * scale, strength.net_shear_lb * plies, "lb", "AISI S100 G3")
    moment = moment_lb_in * scale / LB_IN_PER_KIP_IN
    yield Figure(HOLE_BENDING, moment, strength.hole_moment_kipin * plies, "kip-in", "AISI S100 F3, 1.1.3")


def holes_unchecked(strength: ProfileStrength, practice: Practice) -> bool:
    """Whether holes stand by IRC R505.2.6.1 alone: the web is over h/t 200 and the practice set lets them."""
    return practice.slender_web_holes and strength.web_slenderness > WEB_PLAIN_MOST


def hole_refusal(
    demand: Demand,
    strength: ProfileStrength,
    plies: int,
    seats: Seats,
    hole_in: float,
    practice: Practice,
) -> str:
    """Why a hole can't stay where it is, in words; "" where it can."""
    if holes_unchecked(strength, practice):
        return ""
    if strength.net_shear_lb is None or strength.hole_moment_kipin is None:
        return strength.net_shear_reason or strength.hole_moment_reason
    try:
        for pressed in pressed_places(demand, seats):
            if clear_of_hole_in(pressed, strength.hole, hole_in) <= hole_reach_in(
                strength.shape, strength.hole
            ):
                hole_factor(pressed, strength, hole_in)
    except OutsideSourceLimits as error:
        return f"web crippling beside it: {error.message}"
    for figure in hole_figures(demand, strength, plies, (hole_in,)):
        if figure.demand > figure.capacity:
            return (
                f"{figure.name.lower()}: {figure.demand:.3g} {figure.unit} is over "
                f"{figure.capacity:.3g} {figure.unit} ({figure.clause})"
            )
    return ""
