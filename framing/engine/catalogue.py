"""Profiles and items that a supplier rolls and stocks, loaded and checked from `data/*.csv`.

The loader (`load_catalogue`) lives here too; see `data/SOURCES.md` for where each table comes from.
"""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass
from functools import cache
from typing import Final

from framing.engine.errors import SectionImpossible, UnknownItem, UnknownProfile
from framing.engine.section.effective import FLANGE_LIMIT, WEB_STIFFENED_MOST
from framing.engine.section.elements import LIP_LIMIT
from framing.engine.section.gross import coated_weight_plf
from framing.engine.section.shape import Shape, Steel, shape
from framing.engine.tables import TableRow, data_text, read_table


@dataclass(frozen=True, slots=True)
class JoistProfile:
    """A lipped C joist by its open designator (R14), such as 1000S162-54; its strength is worked out from this.

    Attributes:
        design_thickness_in: base steel over 0.95; inside_radius_in: of the bends.
        coating_oz_ft2: metal coating on both sides together; it is in `weight_plf`.
        hole_depth_in, hole_length_in: the service hole that the line punches.
    """

    designator: str
    depth_in: float
    flange_in: float
    lip_in: float
    mils: int
    design_thickness_in: float
    inside_radius_in: float
    yield_ksi: int
    tensile_ksi: int
    coating_oz_ft2: float
    weight_plf: float
    hole_depth_in: float
    hole_length_in: float
    source: str

    @property
    def shape(self) -> Shape:
        """The cross-section."""
        return Shape(
            self.depth_in, self.flange_in, self.lip_in, self.design_thickness_in, self.inside_radius_in
        )

    @property
    def steel(self) -> Steel:
        return Steel(float(self.yield_ksi), float(self.tensile_ksi))

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
    """One stocked item: `code` as in `BomLine.code` (`bearing_clip:1000`); `pack` pieces in a box, else 1."""

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

    def item(self, code: str) -> ItemRow:
        """The stocked item of that code (`bearing_clip:1000`). Raises UnknownItem."""
        for row in self.items:
            if row.code == code:
                return row
        raise UnknownItem(code)

    def screws_for(self, profile: JoistProfile) -> int:
        """Screws in each leg of a clip at a joist of that depth, R20's n. Raises UnknownItem."""
        for depth_code, screws in self.screws_per_leg:
            if depth_code == profile.depth_code:
                return screws
        raise UnknownItem(f"screws_per_leg:{profile.depth_code}")


PROFILE_TABLE: Final = "profiles.csv"
ITEM_TABLE: Final = "items.csv"
SCREW_TABLE: Final = "screws_per_leg.csv"
HOLE_DEPTH_MOST_IN: Final = 2.5  # IRC R505.2.6.1: the lesser of this and half the depth
HOLE_LENGTH_MOST_IN: Final = 4.5  # IRC R505.2.6.1
GROUPS: Final = ("members", "hardware", "fasteners", "boards", "sheathing")
SOLD_BY: Final = ("piece", "ft", "box", "sheet", "stick", "tube")
RADIUS_MOST: Final = 7.0  # R/t, AISI S100 A3.3.2, and under the most of section B4.1
_SIZES: Final = ("depth_in", "flange_in", "lip_in", "design_thickness_in", "inside_radius_in")
_DESIGNATOR: Final = re.compile(r"([0-9]+)S([0-9]+)-([0-9]+)")


@cache
def load_catalogue() -> Catalogue:
    """The built-in demo catalogue from the package's own data. Raises CatalogueRefused."""
    return build_catalogue(data_text(PROFILE_TABLE), data_text(ITEM_TABLE), data_text(SCREW_TABLE))


def build_catalogue(profiles: str, items: str, screws: str) -> Catalogue:
    """A catalogue from three CSV texts; its version is a digest of what they say. Raises CatalogueRefused."""
    content = "\0".join("\n".join(text.splitlines()) for text in (profiles, items, screws))
    return Catalogue(
        version=hashlib.sha256(content.encode()).hexdigest()[:12],
        profiles=read_table(PROFILE_TABLE, profiles, _profile, key="designator"),
        items=read_table(ITEM_TABLE, items, _item, key="code"),
        screws_per_leg=read_table(SCREW_TABLE, screws, _screws, key="depth_code"),
    )


