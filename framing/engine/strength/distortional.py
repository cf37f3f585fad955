"""Distortional buckling of the lipped C in bending: elastic stress (Appendix 2, 2.3.3.3) and strength (F4)."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt

from framing.engine.section.shape import ELASTIC_MODULUS_KSI, POISSON, SHEAR_MODULUS_KSI, Shape

_PURE_BENDING = 2.0  # xi = (f1 - f2) / f1 of the web of a section symmetric about its bending axis


@dataclass(frozen=True, slots=True)
class FlangeAndLip:
    """The flange with its lip on the center line, about its own centroid (Appendix 2, Table 2.3.1.3-1).

    in2 and in4; xo: centroid's side of the web corner's shear point, yo, and hx: centroid from the web corner, in.
    """

    area_in2: float
    ix_in4: float
    iy_in4: float
    ixy_in4: float
    j_in4: float
    xo_in: float
    yo_in: float
    hx_in: float


@dataclass(frozen=True, slots=True)
class DistortionalBuckling:
    """Every step of 2.3.3.3: half-wave and length in inches, stiffness in kips, geometric stiffness in in2.

    Attributes:
        half_wave_in: Lcrd; length_in: L = the smaller of Lcrd and the restraints' distance Lm.
        flange_kip, web_kip, sheathing_kip: elastic rotational stiffness kfe, kwe, kphi.
        flange_in2, web_in2: geometric kfg, kwg, for a stress of 1 ksi.
        gradient: beta, help of a moment that falls along Lm.
        stress_ksi: Fcrd.
    """

    half_wave_in: float
    length_in: float
    flange_kip: float
    web_kip: float
    sheathing_kip: float
    flange_in2: float
    web_in2: float
    gradient: float
    stress_ksi: float


@dataclass(frozen=True, slots=True)
class DistortionalStrength:
    """F4: yield moment, elastic buckling moment and nominal strength in kip-in, slenderness lambda_d."""

    yield_kipin: float
    critical_kipin: float
    slenderness: float
    nominal_kipin: float


def flange_and_lip(shape: Shape) -> FlangeAndLip:
    """Properties of the compression flange with its lip, square corners. Source: AISI S100-16 Table 2.3.1.3-1."""
    t = shape.thickness_in
    b, d = shape.flange_in - t, shape.lip_in - t / 2
    both = b + d
    return FlangeAndLip(
        area_in2=both * t,
        ix_in4=t * (t**2 * b**2 + 4 * b * d**3 + t**2 * b * d + d**4) / (12 * both),
        iy_in4=t * (b**4 + 4 * d * b**3) / (12 * both),
        ixy_in4=t * b**2 * d**2 / (4 * both),
        j_in4=both * t**3 / 3,
        xo_in=b**2 / (2 * both),
        yo_in=-(d**2) / (2 * both),
        hx_in=-(b**2 + 2 * d * b) / (2 * both),
    )


def half_wave_in(shape: Shape, flange: FlangeAndLip) -> float:
    """Lcrd, the half-wave length of distortional buckling in bending. Source: AISI S100-16 Eq. 2.3.3.3-4."""
    web = shape.depth_in
    plate = 4 * pi**4 * web * (1 - POISSON**2) / shape.thickness_in**3
    return float((plate * _warping_in6(flange) + pi**4 * web**4 / 720) ** 0.25)


def moment_gradient_factor(length_in: float, restraint_in: float, end_moment_ratio: float) -> float:
    """Beta of 2.3.3.3 for a moment that changes along the unrestrained length, from 1 to 1.3.

    Args:
        length_in: L; restraint_in: Lm.
        end_moment_ratio: M1/M2 of the ends of Lm, smaller over larger; positive in reverse curvature.
    """
    rise = max(0.0, 1 + end_moment_ratio)
    return float(min(1.3, 1 + 0.4 * (length_in / restraint_in) ** 0.7 * rise**0.7))


def distortional_buckling(
    shape: Shape,
    *,
    sheathing_kip: float = 0.0,
    restraint_in: float | None = None,
    end_moment_ratio: float | None = None,
) -> DistortionalBuckling:
    """Elastic distortional buckling in bending about the strong axis.

    Args:
        sheathing_kip: kphi, rotational stiffness of what is fastened to the compression flange, kip-in per rad and in.
        restraint_in: Lm, between points where the flange cannot rotate; None: further apart than a half-wave.
        end_moment_ratio: M1/M2 over Lm, see `moment_gradient_factor`; None: no help (always for Lm None).
    Limits: a simple lip at 90 degrees; pure bending stress in the web.
    Source: AISI S100-16 Appendix 2, 2.3.3.3 (stiffness terms of 2.3.1.3 and 2.3.3.3).
    """
    flange = flange_and_lip(shape)
    half_wave = half_wave_in(shape, flange)
    length = half_wave if restraint_in is None else min(half_wave, restraint_in)
    gradient = 1.0
    if restraint_in is not None and end_moment_ratio is not None:
        gradient = moment_gradient_factor(length, restraint_in, end_moment_ratio)
    elastic = _flange_elastic(flange, length), _web_elastic(shape, length)
    geometric = _flange_geometric(flange, length), _web_geometric(shape, length)
    stress = gradient * (sum(elastic) + sheathing_kip) / sum(geometric)
    return DistortionalBuckling(
        half_wave, length, *elastic, sheathing_kip, *geometric, gradient=gradient, stress_ksi=stress
    )


def distortional_strength(sx_in3: float, yield_ksi: float, critical_ksi: float) -> DistortionalStrength:
    """Nominal moment from yield and elastic buckling stress, kip-in, by the gross modulus.

    Never over the yield moment: just past 0.673, a rounded figure, the formula alone gives 1.0002 of it.

    Source: AISI S100-16 F4.
    """
    yielding, critical = sx_in3 * yield_ksi, sx_in3 * critical_ksi
    slenderness = sqrt(yielding / critical)
    if slenderness <= 0.673:
        return DistortionalStrength(yielding, critical, slenderness, yielding)
    root = 1 / slenderness
    nominal = min(1.0, (1 - 0.22 * root) * root) * yielding
    return DistortionalStrength(yielding, critical, slenderness, nominal)


def _warping_in6(flange: FlangeAndLip) -> float:
    """Ixf (xo - hx)^2 + Cwf - Ixyf^2 / Iyf (xo - hx)^2; Cwf of two plates that meet at a line is 0."""
    return (flange.ix_in4 - flange.ixy_in4**2 / flange.iy_in4) * (flange.xo_in - flange.hx_in) ** 2


def _flange_elastic(flange: FlangeAndLip, length_in: float) -> float:
    wave = pi / length_in
    return wave**4 * ELASTIC_MODULUS_KSI * _warping_in6(flange) + wave**2 * SHEAR_MODULUS_KSI * flange.j_in4


def _web_elastic(shape: Shape, length_in: float) -> float:
    web, wave = shape.depth_in, pi / length_in
    plate = ELASTIC_MODULUS_KSI * shape.thickness_in**3 / (12 * (1 - POISSON**2))
    return plate * (3 / web + wave**2 * 19 * web / 60 + wave**4 * web**3 / 240)


def _flange_geometric(flange: FlangeAndLip, length_in: float) -> float:
    arm, tilt = flange.xo_in - flange.hx_in, flange.ixy_in4 / flange.iy_in4
    spread = (arm * tilt) ** 2 - 2 * flange.yo_in * arm * tilt + flange.hx_in**2 + flange.yo_in**2
    return (pi / length_in) ** 2 * (flange.area_in2 * spread + flange.ix_in4 + flange.iy_in4)


def _web_geometric(shape: Shape, length_in: float) -> float:
    web = shape.depth_in
    aspect, rest = length_in / web, 1 - _PURE_BENDING
    above = (45360 * rest + 62160) * aspect**2 + 448 * pi**2 + (53 + 3 * rest) * pi**4 / aspect**2
    below = pi**4 + 28 * pi**2 * aspect**2 + 420 * aspect**4
    return web * shape.thickness_in * pi**2 / 13440 * above / below
