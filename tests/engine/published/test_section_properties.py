"""Every row of the shipped section table (SSMA Technical Guide 2024) against the engine's own section properties."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping

import pytest

from framing.engine.section.cold_work import cold_work_yield_ksi
from framing.engine.section.effective import effective, effective_inertia_in4
from framing.engine.section.gross import gross
from framing.engine.section.shape import Shape, Steel, shape, shape_of, steel_of
from framing.engine.tables import data_text
from tests.engine.published.sharp_corners import warping_constant_in6, web_to_shear_centre_in

Row = Mapping[str, str]
ROWS = tuple(csv.DictReader(io.StringIO(data_text("published/section_properties.csv"))))
# The guide takes Sxe of cold-worked rows at the raised yield strength; at Fy these differ by more than 0.2 %.
RAISED_YIELD_SHOWS = {
    ("550S162-68", "50"),
    ("600S162-43", "33"),
    ("600S162-54", "50"),
    ("600S250-68", "33"),
    ("600S250-97", "33"),
    ("600S250-97", "50"),
    ("800S250-68", "33"),
    ("1000S250-97", "50"),
    ("1000S250-118", "50"),
}
# Walls of 1/8 in: the guide's Iy leaves out the walls' own thickness.
IY_MORE_THAN_1_PERCENT = {("800S162-118", "50"), ("1400S162-118", "33"), ("1400S162-118", "50")}

every_row = pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['section']} {row['Fy_ksi']} ksi")


def _key(row: Row) -> tuple[str, str]:
    return row["section"], row["Fy_ksi"]


def _read(row: Row) -> tuple[Shape, Steel]:
    return shape_of(row["section"]), steel_of(float(row["Fy_ksi"]))


def _off(row: Row, column: str, found: float) -> float:
    """Difference from the printed value as a share of it."""
    return abs(found / float(row[column]) - 1)


def test_the_table_is_whole() -> None:
    assert len(ROWS) == 77


@every_row
def test_dimensions_follow_from_the_designator(row: Row) -> None:
    section, _ = _read(row)
    assert (section.depth_in, section.flange_in, section.lip_in) == (
        float(row["depth_in"]),
        float(row["flange_in"]),
        float(row["lip_in"]),
    )
    assert section.thickness_in == float(row["design_t_in"])
    assert abs(section.radius_in - float(row["inside_radius_in"])) < 0.0001


@every_row
def test_gross_properties(row: Row) -> None:
    full = gross(_read(row)[0])
    assert _off(row, "area_in2", full.area_in2) < 0.002
    assert _off(row, "Ix_in4", full.ix_in4) < 0.001
    assert _off(row, "Sx_in3", full.sx_in3) < 0.001
    assert _off(row, "rx_in", full.rx_in) < 0.001
    assert _off(row, "ry_in", full.ry_in) < 0.007
    assert abs(1000 * full.j_in4 - float(row["Jx1000_in4"])) < 0.0011
    assert abs(full.weight_plf - float(row["weight_plf"])) < 0.0051


@every_row
def test_inertia_about_the_weak_axis(row: Row) -> None:
    limit = 0.013 if _key(row) in IY_MORE_THAN_1_PERCENT else 0.01
    assert _off(row, "Iy_in4", gross(_read(row)[0]).iy_in4) < limit


@every_row
def test_effective_inertia(row: Row) -> None:
    assert _off(row, "Ixe_in4", effective_inertia_in4(*_read(row))) < 0.001


@every_row
def test_effective_modulus(row: Row) -> None:
    section, steel = _read(row)
    raised = cold_work_yield_ksi(section, steel)
    assert (raised is not None) == (row["cold_work_in_Mal"] == "yes")
    assert _off(row, "Sxe_in3", effective(section, raised or steel.yield_ksi).modulus_in3) < 0.001


@every_row
def test_effective_modulus_at_the_steels_own_yield(row: Row) -> None:
    section, steel = _read(row)
    limit = 0.02 if _key(row) in RAISED_YIELD_SHOWS else 0.001
    assert _off(row, "Sxe_in3", effective(section, steel.yield_ksi).modulus_in3) < limit


@every_row
def test_local_moment(row: Row) -> None:
    section, steel = _read(row)
    stress = cold_work_yield_ksi(section, steel) or steel.yield_ksi
    assert _off(row, "Mal_kipin", effective(section, stress).modulus_in3 * stress / 1.67) < 0.001


@every_row
def test_the_table_takes_sharp_corners_for_warping(row: Row) -> None:
    """Its Cw and xo are those of the sharp closed form; ours, of round bends, are smaller."""
    section, _ = _read(row)
    full = gross(section)
    x_bar = full.x_bar_in - section.thickness_in / 2
    sharp_xo = -(x_bar + web_to_shear_centre_in(section))
    assert abs(warping_constant_in6(section) - float(row["Cw_in6"])) < 0.001
    assert abs(sharp_xo - float(row["xo_in"])) < 0.00051
    assert 0.87 < full.cw_in6 / float(row["Cw_in6"]) < 0.98
    assert 0.96 < full.xo_in / float(row["xo_in"]) < 1


def test_design_manual_example_800s200_54() -> None:
    """AISI D100-17 example II-5: Sf 1.64, Se at 50 ksi 1.50, xo -1.27."""
    section = shape_of("800S200-54")
    assert round(gross(section).sx_in3, 2) == 1.64
    assert round(effective(section, 50.0).modulus_in3, 2) == 1.50
    assert abs(gross(section).xo_in + 1.27) < 0.015


def test_design_manual_example_9cs25x059() -> None:
    """AISI D100-17 example II-1B: A 0.881, Ix 10.3, Sf 2.29."""
    full = gross(shape(9.0, 2.5, 0.773, 0.059, 0.1875))
    assert (round(full.area_in2, 3), round(full.ix_in4, 1), round(full.sx_in3, 2)) == (0.881, 10.3, 2.29)
