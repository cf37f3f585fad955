"""The lipped C by its out-to-out dimensions (R14), and the steel it is rolled from."""

from __future__ import annotations

from dataclasses import dataclass

ELASTIC_MODULUS_KSI = 29_500.0  # AISI S100
SHEAR_MODULUS_KSI = 11_300.0  # AISI S100
POISSON = 0.3  # AISI S100


@dataclass(frozen=True, slots=True)
class Shape:
    """Out-to-out depth, flange and lip, design thickness and inside radius of the bends, all in inches."""

    depth_in: float
    flange_in: float
    lip_in: float
    thickness_in: float
    radius_in: float

    @property
    def web_flat_in(self) -> float:
        return self.depth_in - 2 * (self.radius_in + self.thickness_in)

    @property
    def flange_flat_in(self) -> float:
        return self.flange_in - 2 * (self.radius_in + self.thickness_in)

    @property
    def lip_flat_in(self) -> float:
        return self.lip_in - (self.radius_in + self.thickness_in)


@dataclass(frozen=True, slots=True)
class Steel:
    """Yield and tensile strength in ksi."""

    yield_ksi: float
    tensile_ksi: float
