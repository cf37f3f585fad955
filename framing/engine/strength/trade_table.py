"""The same strengths as a trade's section table prints them, for comparison with one.

A table differs from a member's check in what it takes for granted: ASD; no help from sheathing; the net shear of
the standard hole also where h/t is over 200; the effective modulus at Fya where cold work counts; warping
constant, shear center and weak-axis inertia of simpler models of the section (`square_cornered`).
"""

from __future__ import annotations

from dataclasses import replace
from math import pi, sqrt

from framing.engine.method import Method
from framing.engine.section.cold_work import cold_work_yield_ksi
from framing.engine.section.effective import effective_inertia_in4
from framing.engine.section.gross import Gross, gross
from framing.engine.section.shape import Shape, Steel
from framing.engine.strength.distortional import distortional_buckling, distortional_strength
from framing.engine.strength.factors import BENDING, DISTORTIONAL, SHEAR
from framing.engine.strength.flexure import local_moment, unbraced_in_lu
from framing.engine.strength.shear import Hole, hole_factor, shear

STANDARD_HOLE = Hole(1.5, 4.0)


def table_values(shape: Shape, steel: Steel, hole: Hole = STANDARD_HOLE) -> dict[str, float]:
    """Values by the column names of `data/published/section_properties.csv`, with their units.

    Raises:
        OutsideSourceLimits: a flange, lip, bend or web (h/t 300) outside Appendix 1.
    Source: conventions of the SSMA Technical Guide 2024, each recomputed from its rows.
    """
    full, raised = square_cornered(shape), cold_work_yield_ksi(shape, steel)
    bending_ksi = steel.yield_ksi if raised is None else raised
    local, buckling = local_moment(shape, bending_ksi), distortional_buckling(shape)
    distortional = distortional_strength(full.sx_in3, bending_ksi, buckling.stress_ksi)
    shear_lb = 1000.0 * shear(shape, steel.yield_ksi).nominal_kip * SHEAR.share(Method.ASD)
    return {
        "area_in2": full.area_in2,
        "weight_plf": full.weight_plf,
        "Ix_in4": full.ix_in4,
        "Sx_in3": full.sx_in3,
        "rx_in": full.rx_in,
        "Iy_in4": full.iy_in4,
        "ry_in": full.ry_in,
        "Ixe_in4": effective_inertia_in4(shape, steel),
        "Sxe_in3": local.effective.modulus_in3,
        "Mal_kipin": local.nominal_kipin * BENDING.share(Method.ASD),
        "Mad_kipin": distortional.nominal_kipin * DISTORTIONAL.share(Method.ASD),
        "Vag_lb": shear_lb,
        "Vanet_lb": shear_lb * hole_factor(shape, hole),
        "Jx1000_in4": 1000.0 * full.j_in4,
        "Cw_in6": full.cw_in6,
        "xo_in": full.xo_in,
        "Lu_in": unbraced_in_lu(full, bending_ksi),
    }


def square_cornered(shape: Shape) -> Gross:
    """Gross properties with warping constant, shear center and weak-axis inertia as tables print them.

    Warping constant and shear center from the web are those of the center line with square corners, some 4 to
    10 % too much of Cw; the weak-axis inertia is by the line method, up to 1 % too little of it. For comparison
    only; a member's check takes `section.gross`.

    Source: thin-wall closed forms for the lipped channel and the line method of handbooks (from memory).
    """
    full, t = gross(shape), shape.thickness_in
    a, b, c = shape.depth_in - t, shape.flange_in - t, shape.lip_in - t / 2
    ix = t * (a**3 / 12 + a**2 * b / 2 + c**3 / 6 + c * (a - c) ** 2 / 2)
    reach = b * t * (6 * c * a**2 + 3 * b * a**2 - 8 * c**3) / (12 * ix)
    xo = -(reach + full.x_bar_in - t / 2)
    iy = _line_inertia(shape)
    return replace(
        full,
        iy_in4=iy,
        ry_in=sqrt(iy / full.area_in2),
        cw_in6=_square_warping(a, b, c, t, reach),
        xo_in=xo,
        ro_in=sqrt((full.ix_in4 + iy) / full.area_in2 + xo**2),
    )


def _square_warping(a: float, b: float, c: float, t: float, reach: float) -> float:
    """Cw in in6 of web a, flanges b, lips c: the sectorial area about the shear center, `reach` beyond the web."""
    at_bend = a / 2 * (reach - b)
    at_toe = at_bend - c * (b + reach)
    web = (a * reach / 2) ** 2 * a / 6
    return 2 * t * (web + _mean_square(b, a * reach / 2, at_bend) + _mean_square(c, at_bend, at_toe))


def _mean_square(length: float, start: float, end: float) -> float:
    return length * (start**2 + start * end + end**2) / 3


def _line_inertia(shape: Shape) -> float:
    """Iy in in4 of the center line with round corners, thickness only as a factor."""
    t, r = shape.thickness_in, shape.radius_in + shape.thickness_in / 2
    arc, reach = pi * r / 2, 2 * r / pi
    parts = (
        (shape.web_flat_in, t / 2, 0.0),
        (2 * shape.flange_flat_in, shape.flange_in / 2, shape.flange_flat_in**3 / 6),
        (2 * shape.lip_flat_in, shape.flange_in - t / 2, 0.0),
        (2 * arc, t / 2 + r - reach, 2 * arc * (r**2 / 2 - reach**2)),
        (2 * arc, shape.flange_in - t / 2 - r + reach, 2 * arc * (r**2 / 2 - reach**2)),
    )
    middle = sum(length * x for length, x, _ in parts) / sum(length for length, _, _ in parts)
    return t * sum(length * (x - middle) ** 2 + own for length, x, own in parts)
