"""Gross properties of the lipped C with round bends (R14).

Area, inertias and centroid are exact for walls of constant thickness and circular bends. Torsion constant, warping
constant and shear centre are those of the thin-walled open section, integrated exactly along the round centre line.
Printed tables take sharp corners for the warping constant and get 3 to 12 % more of it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from framing.engine.section.shape import Shape

STEEL_PCF = 490.0
IN3_PER_FT3 = 1728.0

_Terms = tuple[float, float, float, float]
# Integrals over a quarter turn of products of 1, sin a, cos a, a.
_QUARTER: tuple[_Terms, _Terms, _Terms, _Terms] = (
    (math.pi / 2, 1.0, 1.0, math.pi**2 / 8),
    (1.0, math.pi / 4, 0.5, 1.0),
    (1.0, 0.5, math.pi / 4, math.pi / 2 - 1),
    (math.pi**2 / 8, 1.0, math.pi / 2 - 1, math.pi**3 / 24),
)


@dataclass(frozen=True, slots=True)
class Gross:
    """Properties of the full section; x runs along the flanges, y along the web.

    Attributes:
        area_in2, ix_in4, rx_in, iy_in4, ry_in: about the centroid.
        sx_in3: modulus of the extreme fibre in bending about x.
        x_bar_in: centroid from the web's outer face.
        j_in4, cw_in6: torsion and warping constants.
        xo_in: shear centre from the centroid, negative because it lies beyond the web.
        ro_in: polar radius of gyration about the shear centre.
        weight_plf: bare steel at 490 lb per cubic foot and design thickness.
    """

    area_in2: float
    ix_in4: float
    sx_in3: float
    rx_in: float
    iy_in4: float
    ry_in: float
    x_bar_in: float
    j_in4: float
    cw_in6: float
    xo_in: float
    ro_in: float
    weight_plf: float


@dataclass(frozen=True, slots=True)
class _Flat:
    """Second moments and centroid, before they are gathered; x from the web's outer face."""

    area: float
    ix: float
    iy: float
    x_bar: float


@lru_cache(maxsize=1024)
def gross(shape: Shape) -> Gross:
    """Gross properties of `shape` in inches and pounds per foot; no limits beyond those of `shape()`.

    Source: mechanics of materials; J = A t^2 / 3, Cw and the shear centre by the sectorial area (Vlasov).
    """
    flat = _second_moments(shape)
    cw, shear_centre = _warping(shape)
    cw += _warping_through_wall(shape, shear_centre)
    xo = shear_centre + shape.thickness_in / 2 - flat.x_bar
    return Gross(
        area_in2=flat.area,
        ix_in4=flat.ix,
        sx_in3=2 * flat.ix / shape.depth_in,
        rx_in=math.sqrt(flat.ix / flat.area),
        iy_in4=flat.iy,
        ry_in=math.sqrt(flat.iy / flat.area),
        x_bar_in=flat.x_bar,
        j_in4=flat.area * shape.thickness_in**2 / 3,
        cw_in6=cw,
        xo_in=xo,
        ro_in=math.sqrt((flat.ix + flat.iy) / flat.area + xo**2),
        weight_plf=flat.area * 12 * STEEL_PCF / IN3_PER_FT3,
    )


def coated_weight_plf(shape: Shape, coating_oz_ft2: float) -> float:
    """Weight in pounds per foot with a metal coating.

    `coating_oz_ft2` is the coating's mass in ounces per square foot of sheet, both sides together (ASTM A653: G60
    is 0.60). The sheet is as wide as the section's centre line is long.
    """
    full = gross(shape)
    return full.weight_plf + full.area_in2 / shape.thickness_in / 12 * coating_oz_ft2 / 16


