"""Gross section worked by hand: depth 6, flange 2, lip 0.7, t 0.1, inside radius 0.15.

The bends have a radius of 0.2 to the centre line.
"""

from __future__ import annotations

import pytest

from framing.engine.section.gross import gross
from framing.engine.section.shape import shape

SECTION = shape(6.0, 2.0, 0.7, 0.1, 0.15)


def test_area_and_weight() -> None:
    """Flats 5.5 + 2 x 1.5 + 2 x 0.45 = 9.4 in, four bends of pi/2 x 0.2 = 0.31416 in: 10.6566 in of 0.1 in."""
    assert gross(SECTION).area_in2 == pytest.approx(1.06566, rel=1e-5)
    assert gross(SECTION).weight_plf == pytest.approx(3.6262, rel=1e-4)
    assert gross(SECTION).j_in4 == pytest.approx(0.0035522, rel=1e-4)


def test_inertia_of_the_strong_axis() -> None:
    """Web 0.1 x 5.5^3/12 = 1.38646; flanges 2 x 0.15 x 2.95^2 + 2 x 1.5 x 0.001/12 = 2.61100;

    lips at 2.75 - 0.225 = 2.525: 2 x 0.045 x 2.525^2 + 2 x 0.1 x 0.45^3/12 = 0.57533;
    bends: area 0.031416, centroid (0.2^2 x 0.1 + 0.1^3/12)/0.031416 = 0.12998 from their centres at 2.75, so
    4 x 0.031416 x 2.87998^2 = 1.04228 and own inertia 4 x (pi/4 x 0.00085 - 0.031416 x 0.12998^2) = 0.00055.
    """
    assert gross(SECTION).ix_in4 == pytest.approx(1.38646 + 2.61100 + 0.57533 + 1.04228 + 0.00055, rel=1e-5)


def test_centroid_and_inertia_of_the_weak_axis() -> None:
    """x from the web's face: web 0.05, flanges 1.0, lips 1.95, bends 0.25 -+ 0.12998 from either side.

    Sum of area x distance: 0.0275 + 0.3 + 0.1755 + 2 x 0.031416 x (0.12002 + 1.87998) = 0.62866, so x_bar 0.58993.
    About that: 0.55 x 0.53993^2 + 5.5 x 0.001/12 = 0.16080; 0.3 x 0.41007^2 + 2 x 0.1 x 1.5^3/12 = 0.10670;
    0.09 x 1.36007^2 + 0.9 x 0.001/12 = 0.16656; 0.062832 (0.46991^2 + 1.29005^2) + 0.00055 = 0.11899.
    """
    assert gross(SECTION).x_bar_in == pytest.approx(0.58993, rel=1e-4)
    assert gross(SECTION).iy_in4 == pytest.approx(0.16080 + 0.10670 + 0.16656 + 0.11899, rel=1e-4)
