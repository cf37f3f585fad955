"""Comparisons with printed tables: what counts as agreeing, what is left out, what is refused."""

from __future__ import annotations

import json

import pytest

from framing.engine.errors import CatalogueRefused
from framing.engine.judging import Comparison, comparison_json, comparison_lines, judge_sections, judge_spans
from framing.engine.judging.sections import COLD_WORK, MEMBER_RULES, MEMBER_SUFFIX, RULES
from framing.engine.judging.spans import DEFLECTION, EXACT, OLD_WEB_RULE, STRENGTH, TWO
from framing.engine.section.shape import shape_of, steel_of
from framing.engine.strength.shear import Hole
from framing.engine.strength.trade_table import table_values
from framing.engine.tables import data_text

SPAN_HEADING = "section,Fy_ksi,span_type,dead_psf,live_psf,spacing_in,LL_limit,TL_limit,span_in,flag,document"


def _sections(*rows: str, heading: str = "section,Fy_ksi,Ix_in4") -> Comparison:
    return judge_sections("mine.csv", "\n".join((heading, *rows)))


def _spans(*rows: str) -> Comparison:
    return judge_spans("mine.csv", "\n".join((SPAN_HEADING, *rows)))


def _span_row(
    section: str = "800S162-97", span: str = "240", *, case: str = "single,10,40,12", more: str = ","
) -> str:
    return f"{section},33,{case},L/480,L/240,{span},{more}"


# --- sections ---


def test_the_shipped_section_table_agrees() -> None:
    judged = judge_sections("s.csv", data_text("published/section_properties.csv"))
    assert judged.agrees
    assert judged.rows == 77
    assert judged.not_compared == ()
    assert [column.name for column in judged.columns] == [
        *RULES,
        *(name + MEMBER_SUFFIX for name in MEMBER_RULES),
    ]
    assert all(column.outside == () for column in judged.columns)
    assert {len(column.differences) for column in judged.columns} == {77, 58}  # 19 rows lost their Lu


def test_a_wrong_value_is_outside_by_name() -> None:
    judged = _sections("1000S162-54,33,9.95", "1000S162-54,33,10.1")
    assert not judged.agrees
    (column,) = judged.columns
    (outside,) = column.outside
    assert (outside.row, outside.line, outside.printed) == ("1000S162-54 (33 ksi)", 3, 10.1)
    assert outside.unexplained
    assert outside.percent == pytest.approx(-1.477, abs=0.005)
    assert column.worst == outside


def test_half_a_unit_of_the_last_digit_counts_as_agreeing() -> None:
    assert _sections("1000S162-54,33,10").agrees  # ours is 9.951: 0.5 % off and within 0.5 in4
    assert not _sections("1000S162-54,33,10.02").agrees


def test_free_dimensions_come_before_the_name() -> None:
    heading = "section,depth_in,flange_in,lip_in,design_t_in,inside_radius_in,Fy_ksi,Ix_in4"
    judged = _sections("own,10,1.625,0.5,0.0566,0.0849,33,9.95", heading=heading)
    assert judged.agrees
    assert judged.columns[0].worst.row == "own (33 ksi)"
    unnamed = _sections(",10,1.625,0.5,0.0566,0.0849,33,9.95", heading=heading)
    assert unnamed.columns[0].worst.row == "10 x 1.625 x 0.5 x 0.0566 x 0.0849 (33 ksi)"
    by_name = _sections("1000S162-54,10,,0.5,0.0566,0.0849,33,9.95", heading=heading)
    assert by_name.agrees


def test_another_steel_needs_its_tensile_strength() -> None:
    heading = "section,Fy_ksi,Fu_ksi,Vag_lb"
    shear = table_values(shape_of("1000S162-54"), steel_of(33.0))["Vag_lb"]
    judged = _sections(f"1000S162-54,40,55,{shear:.0f}", "1000S162-54,40,,1700", heading=heading)
    assert len(judged.columns[0].differences) == 1
    assert "only 33 and 50 ksi are standard" in judged.not_compared[0].reason


def test_another_hole_may_be_named() -> None:
    heading = "section,Fy_ksi,hole_depth_in,hole_length_in,Vanet_lb"
    net = table_values(shape_of("1000S162-97"), steel_of(33.0), Hole(2.5, 4.5))["Vanet_lb"]
    judged = _sections(f"1000S162-97,33,2.5,4.5,{net:.0f}", "1000S162-97,33,2.5,,6434", heading=heading)
    assert judged.agrees


