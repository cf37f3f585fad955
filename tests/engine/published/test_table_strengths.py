"""Strengths of every row of the SSMA Technical Guide 2024's section table that the engine ships."""

from __future__ import annotations

import csv

import pytest

from framing.engine.method import Method
from framing.engine.section.gross import gross
from framing.engine.section.shape import Shape, steel_of
from framing.engine.strength.flexure import unbraced_in_lu
from framing.engine.strength.profile import profile_strength
from framing.engine.strength.trade_table import table_values
from framing.engine.tables import data_text

ROWS = list(csv.DictReader(data_text("published/section_properties.csv").splitlines()))
SIZES = ("depth_in", "flange_in", "lip_in", "design_t_in", "inside_radius_in")
NOT_VALUES = {*SIZES, "section", "mils", "Fy_ksi", "cold_work_in_Mal", "row_status", "note"}


def _name(row: dict[str, str]) -> str:
    return f"{row['section']}({row['Fy_ksi']})"


def _shape(row: dict[str, str]) -> Shape:
    return Shape(*(float(row[name]) for name in SIZES))


def test_all_rows_and_columns_are_there() -> None:
    assert len(ROWS) == 77
    assert set(ROWS[0]) - NOT_VALUES == set(table_values(_shape(ROWS[0]), steel_of(33.0)))
    assert sum(1 for row in ROWS if row["Lu_in"]) == 58


@pytest.mark.parametrize("row", ROWS, ids=_name)
def test_every_printed_value(row: dict[str, str]) -> None:
    """All 17 columns within 0.5 %: a print of three digits is not finer than that."""
    found = table_values(_shape(row), steel_of(float(row["Fy_ksi"])))
    for column, value in found.items():
        if row[column]:
            assert value == pytest.approx(float(row[column]), rel=0.005), column


@pytest.mark.parametrize("row", [row for row in ROWS if row["cold_work_in_Mal"] == "no"], ids=_name)
def test_unbraced_length_is_never_longer_than_printed(row: dict[str, str]) -> None:
    """With Cw of the round corners, which members are checked with: up to 3 % under the print."""
    own = unbraced_in_lu(gross(_shape(row)), float(row["Fy_ksi"]))
    assert 0.97 <= own / float(row["Lu_in"]) <= 1.0


@pytest.mark.parametrize("row", ROWS, ids=_name)
def test_profile_strength_agrees(row: dict[str, str]) -> None:
    """What members are checked with is what the table prints, but for the net shear of webs over h/t 200."""
    shape, steel = _shape(row), steel_of(float(row["Fy_ksi"]))
    found = profile_strength(shape, steel, method=Method.ASD, hole_depth_in=1.5, hole_length_in=4.0)
    assert found.cold_work is (row["cold_work_in_Mal"] == "yes")
    assert found.local_moment_kipin == pytest.approx(float(row["Mal_kipin"]), rel=0.005)
    assert found.distortional_moment_kipin == pytest.approx(float(row["Mad_kipin"]), rel=0.005)
    assert found.shear_lb == pytest.approx(float(row["Vag_lb"]), rel=0.005)
    assert (found.net_shear_lb is None) is (found.web_slenderness > 200)
    if found.net_shear_lb is not None:
        assert found.net_shear_lb == pytest.approx(float(row["Vanet_lb"]), rel=0.005)