def _profile(row: TableRow) -> JoistProfile:
    made = _shape(row)
    coating = row.number_over_zero("coating_oz_ft2")
    profile = JoistProfile(
        designator=row.text("designator"),
        depth_in=made.depth_in,
        flange_in=made.flange_in,
        lip_in=made.lip_in,
        mils=row.count("mils"),
        design_thickness_in=made.thickness_in,
        inside_radius_in=made.radius_in,
        yield_ksi=row.count("yield_ksi"),
        tensile_ksi=row.count("tensile_ksi"),
        coating_oz_ft2=coating,
        weight_plf=coated_weight_plf(made, coating),
        hole_depth_in=row.number_over_zero("hole_depth_in"),
        hole_length_in=row.number_over_zero("hole_length_in"),
        source=row.text("source"),
    )
    _check_designator(row, profile)
    _check_limits(row, profile)
    return profile


def _shape(row: TableRow) -> Shape:
    depth, flange, lip, thickness, radius = (row.number_over_zero(column) for column in _SIZES)
    try:
        return shape(depth, flange, lip, thickness, radius)
    except SectionImpossible as error:
        raise row.refuse("designator", error.message) from error


def _check_designator(row: TableRow, profile: JoistProfile) -> None:
    """R14: the name says depth and flange in 1/100 in (flange cut to whole ones) and base steel in mils."""
    match = _DESIGNATOR.fullmatch(profile.designator)
    if match is None:
        raise row.refuse("designator", f"{profile.designator} is not like 1000S162-54.")
    said = tuple(int(part) for part in match.groups())
    for column, name, value in zip(
        ("depth_in", "flange_in", "mils"),
        said,
        (profile.depth_code, int(profile.flange_in * 100), profile.mils),
        strict=True,
    ):
        if name != value:
            raise row.refuse(column, f"{row.cells[column]} does not fit {profile.designator}.")


def _check_limits(row: TableRow, profile: JoistProfile) -> None:
    """What must hold between columns whatever the source; a typing slip breaks most of these."""
    made, t = profile.shape, profile.design_thickness_in
    limits = (
        (
            "depth_in",
            made.web_flat_in / t,
            WEB_STIFFENED_MOST,
            " for the flat of the web over the thickness (S100 B4.1)",
        ),
        (
            "flange_in",
            made.flange_flat_in / t,
            FLANGE_LIMIT,
            " for the flat of the flange over the thickness (S100 B4.1)",
        ),
        (
            "lip_in",
            made.lip_in / made.flange_flat_in,
            LIP_LIMIT,
            " of the flat of the flange (S100 Appendix 1, 1.3)",
        ),
        (
            "inside_radius_in",
            made.radius_in / t,
            RADIUS_MOST,
            " for the radius over the thickness (S100 A3.3.2)",
        ),
        ("yield_ksi", profile.yield_ksi, profile.tensile_ksi, ", the tensile strength"),
        ("hole_depth_in", profile.hole_depth_in, min(HOLE_DEPTH_MOST_IN, profile.depth_in / 2), ""),
        ("hole_length_in", profile.hole_length_in, HOLE_LENGTH_MOST_IN, ""),
    )
    for column, value, most, words in limits:
        if value > most:
            raise row.refuse(column, f"{value:g} is over {most:g}{words}.")


def _item(row: TableRow) -> ItemRow:
    sold_by = row.one_of("sold_by", SOLD_BY)
    pack = row.count("pack")
    if pack > 1 and sold_by != "box":
        raise row.refuse("pack", f"{pack} pieces in a {sold_by}: only boxes hold several.")
    return ItemRow(
        code=row.text("code"),
        description=row.text("description"),
        group=row.one_of("group", GROUPS),
        sold_by=sold_by,
        pack=pack,
        unit_weight_lb=row.number_over_zero("unit_weight_lb"),
        source=row.text("source"),
    )


def _screws(row: TableRow) -> tuple[int, int]:
    row.text("source")
    return row.count("depth_code"), row.count("screws")
