"""Walking on a floor by AISC Design Guide 11, joists on stiff supports; formulas written from memory.

Pounds and inches. The guide's effective width was made for concrete slabs on steel joists, not for sheathing.
Plain arithmetic, so all but the two with a limit take arrays.
"""

from __future__ import annotations

from math import exp

from framing.engine.errors import OutsideSourceLimits

CLAUSE_FREQUENCY = "AISC Design Guide 11 (1997) eq. 3-3"
CLAUSE_WALKING = "AISC Design Guide 11 (1997) eq. 4-1"
CLAUSE_STIFFNESS = "AISC Design Guide 11 (1997) section 4, floors over 9 Hz"
GRAVITY_IN_S2 = 386.0
WALKING_MOST_HZ = 9.0  # 2nd edition, section 4.1
WALKING_FORCE_LB = 65.0  # homes and offices, with the reduction of 0.5
LEAST_STIFFNESS_KIP_IN = 1.0
WIDTH_FACTOR = 2.0  # inside a floor; 1 at a free edge
WIDTH_MOST = 2.0 / 3.0  # of the floor's width


def uniform_sag_in(line_lb_in: float, span_in: float, stiffness_lb_in2: float) -> float:
    """Midspan deflection in inches of a simple beam under a uniform load in lb per inch."""
    sag_in: float = 5.0 * line_lb_in * span_in**4 / (384.0 * stiffness_lb_in2)
    return sag_in


def panel_frequency_hz(sag_in: float) -> float:
    """First frequency in Hz of a panel that sags `sag_in` inches under the weight it carries (eq. 3-3).

    For joists on a girder give the sum of both sags (eq. 3-4). 0.18 is the guide's rounding; a uniform simple
    beam has 0.1770.
    """
    frequency_hz: float = 0.18 * (GRAVITY_IN_S2 / sag_in) ** 0.5
    return frequency_hz


def effective_width_in(
    span_in: float,
    across_lb_in: float,
    along_lb_in: float,
    floor_width_in: float,
    *,
    factor: float = WIDTH_FACTOR,
) -> float:
    """Width in inches of the floor that moves with a joist, at most two thirds of the floor's width.

    `across_lb_in` and `along_lb_in` are E x I for each inch of width, of the sheathing and of the joists.
    """
    width_in: float = factor * float(across_lb_in / along_lb_in) ** 0.25 * span_in
    return min(width_in, WIDTH_MOST * floor_width_in)


def peak_acceleration_percent(
    frequency_hz: float, damping: float, weight_lb: float, *, force_lb: float = WALKING_FORCE_LB
) -> float:
    """Peak acceleration from walking in percent of gravity (eq. 4-1).

    `damping` is the modal ratio (0.01 to 0.05), `weight_lb` the effective weight. Raises OutsideSourceLimits
    for floors over 9 Hz: there the guide asks for stiffness instead.
    """
    if frequency_hz > WALKING_MOST_HZ:
        raise OutsideSourceLimits(CLAUSE_WALKING, "a frequency in Hz", frequency_hz, WALKING_MOST_HZ)
    return 100.0 * force_lb * exp(-0.35 * frequency_hz) / (damping * weight_lb)


def midspan_stiffness_kip_in(span_in: float, stiffness_lb_in2: float, share: float) -> float:
    """Stiffness in kips per inch of a floor under a point load at midspan, of which one joist takes `share`."""
    return 48.0 * stiffness_lb_in2 / (1000.0 * share * span_in**3)
