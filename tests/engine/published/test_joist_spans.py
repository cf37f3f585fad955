"""Spans against published tables and an independent derivation from the published section table."""

from __future__ import annotations

from functools import cache

import pytest

from framing.engine.judging import Column, Comparison, judge_spans
from framing.engine.judging.spans import DEFLECTION, EXACT, OLD_WEB_RULE, STRENGTH, TWO
from framing.engine.tables import data_text


@cache
def _judged(name: str) -> Comparison:
    return judge_spans(name, data_text(f"published/{name}"))


def _column(name: str, group: str) -> Column:
    return next(column for column in _judged(name).columns if column.name == group)


@pytest.mark.parametrize("name", ["joist_spans.csv", "joist_spans_derived.csv"])
def test_no_row_is_outside_without_a_reason(name: str) -> None:
    unexplained = [d for column in _judged(name).columns for d in column.differences if d.unexplained]
    assert unexplained == []
    assert _judged(name).agrees


def test_every_row_is_compared_or_left_out_by_name() -> None:
    judged = _judged("joist_spans.csv")
    compared = sum(len(column.differences) for column in judged.columns)
    assert (judged.rows, compared, len(judged.not_compared)) == (155, 145, 10)
    reasons = {left.reason.split(";")[0] for left in judged.not_compared}
    assert reasons == {
        "AISI S100 B4.1 holds for h/t up to 260",
        "flagged in the file: remembered print looks like a typo of the code",
        "flagged in the file: remembered print looks like a typo",
    }


def test_one_span_ruled_by_deflection() -> None:
    """IRC Table R505.3.2(1) and HUD Table 5.3 print whole inches, from older sections: 1 in, by name 3 in."""
    column = _column("joist_spans.csv", DEFLECTION)
    assert len(column.differences) == 59
    assert abs(column.worst.size) <= 3.0
    assert sorted(d.size for d in column.outside) == [-3.0, -3.0, -2.0, -2.0]
    assert sum(d.reason == OLD_WEB_RULE for d in column.outside) == 3


def test_one_span_ruled_by_strength_is_never_longer_than_printed() -> None:
    """But one: an 800S162-33 at 24 in whose print does not follow from its own section table either."""
    column = _column("joist_spans.csv", STRENGTH)
    assert len(column.differences) == 32
    assert [(d.row, d.size) for d in column.outside] == [("800S162-33 (33 ksi), single, 40 psf, 24 in", 2.0)]


def test_two_spans_of_heavy_steel_agree_with_the_old_table() -> None:
    """97 mil joists of 5.5 and 8 in, where the rules of 1997 and today give the same: within 1 in."""
    column = _column("joist_spans.csv", TWO)
    assert len(column.differences) == 54
    heavy = [d for d in column.differences if d.row.startswith(("550S162-97", "800S162-97"))]
    assert len(heavy) == 8
    assert max(abs(d.size) for d in heavy) <= 1.0
    thin = {d.row.split(" ")[0] for d in column.outside}
    assert thin == {
        "550S162-33",
        "800S162-33",
        "1000S162-43",
    }  # ruled by shear, which goes with thickness cubed


def test_spans_derived_from_the_section_table() -> None:
    """Two equal spans: live load on one for deflection, both full at the support, with H2; to 1/20 in."""
    column = _column("joist_spans_derived.csv", EXACT)
    assert len(column.differences) == 225
    assert abs(column.worst.size) <= 0.05
