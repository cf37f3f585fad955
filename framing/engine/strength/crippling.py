"""Web crippling under concentrated loads and reactions (G5).

Limits stand apart from arithmetic: `nominal_kip` also takes NumPy arrays.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Any, Final, overload

from framing.engine.errors import LoadRefused, OutsideSourceLimits
from framing.engine.method import Factors
from framing.engine.section.effective import web_slenderness
from framing.engine.section.shape import Shape

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = float | NDArray[np.float64]

_CLAUSE: Final = "AISI S100 G5"


class LoadCase(StrEnum):
    """Where the force stands: near a member end or not, on one flange or on both."""

    END_ONE_FLANGE = "EOF"
    INTERIOR_ONE_FLANGE = "IOF"
    END_TWO_FLANGE = "ETF"
    INTERIOR_TWO_FLANGE = "ITF"


@dataclass(frozen=True, slots=True)
class Coefficients:
    """A row of Table G5-2: C, CR, CN, Ch, the row's factors, and its greatest R/t."""

    c: float
    radius: float
    bearing: float
    web: float
    factors: Factors
    radius_limit: float


# Table G5-2 by (case, fastened to the support): single-web C with stiffened or partially stiffened flanges.
# Read in public transcriptions, which agree but for the factors of the last row: 1.90 and 0.80, or 1.65 and 0.90
# in one of them. The safer pair stands here.
TABLE: Final[dict[tuple[LoadCase, bool], Coefficients]] = {
    (LoadCase.END_ONE_FLANGE, True): Coefficients(4.0, 0.14, 0.35, 0.02, Factors(1.75, 0.85, 0.75), 9.0),
    (LoadCase.INTERIOR_ONE_FLANGE, True): Coefficients(
        13.0, 0.23, 0.14, 0.01, Factors(1.65, 0.90, 0.80), 5.0
    ),
    (LoadCase.END_TWO_FLANGE, True): Coefficients(7.5, 0.08, 0.12, 0.048, Factors(1.75, 0.85, 0.75), 12.0),
    (LoadCase.INTERIOR_TWO_FLANGE, True): Coefficients(
        20.0, 0.10, 0.08, 0.031, Factors(1.75, 0.85, 0.75), 12.0
    ),
    (LoadCase.END_ONE_FLANGE, False): Coefficients(4.0, 0.14, 0.35, 0.02, Factors(1.85, 0.80, 0.70), 5.0),
    (LoadCase.INTERIOR_ONE_FLANGE, False): Coefficients(
        13.0, 0.23, 0.14, 0.01, Factors(1.65, 0.90, 0.80), 5.0
    ),
    (LoadCase.END_TWO_FLANGE, False): Coefficients(13.0, 0.32, 0.05, 0.04, Factors(1.65, 0.90, 0.80), 3.0),
    (LoadCase.INTERIOR_TWO_FLANGE, False): Coefficients(
        24.0, 0.52, 0.15, 0.001, Factors(1.90, 0.80, 0.65), 3.0
    ),
}


def load_case(edge_in: float, opposed_in: float, web_flat_in: float, *, fastened: bool = False) -> LoadCase:
    """Which case of G5 a force is.

    Args:
        edge_in: clear from the bearing's edge to the member's end, inches.
        opposed_in: clear from the bearing's edge to that of the nearest opposite force; inf where there is none.
        web_flat_in: h.
        fastened: with both flanges loaded, a fastened bearing counts as interior only from 2.5 h (note of Table G5-2).
    Source: AISI S100-16 G5: within 1.5 h of the end, within 1.5 h of an opposite force.
    """
    two_flanges = opposed_in <= 1.5 * web_flat_in
    end = edge_in <= (2.5 if two_flanges and fastened else 1.5) * web_flat_in
    if two_flanges:
        return LoadCase.END_TWO_FLANGE if end else LoadCase.INTERIOR_TWO_FLANGE
    return LoadCase.END_ONE_FLANGE if end else LoadCase.INTERIOR_ONE_FLANGE


@overload
def nominal_kip(  # type: ignore[overload-overlap]
    row: Coefficients,
    *,
    thickness_in: float,
    radius_in: float,
    web_flat_in: float,
    bearing_in: float,
    yield_ksi: float,
) -> float: ...
@overload
def nominal_kip(
    row: Coefficients,
    *,
    thickness_in: Numbers,
    radius_in: Numbers,
    web_flat_in: Numbers,
    bearing_in: Numbers,
    yield_ksi: Numbers,
) -> NDArray[np.float64]: ...
def nominal_kip(
    row: Coefficients, *, thickness_in: Any, radius_in: Any, web_flat_in: Any, bearing_in: Any, yield_ksi: Any
) -> Any:
    """Pn of one web at 90 degrees to the bearing, kips; plain operators, so floats or NumPy arrays.

    Limits: none here; see `check_crippling_limits`.
    Source: AISI S100-16 G5, Eq. G5-1.
    """
    return (
        row.c
        * thickness_in**2
        * yield_ksi
        * (1 - row.radius * (radius_in / thickness_in) ** 0.5)
        * (1 + row.bearing * (bearing_in / thickness_in) ** 0.5)
        * (1 - row.web * (web_flat_in / thickness_in) ** 0.5)
    )


def check_crippling_limits(shape: Shape, row: Coefficients, bearing_in: float) -> None:
    """h/t 200, N/t 210, N/h 2, and the row's R/t.

    Raises:
        LoadRefused: a bearing length under 0 or not a number.
        OutsideSourceLimits: the first limit that is broken.
    """
    if not bearing_in >= 0:
        raise LoadRefused(f"A bearing is {bearing_in:g} in long; it must be 0 in or more.")
    for thing, value, limit in (
        ("h/t", web_slenderness(shape), 200.0),
        ("N/t", bearing_in / shape.thickness_in, 210.0),
        ("N/h", bearing_in / shape.web_flat_in, 2.0),
        ("R/t", shape.radius_in / shape.thickness_in, row.radius_limit),
    ):
        if value > limit:
            raise OutsideSourceLimits(_CLAUSE, thing, value, limit)


def crippling_kip(
    shape: Shape, yield_ksi: float, case: LoadCase, *, fastened: bool, bearing_in: float
) -> float:
    """Pn of one web, kips, its limits held.

    Args:
        bearing_in: N, length of the bearing along the joist.
        fastened: the joist's flange is fastened to what bears on it.
    Raises:
        LoadRefused, OutsideSourceLimits: see `check_crippling_limits`.
    """
    row = TABLE[case, fastened]
    check_crippling_limits(shape, row, bearing_in)
    return nominal_kip(
        row,
        thickness_in=shape.thickness_in,
        radius_in=shape.radius_in,
        web_flat_in=shape.web_flat_in,
        bearing_in=bearing_in,
        yield_ksi=yield_ksi,
    )