def _second_moments(shape: Shape) -> _Flat:
    """Area, centroid and inertias from one web, two flanges, two lips and four quarter rings, all exact."""
    t, r = shape.thickness_in, shape.radius_in + shape.thickness_in / 2
    web, flange, lip = shape.web_flat_in, shape.flange_flat_in, shape.lip_flat_in
    y_flange, y_lip = (shape.depth_in - t) / 2, (web - lip) / 2
    x_web, x_flange, x_lip = t / 2, shape.flange_in / 2, shape.flange_in - t / 2
    ring, reach, own = _quarter_ring(t, r)
    x_near, x_far = t / 2 + r - reach, shape.flange_in - t / 2 - r + reach
    area = t * (web + 2 * flange + 2 * lip) + 4 * ring
    along = t * (web * x_web + 2 * flange * x_flange + 2 * lip * x_lip) + 2 * ring * (x_near + x_far)
    x_bar = along / area
    ix = t * (web**3 + 2 * lip**3) / 12 + flange * t**3 / 6
    ix += 2 * t * (flange * y_flange**2 + lip * y_lip**2) + 4 * (own + ring * (web / 2 + reach) ** 2)
    iy = t * flange**3 / 6 + (web + 2 * lip) * t**3 / 12
    iy += t * (
        web * (x_web - x_bar) ** 2 + 2 * flange * (x_flange - x_bar) ** 2 + 2 * lip * (x_lip - x_bar) ** 2
    )
    iy += 4 * own + 2 * ring * ((x_near - x_bar) ** 2 + (x_far - x_bar) ** 2)
    return _Flat(area, ix, iy, x_bar)


def _quarter_ring(t: float, r: float) -> tuple[float, float, float]:
    """A quarter ring of wall t and centre-line radius r: area, centroid's reach from its centre, own inertia."""
    area = math.pi / 2 * r * t
    reach = (r**2 * t + t**3 / 12) / area
    about_centre = math.pi / 4 * (r**3 * t + r * t**3 / 4)
    return area, reach, about_centre - area * reach**2


def _warping(shape: Shape) -> tuple[float, float]:
    """Warping constant, and the shear centre's x from the web's centre line.

    Walks the upper half from mid-depth to the toe of the lip with the sectorial area w about the web's middle; by
    symmetry w is antisymmetric, so the shear centre is x = int(w y) / int(y^2) and Cw = int(w^2) - x int(w y).
    On a bend w and y are sums of 1, sin a, cos a, a with the angle a from the bend's start.
    """
    t, r = shape.thickness_in, shape.radius_in + shape.thickness_in / 2
    c, flange, lip = shape.web_flat_in / 2, shape.flange_flat_in, shape.lip_flat_in
    far, top = 2 * r + flange, c + r
    near_w: _Terms = (-c * r, r * r, c * r, -r * r)
    near_y: _Terms = (c, r, 0.0, 0.0)
    w2 = r * r - c * r - r * r * math.pi / 2
    w3 = w2 - top * flange
    bend_x = r + flange
    far_w: _Terms = (w3 - bend_x * r, -c * r, bend_x * r, -r * r)
    far_y: _Terms = (c, 0.0, r, 0.0)
    w4 = w3 - bend_x * r - c * r - r * r * math.pi / 2
    w5 = w4 - far * lip
    yy = c**3 / 3 + r * (_bend(near_y, near_y) + _bend(far_y, far_y))
    yy += flange * top**2 + _straight(lip, c, c - lip, c, c - lip)
    wy = r * (_bend(near_w, near_y) + _bend(far_w, far_y))
    wy += _straight(flange, w2, w3, top, top) + _straight(lip, w4, w5, c, c - lip)
    ww = r * (_bend(near_w, near_w) + _bend(far_w, far_w))
    ww += _straight(flange, w2, w3, w2, w3) + _straight(lip, w4, w5, w4, w5)
    return 2 * t * (ww - wy * wy / yy), wy / yy


def _warping_through_wall(shape: Shape, shear_centre: float) -> float:
    """Warping across the wall, t^3/12 times the integral of q^2; it is 0.1 to 0.3 % in thick deep sections.

    q is how far along the wall a point lies from the foot of the shear centre's normal to that wall.
    """
    t, r = shape.thickness_in, shape.radius_in + shape.thickness_in / 2
    c, lip = shape.web_flat_in / 2, shape.lip_flat_in
    near = r - shear_centre
    far = near + shape.flange_flat_in
    flats = (c**3 + far**3 - near**3 + c**3 - (c - lip) ** 3) / 3
    bends = r * ((near**2 + far**2 + 2 * c**2) * math.pi / 4 + near * c - far * c)
    return 2 * t**3 / 12 * (flats + bends)


def _bend(left: _Terms, right: _Terms) -> float:
    """Integral over a quarter turn of the product of two sums of 1, sin a, cos a, a."""
    return sum(
        p * sum(m * q for m, q in zip(row, right, strict=True)) for p, row in zip(left, _QUARTER, strict=True)
    )


def _straight(length: float, u0: float, u1: float, v0: float, v1: float) -> float:
    """Integral along a straight wall of the product of two quantities that vary evenly from end to end."""
    return length * (2 * u0 * v0 + u0 * v1 + u1 * v0 + 2 * u1 * v1) / 6
