"""Curves along a member, worked by hand."""

from __future__ import annotations

from itertools import pairwise

import pytest

from framing.engine.loads import LineLoad, PointLoad
from framing.engine.method import Method
from framing.engine.result import Curve
from framing.engine.sizing.beams import BeamModel
from framing.engine.sizing.curves import curves, deflection_curve
from framing.engine.sizing.demand import analyse

L = 100.0
SPAN = BeamModel((0.0, L), (LineLoad(0.0, L, 1.0, 2.0),))


def at(curve: Curve, place: float) -> list[tuple[float, float]]:
    return [(high, low) for x, high, low in curve.points if x == pytest.approx(place)]


def test_one_span_has_its_parabolas_at_41_places() -> None:
    moment, shear, sag = curves(SPAN)
    assert [(c.name, c.unit, len(c.points)) for c in (moment, shear, sag)] == [
        ("Moment", "kip-in", 41),
        ("Shear", "lb", 41),
        ("Deflection", "lb-in3", 41),
    ]
    assert at(moment, 50.0) == [pytest.approx((3.75, 3.75))]
    assert at(moment, 20.0) == [pytest.approx((3 * 20 * 80 / 2000,) * 2)]
    assert at(shear, 0.0) == [pytest.approx((150.0, 150.0))]
    assert at(sag, 50.0) == [pytest.approx((5 * 3 * L**4 / 384,) * 2)]


def test_strength_curves_are_factored_and_deflection_is_not() -> None:
    moment, _, sag = curves(SPAN, Method.LRFD)
    # 1.2 D + 1.6 L above, 1.4 D below
    assert at(moment, 50.0) == [pytest.approx((4.4 * 1.25, 1.4 * 1.25))]
    assert at(sag, 50.0) == [pytest.approx((5 * 3 * L**4 / 384,) * 2)]


def test_shear_steps_twice_at_a_load_and_at_a_support() -> None:
    model = BeamModel((0.0, L), (), (PointLoad(30.0, 0.0, 10.0),), high_in=140.0)
    moment, shear, _ = curves(model)
    assert at(shear, 30.0) == [pytest.approx((7.0, 0.0)), pytest.approx((0.0, -3.0))]
    assert [high for high, _ in at(shear, L)] == pytest.approx([0.0, 0.0])
    assert at(moment, 30.0) == [pytest.approx((0.21, 0.0))] * 2
    assert all(a[0] <= b[0] for a, b in pairwise(shear.points))
    assert (shear.points[0][0], shear.points[-1][0]) == (0.0, 140.0)


def test_curves_hold_every_pattern() -> None:
    model = BeamModel((0.0, L, 2 * L), (LineLoad(0.0, 2 * L, 0.5, 1.0),))
    moment, shear, sag = curves(model)
    demand = analyse(model)
    assert max(-low for _, _, low in moment.points) * 1000 == pytest.approx(demand.moment_lb_in)
    assert max(high for _, high, _ in shear.points) == pytest.approx(demand.shear_lb)
    largest = max(high for _, high, _ in sag.points)
    assert 0.999 * demand.total_sags[0] < largest <= demand.total_sags[0] * (1 + 1e-9)
    # the dead span that a loaded neighbor lifts
    assert min(low for _, _, low in sag.points) < 0


def test_deflection_in_inches_is_over_the_stiffness() -> None:
    sag = deflection_curve(curves(SPAN)[2], 1e7)
    assert (sag.name, sag.unit) == ("Deflection", "in")
    assert at(sag, 50.0) == [pytest.approx((0.390625, 0.390625))]