def test_cold_work_explains_a_small_difference_of_sxe_only() -> None:
    ours = table_values(shape_of("550S162-97"), steel_of(33.0))["Sxe_in3"]
    heading = "section,Fy_ksi,Sxe_in3"
    two, five = (f"550S162-97,33,{ours * factor:.4f}" for factor in (1.02, 1.05))
    plain = f"1000S162-54,33,{table_values(shape_of('1000S162-54'), steel_of(33.0))['Sxe_in3'] * 1.02:.4f}"
    judged = _sections(two, five, plain, heading=heading)
    assert [d.reason for d in judged.columns[0].outside] == [COLD_WORK, "", ""]
    assert not judged.agrees
    assert _sections(two, heading=heading).agrees


def test_what_cannot_be_rolled_or_has_no_clause_is_left_out_by_name() -> None:
    judged = _sections("1000S111-54,33,9.95", "3000S162-43,33,120", "1000S162-54,33,")
    assert [left.line for left in judged.not_compared] == [2, 3]
    assert "no standard lip" in judged.not_compared[0].reason
    assert "h/t" in judged.not_compared[1].reason
    assert judged.columns == ()
    assert not judged.agrees  # nothing was compared


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "mine.csv: there are no rows"),
        ("section,Fy_ksi,Ix_in4\n", "mine.csv: there are no rows"),
        ("section,Ix_in4\n1000S162-54,9.95\n", "mine.csv: column Fy_ksi is missing"),
        ("name,Fy_ksi,Ix_in4\na,33,9.95\n", "mine.csv: column section or depth_in is missing"),
        ("section,Fy_ksi,Ix_in4\na,33,9.95,1\n", "mine.csv, row 2: has more cells"),
        ("section,Fy_ksi,Ix_in4\na,33\n", "mine.csv, row 2: has fewer cells"),
        ("section,Fy_ksi,Ix_in4\n1000S162-54,33,tall\n", "row 2, column Ix_in4: tall is not a number"),
        ("section,Fy_ksi,Ix_in4\n1000S162-54,33,nan\n", "row 2, column Ix_in4: nan is nothing to compare"),
        ("section,Fy_ksi,Ix_in4\n1000S162-54,33,0.0\n", "row 2, column Ix_in4: 0.0 is nothing to compare"),
        ("section,Fy_ksi,Ix_in4\n1000S162-54,-33,9.95\n", "row 2, column Fy_ksi: -33 must be over 0"),
        ("section,Fy_ksi,Ix_in4\n1000S162-54,,9.95\n", "row 2, column Fy_ksi: is empty"),
        ('section,Fy_ksi,Ix_in4\n"1000S162-54"x,33,9.95\n', "mine.csv, row 2: is no CSV"),
    ],
)
def test_a_bad_table_is_refused_by_name_row_and_column(text: str, words: str) -> None:
    with pytest.raises(CatalogueRefused, match=words):
        judge_sections("mine.csv", text)


def test_a_byte_order_mark_and_spaces_in_the_heading_are_nothing() -> None:
    assert judge_sections("mine.csv", "\ufeffsection, Fy_ksi,Ix_in4\n1000S162-54,33,9.95\n").agrees


# --- spans ---


def test_groups_of_span_rows() -> None:
    judged = _spans(
        _span_row(),
        _span_row("800S162-33", "171"),
        _span_row("800S162-97", "300", case="two equal spans,10,40,16"),
        _span_row("800S162-97", "239.62"),
    )
    assert [column.name for column in judged.columns] == [DEFLECTION, STRENGTH, TWO, EXACT]
    assert judged.agrees


def test_a_span_printed_too_short_or_too_long_is_outside() -> None:
    """800S162-97 spans 239 in: 237 is over an inch short; an exact table is held both ways as well."""
    for span in ("237", "241.5", "237.5"):
        judged = _spans(_span_row(span=span))
        assert not judged.agrees, span
    assert _spans(_span_row(span="238")).agrees


def test_strength_rows_are_held_one_way() -> None:
    assert _spans(_span_row("800S162-33", "190")).agrees
    assert not _spans(_span_row("800S162-33", "150")).agrees


