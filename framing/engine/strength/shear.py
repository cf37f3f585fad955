"""Shear of the flat web (G2), with a hole (G3), and the web's slenderness limit (B4.1)."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt

from framing.engine.errors import OutsideSourceLimits
from framing.engine.section.effective import WEB_PLAIN_MOST, WEB_STIFFENED_MOST, web_slenderness
from framing.engine.section.shape import ELASTIC_MODULUS_KSI, POISSON, Shape

BUCKLING_COEFFICIENT = 5.34  # G2.3, unreinforced web
_FULL_SHEAR_OVER = 54.0  # c/t from which a hole takes nothing
_LEAST_HOLE_IN = 9 / 16
_HOLE_CLAUSE = "AISI S100 G3"


@dataclass(frozen=True, slots=True)
class Shear:
    """G2 with its steps: h/t, buckling stress Fcr in ksi, Vy, Vcr and Vn in kips, slenderness lambda_v."""

    web_slenderness: float
    critical_ksi: float
    yield_kip: float
    critical_kip: float
    slenderness: float
    nominal_kip: float


@dataclass(frozen=True, slots=True)
class Hole:
    """A web hole at mid-depth: depth across the web, length along the joist, in inches."""

    depth_in: float
    length_in: float
    round: bool = False


def check_web_slenderness(shape: Shape, *, bearing_stiffeners: bool) -> None:
    """h/t of a web without further reinforcement: 200, with bearing stiffeners at all bearings 260.

    Raises:
        OutsideSourceLimits: over the limit.
    Source: AISI S100-16 B4.1, Table B4.1-1.
    """
    limit = WEB_STIFFENED_MOST if bearing_stiffeners else WEB_PLAIN_MOST
    if web_slenderness(shape) > limit:
        raise OutsideSourceLimits("AISI S100 B4.1", "h/t", web_slenderness(shape), limit)


def shear(shape: Shape, yield_ksi: float) -> Shear:
    """Nominal shear strength of the web without holes and stiffeners.

    Limits: none of its own; `check_web_slenderness` holds the web's.
    Source: AISI S100-16 G2.1 and G2.3 (kv = 5.34), without tension field action.
    """
    area_in2 = shape.web_flat_in * shape.thickness_in
    ratio = web_slenderness(shape)
    plate_ksi = pi**2 * ELASTIC_MODULUS_KSI / (12 * (1 - POISSON**2))
    critical_ksi = BUCKLING_COEFFICIENT * plate_ksi / ratio**2
    yielding, critical = 0.6 * area_in2 * yield_ksi, area_in2 * critical_ksi
    slenderness = sqrt(yielding / critical)
    nominal = critical
    if slenderness <= 0.815:
        nominal = yielding
    elif slenderness <= 1.227:
        nominal = 0.815 * sqrt(critical * yielding)
    return Shear(ratio, critical_ksi, yielding, critical, slenderness, nominal)


def flat_beside_hole_in(shape: Shape, hole: Hole) -> float:
    """c, the flat web left on each side of the hole, in inches (G3; a round hole counts as its inner square)."""
    return shape.web_flat_in / 2 - hole.depth_in / (2.83 if hole.round else 2.0)


def hole_factor(shape: Shape, hole: Hole) -> float:
    """qs: shear strength with the hole over that without.

    Limits: those of `check_hole_limits`, held apart, since trade tables print the value beyond them.
    Source: AISI S100-16 G3.
    """
    beside = flat_beside_hole_in(shape, hole) / shape.thickness_in
    return 1.0 if beside >= _FULL_SHEAR_OVER else max(0.0, beside / _FULL_SHEAR_OVER)


def check_hole_limits(shape: Shape, hole: Hole, *, clause: str = _HOLE_CLAUSE) -> None:
    """Limits that the hole rules of shear (G3) and crippling (G6) share.

    Taken as given: the hole at mid-depth, 18 in clear between holes, corners of a slot rounded to 2 t or more.

    Raises:
        OutsideSourceLimits: the first limit that is broken.
    """
    flat = shape.web_flat_in
    most_deep, most_long = (6.0, 6.0) if hole.round else (2.5, 4.5)
    for thing, value, limit in (
        ("h/t", web_slenderness(shape), WEB_PLAIN_MOST),
        ("hole depth / h", hole.depth_in / flat, 0.7),
        ("hole depth (in)", hole.depth_in, most_deep),
        ("hole length (in)", hole.length_in, most_long),
    ):
        if value > limit:
            raise OutsideSourceLimits(clause, thing, value, limit)
    if hole.depth_in < _LEAST_HOLE_IN:
        raise OutsideSourceLimits(clause, "hole depth (in)", hole.depth_in, _LEAST_HOLE_IN, least=True)


def check_shear_at_hole(shape: Shape, hole: Hole) -> None:
    """All limits of G3: those of `check_hole_limits`, and c/t of 5 or more.

    Raises:
        OutsideSourceLimits: the first limit that is broken.
    """
    check_hole_limits(shape, hole)
    beside = flat_beside_hole_in(shape, hole) / shape.thickness_in
    if beside < 5.0:
        raise OutsideSourceLimits(_HOLE_CLAUSE, "c/t beside the hole", beside, 5.0, least=True)
