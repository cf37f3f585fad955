"""Footfall by EN 1995-1-1:2004 clause 7.3.3, residential floors over 8 Hz, with the UK's national values.

SI units. The clause is for timber floors: joists of cold-formed steel were not in its test base, so every
result is by analogy. Formulas written from memory. Plain arithmetic where no limit is tested.
"""

from __future__ import annotations

from math import log, pi

from framing.engine.errors import OutsideSourceLimits

CLAUSE = "EN 1995-1-1 7.3.3 (timber floors), by analogy"
CLAUSE_FIGURE = "EN 1995-1-1 figure 7.2"
CLAUSE_MODES = "EN 1995-1-1 eq. 7.7"
LEAST_FREQUENCY_HZ = 8.0
MODES_UP_TO_HZ = 40.0
FLEXIBILITY_LEAST_MM_KN = 0.5  # the ends of figure 7.2
FLEXIBILITY_MOST_MM_KN = 2.0
SHEAR_FACTOR = 1.05  # UK NA: solid timber joists, simply supported; by analogy
STRUTTED = 0.97  # UK NA: one line of strutting or more


def first_frequency_hz(span_m: float, along_nm: float, mass_kg_m2: float) -> float:
    """f1 of a rectangular floor held on four sides (eq. 7.5); `along_nm` is E x I along the joists per metre of
    width in N m2/m, `mass_kg_m2` of the permanent load alone. Takes arrays."""
    frequency_hz: float = pi / (2.0 * span_m**2) * (along_nm / mass_kg_m2) ** 0.5
    return frequency_hz


def modes_below_40_hz(
    frequency_hz: float, width_m: float, span_m: float, along_nm: float, across_nm: float
) -> float:
    """n40, the number of first-order modes up to 40 Hz (eq. 7.7); 0 for a floor that starts above.

    Raises OutsideSourceLimits where the floor is stiffer across the joists than along them.
    """
    if across_nm > along_nm:
        raise OutsideSourceLimits(CLAUSE_MODES, "stiffness across over along", across_nm / along_nm, 1.0)
    above = max((MODES_UP_TO_HZ / frequency_hz) ** 2 - 1.0, 0.0)
    modes: float = (above * (width_m / span_m) ** 4 * along_nm / across_nm) ** 0.25
    return modes


def impulse_velocity(modes: float, mass_kg_m2: float, width_m: float, span_m: float) -> float:
    """v in m/(N s2), the peak velocity from a unit impulse (eq. 7.6). Takes arrays."""
    return 4.0 * (0.4 + 0.6 * modes) / (mass_kg_m2 * width_m * span_m + 200.0)


def impulse_limit(frequency_hz: float, damping: float, b: float) -> float:
    """Largest v in m/(N s2) (eq. 7.4); `damping` is the modal ratio, `b` from figure 7.2. Takes arrays."""
    return float(b ** (frequency_hz * damping - 1.0))


def b_of_figure(a_mm_per_kn: float) -> float:
    """b of figure 7.2 for a flexibility limit a, by straight lines through (0.5, 150), (1, 120) and (2, 80).

    Raises OutsideSourceLimits for an a off the figure.
    """
    if a_mm_per_kn > FLEXIBILITY_MOST_MM_KN:
        raise OutsideSourceLimits(CLAUSE_FIGURE, "a in mm/kN", a_mm_per_kn, FLEXIBILITY_MOST_MM_KN)
    if a_mm_per_kn < FLEXIBILITY_LEAST_MM_KN:
        raise OutsideSourceLimits(
            CLAUSE_FIGURE, "a in mm/kN", a_mm_per_kn, FLEXIBILITY_LEAST_MM_KN, least=True
        )
    return 180.0 - 60.0 * a_mm_per_kn if a_mm_per_kn <= 1.0 else 160.0 - 40.0 * a_mm_per_kn


def uk_flexibility_limit_mm(span_mm: float) -> float:
    """The UK's limit of a in mm under 1 kN (NA.2.7): 1.8 up to 4 m, then 16500 / L^1.1."""
    return 1.8 if span_mm <= 4000.0 else float(16_500.0 / span_mm**1.1)


def load_share(across_nmm2_per_m: float, spacing_mm: float, *, strut_factor: float = 1.0) -> float:
    """kdist, the part of a point load that the joist under it takes (UK NA), at least 0.30.

    `across_nmm2_per_m` is the floor's E x I across the joists for a metre of width; `strut_factor` is 0.97
    with a line of strutting, else 1.
    """
    return max(strut_factor * (0.38 - 0.08 * log(14.0 * across_nmm2_per_m / spacing_mm**4)), 0.30)


def point_load_sag_mm(
    span_mm: float, joist_nmm2: float, share: float, *, shear_factor: float = SHEAR_FACTOR
) -> float:
    """Deflection in mm of the floor under 1 kN (UK NA): 1000 kdist Leq^3 kamp / (48 (EI)joist).

    `span_mm` is the equivalent span: the span itself, or 0.9 of an end span of a continuous floor.
    Takes arrays.
    """
    return 1000.0 * share * span_mm**3 * shear_factor / (48.0 * joist_nmm2)
