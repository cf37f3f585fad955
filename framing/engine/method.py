"""The design method: one switch for resistance and safety factors and for the load combinations (R15)."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Method(StrEnum):
    """ASD and LRFD in the United States and Mexico, LSD in Canada (AISI S100 B3.2)."""

    ASD = "ASD"
    LRFD = "LRFD"
    LSD = "LSD"


@dataclass(frozen=True, slots=True)
class Factors:
    """A clause's factors: nominal / omega for ASD, phi x nominal for LRFD and LSD."""

    omega: float
    phi_lrfd: float
    phi_lsd: float

    def share(self, method: Method) -> float:
        """Available strength over nominal strength."""
        if method is Method.ASD:
            return 1.0 / self.omega
        return self.phi_lrfd if method is Method.LRFD else self.phi_lsd


@dataclass(frozen=True, slots=True)
class Combination:
    """Factors on dead and live load, `words` as printed: `1.2 D + 1.6 L`."""

    words: str
    dead: float
    live: float
