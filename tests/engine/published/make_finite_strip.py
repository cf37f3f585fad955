"""Makes `finite_strip.csv`: elastic buckling of lipped C joists in bending by the finite strip method.

Not run by the tests. It wants pycufsm 0.2.0 (with NumPy below 2.3) in an environment of its own:

    python -m venv /tmp/strip && /tmp/strip/bin/pip install "pycufsm==0.2.0" "numpy<2.3"
    /tmp/strip/bin/python tests/engine/published/make_finite_strip.py > tests/engine/published/finite_strip.csv

The model: center line with square corners, simple ends, stress linear over the depth with 1 ksi at the outer
fibers, so a load factor is a buckling stress in ksi. Columns of the result: the first minimum of the curve and its
half-wave (local buckling where that is shorter than the web, else distortional); the next minimum (distortional),
empty where the curve has none, as deep narrow sections do; and the curve at the half-wave that AISI S100-16
Eq. 2.3.3.3-4 gives, with the lengths in inches. The last column is that same value with the corner of web and
compression flange held sideways, as a deck on a joist holds it.
"""

from __future__ import annotations

import csv
import sys
from math import pi

import numpy as np
from pycufsm.fsm import strip

E, NU = 29500.0, 0.3
SECTIONS = (  # designator, depth, flange, lip, thickness: out to out, inches
    ("600S137-33", 6.0, 1.375, 0.375, 0.0346),
    ("600S162-54", 6.0, 1.625, 0.5, 0.0566),
    ("800S162-43", 8.0, 1.625, 0.5, 0.0451),
    ("800S162-97", 8.0, 1.625, 0.5, 0.1017),
    ("800S200-54", 8.0, 2.0, 0.625, 0.0566),
    ("1000S162-54", 10.0, 1.625, 0.5, 0.0566),
    ("1000S200-68", 10.0, 2.0, 0.625, 0.0713),
    ("1000S250-118", 10.0, 2.5, 0.625, 0.1242),
    ("1200S162-54", 12.0, 1.625, 0.5, 0.0566),
    ("1200S162-97", 12.0, 1.625, 0.5, 0.1017),
    ("1200S250-97", 12.0, 2.5, 0.625, 0.1017),
    ("1400S200-68", 14.0, 2.0, 0.625, 0.0713),
)


def center_line(depth: float, flange: float, lip: float, t: float) -> list[tuple[float, float]]:
    """Points along the center line from one lip's toe to the other, each wall in equal strips."""
    w, b, d = depth - t, flange - t, lip - t / 2
    corners = [(b, w / 2 - d), (b, w / 2), (0, w / 2), (0, -w / 2), (b, -w / 2), (b, d - w / 2)]
    points = [corners[0]]
    for (x0, y0), (x1, y1), parts in zip(corners, corners[1:], (3, 6, 20, 6, 3), strict=False):
        points += [(x0 + (x1 - x0) * i / parts, y0 + (y1 - y0) * i / parts) for i in range(1, parts + 1)]
    return points


def distortional_half_wave(depth: float, flange: float, lip: float, t: float) -> float:
    """AISI S100-16 Eq. 2.3.3.3-4, written out here once more."""
    b, d = flange - t, lip - t / 2
    ix = t * (t**2 * b**2 + 4 * b * d**3 + t**2 * b * d + d**4) / (12 * (b + d))
    iy = t * (b**4 + 4 * d * b**3) / (12 * (b + d))
    ixy = t * b**2 * d**2 / (4 * (b + d))
    bending = (ix - ixy**2 / iy) * b**2
    return float((4 * pi**4 * depth * (1 - NU**2) / t**3 * bending + pi**4 * depth**4 / 720) ** 0.25)


COMPRESSED_CORNER = 9  # point after 3 strips of lip and 6 of flange


def buckling_stress(
    section: tuple[float, float, float, float], lengths: np.ndarray, *, held: bool = False
) -> np.ndarray:
    """Lowest load factor at each half-wave length; `held`: the compressed corner does not move sideways."""
    points, t = center_line(*section), section[3]
    nodes = np.array([[i, x, y, 1, 1, 1, 1, 2 * y / section[0]] for i, (x, y) in enumerate(points)])
    nodes[COMPRESSED_CORNER, 3] = 0 if held else 1
    elements = np.array([[i, i, i + 1, t, 0] for i in range(len(points) - 1)])
    props = np.array([[0, E, E, NU, NU, E / (2 * (1 + NU))]])
    free = {name: [0] for name in ("glob", "dist", "local", "other")}
    free |= {"o_space": 1, "norm": 1, "couple": 1, "orth": 2}
    terms = np.ones((len(lengths), 1))
    signature, _, _ = strip(
        props, nodes, elements, lengths, np.array([]), np.array([]), free, "S-S", terms, 1, None
    )
    return np.asarray(signature)


def minima(lengths: np.ndarray, stress: np.ndarray) -> list[tuple[float, float]]:
    """Inner minima of the curve as (stress, half-wave), in rising length."""
    inner = range(1, len(lengths) - 1)
    return [
        (float(stress[i]), float(lengths[i])) for i in inner if stress[i - 1] > stress[i] <= stress[i + 1]
    ]


def main() -> None:
    out = csv.writer(sys.stdout, lineterminator="\n")
    out.writerow(
        [
            "section",
            "depth_in",
            "flange_in",
            "lip_in",
            "design_t_in",
            "first_ksi",
            "first_half_wave_in",
            "second_ksi",
            "second_half_wave_in",
            "closed_half_wave_in",
            "at_closed_half_wave_ksi",
            "held_at_closed_half_wave_ksi",
        ]
    )
    for name, *sizes in SECTIONS:
        section = (sizes[0], sizes[1], sizes[2], sizes[3])
        lengths = np.geomspace(1.5, 60.0, 150)
        found = minima(lengths, buckling_stress(section, lengths))
        closed = distortional_half_wave(*section)
        there = float(buckling_stress(section, np.array([closed]))[0])
        held = float(buckling_stress(section, np.array([closed]), held=True)[0])
        second = found[1] if len(found) > 1 else ("", "")
        values = (*found[0], *second, closed, there, held)
        out.writerow([name, *sizes, *(f"{v:.3f}" if v != "" else "" for v in values)])


if __name__ == "__main__":
    main()
