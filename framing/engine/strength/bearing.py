"""Crippling beside a hole (G6) and with a bearing stiffener (F5.2)."""

from __future__ import annotations

from dataclasses import dataclass

from framing.engine.errors import OutsideSourceLimits
from framing.engine.section.shape import Shape
from framing.engine.strength.crippling import LoadCase
from framing.engine.strength.shear import Hole, check_hole_limits

_HOLE_CLAUSE = "AISI S100 G6"
_STIFFENER_CLAUSE = "AISI S100 F5.2"


def crippling_hole_factor(
    shape: Shape, hole: Hole, case: LoadCase, *, clear_in: float, bearing_in: float, end_in: float
) -> float:
    """Rc: crippling strength near a hole over that without one.

    Args:
        clear_in: x, from the edge of the bearing to the edge of the hole; the hole may not reach into the bearing.
        bearing_in: N; at an end at least 1 in, inside at least 3 in.
        end_in: from the edge of the hole to the member's end; at least the depth of the joist.
    Raises:
        OutsideSourceLimits: these limits, those of `check_hole_limits`, or a force on both flanges.
    Source: AISI S100-16 G6, for one-flange loading.
    """
    check_hole_limits(shape, hole, clause=_HOLE_CLAUSE)
    end = case is LoadCase.END_ONE_FLANGE
    least_in = 1.0 if end else 3.0
    if case.endswith("TF"):
        raise OutsideSourceLimits(_HOLE_CLAUSE, "flanges loaded", 2.0, 1.0)
    for thing, value, least in (
        ("clear distance from bearing to hole (in)", clear_in, 0.0),
        ("distance from hole to end (in)", end_in, shape.depth_in),
        ("N (in)", bearing_in, least_in),
    ):
        if value < least:
            raise OutsideSourceLimits(_HOLE_CLAUSE, thing, value, least, least=True)
    depth, clear = hole.depth_in / shape.web_flat_in, clear_in / shape.web_flat_in
    factor = 1.01 - 0.325 * depth + 0.083 * clear if end else 0.90 - 0.047 * depth + 0.053 * clear
    return min(1.0, factor)


@dataclass(frozen=True, slots=True)
class Stiffener:
    """A piece of stud or track screwed to the joist's web over a bearing.

    Attributes:
        effective_area_in2: Ae under uniform stress at its yield.
        web_depth_in, base_thickness_in, length_in: the piece.
        fasteners, first_fastener_in: screws into the joist's web; the first from the joist's flange.
        bearing_in: width of the bearing under it; `narrow`: one of its flanges stands beside the bearing.
    """

    effective_area_in2: float
    yield_ksi: float
    web_depth_in: float
    base_thickness_in: float
    length_in: float
    fasteners: int
    first_fastener_in: float
    bearing_in: float
    narrow: bool = False


def check_stiffener(stiffener: Stiffener, depth_in: float) -> None:
    """Limits of F5.2 for a joist `depth_in` deep.

    Raises:
        OutsideSourceLimits: the first limit that is broken.
    Source: AISI S100-16 F5.2, from memory.
    """
    for thing, value, least in (
        ("web depth (in)", stiffener.web_depth_in, 3.5),
        ("base steel (in)", stiffener.base_thickness_in, 0.0329),
        ("fasteners", float(stiffener.fasteners), 3.0),
        ("first fastener from flange (in)", stiffener.first_fastener_in, depth_in / 8),
        ("length (in)", stiffener.length_in, depth_in - 0.375),
        ("bearing width (in)", stiffener.bearing_in, 1.5),
    ):
        if value < least:
            raise OutsideSourceLimits(_STIFFENER_CLAUSE, thing, value, least, least=True)


def stiffened_kip(crippling_kip: float, stiffener: Stiffener, depth_in: float) -> float:
    """Pn of a bearing with a stiffener of stud or track, kips: 0.7 (Pwc + Ae Fy), not less than Pwc.

    Half of it where one flange of the stiffener stands beside the bearing.

    Args:
        crippling_kip: Pwc, the web's own strength by G5.
    Raises:
        OutsideSourceLimits: see `check_stiffener`.
    Source: AISI S100-16 F5.2, from memory.
    """
    check_stiffener(stiffener, depth_in)
    together = 0.7 * (crippling_kip + stiffener.effective_area_in2 * stiffener.yield_ksi)
    return max(crippling_kip, together * (0.5 if stiffener.narrow else 1.0))
