"""Section tables: every numeric column that the engine knows against the engine's own value (R14, R15)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from framing.engine.errors import OutsideSourceLimits, SectionImpossible
from framing.engine.judging.comparison import (
    Column,
    Comparison,
    Difference,
    NotCompared,
    columns_of,
    percent_difference,
)
from framing.engine.judging.reading import (
    check_section_columns,
    is_blank,
    printed,
    read_rows,
    row_name,
    shape_and_steel,
)
from framing.engine.section.cold_work import cold_work_yield_ksi
from framing.engine.section.gross import Gross, gross
from framing.engine.strength.flexure import unbraced_in_lu
from framing.engine.strength.shear import Hole
from framing.engine.strength.trade_table import STANDARD_HOLE, table_values
from framing.engine.tables import TableRow

HOLE_DEPTH, HOLE_LENGTH = "hole_depth_in", "hole_length_in"
COLD_WORK_MOST_PERCENT: Final = 2.5
COLD_WORK = (
    "the strength gained by cold work is in the row, and tables differ in the stress at which they take Sxe"
)


@dataclass(frozen=True, slots=True)
class _Rule:
    tolerance_percent: float
    note: str = ""


_MODEL = "by the table's simpler model (sharp corners, line method); see the column of the member's value"
_MEMBER = (
    "as a member's check has it, with round corners; the table has sharp corners, so this is a wide band only"
)
RULES: Final[Mapping[str, _Rule]] = {
    "area_in2": _Rule(0.2),
    "weight_plf": _Rule(1.0, "bare steel of design thickness at 490 pcf"),
    "Ix_in4": _Rule(0.2),
    "Sx_in3": _Rule(0.2),
    "rx_in": _Rule(0.2),
    "Iy_in4": _Rule(1.0, _MODEL),
    "ry_in": _Rule(1.0, _MODEL),
    "Ixe_in4": _Rule(1.0, "at the stress under the allowable moment"),
    "Sxe_in3": _Rule(1.0, "at Fy, or at Fya where cold work counts"),
    "Mal_kipin": _Rule(1.0, "ASD; cold work of forming where A3.3.2 lets it count"),
    "Mad_kipin": _Rule(1.0, "ASD; no help of the sheathing"),
    "Vag_lb": _Rule(1.0, "ASD"),
    "Vanet_lb": _Rule(1.0, "ASD; also where h/t is over 200, for which a member's check has no number (G3)"),
    "Jx1000_in4": _Rule(1.0),
    "Cw_in6": _Rule(1.0, _MODEL),
    "xo_in": _Rule(1.0, _MODEL),
    "Lu_in": _Rule(1.0, _MODEL),
}
"""By column: tolerance in percent, and the convention under which the column is compared."""
MEMBER_RULES: Final[Mapping[str, _Rule]] = {
    "Iy_in4": _Rule(1.5, _MEMBER),
    "ry_in": _Rule(1.0, _MEMBER),
    "Cw_in6": _Rule(15.0, _MEMBER),
    "xo_in": _Rule(4.0, _MEMBER),
    "Lu_in": _Rule(5.0, _MEMBER),
}
"""Columns that are compared a second time, with the values that members are checked with."""
MEMBER_SUFFIX: Final = " (member)"


_RULES = {**RULES, **{name + MEMBER_SUFFIX: rule for name, rule in MEMBER_RULES.items()}}


@dataclass(slots=True)
class _Found:
    differences: dict[str, list[Difference]] = field(default_factory=lambda: {name: [] for name in _RULES})
    left: list[NotCompared] = field(default_factory=list)


def judge_sections(file: str, text: str) -> Comparison:
    """Compare a table of section properties, given as CSV text.

    A row is its designator (`section`) or its free dimensions (`depth_in`, `flange_in`, `lip_in`, `design_t_in`,
    `inside_radius_in`), with `Fy_ksi`; `Fu_ksi` and the hole (`hole_depth_in`, `hole_length_in`) where they are not
    the standard ones. Every column of `RULES` that it has is compared; blank cells are left out.

    Raises CatalogueRefused for a file that cannot be read, by name, row and column.
    """
    rows = read_rows(file, text)
    check_section_columns(file, rows[0])
    found = _Found()
    for row in rows:
        _judge_row(row, found)
    columns = [
        Column(name, rule.tolerance_percent, "percent", rule.note, tuple(found.differences[name]))
        for name, rule in _RULES.items()
    ]
    return Comparison(file, len(rows), columns_of(columns), tuple(found.left))


def _judge_row(row: TableRow, found: _Found) -> None:
    values = {name: printed(row, name) for name in RULES if not is_blank(row, name)}
    name, hole = row_name(row), _hole(row)
    try:
        shape, steel = shape_and_steel(row)
        ours = table_values(shape, steel, hole)
        raised = cold_work_yield_ksi(shape, steel)
    except (OutsideSourceLimits, SectionImpossible) as refused:
        found.left.append(NotCompared(name, row.number, refused.message))
        return
    members = _member_values(gross(shape), steel.yield_ksi if raised is None else raised)
    for column, value in values.items():
        tolerance = RULES[column].tolerance_percent
        difference = percent_difference(name, value, ours[column], tolerance, "")
        if column == "Sxe_in3" and raised and abs(difference.percent) <= COLD_WORK_MOST_PERCENT:
            difference = percent_difference(name, value, ours[column], tolerance, COLD_WORK)
        found.differences[column].append(difference)
        if column in members:
            tolerance = MEMBER_RULES[column].tolerance_percent
            difference = percent_difference(name, value, members[column], tolerance, "")
            found.differences[column + MEMBER_SUFFIX].append(difference)


def _member_values(full: Gross, bending_ksi: float) -> dict[str, float]:
    return {
        "Iy_in4": full.iy_in4,
        "ry_in": full.ry_in,
        "Cw_in6": full.cw_in6,
        "xo_in": full.xo_in,
        "Lu_in": unbraced_in_lu(full, bending_ksi),
    }


def _hole(row: TableRow) -> Hole:
    if is_blank(row, HOLE_DEPTH) or is_blank(row, HOLE_LENGTH):
        return STANDARD_HOLE
    return Hole(row.number_over_zero(HOLE_DEPTH), row.number_over_zero(HOLE_LENGTH))
