"""The 1 kN point-load limit of Canadian span tables (Onysko 1986; NBCC 1990 and later), written from memory.

SI units: metres, millimetres, newtons.
"""

from __future__ import annotations

from framing.engine.errors import LoadRefused

CLAUSE = "1 kN point-load limit (Onysko 1986; NBCC 1990)"
M_PER_IN = 0.0254
N_PER_LB = 4.4482216152605
NM2_PER_LB_IN2 = N_PER_LB * M_PER_IN**2  # of E x I
POINT_LOAD_N = 1000.0
SHORT_M = 3.0  # below: 2 mm
MIDDLE_M = 5.5  # below: 8 / L^1.3
LONG_M = 9.9  # below: 2.55 / L^0.63, from here 0.6 mm


def point_load_limit_mm(span_m: float) -> float:
    """Largest deflection in mm under 1 kN at midspan of a floor that spans `span_m`.

    The steps are the source's own: at 3 m the limit falls from 2.0 to 1.918 mm. Raises LoadRefused for a span
    that is not over 0.
    """
    if not span_m > 0:
        raise LoadRefused(f"A span of {span_m:g} m has no deflection limit; it must be over 0.")
    if span_m < SHORT_M:
        return 2.0
    if span_m < MIDDLE_M:
        return float(8.0 / span_m**1.3)
    return float(2.55 / span_m**0.63) if span_m < LONG_M else 0.6


def point_load_deflection_mm(span_m: float, stiffness_nm2: float, share: float) -> float:
    """Deflection in mm of a simply supported joist that takes `share` (0 to 1) of 1 kN at midspan.

    `stiffness_nm2` is the joist's E x I. The rest of the load goes by the sheathing into the neighbours; the
    source counts on a tested share, about one half is common. Plain arithmetic: takes arrays too.
    """
    return 1000.0 * share * POINT_LOAD_N * span_m**3 / (48.0 * stiffness_nm2)
