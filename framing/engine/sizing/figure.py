"""One check in numbers, and the names that checks go by."""

from __future__ import annotations

from typing import NamedTuple

from framing.engine.section.shape import ELASTIC_MODULUS_KSI

LB_IN_PER_KIP_IN = 1000.0
ELASTIC_MODULUS_PSI = ELASTIC_MODULUS_KSI * 1000.0

WEB_LIMIT_UNIT, BEND_LIMIT_UNIT = "h/t", "R/t over its limit"
SECTION_LIMIT_UNITS = frozenset({WEB_LIMIT_UNIT, BEND_LIMIT_UNIT})  # limits that neither load nor plies move

LOCAL = "Bending, local buckling"
DISTORTIONAL = "Bending, distortional buckling"
BOTTOM_FLANGE = "Bending, bottom flange in compression"
TOP_FLANGE = "Bending, top flange in compression"
BENDING_SHEAR = "Bending with shear"
SHEAR = "Shear"
CRIPPLING = "Web crippling"
BENDING_CRIPPLING = "Bending with web crippling"
HOLE_SHEAR = "Shear at a hole"
HOLE_BENDING = "Bending at a hole"
SLENDERNESS = "Slenderness of the web"
LIVE_SAG = "Live-load deflection"
TOTAL_SAG = "Total deflection"


class Figure(NamedTuple):
    """A check without what is shown beside it; `limit` is the deflection limit, 0 for other checks."""

    name: str
    demand: float
    capacity: float
    unit: str
    clause: str
    limit: int = 0

    @property
    def ratio(self) -> float:
        return self.demand / self.capacity
