"""Bending about the strong axis: lateral-torsional buckling (F2), yield and local buckling (F3)."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, pi, sqrt

from framing.engine.section.effective import Effective, effective
from framing.engine.section.gross import Gross
from framing.engine.section.shape import ELASTIC_MODULUS_KSI, SHEAR_MODULUS_KSI, Shape

_NO_BUCKLING = 2.78  # Fcre / Fy from which F2 gives the full yield stress
_ELASTIC = 0.56  # Fcre / Fy under which F2 is elastic


@dataclass(frozen=True, slots=True)
class LateralTorsional:
    """F2 with its steps: sigma_ey, sigma_t, Fcre and Fn in ksi (inf where the length is held), Cb."""

    lateral_ksi: float
    twist_ksi: float
    gradient: float
    elastic_ksi: float
    stress_ksi: float


@dataclass(frozen=True, slots=True)
class LocalMoment:
    """F3: effective section at the stress Fn, and the nominal moment Se Fn in kip-in."""

    effective: Effective
    nominal_kipin: float


def moment_gradient(largest: float, quarter: float, middle: float, three_quarters: float) -> float:
    """Cb of an unbraced length from the sizes of its largest moment and those at its quarter points.

    1 for an unloaded length. A cantilever's free length takes 1 as well: that is the caller's to know.

    Source: AISI S100-16 Eq. F2.1.1-2.
    """
    top, a, b, c = abs(largest), abs(quarter), abs(middle), abs(three_quarters)
    return 12.5 * top / (2.5 * top + 3 * a + 4 * b + 3 * c) if top > 0 else 1.0


def lateral_torsional(
    section: Gross,
    yield_ksi: float,
    *,
    unbraced_lateral_in: float,
    unbraced_twist_in: float,
    cb: float = 1.0,
) -> LateralTorsional:
    """Elastic buckling stress Fcre and nominal stress Fn of a singly symmetric C bent about its axis of symmetry.

    Args:
        unbraced_lateral_in, unbraced_twist_in: Ky Ly and Kt Lt, inches; 0 or less is held all along.
        cb: see `moment_gradient`.
    Source: AISI S100-16 F2.1 and F2.1.1.
    """
    lateral = _over_square(pi**2 * ELASTIC_MODULUS_KSI * section.ry_in**2, unbraced_lateral_in)
    warping = _over_square(pi**2 * ELASTIC_MODULUS_KSI * section.cw_in6, unbraced_twist_in)
    twist = (SHEAR_MODULUS_KSI * section.j_in4 + warping) / (section.area_in2 * section.ro_in**2)
    elastic = cb * section.ro_in * section.area_in2 / section.sx_in3 * sqrt(lateral * twist)
    return LateralTorsional(lateral, twist, cb, elastic, column_stress_ksi(elastic, yield_ksi))


def column_stress_ksi(elastic_ksi: float, yield_ksi: float) -> float:
    """Fn from Fcre and Fy, ksi.

    Never over Fy: just under 2.78 Fy, a rounded figure, the formula alone gives 1.0001 of it.

    Source: AISI S100-16 Eq. F2.1-3 to F2.1-5.
    """
    if elastic_ksi >= _NO_BUCKLING * yield_ksi:
        return yield_ksi
    if elastic_ksi > _ELASTIC * yield_ksi:
        return min(yield_ksi, 10 / 9 * yield_ksi * (1 - 10 * yield_ksi / (36 * elastic_ksi)))
    return elastic_ksi


def unbraced_in_lu(section: Gross, yield_ksi: float) -> float:
    """Lu, the longest length in inches without braces that F2 lets reach Fy at Cb = 1: Fcre = 2.78 Fy.

    With one length for both, xo drops out: Fcre Sf = pi/L sqrt(E Iy (G J + pi^2 E Cw / L^2)), quadratic in 1/L^2.

    Source: AISI S100-16 F2.1, solved for L.
    """
    torsion = SHEAR_MODULUS_KSI * section.j_in4
    warping = ELASTIC_MODULUS_KSI * section.cw_in6
    wanted = (_NO_BUCKLING * yield_ksi * section.sx_in3) ** 2 / (ELASTIC_MODULUS_KSI * section.iy_in4)
    wave_squared = (sqrt(torsion**2 + 4 * warping * wanted) - torsion) / (2 * warping)
    return pi / sqrt(wave_squared)


def local_moment(shape: Shape, stress_ksi: float, *, hole_depth_in: float = 0.0) -> LocalMoment:
    """Nominal moment by effective width at the stress Fn: Fy where braced, less by F2 elsewhere.

    Args:
        hole_depth_in: of a hole at mid-depth at this place, 0 without.
    Raises:
        OutsideSourceLimits: as `section.effective`.
    Source: AISI S100-16 F3.1.
    """
    section = effective(shape, stress_ksi, hole_depth_in)
    return LocalMoment(section, section.modulus_in3 * stress_ksi)


def _over_square(number: float, length_in: float) -> float:
    return number / length_in**2 if length_in > 0 else inf
