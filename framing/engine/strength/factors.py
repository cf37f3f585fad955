"""Safety and resistance factors of each clause of AISI S100-16 (R15).

Omega (ASD) and phi (LRFD) are read in public transcriptions of the specification; phi for LSD (Canada) and all
factors of F5.2 are written from memory. Those of web crippling stand in the rows of Table G5-2.
"""

from __future__ import annotations

from typing import Final

from framing.engine.method import Factors

BENDING: Final = Factors(1.67, 0.90, 0.90)  # F2, F3
DISTORTIONAL: Final = Factors(1.67, 0.90, 0.85)  # F4
SHEAR: Final = Factors(1.60, 0.95, 0.80)  # G2, G3
BENDING_WITH_CRIPPLING: Final = Factors(1.70, 0.90, 0.75)  # H3
BEARING_STIFFENER: Final = Factors(1.70, 0.90, 0.80)  # F5.2
