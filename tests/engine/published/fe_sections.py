"""Sections run through the finite-element judge, and the values stored from it."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from pathlib import Path

from framing.engine.section.shape import Shape, shape, shape_of

STORED = Path(__file__).parent / "fe_sections.csv"
COLUMNS = ("area_in2", "ix_in4", "iy_in4", "x_bar_in", "xo_in", "j_in4", "cw_in6")
STANDARD = (
    "550S137-33",
    "600S137-54",
    "600S250-97",
    "800S162-33",
    "800S250-118",
    "1000S162-54",
    "1200S162-97",
    "1200S250-43",
    "1400S162-118",
    "1400S200-68",
)
FREE = {
    "9 x 2.5 x 0.773 x 0.059, R 0.1875": (9.0, 2.5, 0.773, 0.059, 0.1875),
    "7.25 x 1.9 x 0.8 x 0.08, R 0.25": (7.25, 1.9, 0.8, 0.08, 0.25),
    "16 x 3.5 x 1 x 0.135, R 0.27": (16.0, 3.5, 1.0, 0.135, 0.27),
    "11.875 x 2.25 x 0.7 x 0.065, R 0.1": (11.875, 2.25, 0.7, 0.065, 0.1),
}


def shapes() -> dict[str, Shape]:
    """Every section of the stored file by its name there."""
    return {name: shape_of(name) for name in STANDARD} | {name: shape(*free) for name, free in FREE.items()}


def stored() -> dict[str, Mapping[str, str]]:
    """Stored values by section, made by `make_fe_sections.py`."""
    with STORED.open(encoding="utf-8", newline="") as file:
        return {row["section"]: row for row in csv.DictReader(file)}


def run(section: Shape, facets: int, meshes_in_wall: float) -> dict[str, float]:
    """Properties by `sectionproperties`, the bends cut into `facets`, elements about t/sqrt(2 meshes) wide."""
    from sectionproperties.analysis import Section
    from sectionproperties.pre.library import cee_section

    geometry = cee_section(
        d=section.depth_in,
        b=section.flange_in,
        l=section.lip_in,
        t=section.thickness_in,
        r_out=section.radius_in + section.thickness_in,
        n_r=facets,
    )
    geometry.create_mesh(mesh_sizes=section.thickness_in**2 / meshes_in_wall)
    judge = Section(geometry)
    judge.calculate_geometric_properties()
    judge.calculate_warping_properties()
    ix, iy, _ = judge.get_ic()
    x_bar, shear_centre = judge.get_c()[0], judge.get_sc()[0]
    found = (judge.get_area(), ix, iy, x_bar, shear_centre - x_bar, judge.get_j(), judge.get_gamma())
    return dict(zip(COLUMNS, map(float, found), strict=True))
