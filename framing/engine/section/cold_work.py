"""Strength that the steel gains where it is bent (AISI S100-16 A3.3.2)."""

from __future__ import annotations

import math

from framing.engine.section.effective import effective
from framing.engine.section.shape import Shape, Steel

LEAST_TENSILE_OVER_YIELD = 1.2
MOST_RADIUS_OVER_THICKNESS = 7.0


def cold_work_yield_ksi(shape: Shape, steel: Steel) -> float | None:
    """Average yield strength in ksi of the compression flange with its two bends, at most the tensile strength.

    Answers None where the clause gives nothing: Fu/Fy under 1.2, R/t over 7, or flange or web not fully effective
    at the raised strength. A lip that is reduced alone does not stop it. The steel's own strength stands for the
    virgin strength of the sheet.

    Source: AISI S100-16 A3.3.2: Fya = C Fyc + (1 - C) Fyf with Fyc = Bc Fy / (R/t)^m.

    Raises:
        OutsideSourceLimits: as `effective`.
    """
    fy, fu = steel.yield_ksi, steel.tensile_ksi
    grade, turn = fu / fy, shape.radius_in / shape.thickness_in
    if grade < LEAST_TENSILE_OVER_YIELD or turn > MOST_RADIUS_OVER_THICKNESS:
        return None
    at_bend = (3.69 * grade - 0.819 * grade**2 - 1.79) * fy / turn ** (0.192 * grade - 0.068)
    bends = math.pi * (shape.radius_in + shape.thickness_in / 2)
    share = bends / (bends + shape.flange_flat_in)
    raised = min(share * at_bend + (1 - share) * fy, fu)
    return raised if effective(shape, raised).flange_and_web_fully else None
