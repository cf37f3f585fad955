"""The familiar closed form for a lipped C with sharp corners: what printed section tables show for Cw and xo.

Kept to name the tables' convention, and as a second way to the warping constant; the engine uses round bends.
Source: AISI Cold-Formed Steel Design Manual, Part I, C-shapes with lips.
"""

from __future__ import annotations

from framing.engine.section.shape import Shape


def web_to_shear_centre_in(shape: Shape) -> float:
    """m: shear centre from the web's centre line."""
    a, b, c, t = _centre_line(shape)
    return b * t * (6 * c * a**2 + 3 * b * a**2 - 8 * c**3) / (12 * _inertia(shape))


def warping_constant_in6(shape: Shape) -> float:
    """Cw with sharp corners."""
    a, b, c, t = _centre_line(shape)
    area = t * (a + 2 * b + 2 * c)
    x = b * (b + 2 * c) / (a + 2 * b + 2 * c)
    m, ix = web_to_shear_centre_in(shape), _inertia(shape)
    terms = (
        x * area * a**2 / t * (b**2 / 3 + m**2 - m * b),
        area / (3 * t) * (m**2 * a**3 + b**2 * c**2 * (2 * c + 3 * a)),
        -ix * m**2 / t * (2 * a + 4 * c),
        m * c**2 / 3 * (8 * b**2 * c + 2 * m * (2 * c * (c - a) + b * (2 * c - 3 * a))),
        b**2 * a**2 / 6 * ((3 * c + b) * (4 * c + a) - 6 * c**2),
        -(m**2) * a**4 / 4,
    )
    return t**2 / area * sum(terms)


def _centre_line(shape: Shape) -> tuple[float, float, float, float]:
    t = shape.thickness_in
    return shape.depth_in - t, shape.flange_in - t, shape.lip_in - t / 2, t


def _inertia(shape: Shape) -> float:
    a, b, c, t = _centre_line(shape)
    return t * (a**3 / 12 + b * a**2 / 2 + c**3 / 6 + 2 * c * (a / 2 - c / 2) ** 2)
