"""Profiles and items that a supplier rolls and stocks, loaded and checked from `data/*.csv`.

The loader (`load_catalogue`) lives here too; see `data/SOURCES.md` for where each table comes from.
"""

from __future__ import annotations

from dataclasses import dataclass

from framing.engine.errors import UnknownProfile


@dataclass(frozen=True, slots=True)
class JoistProfile:
    """A lipped C joist by its open designator (R14), such as 1000S162-54; 33 and 50 ksi rows are told by a suffix.

    Strengths are allowable (ASD): moments in kip-in, shears in lb, about the strong axis.
    """

    designator: str
    depth_in: float
    flange_in: float
    lip_in: float
    mils: int
    design_thickness_in: float
    yield_ksi: int
    weight_plf: float
    gross_inertia_in4: float
    effective_inertia_in4: float
    local_moment_kipin: float
    distortional_moment_kipin: float
    shear_lb: float
    net_shear_lb: float
    hole_depth_in: float
    hole_length_in: float
    source: str

    @property
    def depth_code(self) -> int:
        """Depth in 1/100 in, as in the designator."""
        return round(self.depth_in * 100)

    @property
    def flange_16(self) -> int:
        return round(self.flange_in * 16)

    @property
    def depth_16(self) -> int:
        return round(self.depth_in * 16)


@dataclass(frozen=True, slots=True)
class ItemRow:
    """One stocked item: `code` as in `BomLine.code` (`bearing_clip:1000`); `pack` pieces a box where sold by the box."""

    code: str
    description: str
    group: str
    sold_by: str
    pack: int
    unit_weight_lb: float
    source: str


@dataclass(frozen=True, slots=True)
class Catalogue:
    """One version of the supplier's profiles and items. Screws per clip leg come by depth code (R20)."""

    version: str
    profiles: tuple[JoistProfile, ...]
    items: tuple[ItemRow, ...]
    screws_per_leg: tuple[tuple[int, int], ...]

    def profile(self, designator: str) -> JoistProfile:
        """The profile of that designator. Raises UnknownProfile."""
        for profile in self.profiles:
            if profile.designator == designator:
                return profile
        raise UnknownProfile(designator, tuple(p.designator for p in self.profiles))
