"""Crippling beside holes (G6) and with a bearing stiffener (F5.2)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from framing.engine.errors import OutsideSourceLimits
from framing.engine.section.shape import Shape
from framing.engine.strength.bearing import Stiffener, crippling_hole_factor, stiffened_kip
from framing.engine.strength.crippling import LoadCase
from framing.engine.strength.shear import Hole

JOIST = Shape(10.4, 2.0, 0.625, 0.1, 0.1)  # flat web 10 in
HOLE = Hole(2.0, 4.0)
END, INSIDE = LoadCase.END_ONE_FLANGE, LoadCase.INTERIOR_ONE_FLANGE


def test_end_by_hand() -> None:
    """dh/h 0.2, x/h 0.5: 1.01 - 0.065 + 0.0415 = 0.9865."""
    found = crippling_hole_factor(JOIST, HOLE, END, clear_in=5.0, bearing_in=1.5, end_in=12.0)
    assert found == pytest.approx(0.9865)


def test_inside_by_hand() -> None:
    """0.90 - 0.0094 + 0.0265 = 0.9171."""
    found = crippling_hole_factor(JOIST, HOLE, INSIDE, clear_in=5.0, bearing_in=3.5, end_in=12.0)
    assert found == pytest.approx(0.9171)


def test_far_hole_takes_nothing() -> None:
    assert crippling_hole_factor(JOIST, HOLE, END, clear_in=30.0, bearing_in=1.5, end_in=40.0) == 1.0


@pytest.mark.parametrize(
    ("case", "clear_in", "bearing_in", "end_in", "thing"),
    [
        (LoadCase.END_TWO_FLANGE, 5.0, 3.5, 12.0, "flanges loaded"),
        (LoadCase.INTERIOR_TWO_FLANGE, 5.0, 3.5, 12.0, "flanges loaded"),
        (END, -0.1, 1.5, 12.0, "clear distance from bearing to hole (in)"),
        (END, 5.0, 1.5, 10.0, "distance from hole to end (in)"),
        (END, 5.0, 0.9, 12.0, "N (in)"),
        (INSIDE, 5.0, 2.9, 12.0, "N (in)"),
    ],
)
def test_limits(case: LoadCase, clear_in: float, bearing_in: float, end_in: float, thing: str) -> None:
    with pytest.raises(OutsideSourceLimits) as refused:
        crippling_hole_factor(JOIST, HOLE, case, clear_in=clear_in, bearing_in=bearing_in, end_in=end_in)
    assert (refused.value.clause, refused.value.thing) == ("AISI S100 G6", thing)


def test_hole_limits_are_named_by_this_clause() -> None:
    with pytest.raises(OutsideSourceLimits, match="AISI S100 G6"):
        crippling_hole_factor(JOIST, Hole(3.0, 4.0), END, clear_in=5.0, bearing_in=1.5, end_in=12.0)


STIFFENER = Stiffener(0.3, 33.0, 3.5, 0.0346, 10.1, 3, 1.4, 1.5)


def test_stiffened_by_hand() -> None:
    """0.7 (1.1 + 0.3 x 33) = 7.7 kips; half where a flange hangs over; never under the web's own."""
    assert stiffened_kip(1.1, STIFFENER, 10.4) == pytest.approx(7.7)
    assert stiffened_kip(1.1, replace(STIFFENER, narrow=True), 10.4) == pytest.approx(3.85)
    assert stiffened_kip(50.0, STIFFENER, 10.4) == 50.0


@pytest.mark.parametrize(
    ("change", "thing"),
    [
        ({"web_depth_in": 3.4}, "web depth"),
        ({"base_thickness_in": 0.03}, "base steel"),
        ({"fasteners": 2}, "fasteners"),
        ({"first_fastener_in": 1.2}, "first fastener"),
        ({"length_in": 10.0}, "length"),
        ({"bearing_in": 1.4}, "bearing width"),
    ],
)
def test_stiffener_limits(change: dict[str, float], thing: str) -> None:
    with pytest.raises(OutsideSourceLimits, match=r"AISI S100 F5\.2") as refused:
        stiffened_kip(1.1, replace(STIFFENER, **change), 10.4)
    assert thing in refused.value.thing
