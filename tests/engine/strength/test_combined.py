"""Bending with shear (H2) and with crippling (H3)."""

from __future__ import annotations

import numpy as np
import pytest

from framing.engine.method import Method
from framing.engine.strength.combined import bending_crippling_ratio, bending_shear_ratio


def test_bending_and_shear_by_hand() -> None:
    assert bending_shear_ratio(30.0, -400.0, 50.0, 500.0) == pytest.approx(1.0)
    assert bending_shear_ratio(0.0, 250.0, 50.0, 500.0) == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("method", "limit"), [(Method.ASD, 1.33 / 1.70), (Method.LRFD, 1.33 * 0.90), (Method.LSD, 1.33 * 0.75)]
)
def test_bending_and_crippling_by_hand(method: Method, limit: float) -> None:
    """0.91 x 0.4 + 0.5 = 0.864 against 1.33 / Omega or 1.33 phi."""
    assert bending_crippling_ratio(40.0, 0.8, 80.0, 2.0, method) == pytest.approx(0.864 / limit)


def test_arrays_give_what_floats_give() -> None:
    moments, forces = np.array([0.0, 10.0, 55.0]), np.array([0.2, 0.3, 0.0])
    both = bending_shear_ratio(moments, forces, 50.0, 1.0)
    crippled = bending_crippling_ratio(moments, forces, 80.0, 2.0, Method.LRFD)
    for i in range(3):
        moment, force = float(moments[i]), float(forces[i])
        assert both[i] == pytest.approx(bending_shear_ratio(moment, force, 50.0, 1.0))
        assert crippled[i] == pytest.approx(bending_crippling_ratio(moment, force, 80.0, 2.0, Method.LRFD))
