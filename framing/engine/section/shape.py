"""The lipped C by its out-to-out dimensions (R14), and the steel it is rolled from."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import lru_cache

from framing.engine.errors import SectionImpossible

ELASTIC_MODULUS_KSI = 29_500.0  # AISI S100
SHEAR_MODULUS_KSI = 11_300.0  # AISI S100
POISSON = 0.3  # AISI S100

# AISI S201/S240: flange code -> flange and standard lip.
STANDARD_FLANGES_IN = {
    "137": (1.375, 0.375),
    "162": (1.625, 0.5),
    "200": (2.0, 0.625),
    "250": (2.5, 0.625),
    "300": (3.0, 0.625),
    "350": (3.5, 1.0),
}
# AISI S240: least base steel in mils -> design thickness, as the standard rounds it.
STANDARD_THICKNESS_IN = {33: 0.0346, 43: 0.0451, 54: 0.0566, 68: 0.0713, 97: 0.1017, 118: 0.1242}
BASE_SHARE = 0.95  # least delivered base steel over design thickness, AISI S100 A3.4
STANDARD_TENSILE_KSI = {33.0: 45.0, 50.0: 65.0}

_DESIGNATOR = re.compile(r"(\d{3,4})S(\d{3})-(\d{2,3})", re.ASCII)


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


def shape(depth_in: float, flange_in: float, lip_in: float, thickness_in: float, radius_in: float) -> Shape:
    """A lipped C of free dimensions, checked to be one that can be rolled.

    All in inches, out to out; the thickness is that of the steel in design, the radius is inside the bend.

    Raises:
        SectionImpossible: a dimension is not finite and above zero, a bend leaves no flat between its ends, or
            the two lips meet; the message names the dimension, its value and the limit.
    """
    made = Shape(depth_in, flange_in, lip_in, thickness_in, radius_in)
    for word, value in (
        ("depth", depth_in),
        ("flange", flange_in),
        ("lip", lip_in),
        ("thickness", thickness_in),
        ("inside radius", radius_in),
    ):
        if not (math.isfinite(value) and value > 0):
            raise SectionImpossible(f"The {word} is {value:g} in; it must be a length above 0 in.")
    bend_in = radius_in + thickness_in
    for word, value, least in (
        ("depth", depth_in, 2 * bend_in),
        ("flange", flange_in, 2 * bend_in),
        ("lip", lip_in, bend_in),
    ):
        if value <= least:
            raise SectionImpossible(
                f"The {word} is {value:g} in; with radius {radius_in:g} in and thickness {thickness_in:g} in "
                f"its bends alone take {least:g} in, and it must be longer than that."
            )
    if 2 * lip_in >= depth_in:
        raise SectionImpossible(
            f"The lip is {lip_in:g} in; two lips must stay apart, "
            f"so it must be under half the depth, {depth_in / 2:g} in."
        )
    return made


def _length_in(hundredths: str) -> float:
    """A code of the standard in inches: it drops what is beyond 1/100 in, so 362 is 3.625 and 1187 is 11.875.

    The one sixteenth of an inch within the code's hundredth is meant where there is one, else the hundredths.
    """
    code = int(hundredths)
    sixteenths = math.ceil(code * 16 / 100)
    return sixteenths / 16 if sixteenths * 100 < (code + 1) * 16 else code / 100


def thickness_of(mils: int) -> float:
    """Design thickness in inches of steel of `mils` least base thickness (AISI S240; else base / 0.95)."""
    return STANDARD_THICKNESS_IN.get(mils, mils / 1000 / BASE_SHARE)


def radius_of(thickness_in: float) -> float:
    """Standard inside bend radius in inches: the larger of 3/32 - t/2 and 1.5 t (AISI S201/S240 products)."""
    return max(3 / 32 - thickness_in / 2, 1.5 * thickness_in)


@lru_cache(maxsize=512)
def shape_of(designator: str) -> Shape:
    """The S-section a designator such as `1000S162-54` names (AISI S201/S240; R14).

    Depth in 1/100 in, S, flange in 1/100 in, base steel in mils. Lip, design thickness and bends are the standard's.

    Raises:
        SectionImpossible: the text is no such designator, the flange has no standard lip, or no such section
            can be rolled.
    """
    read = _DESIGNATOR.fullmatch(designator)
    if read is None:
        raise SectionImpossible(
            f"“{designator}” is no S-section; write depth, S, flange in 1/100 in and mils, as 1000S162-54."
        )
    depth, flange, mils = read.groups()
    if flange not in STANDARD_FLANGES_IN:
        known = ", ".join(STANDARD_FLANGES_IN)
        raise SectionImpossible(f"Flange {flange} of {designator} has no standard lip; standard are {known}.")
    flange_in, lip_in = STANDARD_FLANGES_IN[flange]
    thickness_in = thickness_of(int(mils))
    return shape(_length_in(depth), flange_in, lip_in, thickness_in, radius_of(thickness_in))


def steel_of(yield_ksi: float) -> Steel:
    """Steel of a standard yield strength: 33 ksi has 45 ksi tensile strength, 50 ksi has 65 (AISI S240).

    Raises:
        SectionImpossible: another yield strength; its tensile strength must be given with it.
    """
    if yield_ksi not in STANDARD_TENSILE_KSI:
        known = " and ".join(f"{known:g}" for known in STANDARD_TENSILE_KSI)
        raise SectionImpossible(
            f"The yield strength is {yield_ksi:g} ksi; only {known} ksi are standard. Give its tensile strength too."
        )
    return Steel(yield_ksi, STANDARD_TENSILE_KSI[yield_ksi])
