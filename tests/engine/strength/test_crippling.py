"""Web crippling (G5): cases, limits, arrays; the numbers are in the published tests."""

from __future__ import annotations

from math import inf

import numpy as np
import pytest

from framing.engine.errors import LoadRefused, OutsideSourceLimits
from framing.engine.method import Method
from framing.engine.section.shape import Shape, shape_of
from framing.engine.strength.crippling import TABLE, LoadCase, crippling_kip, load_case, nominal_kip

JOIST = shape_of("1000S162-54")
ENDS = LoadCase.END_ONE_FLANGE


@pytest.mark.parametrize(
    ("edge", "opposed", "fastened", "case"),
    [
        (15.0, inf, True, LoadCase.END_ONE_FLANGE),
        (15.1, inf, True, LoadCase.INTERIOR_ONE_FLANGE),
        (15.1, 15.1, False, LoadCase.INTERIOR_ONE_FLANGE),
        (15.1, 15.0, False, LoadCase.INTERIOR_TWO_FLANGE),
        (0.0, 15.0, False, LoadCase.END_TWO_FLANGE),
        (25.0, 0.0, True, LoadCase.END_TWO_FLANGE),
        (25.1, 0.0, True, LoadCase.INTERIOR_TWO_FLANGE),
    ],
)
def test_case_by_distances(edge: float, opposed: float, fastened: bool, case: LoadCase) -> None:
    """A web of 10 in flat: 1.5 h is 15 in, and 2.5 h is 25 in."""
    assert load_case(edge, opposed, 10.0, fastened=fastened) is case


def test_table_holds_all_cases() -> None:
    assert set(TABLE) == {(case, fastened) for case in LoadCase for fastened in (True, False)}


def test_nominal_by_hand() -> None:
    """t 0.1, Fy 50, R/t 1, N/t 25, h/t 100: 4 x 0.01 x 50 x 0.86 x 2.75 x 0.8 = 3.784 kips."""
    joist = Shape(10.4, 2.0, 0.625, 0.1, 0.1)
    found = crippling_kip(joist, 50.0, ENDS, fastened=True, bearing_in=2.5)
    assert found == pytest.approx(3.784)


@pytest.mark.parametrize("case", LoadCase)
@pytest.mark.parametrize("fastened", [True, False])
def test_arrays_give_what_floats_give(case: LoadCase, fastened: bool) -> None:
    joists = [shape_of(name) for name in ("800S162-43", "1000S200-68", "1200S250-97")]
    yields = [33.0, 50.0, 50.0]
    found = nominal_kip(
        TABLE[case, fastened],
        thickness_in=np.array([joist.thickness_in for joist in joists]),
        radius_in=np.array([joist.radius_in for joist in joists]),
        web_flat_in=np.array([joist.web_flat_in for joist in joists]),
        bearing_in=3.5,
        yield_ksi=np.array(yields),
    )
    for value, joist, yield_ksi in zip(found, joists, yields, strict=True):
        one = crippling_kip(joist, yield_ksi, case, fastened=fastened, bearing_in=3.5)
        assert value == pytest.approx(one, rel=1e-14)
        assert one > 0


@pytest.mark.parametrize(
    ("joist", "bearing_in", "thing"),
    [
        (shape_of("1200S162-54"), 1.5, "h/t"),
        (shape_of("600S162-33"), 7.3, "N/t"),
        (Shape(2.0, 1.625, 0.5, 0.0566, 0.0849), 3.6, "N/h"),
        (Shape(8.0, 2.5, 1.0, 0.0451, 0.3), 1.5, "R/t"),
    ],
)
def test_limits(joist: Shape, bearing_in: float, thing: str) -> None:
    with pytest.raises(OutsideSourceLimits) as refused:
        crippling_kip(joist, 33.0, ENDS, fastened=False, bearing_in=bearing_in)
    assert refused.value.clause == "AISI S100 G5"
    assert refused.value.thing == thing


