"""Effective widths of the elements of a lipped C in bending (AISI S100-16 Appendix 1)."""

from __future__ import annotations

import math
from dataclasses import dataclass

from framing.engine.errors import OutsideSourceLimits
from framing.engine.section.shape import ELASTIC_MODULUS_KSI, POISSON, Shape

LAMBDA_FULL = 0.673  # Appendix 1, 1.1
LIP_LIMIT = 0.8  # d/w, Table 1.3-1
NARROW_LIP = 0.25  # d/w, Table 1.3-1
DEEP_WEB = 4.0  # D/B, 1.1.2
UNSTIFFENED_K = 0.43  # 1.2.1
_PLATE_KSI = math.pi**2 * ELASTIC_MODULUS_KSI / (12 * (1 - POISSON**2))


@dataclass(frozen=True, slots=True)
class FlangeWidth:
    """Effective `width` in inches of the flange's flat, its slenderness, and `ratio` Is/Ia of its lip, at most 1."""

    width: float
    slenderness: float
    ratio: float


def slenderness(stress_ksi: float, k: float, width_over_thickness: float) -> float:
    """lambda = sqrt(f / Fcrl) of a flat element with plate factor k (AISI S100-16 Appendix 1, 1.1)."""
    return math.sqrt(stress_ksi / (k * _PLATE_KSI)) * width_over_thickness


def effective_share(lam: float) -> float:
    """rho, effective over flat width of an element of slenderness `lam` (AISI S100-16 Appendix 1, 1.1).

    Never over 1: just past 0.673, a rounded figure, the formula alone gives 1.0001.
    """
    return 1.0 if lam <= LAMBDA_FULL else min(1.0, (1 - 0.22 / lam) / lam)


def flange_width(shape: Shape, stress: float) -> FlangeWidth:
    """Flange in even compression with a simple lip at 90 degrees (Appendix 1, 1.3).

    Raises:
        OutsideSourceLimits: the lip is longer than 0.8 of a flange that it must stiffen.
    """
    t, w = shape.thickness_in, shape.flange_flat_in
    over = w / t
    s = 1.28 * math.sqrt(ELASTIC_MODULUS_KSI / stress)
    if over <= 0.328 * s:
        return FlangeWidth(w, slenderness(stress, 4.0, over), 1.0)
    reach = shape.lip_in / w
    if reach > LIP_LIMIT:
        raise OutsideSourceLimits(
            "AISI S100 Appendix 1, 1.3", "lip over flat of the flange", reach, LIP_LIMIT
        )
    needed = t**4 * min(399 * (over / s - 0.328) ** 3, 115 * over / s + 5)
    held = shape.lip_flat_in**3 * t / 12
    ratio = min(1.0, held / needed)
    power = max(0.582 - over / (4 * s), 1 / 3)
    base = 3.57 if reach <= NARROW_LIP else 4.82 - 5 * reach
    lam = slenderness(stress, min(4.0, base * ratio**power + 0.43), over)
    return FlangeWidth(effective_share(lam) * w, lam, ratio)


def lip_width(shape: Shape, at_flat: float, arm: float) -> float:
    """Effective lip as an unstiffened element, both edges in compression, the larger at the bend (1.2.2)."""
    flat = shape.lip_flat_in
    k = 0.578 / ((arm - flat) / arm + 0.34)
    return effective_share(slenderness(at_flat, k, flat / shape.thickness_in)) * flat


def web_widths(shape: Shape, at_flat: float, arm: float) -> tuple[float, float]:
    """Effective parts b1 and b2 of a web under a stress gradient (1.1.2).

    psi is |f2/f1|, negative where a wide shallow section has its whole web in compression: the clause's own
    form for that case, b1 = be/(3 - psi), follows with the sign. Deeper than four flanges: b2 = be/(1 + psi) - b1.
    """
    h = shape.web_flat_in
    psi = (h - arm) / arm
    k = 4 + 2 * (1 + psi) ** 3 + 2 * (1 + psi)
    be = effective_share(slenderness(at_flat, k, h / shape.thickness_in)) * h
    b1 = be / (3 + psi)
    if shape.depth_in / shape.flange_in > DEEP_WEB:
        return b1, be / (1 + psi) - b1
    return b1, be / 2 if psi > 0.236 else be - b1


def beside_hole_width(shape: Shape, at_flat: float, hole_in: float) -> float:
    """Effective part of the web between bend and a deep hole, an unstiffened element (1.1.3, 1.2.1; from memory)."""
    beside = (shape.web_flat_in - hole_in) / 2
    return effective_share(slenderness(at_flat, UNSTIFFENED_K, beside / shape.thickness_in)) * beside