def test_an_old_web_rule_explains_three_inches_short_and_no_more() -> None:
    case = "single,10,30,12"
    (three,) = _spans(_span_row("1200S162-68", "332", case=case)).columns[0].outside
    assert three.reason == OLD_WEB_RULE
    assert not _spans(_span_row("1200S162-68", "333", case=case)).agrees
    assert not _spans(_span_row("1200S162-68", "326", case=case)).agrees  # ours is longer
    assert not _spans(_span_row("800S162-97", "242")).agrees  # fully effective: no old rule


def test_a_flag_explains_or_takes_out() -> None:
    judged = _spans(_span_row(span="220", more="older section,"), _span_row(more="typo; do not use it,"))
    assert judged.columns[0].outside[0].reason == "flagged in the file: older section"
    assert judged.not_compared[0].reason == "flagged in the file: typo; do not use it"
    assert judged.agrees


def test_live_load_on_both_spans_where_the_document_has_it() -> None:
    case = "two equal,10,30,12"
    one = _spans(_span_row("800S162-97", "352", case=case)).columns[0].worst
    both = _spans(_span_row("800S162-97", "352", case=case, more=",HUD Prescriptive Method")).columns[0].worst
    assert (one.size, both.size) == (-56.0, 1.0)


def test_a_span_row_beyond_the_source_is_left_out() -> None:
    judged = _spans(_span_row("1200S162-43", "250"), _span_row("nothing", "250"))
    assert "260" in judged.not_compared[0].reason
    assert "no S-section" in judged.not_compared[1].reason
    assert not judged.agrees


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("single", "triple", "row 2, column span_type: triple is none of"),
        ("L/480", "480", "row 2, column LL_limit: 480 is not like L/480"),
        ("L/240", "L/5", "row 2, column TL_limit: L/5 is not like L/480"),
        (",40,", ",-40,", "row 2, column live_psf: -40 must be over 0"),
        (",12,", ",zero,", "row 2, column spacing_in: zero is not a number"),
    ],
)
def test_a_bad_span_row_is_refused(old: str, new: str, words: str) -> None:
    with pytest.raises(CatalogueRefused, match=words):
        _spans(_span_row().replace(old, new))


def test_a_span_table_needs_its_columns() -> None:
    with pytest.raises(CatalogueRefused, match=r"column clear_span_in or span_in is missing"):
        judge_spans("mine.csv", "section,Fy_ksi\n800S162-97,33\n")


# --- words ---


def test_lines_name_what_is_outside_and_what_was_left_out() -> None:
    lines = list(comparison_lines(_sections("1000S162-54,33,10.1", "1000S111-54,33,9.95")))
    assert lines[0] == "mine.csv: 2 rows"
    assert any("Ix_in4" in line and "-1.48%" in line for line in lines)
    assert any("line 2" in line and "NOT EXPLAINED" in line for line in lines)
    assert any(line.startswith("  not compared: line 3") for line in lines)
    assert lines[-1] == "  DOES NOT AGREE"
    spans = list(comparison_lines(_spans(_span_row())))
    assert any('-1.00"' in line for line in spans)
    assert any("live deflection rules" in line for line in spans)
    assert spans[-1] == "  agrees"


def test_json_holds_the_same() -> None:
    told = comparison_json(_sections("1000S162-54,33,10.1", "1000S162-54,33,9.95", "1000S111-54,33,9.95"))
    assert json.loads(json.dumps(told)) == told
    assert (told["file"], told["agrees"], told["rows"]) == ("mine.csv", False, 3)
    column = told["columns"]["Ix_in4"]
    assert column["rows"] == 2
    assert column["worst_row"] == "1000S162-54 (33 ksi)"
    assert column["worst_percent"] == pytest.approx(-1.4773, abs=1e-3)
    assert column["median_percent"] < 1.0
    assert column["tolerance_percent"] == 0.2
    (outside,) = column["outside"]
    assert (outside["line"], outside["printed"], outside["reason"]) == (2, 10.1, "")
    assert told["not_compared"][0]["line"] == 4


def test_json_of_spans_has_inches() -> None:
    column = comparison_json(_spans(_span_row()))["columns"][DEFLECTION]
    assert (column["worst_in"], column["median_in"], column["tolerance_in"]) == (-1.0, 1.0, 1.0)
    assert column["tolerance_percent"] is None
    assert column["worst_percent"] == pytest.approx(-0.4167, abs=1e-4)