@pytest.mark.parametrize("bearing_in", [-0.1, float("nan")])
def test_bearing_of_no_possible_length(bearing_in: float) -> None:
    with pytest.raises(LoadRefused, match="must be 0 in or more"):
        crippling_kip(JOIST, 50.0, ENDS, fastened=True, bearing_in=bearing_in)


@pytest.mark.parametrize(
    ("case", "fastened", "limit"),
    [
        (LoadCase.END_ONE_FLANGE, True, 9.0),
        (LoadCase.INTERIOR_ONE_FLANGE, True, 5.0),
        (LoadCase.END_TWO_FLANGE, True, 12.0),
        (LoadCase.INTERIOR_TWO_FLANGE, True, 12.0),
        (LoadCase.END_ONE_FLANGE, False, 5.0),
        (LoadCase.INTERIOR_ONE_FLANGE, False, 5.0),
        (LoadCase.END_TWO_FLANGE, False, 3.0),
        (LoadCase.INTERIOR_TWO_FLANGE, False, 3.0),
    ],
)
def test_each_rows_radius_limit(case: LoadCase, fastened: bool, limit: float) -> None:
    within, beyond = (Shape(9.0, 3.5, 1.5, 0.06, 0.06 * limit * by) for by in (0.999, 1.001))
    assert crippling_kip(within, 33.0, case, fastened=fastened, bearing_in=3.0) > 0
    with pytest.raises(OutsideSourceLimits) as refused:
        crippling_kip(beyond, 33.0, case, fastened=fastened, bearing_in=3.0)
    assert refused.value.limit == limit


@pytest.mark.parametrize(
    ("case", "fastened", "kips", "factors"),
    [
        (LoadCase.END_ONE_FLANGE, True, 4 * 0.86 * 2.75 * 0.80, (1.75, 0.85, 0.75)),
        (LoadCase.INTERIOR_ONE_FLANGE, True, 13 * 0.77 * 1.70 * 0.90, (1.65, 0.90, 0.80)),
        (LoadCase.END_TWO_FLANGE, True, 7.5 * 0.92 * 1.60 * 0.52, (1.75, 0.85, 0.75)),
        (LoadCase.INTERIOR_TWO_FLANGE, True, 20 * 0.90 * 1.40 * 0.69, (1.75, 0.85, 0.75)),
        (LoadCase.END_ONE_FLANGE, False, 4 * 0.86 * 2.75 * 0.80, (1.85, 0.80, 0.70)),
        (LoadCase.INTERIOR_ONE_FLANGE, False, 13 * 0.77 * 1.70 * 0.90, (1.65, 0.90, 0.80)),
        (LoadCase.END_TWO_FLANGE, False, 13 * 0.68 * 1.25 * 0.60, (1.65, 0.90, 0.80)),
        (LoadCase.INTERIOR_TWO_FLANGE, False, 24 * 0.48 * 1.75 * 0.99, (1.90, 0.80, 0.65)),
    ],
)
def test_every_row_by_hand(
    case: LoadCase, fastened: bool, kips: float, factors: tuple[float, float, float]
) -> None:
    """R/t 1, N/t 25, h/t 100, t^2 Fy = 1 kip: C (1 - CR) (1 + 5 CN) (1 - 10 Ch)."""
    joist = Shape(10.4, 2.0, 0.625, 0.1, 0.1)
    assert crippling_kip(joist, 100.0, case, fastened=fastened, bearing_in=2.5) == pytest.approx(kips)
    found = TABLE[case, fastened].factors
    assert (found.omega, found.phi_lrfd, found.phi_lsd) == factors


def test_unfastened_interior_two_flange_takes_the_safer_factors() -> None:
    factors = TABLE[LoadCase.INTERIOR_TWO_FLANGE, False].factors
    assert (factors.omega, factors.phi_lrfd) == (1.90, 0.80)


def test_every_rows_lsd_share_is_under_lrfd() -> None:
    for row in TABLE.values():
        assert row.factors.share(Method.LSD) < row.factors.share(Method.LRFD)
